"""Where the bridges stand that hold a part while it is cut out.

A bridge is a rectangle across the kerf.  It is spread evenly with its fellows along its contour, away from corners
and tight arcs, and it lands on material that stays in the plate.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec
from camplan.findings import Finding, Severity
from camplan.geometry import planar
from camplan.geometry.along import at_length, direction
from camplan.geometry.chains import Chain, Points, arcs, chain, ends, segment_lengths
from camplan.regions import Region
from camplan.units import Mm, Rad

LANDING: Mm = 1.0
"""How far beyond the kerf a bridge reaches into the material that holds it."""
_CHORD: Mm = 0.01
_ROOT: Mm = 0.05
_STATIONS = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class _Calm:
    """A contour is calm at a place if it turns by at most ``turn`` in all within ``reach`` of it either way."""

    reach: Mm
    turn: Rad


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stations:
    """Places at equal steps along a closed contour: points (n, 2), directions (n, 2), lengths (n,)."""

    points: Points
    along: Points
    lengths: NDArray[np.float64]
    total: Mm


def bridges(feature: Feature, *, kerf: Mm) -> tuple[Region, ...]:
    """The bridges of a through outline that is held by them, for a kerf of that width; none for any other feature."""
    spec = feature.spec
    if not isinstance(spec, OutlineSpec) or not feature.through or spec.hold != "bridges":
        return ()
    across = spec.allowance + kerf
    found: list[Region] = []
    for path in held_contours(feature, spec=spec, across=across):
        found.extend(_on_contour(path, feature=feature, spec=spec, across=across))
    return tuple(found)


def held_contours(feature: Feature, *, spec: OutlineSpec, across: Mm) -> tuple[Chain, ...]:
    """The contours along which a kerf that reaches ``across`` from its wall parts one piece from another; a window
    that the kerf takes whole leaves no piece to hold."""
    found: list[Chain] = []
    for region in feature.regions:
        if spec.side == "inside":
            left = not planar.polygon(region, chord=_CHORD).buffer(-across).is_empty
            found.extend((region.outer, *region.islands) if left else ())
            continue
        found.append(region.outer)
        found.extend(path for path in region.islands if not planar.filled(path, chord=_CHORD).buffer(-across).is_empty)
    return tuple(found)


def bridge_findings(feature: Feature) -> tuple[Finding, ...]:
    """What is said of an outline with its kerf, if it has fewer bridges than were asked for."""
    spec = feature.spec
    if not isinstance(spec, OutlineSpec) or not feature.through or spec.hold != "bridges" or feature.kerf is None:
        return ()
    wanted = spec.bridges * len(held_contours(feature, spec=spec, across=spec.allowance + feature.kerf))
    if len(feature.bridges) >= wanted:
        return ()
    message = (
        f'outline "{spec.name}" has room for {len(feature.bridges)} of {wanted} bridges ({spec.bridges} a contour, '
        f"{spec.bridge_width:g} mm wide): elsewhere the contour is too short, too bent, or too near the plate's edge "
        "or another cut; hold the part by other means, or ask for fewer or narrower bridges"
    )
    severity = Severity.CAUTION if feature.bridges else Severity.UNMET
    return (Finding(severity=severity, code="bridges-missing", message=message, where=spec.name),)


def _on_contour(path: Chain, *, feature: Feature, spec: OutlineSpec, across: Mm) -> list[Region]:
    stations = _stations(path, count=spec.bridges * _STATIONS)
    half = spec.bridge_width / 2.0
    stages = (
        _Calm(reach=half + stations.total / (4.0 * spec.bridges), turn=math.radians(20.0)),
        _Calm(reach=half + across, turn=math.radians(30.0)),
        _Calm(reach=half + across / 2.0, turn=math.radians(50.0)),
        _Calm(reach=half, turn=math.radians(60.0)),
        _Calm(reach=half, turn=math.inf),  # on a bend rather than none
    )
    apart = math.ceil((spec.bridge_width + across) / stations.total * len(stations.points))
    lands = _landing(stations, feature=feature, spec=spec, across=across, path=path)
    best: list[int] = []
    for stage in stages:
        places = _spread(lands & _calm(path, stations=stations, calm=stage), count=spec.bridges, apart=apart)
        best = places if len(places) > len(best) else best
        if len(best) == spec.bridges:
            break
    return [_rectangle(stations, at=at, path=path, spec=spec, across=across) for at in best]


def _stations(path: Chain, *, count: int) -> _Stations:
    total = float(segment_lengths(path).sum())
    lengths = np.arange(count, dtype=np.float64) * (total / count)
    places = [at_length(path, length=float(length)) for length in lengths]
    return _Stations(
        points=np.array([place.point for place in places]),
        along=np.array([direction(path, place=place) for place in places]),
        lengths=lengths,
        total=total,
    )


def _calm(path: Chain, *, stations: _Stations, calm: _Calm) -> NDArray[np.bool_]:
    """Where the contour turns little enough: corners count by their angle, arcs by what of them is within reach."""
    if 2.0 * calm.reach >= stations.total:
        return np.zeros(len(stations.points), dtype=np.bool_)
    start, end = ends(path)
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    sweep = 4.0 * np.arctan(path.bulges)
    joint = (heading - sweep / 2.0) - np.roll(heading + sweep / 2.0, 1)
    joint = np.abs((joint + math.pi) % (2.0 * math.pi) - math.pi)
    sizes = segment_lengths(path)
    at = np.concatenate(([0.0], np.cumsum(sizes)))
    turned = np.cumsum(np.column_stack((joint, np.abs(sweep))).ravel())
    once = float(turned[-1])
    where = np.concatenate([at[[0]], np.repeat(at[1:-1], 2), at[[-1]]])
    round_thrice = np.concatenate([where + lap * stations.total for lap in (-1, 0, 1)])
    turned_thrice = np.concatenate([turned + lap * once for lap in (-1, 0, 1)])
    ahead = np.interp(stations.lengths + calm.reach, round_thrice, turned_thrice)
    behind = np.interp(stations.lengths - calm.reach, round_thrice, turned_thrice)
    return np.asarray(ahead - behind <= calm.turn)


def _landing(stations: _Stations, *, feature: Feature, spec: OutlineSpec, across: Mm, path: Chain) -> NDArray[np.bool_]:
    """Where the far end of a bridge stands whole in material that this outline does not cut."""
    parts = [planar.polygon(region, chord=_CHORD) for region in feature.regions]
    if spec.side == "outside":
        barred = [part.buffer(across - 2.0 * _CHORD) for part in parts]
        barred += [planar.polygon(region, chord=_CHORD) for region in feature.neighbours]
        rooms = [planar.polygon(feature.stock, chord=_CHORD)] if feature.stock is not None else []
    else:
        barred = []
        rooms = [part.buffer(-(across - 2.0 * _CHORD)) for part in parts]
    found = np.zeros(len(stations.points), dtype=np.bool_)
    for at in range(len(found)):
        bend = _bend(path, stations=stations, at=at, spec=spec, across=across)
        foot = _box(stations, at=at, spec=spec, near=across + bend, far=across + bend + LANDING)
        shape = planar.filled(foot, chord=_CHORD)
        found[at] = _held(shape, rooms=rooms, barred=barred)
    return found


def _held(shape: Any, *, rooms: list[Any], barred: list[Any]) -> bool:
    inside = not rooms or any(room.contains(shape) for room in rooms)
    return inside and not any(other.intersects(shape) for other in barred)


def _spread(fits: NDArray[np.bool_], *, count: int, apart: int) -> list[int]:
    """Stations, as evenly spread as those that fit allow: for each phase the nearest free fit to each even place."""
    total = len(fits)
    step = total // count
    good = np.flatnonzero(fits)
    best: list[int] = []
    best_cost = math.inf
    for phase in range(step if len(good) else 0):
        chosen: list[int] = []
        cost = 0.0
        for even in range(phase, phase + step * count, step):
            free = good
            for other in chosen:
                free = free[_round(free - other, total=total) >= apart]
            if len(free):
                off = _round(free - even, total=total)
                near = int(np.argmin(off))
                chosen.append(int(free[near]))
                cost += float(off[near]) ** 2
        if len(chosen) > len(best) or (len(chosen) == len(best) and cost < best_cost):
            best, best_cost = chosen, cost
    return sorted(best)


def _round(steps: NDArray[np.int64], *, total: int) -> NDArray[np.int64]:
    """How far apart stations are, the shorter way round."""
    ahead = np.mod(steps, total)
    return np.asarray(np.minimum(ahead, total - ahead))


def _rectangle(stations: _Stations, *, at: int, path: Chain, spec: OutlineSpec, across: Mm) -> Region:
    """From a little inside the part, where a bent wall may lie, to beyond the kerf."""
    bend = _bend(path, stations=stations, at=at, spec=spec, across=across)
    root = _ROOT + spec.bridge_height * math.tan(spec.draft)
    return Region(outer=_box(stations, at=at, spec=spec, near=-(bend + root), far=across + bend + LANDING))


def _bend(path: Chain, *, stations: _Stations, at: int, spec: OutlineSpec, across: Mm) -> Mm:
    """How far the edges of the kerf may leave their tangents over half a bridge's width."""
    half = spec.bridge_width / 2.0
    segment = at_length(path, length=float(stations.lengths[at])).segment
    bulge = float(path.bulges[segment])
    if bulge == 0.0:  # a short chord of a bent contour, at the worst
        return half / 2.0
    bends_to_waste = (bulge < 0.0) == (spec.side == "outside")
    radius = float(arcs(path).radii[segment]) - (across + LANDING if bends_to_waste else 0.0)
    return radius - math.sqrt(radius**2 - half**2) if radius > half else half


def _box(stations: _Stations, *, at: int, spec: OutlineSpec, near: Mm, far: Mm) -> Chain:
    """A rectangle as wide as a bridge from ``near`` to ``far`` across the kerf, counter-clockwise."""
    along = stations.along[at]
    waste = np.array([along[1], -along[0]])  # to the right of a counter-clockwise outer contour: away from the part
    if spec.side == "inside":
        waste = -waste
    half = spec.bridge_width / 2.0 * along
    corners = np.array([waste * near - half, waste * far - half, waste * far + half, waste * near + half])
    points = stations.points[at] + corners
    turns = waste[0] * along[1] - waste[1] * along[0]
    return chain(points if turns > 0.0 else points[::-1], closed=True)
