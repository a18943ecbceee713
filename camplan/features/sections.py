"""What may and what must be gone at each height on account of one feature.

Heights are z in the setting's coordinates.  Where a section changes abruptly, the height of the change belongs to
the larger figure: a cutter's tip may stand on a floor, on a ledge and on top of a bridge.
"""

import math
from typing import assert_never

import numpy as np

from camplan import tolerance
from camplan.features.edges import edge_may, edge_must
from camplan.features.leaning import MUST_BAND as MUST_BAND
from camplan.features.leaning import outline_may, outline_must
from camplan.features.records import EMPTY, Feature, Section
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import circle
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
            return Section(regions=(*feature.regions, *feature.mouths), grow=grow)
        case OutlineSpec() as spec:
            stay = (*feature.neighbours, *_standing(feature, depth=depth))
            return outline_may(feature, spec=spec, depth=depth, lowest=floor(feature), stay=stay)
        case HoleSpec():
            return Section(regions=_discs(feature))
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
            return Section(regions=(*feature.regions, *feature.mouths), grow=_settled(grow))
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
    return tuple(0.0 - depth for depth in sorted(depths))


def varies(feature: Feature) -> bool:
    """Whether the section changes continuously anywhere between its heights."""
    return bool(curved_between(feature))


def curved_between(feature: Feature) -> tuple[tuple[Mm, Mm], ...]:
    """The ranges (upper z, lower z) in which the section changes continuously, highest first."""
    top, bottom = 0.0 - feature.top, 0.0 - feature.bottom
    match feature.spec:
        case PocketSpec(draft=draft) | OutlineSpec(draft=draft) if draft > 0.0:
            return ((top, -floor(feature)),)
        case GrooveSpec(section="round", width=width):
            return ((min(top, bottom + width / 2.0), bottom),)
        case MarkSpec() | EdgeSpec():
            return ((top, bottom),)
        case HoleSpec() if cone_height(feature) > 0.0:
            below = -floor(feature)
            return ((below, below - cone_height(feature)),)
        case PocketSpec() | GrooveSpec() | HoleSpec() | OutlineSpec() | FaceSpec():
            return ()
        case _:
            assert_never(feature.spec)


def cone_height(feature: Feature) -> Mm:
    """How far a drill's point reaches below the full width of the feature's widest drilled hole; 0 without a point."""
    widest = max((diameter for _, _, diameter in feature.circles if diameter not in feature.flat), default=0.0)
    if feature.point_angle is None:
        return 0.0
    return widest / 2.0 / math.tan(feature.point_angle / 2.0)


def _between(depth: Mm, upper: Mm, lower: Mm) -> bool:
    return upper - tolerance.SAME_POINT <= depth <= lower + tolerance.SAME_POINT


def _draft(feature: Feature, *, spec: PocketSpec, depth: Mm) -> Mm:
    """How far the wall stands outside the drawn contour; below the plate the wall goes on as it came."""
    if spec.draft == 0.0:
        return 0.0
    level = feature.top if spec.nominal == "top" else feature.bottom
    return (level - depth) * math.tan(spec.draft)


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


def _discs(feature: Feature, *, wider_than: Mm = 0.0, pointed: bool = False) -> tuple[Region, ...]:
    return tuple(
        Region(outer=circle((x, y), radius=diameter / 2.0))
        for x, y, diameter in feature.circles
        if diameter / 2.0 > wider_than and not (pointed and diameter in feature.flat)
    )


def _cone(feature: Feature, *, depth: Mm) -> Section:
    """The section of the cone that a drill's point leaves below the full width."""
    below = depth - floor(feature)
    if not isinstance(feature.spec, HoleSpec) or feature.point_angle is None or below < 0.0:
        return EMPTY
    shrink = below * math.tan(feature.point_angle / 2.0)
    discs = _discs(feature, wider_than=shrink, pointed=True)
    return Section(regions=discs, grow=-shrink) if discs else EMPTY


def _groove_grow(feature: Feature, *, spec: GrooveSpec, depth: Mm) -> Mm:
    """Half the groove's width; in a round one half the chord of a circle of that width that stands on its bottom."""
    radius = spec.width / 2.0
    above = max(feature.bottom - depth, 0.0)
    if spec.section == "square" or above >= radius:
        return radius
    return math.sqrt(above * (2.0 * radius - above))


def _mark_grow(feature: Feature, *, depth: Mm) -> Mm:
    if not feature.profile:
        raise ValueError(f"what mark {feature.spec.name!r} may remove is open until its cutter is known")
    above, radii = np.array(feature.profile).T
    return float(np.interp(feature.bottom - depth, above, radii))
