"""Clearing an area level by level, ring by ring from the inside, without lifting where the way is clear."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from camplan.geometry.chains import Chain, Points, chain, length
from camplan.geometry.edges import edges_of, straight_way
from camplan.passes import entry
from camplan.passes.entry import Descent
from camplan.passes.layout import Group, Layout, Step
from camplan.passes.paced import Leg, Pacing, paced
from camplan.passes.records import Feed, Pass, Stroke, grouped, level_stroke
from camplan.units import Mm

_GAP: Mm = 0.2
_WORTH = 0.05
"""A helix gives way to a descent along the innermost ring where that saves this share of a level's path."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clearing:
    """A layout to be cut from height ``top`` down to each of ``levels``, at feeds that follow the load (``pacing``), or
    at those of its kinds."""

    layout: Layout
    top: Mm
    levels: tuple[Mm, ...]
    descent: Descent
    pacing: Pacing | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cleared:
    """The passes, the ways down that were taken with their reasons, and where no way down was found."""

    passes: tuple[Pass, ...]
    ways: tuple[str, ...]
    shut: tuple[tuple[Mm, Mm], ...]


def cleared(job: Clearing) -> Cleared:
    """The passes that clear an area at every level."""
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    for number, group in enumerate(job.layout.groups):
        made = _levels(job, group=group)
        if made is None:
            shut.append((float(group.first.points[0, 0]), float(group.first.points[0, 1])))
        else:
            passes.extend(grouped(made.passes, group=number))
            ways.extend(made.ways)
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=tuple(shut))


def _levels(job: Clearing, *, group: Group) -> Cleared | None:
    """The group's passes at every level; None if the cutter has no way down."""
    passes: list[Pass] = []
    ways: list[str] = []
    strokes: list[Stroke] = []
    free = job.top
    above = job.top
    fence = edges_of(job.layout.room.work)
    known: dict[_Way, tuple[tuple[Leg, ...], ...]] = {}
    for level in job.levels:
        kind = _way(group, descent=job.descent, drop=above - level if strokes else above + _GAP - level)
        if kind is None:
            return None
        ways.append(_reason(kind, group=group))
        if strokes:
            here, there = strokes[-1].path.points[-1], _begin(kind, group=group, descent=job.descent)
            hop = straight_way(fence, start=here, end=there)
            if hop is None:
                passes.append(Pass(strokes=tuple(strokes), free=free))
                strokes, free = [], above
            elif np.hypot(*(hop[1] - hop[0])) > 1e-6:
                strokes.append(level_stroke(chain(hop), z=above, feed=Feed.FREE))
        else:
            free = above
        start = above if strokes else above + _GAP
        strokes.extend(_down(kind, group=group, descent=job.descent, start=start, end=level))
        if kind not in known:
            known[kind] = _legs(kind, group=group, job=job)
        for step, legs in zip(group.steps, known[kind], strict=True):
            if step.way is None and step is not group.steps[0]:
                passes.append(Pass(strokes=tuple(strokes), free=free))
                strokes, free = [], level
            strokes.extend(level_stroke(leg.path, z=level, feed=leg.feed, pace=leg.pace) for leg in legs)
        above = level
    if strokes:
        passes.append(Pass(strokes=tuple(strokes), free=free))
    return Cleared(passes=tuple(passes), ways=tuple(ways), shut=())


class _Way(StrEnum):
    """The ways down, and what is said of each."""

    OPEN = "comes down in open ground"
    HELIX = "enters by a helix"
    ROUND = "enters by a helix along its innermost ring: shorter than a circle and the ring after it"
    RAMP_ROUND = "enters by a ramp along its first ring: there is no room for a helix"
    RAMP = "enters by a ramp along its first path: there is no room for a helix"
    PLUNGE = "plunges"


def _legs(kind: _Way, *, group: Group, job: Clearing) -> tuple[tuple[Leg, ...], ...]:
    """The level paths of each step: what leads to it, and its ring."""
    found = [
        (*(Leg(path=chain(way), feed=Feed.SLOT) for way in _ways(step)), Leg(path=step.path, feed=step.feed))
        for step in group.steps
    ]
    if job.pacing is None:
        return tuple(found)
    before: tuple[Chain, ...] = ()
    if kind is _Way.HELIX:
        before = tuple(one.path for one in _down(kind, group=group, descent=job.descent, start=0.0, end=0.0)[1:])
    return paced(found, before=before, pacing=job.pacing)


def _ways(step: Step) -> tuple[Points, ...]:
    """The straight way to a step from the one before, if it is any."""
    return (step.way,) if step.way is not None and np.hypot(*(step.way[1] - step.way[0])) > 1e-6 else ()


def _way(group: Group, *, descent: Descent, drop: Mm) -> _Way | None:
    """The way down by ``drop``; None if the cutter has none."""
    room = length(group.steps[0].path)
    if group.open:
        return _Way.OPEN
    if group.spot is not None and entry.helix_fits(group.spot, descent=descent):
        circle = entry.helix_length(group.spot, descent=descent, drop=drop)
        round_ = entry.round_length(group.first, descent=descent, drop=drop) if group.first_closed else math.inf
        level = sum(length(step.path) for step in group.steps)
        return _Way.ROUND if circle - round_ > _WORTH * level else _Way.HELIX
    if room >= descent.diameter or (room >= 0.3 * descent.diameter and not descent.plunges):
        return _Way.RAMP_ROUND if group.first_closed else _Way.RAMP
    return _Way.PLUNGE if descent.plunges else None


def _reason(way: _Way, *, group: Group) -> str:
    if way is _Way.PLUNGE:
        room = length(group.steps[0].path)
        return f"plunges: {room:.2f} mm of path is too short for a ramp, and the cutter cuts at its centre"
    return way.value


def _begin(way: _Way, *, group: Group, descent: Descent) -> Points:
    """Where a way down begins."""
    if way is _Way.HELIX and group.spot is not None:
        return entry.helix_begin(group.spot, descent=descent)
    return np.asarray(group.steps[0].path.points[0])


def _down(way: _Way, *, group: Group, descent: Descent, start: Mm, end: Mm) -> tuple[Stroke, ...]:
    """Strokes down to the first point of the group at height ``end``."""
    first = group.steps[0].path
    point = (float(first.points[0, 0]), float(first.points[0, 1]))
    match way:
        case _Way.OPEN:
            return (entry.straight_down(point, start=start, end=end, feed=Feed.FREE),)
        case _Way.HELIX if group.spot is not None:
            turns = entry.helix(group.spot, descent=descent, start=start, end=end)
            across = chain(np.array([turns[-1].path.points[-1], first.points[0]]))
            moved = (level_stroke(across, z=end, feed=Feed.SLOT),) if length(across) > 1e-6 else ()
            return (*turns, *moved)
        case _Way.HELIX | _Way.ROUND | _Way.RAMP_ROUND:
            return entry.ramp_round(group.first, descent=descent, start=start, end=end)
        case _Way.RAMP:
            return entry.ramp_to_and_fro(group.first, descent=descent, start=start, end=end)
        case _Way.PLUNGE:
            return (entry.straight_down(point, start=start, end=end, feed=Feed.PLUNGE),)
