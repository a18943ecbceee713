"""The wall pass: along the wall at its final size, climb, arriving and leaving on tangent arcs.

Takes closed paths with the material to their right; gives passes that start and end away from corners, overlap
where they began so that no ridge is left, and never stop on the wall.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.geometry.along import Place, at_length, connected, direction, opened_at, stretch
from camplan.geometry.chains import Chain, backwards, chain, length, segment_lengths, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, covered, crossed, edges_of, holds
from camplan.passes.entry import Descent, ramp_round, ramp_to_and_fro, straight_down
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.units import Mm

_QUARTER = math.pi / 2.0
_RADII = (0.5, 0.35, 0.25, 0.15, 0.08)
"""Lead radius over the cutter's diameter, the widest that fits; 0.25 or more wanted (common practice, no source)."""
_STEPS_IN = (0.02, 0.035, 0.05, 0.08, 0.12, 0.18, 0.25, 0.35)
"""Straight steps onto a wall over the diameter, where no arc fits."""
_TRIES = 12
_TRIES_ALONG = 24
_OVERLAP = 0.15
_GAP: Mm = 0.2
_TOUCH: Mm = 0.1
"""Nearer than this to the wall path a lead is all but on it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wall:
    """Where a wall is cut: ``path`` closed, ``work`` where the tool's centre may be at all, ``ground`` where it
    stands clear of material; from ``top`` to each of ``levels``; ``room`` is the sideways room for a lead,
    ``descent`` how the cutter goes down where nothing is cleared."""

    path: Chain
    work: Area
    ground: Area
    diameter: Mm
    top: Mm
    levels: tuple[Mm, ...]
    room: Mm
    descent: Descent


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leads:
    """A lap with its leads: the way on, the lap with overlap, the way off; ``tangent`` False if it had to go
    straight in; ``clear`` False if it starts in material."""

    lap: Chain
    tangent: bool
    clear: bool = True


def wall_passes(wall: Wall) -> tuple[tuple[Pass, ...], bool]:
    """The passes, one a level joined where the way is clear, and whether the leads are tangent arcs."""
    leads = led(wall)
    if not leads.clear:
        return (_ramped(wall, lap=leads.lap),), False
    fence = edges_of(wall.work)
    passes: list[Pass] = []
    strokes: list[Stroke] = []
    begin, finish = leads.lap.points[0], leads.lap.points[-1]
    start = (float(begin[0]), float(begin[1]))
    hop = np.array([finish, begin])
    joined = covered(fence, path=hop)
    above = wall.top
    for level in wall.levels:
        if strokes and joined:
            strokes.append(level_stroke(chain(hop), z=above, feed=Feed.FREE))
        elif strokes:
            passes.append(Pass(strokes=tuple(strokes), free=wall.top))
            strokes = []
        drop = above if strokes else level + _GAP
        strokes.append(straight_down(start, start=drop, end=level, feed=Feed.FREE))
        strokes.append(level_stroke(leads.lap, z=level, feed=Feed.CUT))
        above = level
    passes.append(Pass(strokes=tuple(strokes), free=wall.top))
    return tuple(passes), leads.tangent


def _ramped(wall: Wall, *, lap: Chain) -> Pass:
    """Down along the wall path itself, level by level, where no ground beside it is cleared."""
    strokes: list[Stroke] = []
    above = wall.top + _GAP
    for level in wall.levels:
        strokes.extend(ramp_round(lap, descent=wall.descent, start=above, end=level))
        strokes.append(level_stroke(lap, z=level, feed=Feed.SLOT))
        above = level
    return Pass(strokes=tuple(strokes), free=wall.top)


def led(wall: Wall) -> Leads:
    """The lap with the widest tangent leads that fit, begun as far from corners as can be."""
    fence = edges_of(wall.work)
    ground = edges_of(wall.ground)
    places = _starts(wall.path)
    for share in _RADII:
        for place in places:
            lap = _with_arcs(wall, place=place, radius=share * wall.diameter)
            if _clear(lap, fence=fence, ground=ground):
                return Leads(lap=lap, tangent=True)
    for place in places:
        for step in (wall.room, *(share * wall.diameter for share in _STEPS_IN)):
            lap = _straight_in(wall, place=place, step=step)
            if _clear(lap, fence=fence, ground=ground):
                return Leads(lap=lap, tangent=False)
    return Leads(lap=opened_at(wall.path, place=places[0]), tangent=False, clear=False)


def _straight_in(wall: Wall, *, place: Place, step: Mm) -> Chain:
    """The lap from ``place`` with a straight step from and to the side, square to the wall."""
    lap = _overlapped(wall, place=place)
    begin, finish = _heading(lap, end=False), _heading(lap, end=True)
    first = lap.points[0] + step * np.array([-begin[1], begin[0]])
    last = lap.points[-1] + step * np.array([-finish[1], finish[0]])
    return connected([chain([first, lap.points[0]]), lap, chain([lap.points[-1], last])])


def _overlapped(wall: Wall, *, place: Place) -> Chain:
    """The path from ``place`` round to it and a little on."""
    run = opened_at(wall.path, place=place)
    past = stretch(run, start=0.0, end=min(_OVERLAP * wall.diameter, length(run) / 2.0))
    return connected([run, past])


def _starts(path: Chain) -> list[Place]:
    """Places to start, best first: the middles of the longest segments, then places all along the path."""
    sizes = segment_lengths(path)
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    longest = np.argsort(-np.round(sizes, 6), kind="stable")[:_TRIES]
    middles = [float(reached[segment] + sizes[segment] / 2.0) for segment in longest.tolist()]
    evenly = [float(reached[-1]) * (number + 0.5) / _TRIES_ALONG for number in range(_TRIES_ALONG)]
    return [at_length(path, length=at) for at in (*middles, *evenly)]


def _with_arcs(wall: Wall, *, place: Place, radius: Mm) -> Chain:
    """The lap from ``place`` round and past it, with an arc on either end turning to the left."""
    lap = _overlapped(wall, place=place)
    angle = _QUARTER if wall.room >= radius else math.acos(1.0 - wall.room / radius)
    on = _lead(lap.points[0], heading=_heading(lap, end=False), radius=radius, angle=angle, arriving=True)
    off = _lead(lap.points[-1], heading=_heading(lap, end=True), radius=radius, angle=angle, arriving=False)
    return connected([on, lap, off])


def _heading(path: Chain, *, end: bool) -> tuple[float, float]:
    segment = len(path.bulges) - 1 if end else 0
    return direction(path, place=Place(segment=segment, part=1.0 if end else 0.0, point=(0.0, 0.0), distance=0.0))


def _lead(
    point: np.ndarray[tuple[int], np.dtype[np.float64]],
    *,
    heading: tuple[float, float],
    radius: Mm,
    angle: float,
    arriving: bool,
) -> Chain:
    """An arc to the left of the path that ends (or starts) at ``point`` in the path's direction."""
    dx, dy = heading
    sign = -1.0 if arriving else 1.0
    far = point + radius * ((1.0 - math.cos(angle)) * np.array([-dy, dx]) + sign * math.sin(angle) * np.array([dx, dy]))
    bulge = [math.tan(angle / 4.0)]
    return chain([far, point] if arriving else [point, far], bulges=bulge)


def _clear(lap: Chain, *, fence: Edges, ground: Edges) -> bool:
    """Whether a led lap stays where the tool's centre may be, and comes down on cleared ground if any is known."""
    on = tessellated(Chain(points=lap.points[:2], bulges=lap.bulges[:1], closed=False), chord=0.0005)
    off = tessellated(Chain(points=lap.points[-2:], bulges=lap.bulges[-1:], closed=False), chord=0.0005)
    for lead in (on, off[::-1]):
        away = lead[np.hypot(*(lead - lead[-1]).T) > _TOUCH]
        if not holds(fence, point=lead[0]):
            return False
        if len(away) > 1 and crossed(fence, path=away):
            return False
    return not len(ground.a) or holds(ground, point=lap.points[0])


def open_wall_passes(runs: Sequence[Chain], *, levels: tuple[Mm, ...]) -> list[Pass]:
    """Passes along walls that end in the air beside the plate: down there, along, and off."""
    passes = []
    for run in runs:
        first = (float(run.points[0, 0]), float(run.points[0, 1]))
        for level in levels:
            down = straight_down(first, start=level + _GAP, end=level, feed=Feed.FREE)
            passes.append(Pass(strokes=(down, level_stroke(run, z=level, feed=Feed.CUT)), free=level))
    return passes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Stretches of walls, open ``paths`` with the material to their right; the rest as in `Wall`."""

    paths: tuple[Chain, ...]
    work: Area
    ground: Area
    diameter: Mm
    top: Mm
    levels: tuple[Mm, ...]
    descent: Descent


def run_passes(job: Runs) -> list[Pass]:
    """Passes along stretches of walls whose ends are cut already: on and off at the side by arcs, by a straight step
    where there is no room for them, and down a slope along the wall where nothing beside it is cleared."""
    fence, ground = edges_of(job.work), edges_of(job.ground)
    passes: list[Pass] = []
    for run in job.paths:
        led_run = _led_run(run, diameter=job.diameter, fence=fence, ground=ground)
        if led_run is None:
            passes.append(_sloped(run, job=job))
            continue
        first = (float(led_run.points[0, 0]), float(led_run.points[0, 1]))
        for level in job.levels:
            down = straight_down(first, start=level + _GAP, end=level, feed=Feed.FREE)
            passes.append(Pass(strokes=(down, level_stroke(led_run, z=level, feed=Feed.CUT)), free=job.top))
    return passes


def _led_run(run: Chain, *, diameter: Mm, fence: Edges, ground: Edges) -> Chain | None:
    """A stretch with its ways on and off; None if there is none from cleared ground."""
    if not len(ground.a):
        return None
    begin, finish = _heading(run, end=False), _heading(run, end=True)
    found: list[Chain] = []
    for share in _RADII:
        radius = share * diameter
        on = _lead(run.points[0], heading=begin, radius=radius, angle=_QUARTER, arriving=True)
        off = _lead(run.points[-1], heading=finish, radius=radius, angle=_QUARTER, arriving=False)
        found.append(connected([on, run, off]))
    for share in _STEPS_IN:
        first = run.points[0] + share * diameter * np.array([-begin[1], begin[0]])
        last = run.points[-1] + share * diameter * np.array([-finish[1], finish[0]])
        found.append(connected([chain([first, run.points[0]]), run, chain([run.points[-1], last])]))
    return next((path for path in found if _clear(path, fence=fence, ground=ground)), None)


def _sloped(run: Chain, *, job: Runs) -> Pass:
    """Down along a stretch itself, level by level."""
    strokes: list[Stroke] = []
    above = job.top + _GAP
    for level in job.levels:
        strokes.extend(ramp_to_and_fro(run, descent=job.descent, start=above, end=level))
        strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
        run, above = backwards(run), level
    return Pass(strokes=tuple(strokes), free=job.top)
