"""Edges broken by a cutter whose side has the wanted angle, or rounded by a ball in steps.

The tool's middle runs beside the contour, over what other features have opened: of a chamfer as far from it as the
cutter is wide at the chamfer's foot, of a round so that the ball touches the quarter circle once a step.  Where the
cutter, at any height, would meet material that must stay, its middle may not be; the passes leave out such places.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from camplan import tolerance
from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import cone_top
from camplan.catalogue.shape import radius as radius_at
from camplan.cutting.records import CutKind, CuttingData
from camplan.errors import InputError, Problem
from camplan.features.edges import strip_due
from camplan.features.records import Feature, Plate
from camplan.features.sections import heights, may, must
from camplan.features.specs import EdgeSpec, MarkSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.records import Level, Operation, Part, Purpose
from camplan.operations.shop import Shop, allowed, why
from camplan.units import S_PER_MIN, UM_PER_MM, Mm, Mm2, Rad, deg_from_rad

_SAME_ANGLE: Rad = math.radians(0.05)
_CLEAR: tuple[Mm, ...] = (1.0, 0.5, 0.25, 0.1, 0.0)
"""How far below a chamfer's foot the tip is let, the first that leaves no more than the others (common practice, no
source)."""
_FLOOR: Mm = 0.05
"""A tip stays this far above a floor, if it can."""
_SLACK: Mm = 0.003
_JUST: Mm = 1e-4
_BERTH: Mm = 3.0
_GAIN: Mm2 = 2e-3
_SHARES = (0.0, 0.02, 0.1, 0.35, 0.65)
"""Where on a round, as shares of its radius below its top, what a ball does not reach is looked for."""
_HAIR: Mm = 0.004
"""Nothing thinner is lost."""
_MOST_STEPS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """A pass along an edge: the tip's height ``z``, and how far into the open its middle runs from the contour
    (negative: over the material)."""

    z: Mm
    away: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Due:
    """What of an edge is due at a depth."""

    depth: Mm
    area: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    """How one cutter would make an edge; ``barred`` for each rung where its middle may not be, ``lost`` how much of
    the strip beside the wall it does not reach."""

    cutter: Cutter
    data: CuttingData
    rungs: tuple[Rung, ...]
    barred: tuple[Area, ...]
    lost: Mm2
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edged:
    """The operations of an edge; without any, why not."""

    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]


def ball_cusp(radius: Mm, *, ball: Mm, step: Rad) -> Mm:
    """How high a cusp stands on a round of ``radius`` between two touches of a ball of radius ``ball``, ``step`` apart.

    The ball's middle lies on a circle of R + b; two such balls meet (R + b) cos(s/2) - sqrt(b2 - (R + b)2 sin2(s/2))
    from the round's middle (plane geometry).

    >>> round(ball_cusp(1.0, ball=1.5, step=math.radians(9.0)), 5)
    0.00515
    """
    out = radius + ball
    half = out * math.sin(step / 2.0)
    return out * math.cos(step / 2.0) - math.sqrt(max(ball**2 - half**2, 0.0)) - radius if half < ball else math.inf


def edge_operations(
    feature: Feature, *, features: Sequence[Feature], plate: Plate, before: Sequence[Operation], shop: Shop
) -> Edged:
    """The operations of one edge; ``features`` are those of the plate with what their cutters add to them, ``before``
    all other operations: their cutters are at hand, and inner corners are as round as these leave them."""
    spec = feature.spec
    assert isinstance(spec, EdgeSpec)
    used = {one.cutter.name for one in before}
    near = _near(feature, spec=spec, before=before)
    ways = [
        way
        for cutter in _cutters(spec, shop=shop)
        for rungs in _ladders(feature, spec=spec, cutter=cutter, shop=shop)
        if (way := _way(feature, cutter=cutter, rungs=rungs, near=near, features=features, plate=plate, shop=shop))
    ]
    if not ways:
        return Edged(operations=(), problems=(_none(feature, spec=spec, shop=shop),))
    least = min(way.lost for way in ways)
    enough = [way for way in ways if way.lost <= least + _GAIN]
    best = min(
        enough,
        key=lambda way: (way.cutter.name not in used, len(way.rungs), ways.index(way)),
    )
    operation = _operation(feature, way=best)
    return Edged(operations=(operation,), problems=())


def _cutters(spec: EdgeSpec, *, shop: Shop) -> tuple[Cutter, ...]:
    """The cutters whose side makes the edge, widest first."""
    if spec.radius is not None:
        return allowed(shop, names=spec.cutters, kinds=(CutterKind.BALL,))
    listed = allowed(shop, names=spec.cutters, kinds=(CutterKind.SPOT_DRILL, CutterKind.ENGRAVER, CutterKind.TAPER))
    return tuple(cutter for cutter in listed if abs(_lean(cutter) - (math.pi / 2.0 - spec.angle)) <= _SAME_ANGLE)


def _lean(cutter: Cutter) -> Rad:
    return cutter.half_angle or (cutter.point_angle or 0.0) / 2.0


def _ladders(feature: Feature, *, spec: EdgeSpec, cutter: Cutter, shop: Shop) -> list[tuple[Rung, ...]]:
    """The ways to place the cutter beside the edge, the best liked first."""
    if spec.radius is not None:
        rungs = _round_rungs(feature, radius=spec.radius, cutter=cutter, most=spec.tolerance)
        return [rungs] if rungs else []
    found: dict[Mm, tuple[Rung, ...]] = {}
    high = feature.bottom - feature.top
    for clear in _CLEAR:
        below = max(min(clear, feature.beside - _FLOOR - feature.bottom), 0.0)
        deep = high + below
        cone = cone_top(cutter)
        if cone is None or deep > min(cone, cutter.flute_length) + 1e-9 or feature.top + deep > cutter.reach + 1e-9:
            continue
        data = _data(cutter, depth=deep, shop=shop)
        if data is None:
            continue
        away = cutter.tip_diameter / 2.0 + below / math.tan(spec.angle)
        count = _passes(spec, cutter=cutter, data=data)
        # passes of one size: the width grows with the root of their number
        wide = [math.sqrt((number + 1) / count) for number in range(count)]
        found.setdefault(below, tuple(Rung(z=-(feature.top + share * high + below), away=away) for share in wide))
    return list(found.values())


def _passes(spec: EdgeSpec, *, cutter: Cutter, data: CuttingData) -> int:
    """In how many passes a chamfer is cut: none removes more than the groove that the cutter bears."""
    wide = spec.across
    step = data.step_down
    bears = step * (cutter.tip_diameter + step * math.tan(_lean(cutter)))
    return max(math.ceil(wide * wide * math.tan(spec.angle) / 2.0 / bears - 1e-9), 1)


def _data(cutter: Cutter, *, depth: Mm, shop: Shop) -> CuttingData | None:
    try:
        return shop.data_for(cutter, CutKind.ENGRAVE, depth, None)
    except InputError:
        return None


def _round_rungs(feature: Feature, *, radius: Mm, cutter: Cutter, most: Mm) -> tuple[Rung, ...]:
    """A ball's steps round a quarter circle, from its top to its foot, cusps no higher than ``most``; none if it does
    not fit above the floor beside the edge."""
    ball = cutter.diameter / 2.0
    out = radius + ball
    quarter = math.pi / 2.0
    count = next((n for n in range(1, _MOST_STEPS) if ball_cusp(radius, ball=ball, step=quarter / n) <= most), None)
    if count is None:
        return ()
    angles = [(number + 0.5) * quarter / count for number in range(count)]
    rungs = tuple(
        Rung(z=-(feature.top + radius - out * math.cos(angle) + ball), away=out * math.sin(angle) - radius)
        for angle in angles
    )
    deepest = -rungs[-1].z
    return rungs if deepest <= min(feature.beside, cutter.reach) + 1e-9 else ()


def _near(feature: Feature, *, spec: EdgeSpec, before: Sequence[Operation]) -> tuple[_Due, ...]:
    """What of an edge's strip lies beside the wall as the narrowest cutter of it leaves it: of a chamfer at its top,
    of a round at some depths."""
    radii = [one.cutter.diameter / 2.0 for one in before if one.feature.spec.name in feature.follows]
    round_ = min(radii, default=0.0)
    drawn = areas.of_regions(feature.regions)
    found = []
    for share in _SHARES if spec.radius is not None else _SHARES[:1]:
        below = share * (spec.radius or 0.0)
        strip = areas.of_section(must(feature, z=-feature.top - below))
        across = strip_due(spec, below=below)
        area = _beside(strip, drawn=drawn, spec=spec, round_=round_, across=across)
        found.append(_Due(depth=feature.top + below, area=area))
    return tuple(found)


def _beside(strip: Area, *, drawn: Area, spec: EdgeSpec, round_: Mm, across: Mm) -> Area:
    if spec.side == "inside":
        closed = clipper.offset(clipper.offset(drawn, by=round_), by=-round_ - across)
        return clipper.difference(strip, less=closed)
    return clipper.intersection(strip, with_=clipper.offset(clipper.opened(drawn, radius=round_), by=across))


def _way(
    feature: Feature,
    *,
    cutter: Cutter,
    rungs: tuple[Rung, ...],
    near: Sequence[_Due],
    features: Sequence[Feature],
    plate: Plate,
    shop: Shop,
) -> _Way | None:
    spec = feature.spec
    assert isinstance(spec, EdgeSpec)
    data = _round_data(spec, cutter=cutter, rungs=rungs, top=feature.top, shop=shop)
    if data is None:
        return None
    # where the last rung of a chamfer may run, all may that are above it
    barred = [_barred(feature, rung=rung, cutter=cutter, features=features, plate=plate) for rung in rungs]
    walked = _walked(feature, rung=rungs[-1], barred=barred[-1])
    if not walked:
        return None
    if spec.radius is None:
        gone = clipper.around(walked, by=rungs[-1].away + spec.across + _SLACK)
        lost = clipper.surface(clipper.difference(near[0].area, less=gone))
    else:
        lines = [_walked(feature, rung=rung, barred=bar) for rung, bar in zip(rungs, barred, strict=True)]
        lost = max(_missed(due, lines=lines, rungs=rungs, cutter=cutter) for due in near)
    return _Way(
        cutter=cutter,
        data=data,
        rungs=rungs,
        barred=tuple(barred),
        lost=lost,
        sentence=_sentence(spec, cutter=cutter, rungs=rungs, foot=feature.bottom),
    )


def _missed(due: _Due, *, lines: Sequence[Sequence[Points]], rungs: Sequence[Rung], cutter: Cutter) -> Mm2:
    """How much of what is due at a depth of a round no step of the ball takes."""
    gone = []
    for rung, some in zip(rungs, lines, strict=True):
        height = -due.depth - rung.z
        if height > _JUST and some:
            gone.append(clipper.around(some, by=float(radius_at(cutter, height=height)) + _SLACK))
    left = clipper.difference(due.area, less=clipper.union(gone)) if gone else due.area
    return clipper.surface(clipper.opened(left, radius=_HAIR / 2.0)) if left else 0.0


def _round_data(spec: EdgeSpec, *, cutter: Cutter, rungs: tuple[Rung, ...], top: Mm, shop: Shop) -> CuttingData | None:
    """The data of a cutter along an edge: that of a groove for a point, that of a skin as thick as its steps for a
    ball."""
    deep = -rungs[-1].z - top
    if spec.radius is None:
        return _data(cutter, depth=deep, shop=shop)
    skin = min(max(spec.radius / len(rungs), 0.02), 0.45 * cutter.diameter)
    try:
        return shop.wall_data(cutter, deep, skin, spec.tolerance)
    except InputError:
        return None


def _sentence(spec: EdgeSpec, *, cutter: Cutter, rungs: tuple[Rung, ...], foot: Mm) -> str:
    if spec.radius is None:
        below = -rungs[-1].z - foot
        count = "one pass" if len(rungs) == 1 else f"{len(rungs)} passes"
        tip = f"its tip {below:.2f} mm below the chamfer's foot" if below > 0.0 else "its tip on the chamfer's foot"
        return (
            f"{cutter.name}: its side falls by {deg_from_rad(spec.angle):g} degrees; {count}, {tip}, its middle "
            f"{rungs[-1].away:.3f} mm beside the contour"
        )
    cusp = ball_cusp(spec.radius, ball=cutter.diameter / 2.0, step=math.pi / 2.0 / len(rungs))
    return (
        f"{cutter.name}: {len(rungs)} passes round a radius of {spec.radius:g} mm leave cusps of "
        f"{cusp * UM_PER_MM:.1f} um, at most {spec.tolerance * UM_PER_MM:g}"
    )


def _none(feature: Feature, *, spec: EdgeSpec, shop: Shop) -> Problem:
    key = f"feature {spec.name!r}"
    cutters = _cutters(spec, shop=shop)
    room = feature.beside - feature.top
    if spec.radius is not None:
        if not cutters:
            return Problem(message="no ball on the shelf rounds it", key=f"{key}: radius_mm", accepted="a ball cutter")
        least = min(cutters, key=lambda one: (one.diameter, one.name))
        message = (
            f"the smallest ball, {least.name}, does not get round it: beside it the floor is {room:.3f} mm below the "
            "edge, or the room too narrow"
        )
        accepted = "a smaller ball, a smaller radius_mm, or more room beside the edge"
        return Problem(message=message, key=f"{key}: radius_mm", accepted=accepted)
    point = 180.0 - 2.0 * deg_from_rad(spec.angle)
    if not cutters:
        message = f"no cutter on the shelf has a side that falls by {deg_from_rad(spec.angle):g} degrees"
        accepted = f"a spotting drill or an engraving cutter with a point of {point:g} degrees, or another angle_deg"
        return Problem(message=message, key=f"{key}: angle_deg", accepted=accepted)
    widest = cutters[0]
    message = (
        f"a chamfer {spec.across:g} mm wide and {feature.bottom - feature.top:.3f} mm deep is more than {widest.name} "
        f"cuts here: it is {widest.diameter:g} mm wide, and beside the edge the room is narrow or {room:.3f} mm deep"
    )
    return Problem(message=message, key=f"{key}: chamfer_mm", accepted="a smaller chamfer_mm, or a wider cutter")


def _operation(feature: Feature, *, way: _Way) -> Operation:
    spec = feature.spec
    assert isinstance(spec, EdgeSpec)
    levels = tuple(
        Level(z=rung.z, pieces=(barred,) if barred else (), grow=grown(spec, away=rung.away))
        for rung, barred in zip(way.rungs, way.barred, strict=True)
    )
    around = sum(clipper.perimeter(areas.of_regions((region,))) for region in feature.regions)
    return Operation(
        feature=feature,
        purpose=Purpose.EDGE,
        part=Part.EDGE,
        cutter=way.cutter,
        data=way.data,
        levels=tuple(rung.z for rung in way.rungs),
        stay=0.0,
        reasons=(why("cutter", way.sentence), *way.data.reasons),
        by_level=levels,
        expected=around * len(levels) / way.data.feed * S_PER_MIN,
    )


def grown(spec: EdgeSpec, *, away: Mm) -> Mm:
    """How far the path lies outside the drawn regions that runs ``away`` from them in the open."""
    return away if spec.side == "inside" else -away


def path_rings(feature: Feature, *, grow: Mm) -> Area:
    """The contours that the tool's middle follows, ``grow`` outside the drawn ones."""
    return clipper.offset(areas.of_regions(feature.regions), by=grow)


def _walked(
    feature: Feature, *, rung: Rung, barred: Area
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], ...]:
    """The lines that the tool's middle follows."""
    spec = feature.spec
    assert isinstance(spec, EdgeSpec)
    rings = path_rings(feature, grow=grown(spec, away=rung.away))
    closed = [np.vstack((ring, ring[:1])) for ring in rings]
    return clipper.cut_lines(closed, area=barred, inside=False)


@lru_cache(maxsize=512)
def _gone(feature: Feature, depth: Mm) -> Area:
    """What a feature removes at a depth, asked again for each cutter."""
    return areas.of_section(may(feature, z=-depth))


def _barred(feature: Feature, *, rung: Rung, cutter: Cutter, features: Sequence[Feature], plate: Plate) -> Area:
    """Near the contour, where the tool's middle may not be with its tip at a rung's height: at some height the cutter
    would meet what must stay."""
    tip = -rung.z
    widest = float(radius_at(cutter, height=min(tip, cutter.flute_length)))
    rings = [ring for ring in areas.of_regions(feature.regions) if len(ring)]
    near = clipper.around(rings, by=abs(rung.away) + widest + _BERTH, closed=True)
    stock = clipper.intersection(near, with_=areas.standing(plate, z=-feature.bottom))
    others = [one for one in features if not isinstance(one.spec, MarkSpec | EdgeSpec)]
    breaks = {0.0, tip, *(min(max(-z, 0.0), tip) for one in (feature, *others) for z in heights(one))}
    found: list[Area] = []
    for upper, lower in pairwise(sorted(breaks)):
        if lower - upper < 2.0 * _JUST:
            continue
        for depth, height in ((upper + _JUST, tip - upper), (lower - _JUST, tip - lower)):
            gone = [_gone(one, depth) for one in (feature, *others)]
            solid = clipper.difference(stock, less=clipper.union([one for one in gone if one]))
            by = float(radius_at(cutter, height=min(max(height, 0.0), cutter.flute_length))) - _SLACK
            if solid:
                found.append(clipper.offset(solid, by=by) if by > tolerance.SAME_POINT else solid)
    return clipper.union(found) if found else ()
