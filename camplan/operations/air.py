"""The air beside the plate, into which cutters of open features run out."""

from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.units import Mm

AIR: Mm = 1.0
"""So much more than its width a cutter may run out."""
_BERTH: Mm = 0.2


def with_air(area: Area, *, plate: Area, width: Mm) -> Area:
    """The area with the air beside the plate within a width of it; away from the area's own mouth the air keeps a
    berth, so that no path grazes the plate's edge."""
    wide = clipper.difference(clipper.offset(area, by=width), less=clipper.offset(plate, by=_BERTH))
    mouth = clipper.difference(clipper.offset(area, by=_BERTH), less=plate)
    return clipper.union([area, wide, mouth])
