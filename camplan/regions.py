"""Regions: a closed outer chain and the islands that stand in it.

Takes closed chains, gives regions with outer chains counter-clockwise and islands clockwise, and
findings for what cannot be a region.  Never knows what a region will be used for.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from camplan.errors import Problem
from camplan.findings import Finding, Severity
from camplan.geometry import chains, planar
from camplan.geometry.chains import Chain, arcs, backwards, ends, shifted, signed_area
from camplan.geometry.places import listed, place
from camplan.units import Mm, Mm2

TOUCH: Mm = 0.005
"""Chains closer than this touch; they cross if they are deeper in each other than this."""

_CHORD: Mm = 0.001
_SMOOTH = math.radians(0.5)
_FACET = math.radians(10.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Region:
    """An outer chain, counter-clockwise, and islands, clockwise, all closed and not crossing."""

    outer: Chain
    islands: tuple[Chain, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nested:
    """Regions, in the order of their outer chains; ``problems`` name chains that cross and are in no region."""

    regions: tuple[Region, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InnerCorner:
    """The tightest place that a cutter inside a region must follow: 0.0 for a sharp corner."""

    radius: Mm
    at: tuple[Mm, Mm]


def regions_of(closed: Sequence[Chain], *, layer: str) -> Nested:
    """Closed chains nested by who contains whom: an outer, islands in it, regions in these islands, and so on."""
    problems: list[Problem] = []
    findings: list[Finding] = []

    def refuse(message: str) -> None:
        accepted = "contours that cross neither themselves nor each other"
        problems.append(Problem(message=f'layer "{layer}": {message}', accepted=accepted))

    def say(code: str, message: str) -> None:
        message = f'layer "{layer}": {message}'
        findings.append(Finding(severity=Severity.CAUTION, code=code, message=message, where=layer))

    paths = tuple(closed)
    figures = _figures(paths)
    thin = shapely.area(figures.filled) <= TOUCH * shapely.length(figures.lines) / 2.0
    simple = shapely.is_simple(figures.lines)
    crossed: set[int] = set()
    left_out: set[int] = set()
    for index in np.flatnonzero(thin | ~simple).tolist():
        met = _meets_itself(figures, index=index)
        if met.crosses:
            refuse(f"a contour crosses itself at {listed(met.places)}")
            crossed.add(index)
        elif thin[index]:
            say("no-area", f"the contour at {place(paths[index].points[0])} encloses no area and is left out")
            left_out.add(index)
        elif met.places:
            say("contour-touches", f"a contour touches itself at {listed(met.places)}")
    unfit = crossed | left_out
    for one, other in _near_pairs(figures):
        if {one, other} & unfit or {one, other} & left_out:
            continue
        met = _meeting(figures, one=one, other=other)
        if met.same:
            say("duplicate", f"two contours are the same at {listed(met.places)}; one is left out")
            left_out.add(other)
        elif met.crosses:
            refuse(f"contours cross at {listed(met.places)}")
            crossed |= {one, other}
        else:
            say("contour-touches", f"contours touch at {listed(met.places)}")
    kept = [index for index in range(len(paths)) if index not in crossed | left_out]
    regions = _nested([paths[index] for index in kept], filled=figures.filled[kept])
    return Nested(regions=regions, problems=tuple(problems), findings=tuple(findings))


def moved(region: Region, *, by: tuple[Mm, Mm]) -> Region:
    """The region moved by (dx, dy)."""
    return Region(
        outer=shifted(region.outer, by=by), islands=tuple(shifted(island, by=by) for island in region.islands)
    )


def bounds(region: Region) -> tuple[Mm, Mm, Mm, Mm]:
    """x0, y0, x1, y1."""
    return chains.bounds(region.outer)


def area(region: Region) -> Mm2:
    """The area of the region, its arcs taken exactly."""
    return signed_area(region.outer) + sum(signed_area(island) for island in region.islands)


def smallest_inner_radius(region: Region) -> InnerCorner | None:
    """The tightest corner or arc that a cutter inside the region must follow; None if all turns are the other way.

    Joints within 0.5 degrees of smooth are no corners.  Corners of at most 10 degrees in a row are chords of
    a drawn curve, and count with the radius of the circle through each and its neighbours.
    """
    return min(inner_corners(region), key=lambda corner: (corner.radius, corner.at), default=None)


def inner_corners(region: Region) -> tuple[InnerCorner, ...]:
    """All corners and arcs that a cutter inside the region must follow, as in `smallest_inner_radius`."""
    return tuple(corner for path in (region.outer, *region.islands) for corner in _followed(path))


def _followed(path: Chain) -> list[InnerCorner]:
    """Of one chain, the region to its left."""
    start, end = ends(path)
    chord = end - start
    heading, half = np.arctan2(chord[:, 1], chord[:, 0]), 2.0 * np.arctan(path.bulges)
    # turn[k] is at the start of segment k
    turn = _wrapped((heading - half) - np.roll(heading + half, 1))
    turn = np.where(np.abs(turn) > math.pi - _SMOOTH, math.pi, turn)
    radius = np.where(turn > _SMOOTH, 0.0, np.inf)
    straight = path.bulges == 0.0
    gentle = (turn > _SMOOTH) & (turn <= _FACET) & straight & np.roll(straight, 1)
    beside = np.roll(gentle, 1) | np.roll(gentle, -1)
    facet = gentle & beside & (np.maximum(np.abs(np.roll(turn, 1)), np.abs(np.roll(turn, -1))) <= _FACET)
    if facet.any():
        across = np.hypot(*(np.roll(start, -1, axis=0) - np.roll(start, 1, axis=0)).T)
        radius[facet] = across[facet] / (2.0 * np.sin(turn[facet]))
    curved = np.flatnonzero(path.bulges > 0.0)
    tops = (start + end) / 2.0 + path.bulges[:, None] / 2.0 * np.column_stack((chord[:, 1], -chord[:, 0]))
    radii = np.concatenate((radius, arcs(path).radii[curved]))
    places = np.vstack((start, tops[curved]))
    return [
        InnerCorner(radius=float(radii[place]), at=(float(places[place, 0]), float(places[place, 1])))
        for place in np.flatnonzero(np.isfinite(radii)).tolist()
    ]


def _wrapped(angle: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.mod(angle + math.pi, 2.0 * math.pi) - math.pi)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Met:
    places: tuple[tuple[Mm, Mm], ...] = ()
    crosses: bool = False
    same: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Figures:
    """Chains as lines and as what they enclose, at a chord."""

    lines: NDArray[np.object_]
    filled: NDArray[np.object_]


def _figures(paths: Sequence[Chain]) -> _Figures:
    lines = np.empty(len(paths), dtype=object)
    lines[:] = [planar.line(path, chord=_CHORD) for path in paths]
    filled = np.empty(len(paths), dtype=object)
    filled[:] = [planar.bounded(line) for line in lines]
    return _Figures(lines=lines, filled=filled)


def _meets_itself(figures: _Figures, *, index: int) -> _Met:
    """Where a chain touches or crosses itself.

    What it encloses falls into faces.  A contour that only touches itself goes round all of them the same way,
    once; faces thinner than `TOUCH` come from chords and say nothing.
    """
    line = figures.lines[index]
    faces = [face for face in planar.faces([line]) if not face.buffer(-TOUCH / 2.0).is_empty]
    turns = {turn for turn in (_winding(line, at=face.representative_point()) for face in faces) if turn}
    places = tuple(planar.crossing_places([line]))
    if len(turns) <= 1 and turns <= {1, -1}:
        return _Met(places=places if len(faces) > 1 else ())
    return _Met(places=places, crosses=True)


def _winding(line: shapely.LineString, *, at: shapely.Point) -> int:
    """How often a closed line goes round a point, counter-clockwise."""
    arm = shapely.get_coordinates(line) - np.array([at.x, at.y])
    here, ahead = arm[:-1], arm[1:]
    turn = np.arctan2(here[:, 0] * ahead[:, 1] - here[:, 1] * ahead[:, 0], np.sum(here * ahead, axis=1))
    return round(float(turn.sum()) / (2.0 * math.pi))


def _near_pairs(figures: _Figures) -> list[tuple[int, int]]:
    if len(figures.lines) < 2:
        return []
    tree = shapely.STRtree(figures.lines)
    pairs = tree.query(figures.lines, predicate="dwithin", distance=TOUCH).T
    return sorted((int(one), int(other)) for one, other in pairs if one < other)


def _meeting(figures: _Figures, *, one: int, other: int) -> _Met:
    """How two chains that come within `TOUCH` meet."""
    line, shape = figures.lines[other], figures.filled[one]
    if not shape.is_valid:
        shape = shapely.make_valid(shape)
    within = bool(shapely.intersects(line, shape.buffer(-TOUCH)))
    beyond = bool(shapely.difference(line, shape.buffer(TOUCH)).length > 0.0)
    shared = shapely.intersection(figures.lines[one], line)
    if shared.is_empty:
        shared = shapely.get_point(shapely.shortest_line(figures.lines[one], line), 0)
    at = shapely.get_coordinates(
        [part if part.geom_type == "Point" else part.interpolate(0.0) for part in _parts(shared)]
    )
    places = tuple(sorted((float(x), float(y)) for x, y in at))
    return _Met(places=places, crosses=within and beyond, same=_same(figures, one=one, other=other))


def _same(figures: _Figures, *, one: int, other: int) -> bool:
    a, b = figures.filled[one], figures.filled[other]
    if abs(a.area - b.area) > TOUCH * a.length:
        return False
    return bool(shapely.hausdorff_distance(figures.lines[one], figures.lines[other]) <= TOUCH)


def _parts(shape: shapely.Geometry) -> list[shapely.Geometry]:
    return [
        part for part in shapely.get_parts(shapely.line_merge(shape) if shape.length else shape) if not part.is_empty
    ]


def _nested(paths: Sequence[Chain], *, filled: NDArray[np.object_]) -> tuple[Region, ...]:
    if not paths:
        return ()
    sizes = np.array([abs(signed_area(path)) for path in paths])
    inner = shapely.point_on_surface(filled)
    shapely.prepare(filled)
    inside, around = shapely.STRtree(filled).query(inner)
    holds = (sizes[around] > sizes[inside]) & shapely.contains(filled[around], inner[inside])
    depth = np.bincount(inside[holds], minlength=len(paths))
    parent = np.full(len(paths), -1)
    # the smallest that holds a chain is assigned last
    order = np.argsort(-sizes[around[holds]], kind="stable")
    parent[inside[holds][order]] = around[holds][order]
    islands: dict[int, list[Chain]] = {}
    for index in np.flatnonzero(depth % 2 == 1).tolist():
        islands.setdefault(int(parent[index]), []).append(_turning(paths[index], left=False))
    return tuple(
        Region(outer=_turning(paths[index], left=True), islands=tuple(islands.get(index, ())))
        for index in np.flatnonzero(depth % 2 == 0).tolist()
    )


def _turning(path: Chain, *, left: bool) -> Chain:
    return path if (signed_area(path) > 0.0) == left else backwards(path)
