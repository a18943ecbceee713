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
the underside through cuts go), ``flatness_um`` (20: how flat its top is as clamped; shallow work is judged by it),
``existing`` (what is gone of it already: a layer, cut through, or with ``depth_mm`` and ``face`` ("top", "back") in a
table ``{ layer = ... }``; the folder of an earlier plan, by its name or as ``{ plan = ... }``; or a list of these).

``[[feature]]``, all kinds: ``name``, ``kind``, ``layer``, ``cutters`` (those that may cut it; left out, all of the
job's); all but faces: ``top_mm`` (0); pockets, outlines and holes: ``depth_mm`` or ``depth = "through"``, the others
``depth_mm``; pockets, outlines, holes and grooves: ``tolerance_um`` (20).
- pocket: ``draft_deg`` (0), ``nominal`` ("top"), ``allowance_mm`` (0), ``finish_mm`` and ``corner_mm`` (left to the
  planner);
  ``depth_mm = [first, last]`` with ``slope_from_mm = [x, y]`` and ``slope_to_mm = [x, y]`` (the drawing's
  coordinates): a plane floor, ``first`` deep at the one place and ``last`` at the other, level across and beyond both;
- outline: ``side`` ("outside": the part is inside the contour), ``hold`` ("bridges", "skin", "none"), ``bridges``
  (4 on each contour), ``bridge_width_mm`` (3), ``bridge_height_mm`` (1.5, at most half the depth), ``skin_mm`` (0.2),
  ``allowance_mm``, ``finish_mm``, ``corner_mm``, ``draft_deg`` (0: the kerf opens upward, so that a part is narrower at
  its top, and a window wider) with ``nominal`` ("top");
- hole: ``diameter_mm`` (for points; circles give their own), ``spot`` (true); what it holds, at most one of
  ``fit`` ("H7": the circle is the nominal size, the hole is made to the middle of the limits),
  ``dowel`` ("press": H7, "slip": G7, for pins m6 of the circle's size),
  ``thread`` ("M5": drilled for a tap; ``thread_depth_mm``, by itself or beside a depth, of which it leaves three
  pitches for the tap's lead), ``counterbore`` ("M5": a cap screw's head sunk, ``counterbore_depth_mm``),
  ``clearance_for`` ("M5": a screw goes through) - both with ``clearance`` ("fine", "medium", "coarse"), and through
  where no depth is given - and ``magnet`` ("press", "glue": a flat socket narrower or wider by ``gap_um``).  Circles
  of threads and screws are drawn in the nominal size or in that of the hole; points need no ``diameter_mm`` there;
- groove: ``width_mm`` (``[first, last]``: it narrows along its lines), ``section`` ("square", "round", "trapezoid";
  the last with ``draft_deg``, how far its sides lean outward, and ``width_mm`` at the top where it is deepest);
  ``depth_mm = [first, last]`` falls evenly along each line from its first end to its other, or with
  ``deepest_at = [x, y]`` (the drawing's coordinates) from the place of the lines nearest to there to all their far
  ends, along lines that meet as along one;
- mark: ``depth_mm`` (0.2), ``width_mm`` (the cutter's at that depth), ``cross_mm`` (4: what a point becomes);
- face: ``layer`` may be left out: then it is the whole plate;
- edge: broken or rounded along the closed contours of its layer, ``top_mm`` deep (0), after what opens the other side
  of the contour (a pocket, a hole, an outline, the air beside the plate). Either ``chamfer_mm`` (its width seen from
  above) with ``angle_deg`` (45: how it falls from the plate's top), or ``radius_mm`` with ``cusp_um`` (how high the
  steps of the ball may stand; left out, ``tolerance_um``). ``side``: on which side of the contour the material stands
  that loses its edge: "outside" for the rim of a pocket or a hole, "inside" for a part or an island; left out, the
  features that share the contour tell it, and the sheet says so.

``[[setting]]``: ``name``, ``features``, ``face`` ("top", or "back": the plate is turned over), ``about`` ("y": left and
right change places, or "x") and ``zero`` (the word for it as the plate then lies; left out, the same corner of the
plate as from the top), both for the back alone, ``clamps``: tables of ``x_mm``, ``y_mm`` (the front left corner from
the setting's zero), ``width_mm`` along X, ``length_mm`` along Y, ``height_mm`` above the face that is up.
Left out: one setting named "one clamping" with every feature.  A feature named in several settings is cut in each as
far as the clamps allow; each cuts only what those before it left, half a millimetre over the seam.

``[shrinkage]``: the plastic fills what is drawn and shrinks; the ``features`` named are cut larger, by 1 / (1 - S).
S from one of ``percent``, ``sizes_mm`` (pairs [cut, moulded] measured on a first cavity and its moulding; fitted), or
``plastic`` alone (its usual figure; beside the others only its range is looked at); or for X and Y apart, from
``x_percent`` and ``y_percent``, or ``sizes_x_mm`` and ``sizes_y_mm``.  ``about``: "centre" (of the plate's outline) or
[x, y] in the drawing, the place that stays put.  ``depths`` (false): whether depths are scaled too, by the mean S.
Widths of grooves and marks, allowances and corners stay as asked for.  Left out: everything is cut as drawn.

``[moulding]``, for ``camplan mould``, all of it optional: ``plastic`` (also the one whose range ``[shrinkage]`` is held
against, if that names none), ``wall_mm``, ``press_kn``, ``ejection_c``, ``shots``; and names of features in ``cavity``,
``runners``, ``gates``, ``vents`` where kind, depth and name do not tell what they are for.

The drawing always shows the plate from its top.  What is cut from the back is mirrored, so that it lands where the
drawing shows it through the plate (letters drawn to be read on the back are drawn mirrored); its depths count from the
back, its clamps and programs are as the plate lies.  Holes, straight pockets and outlines that go through may be named
in settings of both faces: each cuts half of the thickness and a quarter of a millimetre more.

A project, which names the jobs of plates that belong together, is described in `camplan.job.project`.
"""

from camplan.job.reading import read_job as read_job
from camplan.job.records import Job as Job
