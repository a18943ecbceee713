"""Fronts: how the ground that a cutter has cleared grows, so that its edge never meets more than a given arc.

All areas here are those that the tool's centre may occupy: the cutter's disc about any place of `Front.area` lies in
cleared ground.  A disc pushed out of it by ``a`` along the normal meets a cap of material; the cap reaches no farther
than an angle to either side of the normal while the edge's points at that angle still lie in cleared ground, that is,
no farther than the radius from the area before.  The largest such ``a`` at every place of the edge is the next front.
On a straight edge it is the step-over; round a bend of radius d of the centre's path it is about d / (d + radius) of
it, so that the edge's arc is the same there, and fronts become smooth by themselves.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area
from camplan.units import Mm, Mm2, Rad

SHARPEST: Mm = 0.015
"""Inner corners of the tool centre's area are rounded to this radius in the end: a square one stays 6 um short."""
_STILL: Mm = 0.004
"""Nearer than this to the wall a front has arrived."""
_TOUCH: Mm = 0.003
"""Less than this before the ground cleared is no cut."""
_FINE = 30.0
"""Samples of an edge in the cutter's radius: distances of about a radius are then right to r / 7200."""
_FAN: Rad = math.radians(8.0)
_TURNS = 5
_SMOOTH = 12
_LONGEST = 1.25
"""Round the outside of an island a front may go farther than a step-over by this."""
_SHORT: Mm = 0.02
_GAIN: Mm2 = 2e-5
_GAP = 2.0
"""Cuts along one front are made one if no more radii of it lie between them."""
_BEND = 0.75
"""The bends of most fronts over the radius: the larger, the less is met where a front leaves a wall, and the slower
fronts come forward along walls."""
_FINER = 0.8
_ROOM = 1.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Growth:
    """Ground to be cleared from ``begun`` to ``work`` by a cutter of ``radius``, with at most ``angle`` of its edge's
    leading half in material on a smooth front; the first fronts have bends of radius ``bend``."""

    work: Area
    begun: Area
    radius: Mm
    angle: Rad
    bend: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Front:
    """One front: the ``area`` when it is cut, and the ``cuts`` along its edge that meet material, area to the left;
    a closed one ends where it begins.  ``bend`` is the smallest radius of the front's convex bends."""

    area: Area
    cuts: tuple[Points, ...]
    bend: Mm


def fronts(growth: Growth) -> Iterator[Front]:
    """The fronts in order until nothing is left."""
    area = growth.begun
    for stage in _stages(growth):
        limit = clipper.offset(stage.target, by=-_STILL)
        wall = _Wall.of(stage.target, every=growth.radius / _FINE)
        while True:
            found = _advanced(area, stage=stage, limit=limit, wall=wall, growth=growth)
            if found is None:
                break
            yield found
            area = found.area
            if stage.room is not None and clipper.offset(area, by=-stage.room, chord=0.02):
                break


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stage:
    """Growth towards a ``target`` until it is reached, or until a disc of radius ``room`` fits into the area; convex
    bends of fronts are no sharper than ``bend``."""

    target: Area
    bend: Mm
    room: Mm | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Wall:
    """Places of a target's edge and the direction of the edge at each."""

    tree: "cKDTree[None]"
    along: Points

    @staticmethod
    def of(target: Area, *, every: Mm) -> "_Wall":
        places = [_densified(np.vstack((ring, ring[:1])), every=every) for ring in target]
        steps = [np.diff(line, axis=0) for line in places]
        along = np.vstack(steps)
        size = np.maximum(np.hypot(*along.T), 1e-9)[:, None]
        return _Wall(tree=cKDTree(np.vstack([line[:-1] for line in places])), along=along / size)


def _stages(growth: Growth) -> Iterator[_Stage]:
    """Small bends first, until wide ones have room; then ever smaller ones into the corners."""
    bend = growth.bend
    wide = _BEND * growth.radius
    while wide > bend and not clipper.offset(growth.work, by=-_ROOM * wide):
        wide = max(wide * _FINER, bend)
    if wide > bend:
        yield _Stage(target=clipper.opened(growth.work, radius=bend), bend=bend, room=_ROOM * wide)
        bend = wide
    while True:
        yield _Stage(target=clipper.opened(growth.work, radius=bend), bend=bend, room=None)
        if bend <= SHARPEST:
            return
        bend = max(bend * _FINER, SHARPEST)


def _advanced(area: Area, *, stage: _Stage, limit: Area, wall: _Wall, growth: Growth) -> Front | None:
    lines = [np.vstack((ring, ring[:1])) for ring in area]
    moving = clipper.rejoined(clipper.cut_lines(lines, area=limit, inside=True))
    strips = _strips(moving, area=area, wall=wall, bend=stage.bend, growth=growth) if moving else []
    if not strips:
        return None
    # offsets take the square of what they are given: only what lies along the moving parts is worked on
    spines = [_beads(strip, every=growth.radius / 2.0) for (strip,) in strips]
    inner = clipper.around(spines, by=2.0 * growth.radius)
    near = clipper.intersection(area, with_=clipper.around(spines, by=4.0 * growth.radius))
    grown = _rounded(near, strips=strips, stage=stage, radius=growth.radius)
    found = clipper.union([area, clipper.intersection(grown, with_=inner)])
    found = clipper.without_specks(found, smaller=1e-6)
    edges = [np.vstack((ring, ring[:1])) for ring in found]
    parts = clipper.cut_lines(edges, area=inner, inside=True)
    cuts = list(clipper.cut_lines(parts, area=clipper.offset(near, by=_TOUCH), inside=False))
    if clipper.surface(found) - clipper.surface(area) < _GAIN:
        return None
    cuts = _bridged(found, parts=clipper.rejoined(cuts), gap=_GAP * growth.radius)
    if not cuts:
        return None
    return Front(
        area=clipper.intersection(clipper.simplified(found), with_=growth.work), cuts=tuple(cuts), bend=stage.bend
    )


def _bridged(area: Area, *, parts: list[Points], gap: Mm) -> list[Points]:
    """The parts of the edge of an area, those that follow each other within ``gap`` along it made one."""
    rings = [np.vstack((ring, ring[:1])) for ring in area]
    mine: list[list[tuple[Mm, Mm]]] = [[] for _ in rings]
    reached = [np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T)))) for ring in rings]
    for part in parts:
        size = float(np.hypot(*np.diff(part, axis=0).T).sum())
        if size < _SHORT:
            continue
        offs = [_place(ring, reached=reach, point=part[0]) for ring, reach in zip(rings, reached, strict=True)]
        which = min(range(len(rings)), key=lambda number: offs[number][0])
        mine[which].append((offs[which][1], offs[which][1] + size))
    found: list[Points] = []
    for ring, reach, runs in zip(rings, reached, mine, strict=True):
        found.extend(_runs(ring, reached=reach, runs=sorted(runs), gap=gap))
    return found


def _runs(ring: Points, *, reached: NDArray[np.float64], runs: list[tuple[Mm, Mm]], gap: Mm) -> list[Points]:
    if not runs:
        return []
    total = float(reached[-1])
    merged = [runs[0]]
    for first, last in runs[1:]:
        if first - merged[-1][1] < gap:
            merged[-1] = (merged[-1][0], max(last, merged[-1][1]))
        else:
            merged.append((first, last))
    if merged[0][0] + total - merged[-1][1] < gap:
        if len(merged) == 1:
            return [_between(ring, reached=reached, first=merged[0][0], last=merged[0][0] + total)]
        merged[-1] = (merged[-1][0], merged[0][1] + total)
        del merged[0]
    return [_between(ring, reached=reached, first=first, last=last) for first, last in merged]


def _between(ring: Points, *, reached: NDArray[np.float64], first: Mm, last: Mm) -> Points:
    """The part of a closed line between two lengths along it, wrapped once if need be."""
    total = float(reached[-1])
    along = np.concatenate((reached[:-1], reached[:-1] + total, reached + 2.0 * total))
    twice = np.vstack((ring[:-1], ring[:-1], ring))
    inner = (along > first + 1e-7) & (along < last - 1e-7)
    ends = np.array([first, last])
    points = np.column_stack((np.interp(ends, along, twice[:, 0]), np.interp(ends, along, twice[:, 1])))
    if last - first > total - 1e-7:
        points[1] = points[0]
    return np.vstack((points[:1], twice[inner], points[1:]))


def _place(ring: Points, *, reached: NDArray[np.float64], point: Points) -> tuple[Mm, Mm]:
    """How far a point is from a closed line, and the length along the line where it is nearest."""
    along = np.diff(ring, axis=0)
    square = np.maximum(np.sum(along**2, axis=1), 1e-18)
    part = np.clip(np.sum((point - ring[:-1]) * along, axis=1) / square, 0.0, 1.0)
    off = np.hypot(*(ring[:-1] + part[:, None] * along - point).T)
    best = int(np.argmin(off))
    return float(off[best]), float(reached[best] + part[best] * (reached[best + 1] - reached[best]))


def _rounded(near: Area, *, strips: list[Area], stage: _Stage, radius: Mm) -> Area:
    """The area with its strips, gaps narrower than the cutter filled and convex corners rounded."""
    swept = clipper.simplified(clipper.offset(clipper.union([near, *strips]), by=radius))
    within = clipper.intersection(clipper.simplified(clipper.offset(swept, by=-radius)), with_=stage.target)
    return clipper.opened(clipper.union([within, near]), radius=0.98 * stage.bend)


def _strips(moving: list[Points], *, area: Area, wall: _Wall, bend: Mm, growth: Growth) -> list[Area]:
    """What the area gains along the moving parts of its edge."""
    spacing = growth.radius / _FINE
    lines = [np.vstack((ring, ring[:1])) for ring in area]
    about = clipper.around([_beads(line, every=growth.radius / 2.0) for line in moving], by=3.0 * growth.radius)
    near = clipper.cut_lines(lines, area=about, inside=True)
    tree = cKDTree(np.vstack([_densified(line, every=spacing) for line in near]))
    parts = [_normals(_beads(line, every=min(2.0 * spacing, 0.15 * bend))) for line in moving]
    lengths = [len(rows) for rows, _ in parts]
    points = np.vstack([points for points, _ in parts])
    normals = np.vstack([normals for _, normals in parts])
    angles = _allowed(points, normals=normals, wall=wall, bend=bend, angle=growth.angle)
    by = _steps(points, normals=normals, angles=angles, tree=tree, growth=growth)
    ahead = np.vstack([_smooth(line) for line in np.split(points + by[:, None] * normals, np.cumsum(lengths)[:-1])])
    strips: list[Area] = []
    begin = 0
    for rows, _ in parts:
        end = begin + len(rows)
        if float(by[begin:end].max()) > _TOUCH:
            strips.append((np.vstack((ahead[begin:end], rows[::-1])),))
        begin = end
    return strips


def _allowed(points: Points, *, normals: Points, wall: _Wall, bend: Mm, angle: Rad) -> NDArray[np.float64]:
    """How far to either side of the normal the edge may be in material at each point.

    A path that leaves a wall by a bend runs head-on there: both sides of the cap are in the leading half of its edge.
    """
    off, at = wall.tree.query(points)
    away = wall.tree.data[at] - points
    facing = np.abs(np.sum(normals * wall.along[at], axis=1))
    turned = np.where(np.sum(normals * away, axis=1) >= -1e-9, np.arccos(np.clip(facing, 0.0, 1.0)), 0.0)
    heading = np.arccos(np.clip(1.0 - off / bend, 0.0, 1.0))
    between = np.minimum(turned + heading, math.pi / 2.0)
    found: NDArray[np.float64] = np.maximum(angle / 2.0, angle - (math.pi / 2.0 - between))
    return found


def _steps(
    points: Points, *, normals: Points, angles: NDArray[np.float64], tree: "cKDTree[None]", growth: Growth
) -> NDArray[np.float64]:
    """How far the front may go at each point."""
    radius = growth.radius
    most = _LONGEST * radius * (1.0 - math.cos(growth.angle))
    tangents = np.column_stack((-normals[:, 1], normals[:, 0]))
    by = np.full(len(points), most)
    for sign in (1.0, -1.0):
        for turn in (angles, (angles + math.pi / 2.0) / 2.0):
            arm = radius * (np.cos(turn)[:, None] * normals + sign * np.sin(turn)[:, None] * tangents)
            low = by.copy()
            for _ in range(_TURNS):
                edge = points + low[:, None] * normals + arm
                off, at = tree.query(edge)
                away = (edge - tree.data[at]) / np.maximum(off, 1e-9)[:, None]
                slope = np.maximum(np.sum(away * normals, axis=1), 0.2)
                low = np.clip(low - (off - radius) / slope, 0.0, most)
            by = np.minimum(by, low)
    return by


def _smooth(line: Points) -> Points:
    """The line without waves of a few samples, which would be handed on from front to front; its ends stay."""
    if len(line) < 2 * _SMOOTH + 3:
        return line
    closed = bool(np.hypot(*(line[0] - line[-1])) < 1e-3)
    for _ in range(_SMOOTH):
        inner = (line[:-2] + 2.0 * line[1:-1] + line[2:]) / 4.0
        ends = (line[-2:-1] + 2.0 * line[:1] + line[1:2]) / 4.0 if closed else line[:1]
        line = np.vstack((ends, inner, ends if closed else line[-1:]))
    return line


def _densified(line: Points, *, every: Mm) -> Points:
    """The line with points added so that none are farther apart than ``every``."""
    sizes = np.hypot(*np.diff(line, axis=0).T)
    counts = np.maximum(np.ceil(sizes / every), 1.0).astype(np.int64)
    first = np.repeat(np.arange(len(sizes)), counts)
    part = (np.arange(len(first)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[first]
    found = line[first] + part[:, None] * (line[first + 1] - line[first])
    return np.vstack((found, line[-1:]))


def _beads(line: Points, *, every: Mm) -> Points:
    """Points of the line at equal lengths of at most ``every``, its ends among them."""
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    where = np.linspace(0.0, reached[-1], math.ceil(reached[-1] / every) + 1)
    return np.column_stack((np.interp(where, reached, line[:, 0]), np.interp(where, reached, line[:, 1])))


def _normals(line: Points) -> tuple[Points, Points]:
    """Points of a line and the normals to its right; corners that turn to the left get a fan of them."""
    steps = np.diff(line, axis=0)
    keep = np.hypot(*steps.T) > 1e-7
    line = np.vstack((line[:-1][keep], line[-1:]))
    steps = np.diff(line, axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    closed = bool(np.hypot(*(line[0] - line[-1])) < 1e-6)
    before = np.concatenate(([heading[-1] if closed else heading[0]], heading))
    after = np.concatenate((heading, [heading[0] if closed else heading[-1]]))
    turn = (after - before + math.pi) % math.tau - math.pi
    fans = np.where(turn > _FAN, np.ceil(turn / _FAN).astype(np.int64) + 1, 1)
    at = np.repeat(np.arange(len(line)), fans)
    nth = np.arange(len(at)) - np.repeat(np.cumsum(fans) - fans, fans)
    share = np.where(fans[at] > 1, nth / np.maximum(fans[at] - 1, 1), 0.5)
    headings = before[at] + share * turn[at]
    return line[at], np.column_stack((np.sin(headings), -np.cos(headings)))
