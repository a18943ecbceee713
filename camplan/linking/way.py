"""From passes to moves: lift, cross, come down, cut.

Between passes the cutter lifts to the lowest height that clears everything in its way, crosses in the air, and
comes down fast only as far as the column below is known to be clear.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.features.specs import Clamp
from camplan.geometry.chains import STRAIGHT, Chain, arcs
from camplan.moves.records import Arc, Drill, Line, Move, Rapid
from camplan.passes.records import Feed, HolePass, Pass, Stroke
from camplan.units import Mm, MmPerMin

_NEAR: Mm = 0.5
"""Half the height above a hole at which a rapid stops and the feed takes over (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeds:
    """mm/min for each kind of stroke."""

    cut: MmPerMin
    slot: MmPerMin
    ramp: MmPerMin
    plunge: MmPerMin
    free: MmPerMin

    def of(self, kind: Feed) -> MmPerMin:
        """The feed of a kind of stroke."""
        match kind:
            case Feed.CUT:
                return self.cut
            case Feed.SLOT:
                return self.slot
            case Feed.RAMP:
                return self.ramp
            case Feed.PLUNGE:
                return self.plunge
            case Feed.FREE:
                return self.free


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Heights in the air: ``low`` over the bare plate, ``high`` over everything that stands on it; what stands on
    it, each kept clear by ``berth`` sideways."""

    low: Mm
    high: Mm
    clamps: tuple[Clamp, ...]
    berth: Mm


def crossing_height(air: Air, *, start: tuple[Mm, Mm], end: tuple[Mm, Mm]) -> Mm:
    """The height at which the cutter may cross from ``start`` to ``end``."""
    return air.high if any(_over(clamp, berth=air.berth, start=start, end=end) for clamp in air.clamps) else air.low


def _over(clamp: Clamp, *, berth: Mm, start: tuple[Mm, Mm], end: tuple[Mm, Mm]) -> bool:
    """Whether a straight way passes over a clamp with its berth (slabs in x and y)."""
    low, high = 0.0, 1.0
    sides = (
        (start[0], end[0], clamp.x - berth, clamp.x + clamp.width + berth),
        (start[1], end[1], clamp.y - berth, clamp.y + clamp.length + berth),
    )
    for first, last, near, far in sides:
        step = last - first
        if abs(step) < 1e-12:
            if not near <= first <= far:
                return False
            continue
        enter, leave = sorted(((near - first) / step, (far - first) / step))
        low, high = max(low, enter), min(high, leave)
        if low > high:
            return False
    return True


def linked(
    passes: Sequence[Pass], *, feeds: Feeds, air: Air, here: tuple[Mm, Mm, Mm]
) -> tuple[list[Move], tuple[Mm, Mm, Mm]]:
    """The moves of passes one after another from a position in the air; and where they end, in the air again."""
    moves: list[Move] = []
    known: dict[int, _Segments] = {}
    for one in passes:
        first = one.strokes[0]
        start = (float(first.path.points[0, 0]), float(first.path.points[0, 1]))
        moves.extend(_across(here, to=start, air=air))
        height = float(first.z[0])
        near = max(one.free + one.near, height)
        now = moves[-1].to[2] if moves and isinstance(moves[-1], Rapid) else here[2]
        if near < now:
            moves.append(Rapid(to=(*start, near)))
        if height < near:
            clear = height >= one.free or first.feed is Feed.FREE
            moves.append(Line(to=(*start, height), feed=feeds.cut if clear else feeds.plunge))
        position = (*start, height)
        for stroke in one.strokes:
            # a path comes again on every level
            segments = known.get(id(stroke.path))
            if segments is None:
                segments = known[id(stroke.path)] = _segments(stroke.path)
            feed = feeds.of(Feed.CUT if stroke.feed is Feed.FREE and _upright(stroke) else stroke.feed)
            position = _cut(stroke, segments=segments, feed=feed, position=position, moves=moves)
        here = (position[0], position[1], max(air.low, position[2]))
        moves.append(Rapid(to=here))
    return moves, here


def _across(here: tuple[Mm, Mm, Mm], *, to: tuple[Mm, Mm], air: Air) -> list[Move]:
    """Rapids to above a point: up if something stands in the way, then across."""
    height = crossing_height(air, start=(here[0], here[1]), end=to)
    moves: list[Move] = []
    if math.hypot(here[0] - to[0], here[1] - to[1]) < 1e-9 and here[2] <= height:
        return moves
    if height > here[2]:
        moves.append(Rapid(to=(here[0], here[1], height)))
    height = max(height, here[2]) if height > here[2] else here[2]
    moves.append(Rapid(to=(*to, height)))
    return moves


def _upright(stroke: Stroke) -> bool:
    """Whether a stroke goes straight down: even where nothing stands it is fed no faster than the tip can cut."""
    return len(stroke.path.points) == 2 and bool(np.array_equal(stroke.path.points[0], stroke.path.points[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Segments:
    """Of each segment of a path its end, and its centre and sense if it is an arc."""

    ends: list[tuple[Mm, Mm]]
    centres: list[tuple[Mm, Mm] | None]
    clockwise: list[bool]


def _segments(path: Chain) -> _Segments:
    found = arcs(path)
    straight = (np.abs(path.bulges) < STRAIGHT).tolist()
    return _Segments(
        ends=[(x, y) for x, y in path.points[1:].tolist()],
        centres=[None if line else (x, y) for line, (x, y) in zip(straight, found.centres.tolist(), strict=True)],
        clockwise=(path.bulges < 0.0).tolist(),
    )


def _cut(
    stroke: Stroke, *, segments: _Segments, feed: MmPerMin, position: tuple[Mm, Mm, Mm], moves: list[Move]
) -> tuple[Mm, Mm, Mm]:
    each = zip(segments.ends, segments.centres, segments.clockwise, stroke.z[1:].tolist(), strict=True)
    for end, centre, clockwise, z in each:
        to = (*end, z)
        if centre is not None:
            moves.append(Arc(to=to, centre=centre, clockwise=clockwise, feed=feed))
        elif to != position:
            moves.append(Line(to=to, feed=feed))
        position = to
    return position


def drilled(
    holes: HolePass, *, feed: MmPerMin, air: Air, here: tuple[Mm, Mm, Mm]
) -> tuple[list[Move], tuple[Mm, Mm, Mm]]:
    """The moves that drill holes in their order."""
    moves: list[Move] = []
    plane = holes.top + 2.0 * _NEAR
    for at in holes.at:
        moves.extend(_across(here, to=at, air=air))
        moves.append(Rapid(to=(*at, plane)))
        moves.append(Drill(at=at, retract=plane, bottom=holes.bottom, peck=holes.peck, dwell=holes.dwell, feed=feed))
        here = (*at, max(air.low, plane))
        moves.append(Rapid(to=here))
    return moves, here
