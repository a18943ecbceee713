"""The job file as one validated record.

Takes the path of a TOML file; gives a `Job`, or every problem of the file in one InputError.  Never opens the
drawing, and never looks up a cutter, a material, a machine or a post.

Lengths are mm, or inches where the job says ``units = "inch"``; a key keeps its name.  Angles end in ``_deg``,
tolerances in ``_um``.  Heights are depths below the plate's top, positive down.

At the top: ``title`` (the file's name), ``drawing`` (a .dxf file beside the job or in a folder below it),
``units`` ("mm"), ``drawing_units`` (what the drawing is in, where its own header says nothing or something wrong; if
left out, ``units`` where that is written), ``machine``, ``material``, ``post`` ("rs274ngc"), ``cutters`` (the whole
library).

``[plate]``: ``thickness_mm``, ``outline`` (a layer), ``zero`` ("front-left"), ``break_through_mm`` (0.3: how far past
the underside through cuts go).

``[[feature]]``, all kinds: ``name``, ``kind``, ``layer``, ``cutters`` (those that may cut it; left out, all of the
job's); all but faces: ``top_mm`` (0); pockets, outlines and holes: ``depth_mm`` or ``depth = "through"``, the others
``depth_mm``; pockets, outlines, holes and grooves: ``tolerance_um`` (20).
- pocket: ``draft_deg`` (0), ``nominal`` ("top"), ``allowance_mm`` (0), ``finish_mm`` and ``corner_mm`` (left to the
  planner);
- outline: ``side`` ("outside": the part is inside the contour), ``hold`` ("bridges", "skin", "none"), ``bridges``
  (4 on each contour), ``bridge_width_mm`` (3), ``bridge_height_mm`` (1.5, at most half the depth), ``skin_mm`` (0.2),
  ``allowance_mm``, ``finish_mm``, ``corner_mm``, ``draft_deg`` (0: the kerf opens upward, so that a part is narrower at
  its top, and a window wider) with ``nominal`` ("top");
- hole: ``diameter_mm`` (for points; circles give their own), ``spot`` (true);
- groove: ``width_mm``, ``section`` ("square");
- mark: ``depth_mm`` (0.2), ``width_mm`` (the cutter's at that depth), ``cross_mm`` (4: what a point becomes);
- face: ``layer`` may be left out: then it is the whole plate;
- edge: broken or rounded along the closed contours of its layer, ``top_mm`` deep (0), after what opens the other side
  of the contour (a pocket, a hole, an outline, the air beside the plate). Either ``chamfer_mm`` (its width seen from
  above) with ``angle_deg`` (45: how it falls from the plate's top), or ``radius_mm`` with ``cusp_um`` (how high the
  steps of the ball may stand; left out, ``tolerance_um``). ``side``: on which side of the contour the material stands
  that loses its edge: "outside" for the rim of a pocket or a hole, "inside" for a part or an island; left out, the
  features that share the contour tell it, and the sheet says so.

``[[setting]]``: ``name``, ``features``, ``face`` ("top"), ``clamps``: tables of ``x_mm``, ``y_mm`` (the front left
corner from the plate's zero), ``width_mm`` along X, ``length_mm`` along Y, ``height_mm`` above the plate's top.
Left out: one setting named "one clamping" with every feature.
"""

from camplan.job.reading import read_job as read_job
from camplan.job.records import Job as Job
