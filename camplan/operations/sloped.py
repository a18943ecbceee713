"""Grooves that one cutter of just their section cuts along their lines: falling floors, round ones, leaning sides.

A falling floor is cut in passes that share it out: each goes the same part of the way down everywhere, so no pass is
deeper than the cutter bears where the floor is deepest, and the last runs along the floor itself.
"""

import math

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import can_plunge
from camplan.cutting.records import CutKind, CuttingData
from camplan.errors import Problem
from camplan.features.records import Feature
from camplan.features.sections import groove_foot
from camplan.features.slopes import angle_of, shallowest
from camplan.features.specs import GrooveSpec
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, reaching, suited, why
from camplan.units import Mm, Rad, deg_from_rad

_SAME_ANGLE: Rad = math.radians(0.05)


def is_special(feature: Feature, *, spec: GrooveSpec) -> bool:
    """Whether a groove can only be cut by a cutter of just its section."""
    return bool(feature.slopes) or spec.section != "square"


def exact_cutters(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> tuple[Cutter, ...]:
    """The cutters of the groove's section that reach its floor and for which there are cutting data."""
    reach = reaching(allowed(shop, names=spec.cutters, kinds=_kinds(spec)), depth=feature.bottom)
    reach = suited(reach, kind=CutKind.SLOT, depth=feature.bottom, shop=shop)
    return tuple(cutter for cutter in reach if _fits(cutter, feature=feature, spec=spec))


def sloped_operations(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> tuple[Operation, ...]:
    """The operation of a groove whose floor falls; none if no cutter of its section may go down so steeply."""
    found = []
    for cutter in exact_cutters(feature, spec=spec, shop=shop):
        data = shop.data_for(cutter, CutKind.SLOT, feature.bottom, None)
        if _too_steep(feature, cutter=cutter, data=data):
            continue
        levels = even_levels(-feature.top, bottom=-feature.bottom, step_down=data.step_down)
        reason = why("cutter", f"{cutter.name}: {of_its_section(spec)}")
        found.append(
            Operation(
                feature=feature,
                purpose=Purpose.GROOVE,
                part=Part.SLOPE,
                cutter=cutter,
                data=data,
                levels=levels,
                stay=0.0,
                reasons=(reason, why("slope", _said(feature, count=len(levels), data=data)), *data.reasons),
            )
        )
    return tuple(found[:1])


def groove_problem(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> Problem | None:
    """Why no cutter cuts a groove that only one of its section can cut, or that narrows; None for other grooves."""
    if spec.widths is not None:
        least = narrow_end(spec)
        x, y = _narrowest_at(feature)
        message = f"no flat cutter on the shelf fits its narrow end of {least:g} mm at X{x:.3f} Y{y:.3f}"
        accepted = f"a slot drill or end mill of at most {least:g} mm that reaches {feature.bottom:.2f} mm in `cutters`"
        return Problem(message=message, key=f"feature {spec.name!r}", accepted=accepted)
    if not is_special(feature, spec=spec):
        return None
    key = f"feature {spec.name!r}"
    wanted = wanted_cutter(feature, spec=spec)
    steep = exact_cutters(feature, spec=spec, shop=shop)
    if steep:
        angle = deg_from_rad(max(angle_of(slope) for slope in feature.slopes))
        cutter = steep[0]
        most = deg_from_rad(shop.data_for(cutter, CutKind.SLOT, feature.bottom, None).ramp_angle)
        message = (
            f"its floor falls at up to {angle:.2f} degrees, and {cutter.name} does not cut at its centre: it goes down "
            f"at {most:g} degrees at most"
        )
        accepted = f"{wanted} that cuts at its centre, or depths nearer together"
        return Problem(message=message, key=key, accepted=accepted)
    near = [cutter for cutter in shop.cutters if cutter.kind in _kinds(spec)]
    listed = ", ".join(_described(cutter) for cutter in near[:6])
    message = f"no cutter on the shelf has its section{f' ({listed} have not)' if listed else ''}"
    return Problem(message=message, key=key, accepted=f"{wanted} that reaches {feature.bottom:.2f} mm in `cutters`")


def narrow_end(spec: GrooveSpec) -> Mm:
    """How wide a groove is where it is narrowest."""
    return min(spec.widths) if spec.widths is not None else spec.width


def _narrowest_at(feature: Feature) -> tuple[Mm, Mm]:
    """The place of the narrow end of the first line."""
    beads = feature.widening[0]
    x, y = beads.points[0][0 if beads.radii[0][0] < beads.radii[0][-1] else -1]
    return float(x), float(y)


def wanted_cutter(feature: Feature, *, spec: GrooveSpec) -> str:
    """The cutter that a groove asks for, in words."""
    match spec.section:
        case "square":
            return f"a slot drill or end mill of {spec.width:g} mm"
        case "round":
            return f"a ball cutter of {spec.width:g} mm"
        case "trapezoid":
            tip = 2.0 * groove_foot(feature, spec=spec)
            narrower = "" if feature.slopes else ", or a narrower one and a flat cutter that clears the floor,"
            return f"a taper of {deg_from_rad(spec.draft):g} degrees a side with a flat tip of {tip:.3f} mm{narrower}"


def _kinds(spec: GrooveSpec) -> tuple[CutterKind, ...]:
    match spec.section:
        case "square":
            return FLATS
        case "round":
            return (CutterKind.BALL,)
        case "trapezoid":
            return (CutterKind.TAPER,)


def _fits(cutter: Cutter, *, feature: Feature, spec: GrooveSpec) -> bool:
    if spec.section != "trapezoid":
        return abs(cutter.diameter - spec.width) <= spec.tolerance
    lean = abs((cutter.half_angle or 0.0) - spec.draft) <= _SAME_ANGLE
    flat = not cutter.corner_radius
    wide = abs(cutter.tip_diameter - 2.0 * groove_foot(feature, spec=spec)) <= spec.tolerance
    high = cutter.flute_length >= feature.bottom - feature.top - 1e-9
    return lean and flat and wide and high


def _described(cutter: Cutter) -> str:
    if cutter.half_angle is None:
        return f"{cutter.name}: {cutter.diameter:g} mm"
    return f"{cutter.name}: {deg_from_rad(cutter.half_angle):g} degrees, tip {cutter.tip_diameter:g} mm"


def of_its_section(spec: GrooveSpec) -> str:
    """Why a cutter suits a groove, in words."""
    return "as wide as the groove" if spec.section != "trapezoid" else "of the groove's angle and floor"


def _too_steep(feature: Feature, *, cutter: Cutter, data: CuttingData) -> bool:
    angle = max(angle_of(slope) for slope in feature.slopes)
    return angle > data.ramp_angle + 1e-9 and not can_plunge(cutter)


def _said(feature: Feature, *, count: int, data: CuttingData) -> str:
    angle = max(angle_of(slope) for slope in feature.slopes)
    passes = "one pass along the floor" if count == 1 else f"{count} passes share it out, the last along the floor"
    down = (
        f"steeper than the {deg_from_rad(data.ramp_angle):g} degrees of a ramp, so downhill at the plunge feed"
        if angle > data.ramp_angle + 1e-9
        else f"within the {deg_from_rad(data.ramp_angle):g} degrees of a ramp"
    )
    return (
        f"the floor falls from {shallowest(feature.slopes):g} to {feature.bottom:g} mm, at up to "
        f"{deg_from_rad(angle):.2f} degrees, {down}; {passes}"
    )
