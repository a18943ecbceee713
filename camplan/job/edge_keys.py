"""The keys of an edge that is broken or rounded."""

import math

from camplan import tolerance as tolerances
from camplan.features.specs import EdgeSpec, Side
from camplan.fields import Fields
from camplan.job.keys import line, optional_length
from camplan.units import UM_PER_MM, Mm, rad_from_deg

_SIDES: tuple[Side, ...] = ("outside", "inside")
_FLATTEST_DEG, _STEEPEST_DEG = 5.0, 85.0
_BOTH = "chamfer_mm with angle_deg, or radius_mm"
_MOST_UM = 1000.0


def read_edge(
    fields: Fields, *, unit: Mm, thickness: Mm | None, top: Mm, tolerance: Mm, cutters: tuple[str, ...]
) -> EdgeSpec:
    """An edge's own keys; ``top``, ``tolerance`` and ``cutters`` are those of any feature."""
    chamfer = optional_length(fields, "chamfer_mm", unit=unit, above=0.0)
    radius = optional_length(fields, "radius_mm", unit=unit, above=0.0)
    if chamfer is not None and radius is not None:
        fields.refuse("radius_mm", "stands beside chamfer_mm", accepted=f"one of the two: {_BOTH}")
        radius = None
    elif chamfer is None and radius is None:
        fields.refuse("chamfer_mm", "is missing: nothing says how much of the edge goes", accepted=_BOTH)
    if radius is not None and fields.has("angle_deg"):
        fields.refuse("angle_deg", "has no use with radius_mm", accepted="chamfer_mm with angle_deg")
    degrees = fields.number("angle_deg", default=45.0, at_least=_FLATTEST_DEG, at_most=_STEEPEST_DEG)
    side = fields.choice("side", _SIDES) if fields.has("side") else None
    if fields.has("cusp_um"):
        tolerance = fields.number("cusp_um", above=0.0, at_most=_MOST_UM) / UM_PER_MM
        if radius is None:
            fields.refuse("cusp_um", "only a rounded edge has cusps", accepted="radius_mm with cusp_um")
    angle = rad_from_deg(degrees)
    high = chamfer * math.tan(angle) if chamfer is not None else radius or tolerances.SAME_POINT * 10.0
    depth = top + high
    if thickness is not None and depth > thickness + tolerances.SAME_POINT:
        key = "chamfer_mm" if chamfer is not None else "radius_mm"
        message = f"the edge would reach {depth / unit:g} deep, below the plate, which is {thickness / unit:g} thick"
        fields.refuse(key, message, accepted="less")
        depth = thickness
    return EdgeSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=depth,
        side=side,
        chamfer=chamfer,
        angle=angle,
        radius=radius,
        tolerance=tolerance,
        cutters=cutters,
    )
