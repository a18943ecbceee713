"""Clearing an area level by level, ring by ring from the inside, without lifting where the way is clear.

The plane order of rings is worked out once and used at every level.
"""

from dataclasses import dataclass, replace

import numpy as np

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.along import Place, at_length, nearest, opened_at
from camplan.geometry.chains import Chain, Points, backwards, chain, length
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, covered, edges_of
from camplan.geometry.fitting import NO_CIRCLES, Band, Circles, fitted
from camplan.passes import entry, rings
from camplan.passes.entry import Descent, Spot
from camplan.passes.records import Feed, Pass, Stroke, grouped, level_stroke
from camplan.passes.rings import Ring
from camplan.units import Mm

_BAND = Band(left=tolerance.ROUGH_FIT, right=tolerance.WALL_SIDE)
_GAP: Mm = 0.2
_LANDINGS = 40
_BESIDE: Mm = 20.0
"""No step over from a path that is cut is longer than this."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clearing:
    """What is to be cleared: ``work`` is where the tool's centre may be, from height ``top`` down to each of
    ``levels``; in ``open_ground`` it may come down freely at any level; ``known`` are circles of the outermost ring."""

    work: Area
    radius: Mm
    step_over: Mm
    top: Mm
    levels: tuple[Mm, ...]
    descent: Descent
    open_ground: Area = ()
    known: Circles = NO_CIRCLES


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cleared:
    """The passes, the ways down that were taken with their reasons, and where no way down was found."""

    passes: tuple[Pass, ...]
    ways: tuple[str, ...]
    shut: tuple[tuple[Mm, Mm], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Step:
    """One ring of the plane order: an open path, the way to it from the step before (None: lift), and its feed."""

    path: Chain
    way: Points | None
    feed: Feed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Group:
    """Steps that begin with one way down: open ground, a helix at ``spot``, else along the ``first`` ring."""

    steps: tuple[_Step, ...]
    open: bool
    spot: Spot | None
    first: Chain
    first_closed: bool


def cleared(job: Clearing) -> Cleared:
    """The passes that clear an area at every level."""
    found = rings.nest(job.work, radius=job.radius, step_over=job.step_over)
    if not found.rings:
        return Cleared(passes=(), ways=(), shut=())
    chains = _fitted(found.rings, known=job.known)
    easy = np.array([_open_place(path, ground=job.open_ground) is not None for path in chains])
    turns = rings.order(found.rings, step_over=job.step_over, easy=easy)
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    for number, group in enumerate(_groups(job, nest=found, chains=chains, turns=turns)):
        made = _levels(job, group=group)
        if made is None:
            shut.append((float(group.first.points[0, 0]), float(group.first.points[0, 1])))
        else:
            passes.extend(grouped(made.passes, group=number))
            ways.extend(made.ways)
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=tuple(shut))


def _fitted(found: tuple[Ring, ...], *, known: Circles) -> list[Chain]:
    chains: list[Chain | None] = [None] * len(found)
    outer = [index for index, ring in enumerate(found) if ring.closed and ring.depth == 0]
    inner = [index for index, ring in enumerate(found) if ring.closed and ring.depth > 0]
    loose = [index for index, ring in enumerate(found) if not ring.closed]
    for indexes, closed, circles in ((outer, True, known), (inner, True, NO_CIRCLES), (loose, False, NO_CIRCLES)):
        fits = fitted([found[index].path for index in indexes], closed=closed, band=_BAND, known=circles)
        for index, path in zip(indexes, fits, strict=True):
            chains[index] = path
    return [path for path in chains if path is not None]


def _open_place(path: Chain, *, ground: Area) -> Place | None:
    """A place of the path that lies in open ground, well inside it."""
    if not ground:
        return None
    line = np.vstack((path.points, path.points[:1])) if path.closed else path.points
    inside = clipper.cut_lines([line], area=ground, inside=True)
    if not inside:
        return None
    longest = max(inside, key=lambda part: float(np.hypot(*np.diff(part, axis=0).T).sum()))
    middle = at_length(chain(longest), length=length(chain(longest)) / 2.0).point
    return nearest(path, to=middle)


def _groups(job: Clearing, *, nest: rings.Nest, chains: list[Chain], turns: tuple[rings.Turn, ...]) -> list[_Group]:
    fence = edges_of(job.work)
    groups: list[_Group] = []
    steps: list[_Step] = []
    opening: tuple[bool, Spot | None, Chain, bool] | None = None
    here: tuple[Mm, Mm] | None = None

    def finish() -> None:
        if opening is not None:
            is_open, spot, first, closed = opening
            groups.append(_Group(steps=tuple(steps), open=is_open, spot=spot, first=first, first_closed=closed))

    for turn in turns:
        ring, path = nest.rings[turn.ring], chains[turn.ring]
        reached = None
        if turn.parent is not None and here is not None:
            inward = ring.closed and nest.rings[turn.parent].depth < ring.depth
            path = backwards(path) if inward else path
            reached = _reach(path, here=here, beside=chains[turn.parent], fence=fence)
        if reached is None:
            finish()
            place = _open_place(path, ground=job.open_ground)
            opening_is_open = place is not None
            spot = None if place else _spot(nest, ring=ring, work=job.work)
            if place is None:
                place = nearest(path, to=spot.centre) if spot and ring.closed else _start(path)
            run = opened_at(path, place=place) if path.closed else path
            opening = (opening_is_open, spot, run, path.closed)
            steps = [_Step(path=run, way=None, feed=Feed.SLOT)]
        else:
            run = reached.path
            steps.append(reached)
        here = (float(run.points[-1, 0]), float(run.points[-1, 1]))
    finish()
    return groups


def _start(path: Chain) -> Place:
    return Place(segment=0, part=0.0, point=(float(path.points[0, 0]), float(path.points[0, 1])), distance=0.0)


def _spot(nest: rings.Nest, *, ring: Ring, work: Area) -> Spot | None:
    """The roomiest place inside the innermost area that a ring bounds."""
    for area in nest.innermost:
        if any(edge is ring.path for edge in area):
            part = next((piece for piece in clipper.pieces(area) if _shares(piece, ring=ring.path)), area)
            return entry.roomiest(part, within=work)
    return None


def _shares(piece: Area, *, ring: Points) -> bool:
    return any(float(np.min(np.hypot(*(edge - ring[0]).T))) < 1e-5 for edge in piece)


def _reach(path: Chain, *, here: tuple[Mm, Mm], beside: Chain, fence: Edges) -> _Step | None:
    """The path begun near ``here`` with the straight way to it; else begun beside the path ``beside``, which is cut,
    to come down there; None if no short way leads from that one either."""
    if path.closed:
        run = opened_at(path, place=nearest(path, to=here))
    else:
        ahead = np.hypot(*(path.points[0] - here))
        run = path if ahead <= np.hypot(*(path.points[-1] - here)) else backwards(path)
    straight = np.array([here, run.points[0]])
    if covered(fence, path=straight):
        return _Step(path=run, way=straight, feed=Feed.CUT)
    landings = [nearest(beside, to=(float(run.points[0, 0]), float(run.points[0, 1]))).point]
    spread = beside.points[:: max(len(beside.points) // _LANDINGS, 1)]
    landings.extend((float(x), float(y)) for x, y in spread)
    runs = [run] if not path.closed else []
    for landing in landings:
        for start in runs or [opened_at(path, place=nearest(path, to=landing))]:
            short = np.array([landing, start.points[0]])
            if np.hypot(*(short[1] - short[0])) < _BESIDE and covered(fence, path=short):
                return _Step(path=opened_run(start, first=short), way=None, feed=Feed.CUT)
    return None


def opened_run(run: Chain, *, first: Points) -> Chain:
    """The run with a straight piece before it, from cleared ground."""
    return Chain(points=np.vstack((first[:1], run.points)), bulges=np.concatenate(([0.0], run.bulges)), closed=False)


def _levels(job: Clearing, *, group: _Group) -> Cleared | None:
    """The group's passes at every level; None if the cutter has no way down."""
    passes: list[Pass] = []
    ways: list[str] = []
    strokes: list[Stroke] = []
    free = job.top
    above = job.top
    fence = edges_of(job.work)
    for level in job.levels:
        down = _down(job, group=group, start=above, end=level)
        if down is None:
            return None
        way, reason = down
        ways.append(reason)
        if strokes:
            here, there = strokes[-1].path.points[-1], way[0].path.points[0]
            hop = np.array([here, there])
            if not covered(fence, path=hop) and np.hypot(*(here - there)) > 1e-6:
                passes.append(Pass(strokes=tuple(strokes), free=free))
                strokes, free = [], above
            elif np.hypot(*(here - there)) > 1e-6:
                strokes.append(level_stroke(chain(hop), z=above, feed=Feed.FREE))
                way = _from_floor(way, floor=above)
        else:
            free = above
        strokes.extend(way)
        for step in group.steps:
            if step.way is None and step is not group.steps[0]:
                passes.append(Pass(strokes=tuple(strokes), free=free))
                strokes, free = [], level
            elif step.way is not None and np.hypot(*(step.way[1] - step.way[0])) > 1e-6:
                strokes.append(level_stroke(chain(step.way), z=level, feed=Feed.SLOT))
            strokes.append(level_stroke(step.path, z=level, feed=step.feed))
        above = level
    if strokes:
        passes.append(Pass(strokes=tuple(strokes), free=free))
    return Cleared(passes=tuple(passes), ways=tuple(ways), shut=())


def _from_floor(way: tuple[Stroke, ...], *, floor: Mm) -> tuple[Stroke, ...]:
    """The same way down begun exactly at the floor above."""
    first = way[0]
    heights = first.z.copy()
    heights[0] = floor
    return (replace(first, z=heights), *way[1:])


def _down(job: Clearing, *, group: _Group, start: Mm, end: Mm) -> tuple[tuple[Stroke, ...], str] | None:
    """Strokes down to the first point of the group at height ``end``, and the reason for that way."""
    first = group.steps[0].path
    point = (float(first.points[0, 0]), float(first.points[0, 1]))
    gap = start + _GAP
    if group.open:
        return (entry.straight_down(point, start=gap, end=end, feed=Feed.FREE),), "comes down in open ground"
    if group.spot is not None and entry.helix_fits(group.spot, descent=job.descent):
        turns = entry.helix(group.spot, descent=job.descent, start=gap, end=end)
        across = chain(np.array([turns[-1].path.points[-1], first.points[0]]))
        moved = (level_stroke(across, z=end, feed=Feed.SLOT),) if length(across) > 1e-6 else ()
        return (*turns, *moved), "enters by a helix"
    room = length(first)
    if room >= job.descent.diameter or (room >= 0.3 * job.descent.diameter and not job.descent.plunges):
        down = (
            entry.ramp_round(group.first, descent=job.descent, start=gap, end=end)
            if group.first_closed
            else entry.ramp_to_and_fro(group.first, descent=job.descent, start=gap, end=end)
        )
        return down, "enters by a ramp along its first path: there is no room for a helix"
    if job.descent.plunges:
        return (
            (entry.straight_down(point, start=gap, end=end, feed=Feed.PLUNGE),),
            f"plunges: {room:.2f} mm of path is too short for a ramp, and the cutter cuts at its centre",
        )
    return None
