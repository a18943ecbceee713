"""What may and what must be gone at each height on account of one feature.

Heights are z in the setting's coordinates.  Where a section changes abruptly, the height of the change belongs to
the larger figure: a cutter's tip may stand on a floor, on a ledge and on top of a bridge.
"""

import math
from collections.abc import Iterable
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.features.edges import edge_may, edge_must
from camplan.features.inclines import depth_under, from_depth, shallow_end
from camplan.features.leaning import MUST_BAND as MUST_BAND
from camplan.features.leaning import outline_may, outline_must
from camplan.features.records import EMPTY, Feature, HalfPlane, Section
from camplan.features.slopes import as_deep, beads, round_profile, shallowest, side_profile, under
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import Points, circle
from camplan.regions import Region
from camplan.units import Mm


def may(feature: Feature, *, z: Mm) -> Section:
    """Everything that may be removed at height ``z``; `EMPTY` outside the feature's heights.

    ValueError for an outline without a kerf and a mark without a profile: what they may remove depends on the
    cutter (`camplan.features.fitted`).
    """
    depth = -z
    if not _between(depth, feature.top, floor(feature)):
        return _cone(feature, depth=depth)
    match feature.spec:
        case PocketSpec() as spec:
            grow = _settled(_draft(feature, spec=spec, depth=depth))
            return Section(regions=(*feature.regions, *feature.mouths), grow=grow, within=_deeper(feature, depth=depth))
        case OutlineSpec() as spec:
            stay = (*feature.neighbours, *_standing(feature, depth=depth))
            return outline_may(feature, spec=spec, depth=depth, lowest=floor(feature), stay=stay)
        case HoleSpec():
            return _hole(feature, depth=depth)
        case GrooveSpec() if feature.widening:
            return Section(beads=feature.widening)
        case GrooveSpec() as spec if feature.slopes:
            return _sloping(feature, spec=spec, depth=depth)
        case GrooveSpec() as spec:
            return Section(lines=feature.lines, grow=_groove_grow(feature, spec=spec, depth=depth))
        case MarkSpec():
            return Section(lines=feature.lines, grow=_mark_grow(feature, depth=depth))
        case FaceSpec():
            return Section(regions=feature.regions)
        case EdgeSpec() as spec:
            return edge_may(feature, spec=spec, depth=depth)
        case _:
            assert_never(feature.spec)


def must(feature: Feature, *, z: Mm) -> Section:
    """Everything that must be gone at height ``z``: `may` less what is left on purpose and what only some cutters
    remove (an allowance, the rest of a kerf, a drill's cone, the way out below the plate)."""
    depth = -z
    if not _between(depth, feature.top, feature.bottom):
        return EMPTY
    match feature.spec:
        case PocketSpec() as spec:
            grow = _draft(feature, spec=spec, depth=depth) - spec.allowance
            return Section(
                regions=(*feature.regions, *feature.mouths),
                grow=_settled(grow),
                within=_deeper(feature, depth=depth),
            )
        case OutlineSpec() as spec:
            stay = (*feature.neighbours, *_standing(feature, depth=depth))
            return outline_must(feature, spec=spec, depth=depth, stay=stay)
        case HoleSpec() | GrooveSpec() | MarkSpec() | FaceSpec():
            return may(feature, z=z)
        case EdgeSpec() as spec:
            return edge_must(feature, spec=spec, depth=depth)
        case _:
            assert_never(feature.spec)


def floor(feature: Feature) -> Mm:
    """The depth down to which the feature is cut at full width: its bottom, or past the plate if it goes through."""
    return feature.bottom + feature.break_through if feature.through else feature.bottom


def heights(feature: Feature) -> tuple[Mm, ...]:
    """Every z at which `may` or `must` changes abruptly or a continuous change begins or ends, highest first."""
    depths = {feature.top, feature.bottom, floor(feature)}
    depths.update(-z for between in curved_between(feature) for z in between)
    if (bridge_top := _bridge_top(feature)) is not None:
        depths.add(bridge_top)
    depths.update(depth for _, depth in feature.sunk)
    return tuple(0.0 - depth for depth in sorted(depths))


def varies(feature: Feature) -> bool:
    """Whether the section changes continuously anywhere between its heights."""
    return bool(curved_between(feature))


def curved_between(feature: Feature) -> tuple[tuple[Mm, Mm], ...]:
    """The ranges (upper z, lower z) in which the section changes continuously, highest first."""
    top, bottom = 0.0 - feature.top, 0.0 - feature.bottom
    match feature.spec:
        case PocketSpec() if feature.incline is not None:
            return ((-shallow_end(feature.incline), bottom),)
        case PocketSpec(draft=draft) | OutlineSpec(draft=draft) if draft > 0.0:
            return ((top, -floor(feature)),)
        case GrooveSpec(section="trapezoid"):
            return ((top, bottom),)
        case GrooveSpec(section="round", width=width):
            upper = -shallowest(feature.slopes) if feature.slopes else bottom
            return ((min(top, upper + width / 2.0), bottom),)
        case GrooveSpec() if feature.slopes and -shallowest(feature.slopes) > bottom:
            return ((-shallowest(feature.slopes), bottom),)
        case MarkSpec() | EdgeSpec():
            return ((top, bottom),)
        case HoleSpec():
            below, mouth, cone = -floor(feature), mouth_height(feature), cone_height(feature)
            ranges = ((top, top - mouth), (below, below - cone))
            return tuple((upper, lower) for upper, lower in ranges if upper > lower)
        case PocketSpec() | GrooveSpec() | OutlineSpec() | FaceSpec():
            return ()
        case _:
            assert_never(feature.spec)


def shallow_floor(feature: Feature) -> Mm | None:
    """The depth of a falling floor where it is least deep; None of a floor that does not fall."""
    if feature.incline is not None:
        return shallow_end(feature.incline)
    return shallowest(feature.slopes) if feature.slopes else None


def floor_under(feature: Feature, *, places: Points, radii: NDArray[np.float64]) -> NDArray[np.float64]:
    """How deep (n,) a flat tip of ``radii`` (n,) may stand on a falling floor over each of (n, 2) places: along a line
    as deep as that is; on a plane, which it touches with its upper edge.  ValueError for a floor that does not fall."""
    if feature.incline is not None:
        return depth_under(feature.incline, places=places, radius=radii)
    if not feature.slopes:
        raise ValueError(f"the floor of {feature.spec.name!r} does not fall")
    return under(feature.slopes, places=places)


def cone_height(feature: Feature) -> Mm:
    """How far a drill's point reaches below the full width of the feature's widest drilled hole; 0 without a point."""
    ending = {*feature.flat, *(diameter for diameter, _ in feature.sunk)}
    widest = max((diameter for _, _, diameter in feature.circles if diameter not in ending), default=0.0)
    if feature.point_angle is None:
        return 0.0
    return widest / 2.0 / math.tan(feature.point_angle / 2.0)


def mouth_height(feature: Feature) -> Mm:
    """How far the chamfer at the mouth of the narrowest hole reaches below the feature's top; 0 without one."""
    heads = {diameter for diameter, _ in feature.sunk}
    narrowest = min((diameter for _, _, diameter in feature.circles if diameter not in heads), default=math.inf)
    if feature.mouth is None or narrowest >= feature.mouth.diameter:
        return 0.0
    return (feature.mouth.diameter - narrowest) / 2.0 / math.tan(feature.mouth.angle / 2.0)


def _between(depth: Mm, upper: Mm, lower: Mm) -> bool:
    return upper - tolerance.SAME_POINT <= depth <= lower + tolerance.SAME_POINT


def _draft(feature: Feature, *, spec: PocketSpec, depth: Mm) -> Mm:
    """How far the wall stands outside the drawn contour; below the plate the wall goes on as it came."""
    if spec.draft == 0.0:
        return 0.0
    level = feature.top if spec.nominal == "top" else feature.bottom
    return (level - depth) * math.tan(spec.draft)


def _deeper(feature: Feature, *, depth: Mm) -> HalfPlane | None:
    """Where a floor that falls is at a depth or below; None where all of it is."""
    if feature.incline is None or depth <= shallow_end(feature.incline) + tolerance.SAME_POINT:
        return None
    return from_depth(feature.incline, depth=depth)


def _settled(grow: Mm) -> Mm:
    """No growth at all where it is too little to tell: no kernel is asked for offsets below its own resolution."""
    return grow if abs(grow) > tolerance.SAME_POINT else 0.0


def _bridge_top(feature: Feature) -> Mm | None:
    if isinstance(feature.spec, OutlineSpec) and feature.bridges:
        return feature.bottom - feature.spec.bridge_height
    return None


def _standing(feature: Feature, *, depth: Mm) -> tuple[Region, ...]:
    bridge_top = _bridge_top(feature)
    below = bridge_top is not None and depth > bridge_top + tolerance.SAME_POINT
    return feature.bridges if below else ()


def _hole(feature: Feature, *, depth: Mm) -> Section:
    """The holes at a depth, with the heads that reach down to it, or with the chamfer at their mouths."""
    ended = {diameter for diameter, bottom in feature.sunk if depth > bottom + tolerance.SAME_POINT}
    whole = tuple(circle for circle in feature.circles if circle[2] not in ended)
    if feature.mouth is None or depth >= feature.top + mouth_height(feature) - tolerance.SAME_POINT:
        return Section(regions=_discs(whole))
    shrink = max(depth - feature.top, 0.0) * math.tan(feature.mouth.angle / 2.0)
    wide = feature.mouth.diameter
    return Section(regions=_discs((x, y, wide) for x, y, _ in whole), grow=_settled(-shrink))


def _discs(circles: Iterable[tuple[Mm, Mm, Mm]]) -> tuple[Region, ...]:
    return tuple(Region(outer=circle((x, y), radius=diameter / 2.0)) for x, y, diameter in circles)


def _cone(feature: Feature, *, depth: Mm) -> Section:
    """The section of the cone that a drill's point leaves below the full width."""
    below = depth - floor(feature)
    if not isinstance(feature.spec, HoleSpec) or feature.point_angle is None or below < 0.0:
        return EMPTY
    shrink = below * math.tan(feature.point_angle / 2.0)
    ending = {*feature.flat, *(diameter for diameter, _ in feature.sunk)}
    discs = _discs(one for one in feature.circles if one[2] / 2.0 > shrink and one[2] not in ending)
    return Section(regions=discs, grow=-shrink) if discs else EMPTY


def groove_foot(feature: Feature, *, spec: GrooveSpec) -> Mm:
    """Half the width of a trapezoid groove's floor: half that at the top of the deepest place, less what its sides lean
    over its depth."""
    return spec.width / 2.0 - (feature.bottom - feature.top) * math.tan(spec.draft)


def _sloping(feature: Feature, *, spec: GrooveSpec, depth: Mm) -> Section:
    """A groove whose floor falls: what a cutter that stands upright sweeps as its tip follows the floor.

    A flat cutter sweeps at a height its full width along all of the line that is as deep; one with a round tip or
    leaning sides sweeps discs as wide as it is above the floor of each place.
    """
    match spec.section:
        case "square":
            return _straight_sided(feature, spec=spec, depth=depth)
        case "round":
            if depth <= shallowest(feature.slopes) - spec.width / 2.0:
                return _straight_sided(feature, spec=spec, depth=depth)
            profile = round_profile(spec.width)
        case "trapezoid":
            rise = feature.bottom - feature.top
            profile = side_profile(groove_foot(feature, spec=spec), angle=spec.draft, height=rise)
        case _:
            assert_never(spec.section)
    found = (beads(slope, depth=depth, profile=profile) for slope in feature.slopes)
    return Section(beads=tuple(one for one in found if one is not None))


def _straight_sided(feature: Feature, *, spec: GrooveSpec, depth: Mm) -> Section:
    """The full width along all of the lines that is as deep."""
    if depth <= shallowest(feature.slopes):
        return Section(lines=feature.lines, grow=spec.width / 2.0)
    lines = tuple(line for slope in feature.slopes for line in as_deep(slope, depth=depth))
    return Section(lines=lines, grow=spec.width / 2.0)


def _groove_grow(feature: Feature, *, spec: GrooveSpec, depth: Mm) -> Mm:
    """Half the groove's width; in a round one half the chord of a circle of that width that stands on its bottom, in a
    trapezoid half the floor and what the side leans up to there."""
    radius = spec.width / 2.0
    above = max(feature.bottom - depth, 0.0)
    if spec.section == "trapezoid":
        return groove_foot(feature, spec=spec) + above * math.tan(spec.draft)
    if spec.section == "square" or above >= radius:
        return radius
    return math.sqrt(above * (2.0 * radius - above))


def _mark_grow(feature: Feature, *, depth: Mm) -> Mm:
    if not feature.profile:
        raise ValueError(f"what mark {feature.spec.name!r} may remove is open until its cutter is known")
    above, radii = np.array(feature.profile).T
    return float(np.interp(feature.bottom - depth, above, radii))
