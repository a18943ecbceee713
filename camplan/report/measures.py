"""What to measure on the finished plate, and the value to expect.

Expected values are the drawn sizes with draft and the allowance that is left on purpose; nothing here is a result.
"""

import itertools
import math
from collections import Counter
from dataclasses import dataclass
from typing import assert_never

from camplan.features.leaning import stands_out
from camplan.features.records import Feature, Plate
from camplan.features.sections import must
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import Chain, bounds
from camplan.report.words import counted, figure, place
from camplan.units import UM_PER_MM, Mm, deg_from_rad

_MOST_SPOTS = 8
"""Places of a falling floor at which its depth is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One reading: of which feature, what, the value to expect in mm, and a remark."""

    feature: str
    what: str
    expected: str
    remark: str = ""


def measures(feature: Feature, *, plate: Plate) -> tuple[Measure, ...]:
    """The readings that say whether a feature came out."""
    match feature.spec:
        case PocketSpec():
            return (*_pocket(feature, feature.spec), *_depth(feature))
        case OutlineSpec():
            return (*_outline(feature, feature.spec), *_depth(feature))
        case HoleSpec():
            return (*_holes(feature), *_depth(feature))
        case GrooveSpec():
            return groove_measures(feature, feature.spec)
        case MarkSpec(name=name, width=width):
            line = (Measure(feature=name, what="line width", expected=figure(width)),) if width is not None else ()
            return (*line, *_depth(feature))
        case FaceSpec(name=name):
            return (
                Measure(
                    feature=name,
                    what="plate thickness",
                    expected=figure(plate.thickness - feature.bottom, places=3),
                    remark="where it was skimmed",
                ),
            )
        case EdgeSpec():
            return _edge(feature, feature.spec)
        case _:
            assert_never(feature.spec)


def groove_measures(feature: Feature, spec: GrooveSpec) -> tuple[Measure, ...]:
    """A groove's width and depth; of a floor that falls the depth at places of its lines."""
    name = spec.name
    if feature.widening:
        ends = [
            Measure(feature=name, what="width", expected=figure(2.0 * radius, places=3), remark=f"at {place((x, y))}")
            for beads in feature.widening[: _MOST_SPOTS // 2]
            for (x, y), radius in zip(beads.points[0][[0, -1]].tolist(), beads.radii[0][[0, -1]].tolist(), strict=True)
        ]
        return (*ends, *_depth(feature))
    if not feature.slopes:
        return (Measure(feature=name, what="width", expected=figure(spec.width, places=3)), *_depth(feature))
    where = "where its floor is deepest: the width follows the depth" if spec.section != "square" else ""
    found = [
        Measure(feature=name, what="width at the top", expected=figure(spec.width, places=3), remark=where)
        if spec.section == "trapezoid"
        else Measure(feature=name, what="width", expected=figure(spec.width, places=3))
    ]
    spots = {
        (round(float(x), 3) + 0.0, round(float(y), 3) + 0.0): float(depth)
        for slope in feature.slopes
        for (x, y), depth in zip(slope.path.points[[0, -1]], slope.depths[[0, -1]], strict=True)
    }
    shown = sorted(spots.items(), key=lambda spot: (-round(spot[1], 6), spot[0]))
    few = shown if len(shown) <= _MOST_SPOTS else [*shown[: _MOST_SPOTS - 1], shown[-1]]
    found += [
        Measure(
            feature=name,
            what="depth",
            expected=figure(depth, places=3),
            remark=f"at {place(spot)}, from the plate's top; it falls evenly between",
        )
        for spot, depth in few
    ]
    return tuple(found)


def _pocket(feature: Feature, spec: PocketSpec) -> list[Measure]:
    found: list[Measure] = []
    heights = [("at the top", feature.top), ("at the floor", feature.bottom)] if spec.draft else [("", feature.top)]
    for where, depth in heights:
        outward = must(feature, z=-depth).grow
        outer = [_size(region.outer) for region in feature.regions]
        inner = [_size(island) for region in feature.regions for island in region.islands]
        found += _across("across", outer, grow=outward, where=where, feature=feature, allowance=spec.allowance)
        found += _across("island across", inner, grow=-outward, where=where, feature=feature, allowance=spec.allowance)
    return found


def _outline(feature: Feature, spec: OutlineSpec) -> list[Measure]:
    sign = 1.0 if spec.side == "outside" else -1.0
    sizes = [_size(region.outer) for region in feature.regions]
    what = "part across" if spec.side == "outside" else "opening across"
    heights = [("at the top", feature.top), ("at the foot", feature.bottom)] if spec.draft else [("", feature.top)]
    found: list[Measure] = []
    for where, depth in heights:
        grow = sign * (stands_out(feature, spec=spec, depth=depth) + spec.allowance)
        found += _across(what, sizes, grow=grow, where=where, feature=feature, allowance=spec.allowance)
    return found


def _edge(feature: Feature, spec: EdgeSpec) -> tuple[Measure, ...]:
    name = spec.name
    if spec.radius is not None:
        remark = f"by a gauge; cusps of up to {figure(spec.tolerance * UM_PER_MM)} um stand on it"
        return (Measure(feature=name, what="radius", expected=figure(spec.radius, places=3), remark=remark),)
    slope = figure(spec.across / math.cos(spec.angle), places=3)
    remark = f"seen from above; {slope} along its slope of {figure(deg_from_rad(spec.angle))} degrees"
    depth = f"where it ends in the wall; it begins at {figure(feature.top, places=3)}"
    return (
        Measure(feature=name, what="width", expected=figure(spec.across, places=3), remark=remark),
        Measure(feature=name, what="depth", expected=figure(feature.bottom, places=3), remark=depth),
    )


def _across(
    what: str, sizes: list[tuple[Mm, Mm]], *, grow: Mm, where: str, feature: Feature, allowance: Mm
) -> list[Measure]:
    found: list[Measure] = []
    for (wide, high), count in Counter(sizes).items():
        remarks = [where, f"{count} of them" if count > 1 else ""]
        if allowance:
            remarks.append(f"with {figure(allowance, places=3)} left a side")
        if feature.open_edges and not what.startswith("island"):
            remarks.append("open at the plate's edge: only where two walls face")
        remark = "; ".join(item for item in remarks if item)
        name = feature.spec.name
        for axis, size in (("X", wide), ("Y", high)):
            expected = figure(size + 2.0 * grow, places=3)
            found.append(Measure(feature=name, what=f"{what} {axis}, widest", expected=expected, remark=remark))
    return found


def _holes(feature: Feature) -> list[Measure]:
    name = feature.spec.name
    heads = dict(feature.sunk)
    gauges = {round(gauge.aim, 3): f"; {gauge.words}" for gauge in feature.gauges}
    holes = tuple(circle for circle in feature.circles if circle[2] not in heads)
    sizes = Counter(round(diameter, 3) for _, _, diameter in holes)
    found = [
        Measure(
            feature=name,
            what="diameter",
            expected=figure(size, places=3),
            remark=f"{counted(count, 'hole')}{gauges.get(size, '')}",
        )
        for size, count in sorted(sizes.items())
    ]
    for diameter, depth in heads.items():
        found.append(Measure(feature=name, what="head's bore", expected=figure(diameter, places=3)))
        deep = figure(depth, places=3)
        found.append(
            Measure(feature=name, what="depth of the head's bore", expected=deep, remark="from the plate's top")
        )
    if feature.mouth is not None:
        found.append(Measure(feature=name, what="chamfer across", expected=figure(feature.mouth.diameter)))
    if len(set(holes)) > 1:
        (ax, ay, ad), (bx, by, bd) = _farthest(holes)
        apart, reach = math.hypot(bx - ax, by - ay), (ad + bd) / 2.0
        found.append(
            Measure(
                feature=name,
                what="between centres",
                expected=figure(apart, places=3),
                remark=f"{place((ax, ay))} to {place((bx, by))}; {figure(apart - reach, places=3)} between the near "
                f"edges, {figure(apart + reach, places=3)} over the far ones",
            )
        )
    return found


def _farthest(circles: tuple[tuple[Mm, Mm, Mm], ...]) -> tuple[tuple[Mm, Mm, Mm], tuple[Mm, Mm, Mm]]:
    """The two circles to measure between: far apart, found from the outermost few so that hundreds stay quick."""
    outermost: list[tuple[Mm, Mm, Mm]] = []
    for dx, dy in ((1, 0), (0, 1), (1, 1), (1, -1)):
        ordered = sorted(circles, key=lambda item, dx=dx, dy=dy: (item[0] * dx + item[1] * dy, item))  # type: ignore[misc]
        outermost += [ordered[0], ordered[-1]]
    pairs = itertools.combinations(dict.fromkeys(outermost), 2)
    return max(pairs, key=lambda pair: math.hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]))


def _depth(feature: Feature) -> list[Measure]:
    if feature.through:
        return [Measure(feature=feature.spec.name, what="depth", expected="through", remark="look from below")]
    if feature.incline is not None:
        ends = ((feature.incline.start, feature.incline.first), (feature.incline.end, feature.incline.last))
        return [
            Measure(
                feature=feature.spec.name,
                what="depth",
                expected=figure(depth, places=3),
                remark=f"at {place(at)}, from the plate's top; it falls evenly between and is level beyond",
            )
            for at, depth in ends
        ]
    remark = "from the plate's top"
    if feature.top:
        remark += f"; {figure(feature.bottom - feature.top, places=3)} from where it starts"
    return [Measure(feature=feature.spec.name, what="depth", expected=figure(feature.bottom, places=3), remark=remark)]


def _size(path: Chain) -> tuple[Mm, Mm]:
    x0, y0, x1, y1 = bounds(path)
    return round(x1 - x0, 4), round(y1 - y0, 4)
