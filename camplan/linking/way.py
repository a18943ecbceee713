"""From passes to moves: lift, cross, come down, cut.

Between passes the cutter lifts to the lowest height that clears everything in its way, crosses in the air, and
comes down fast only as far as the column below is known to be clear.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.features.specs import Clamp
from camplan.geometry.chains import STRAIGHT, Chain, arcs, segment_lengths
from camplan.moves.records import Arc, Drill, Line, Move, Rapid
from camplan.passes.records import Feed, HolePass, Pass, Stroke
from camplan.units import Mm, MmPerMin, Rad

_NEAR: Mm = 0.5
"""Half the height above a hole at which a rapid stops and the feed takes over (common practice, no source)."""


_SLOWEST = 0.1
"""Least share of the feed inside an arc: below it the edge only rubs (common practice, no source)."""


_CORNER_LEAD = 0.3
"""How far before an inside corner the cutter slows, over its radius, besides the skin on the wall: from where its edge
begins to meet the next wall (common practice, no source)."""

_SHARP: Rad = math.radians(20.0)
"""A turn by more than this, on the spot or on an arc tighter than the cutter, is a corner."""
_SAME: Mm = 1e-6
_SHORT: Mm = 0.02
"""No segment is split nearer to its ends than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeds:
    """mm/min for each kind of stroke, of a cutter of ``radius``; ``corner`` is the feed into inside corners, ``skin``
    what stands on a wall before it."""

    radius: Mm
    skin: Mm
    corner: MmPerMin
    cut: MmPerMin
    slot: MmPerMin
    ramp: MmPerMin
    plunge: MmPerMin
    free: MmPerMin

    def of(self, kind: Feed) -> MmPerMin:
        """The feed of a kind of stroke."""
        match kind:
            case Feed.CUT | Feed.SPRING | Feed.EVEN:
                return self.cut
            case Feed.SLOT:
                return self.slot
            case Feed.RAMP:
                return self.ramp
            case Feed.PLUNGE:
                return self.plunge
            case Feed.FREE:
                return self.free


def inside_feed(feeds: Feeds, *, feed: MmPerMin, arc: Mm) -> MmPerMin:
    """The feed of the cutter's centre on an inside arc of radius ``arc``, so that its edge has ``feed`` on the wall.

    v (Dh - D) / Dh in a hole of Dh (plane geometry): the wall wraps round the cutter, and the edge meets as much more
    of it as the centre is slower.
    """
    return max(feed * max(arc / (arc + feeds.radius), _SLOWEST), 0.1)


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
                segments = known[id(stroke.path)] = _segments(stroke.path, feeds=feeds)
            position = _cut(stroke, segments=segments, feeds=feeds, position=position, moves=moves)
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
class _Part:
    """Up to a share ``end`` of a segment, slow or not."""

    end: float
    slow: bool


_WHOLE = (_Part(end=1.0, slow=False),)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Segments:
    """Of each segment of a path its end, its centre, radius and sweep if it is an arc (else None), and the parts in
    which a wall pass cuts it."""

    ends: list[tuple[Mm, Mm]]
    centres: list[tuple[Mm, Mm] | None]
    radii: list[Mm]
    sweeps: list[Rad]
    parts: list[tuple[_Part, ...]]


def _segments(path: Chain, *, feeds: Feeds) -> _Segments:
    found = arcs(path)
    straight = (np.abs(path.bulges) < STRAIGHT).tolist()
    return _Segments(
        ends=[(x, y) for x, y in path.points[1:].tolist()],
        centres=[None if line else (x, y) for line, (x, y) in zip(straight, found.centres.tolist(), strict=True)],
        radii=found.radii.tolist(),
        sweeps=found.sweeps.tolist(),
        parts=_parts(path, feeds=feeds) if feeds.corner < feeds.cut else [_WHOLE] * len(straight),
    )


def _cut(
    stroke: Stroke, *, segments: _Segments, feeds: Feeds, position: tuple[Mm, Mm, Mm], moves: list[Move]
) -> tuple[Mm, Mm, Mm]:
    cutting, along = stroke.feed is Feed.CUT, stroke.feed in (Feed.CUT, Feed.SPRING)
    feed = feeds.cut if stroke.feed is Feed.FREE and _upright(stroke) else feeds.of(stroke.feed)
    if stroke.pace is not None:
        # what bends and corners add was measured
        cutting, along, feed = False, False, stroke.pace
    heights = stroke.z.tolist()
    for number, (end, centre) in enumerate(zip(segments.ends, segments.centres, strict=True)):
        to = (*end, heights[number + 1])
        if centre is None and to == position:
            continue
        sweep = segments.sweeps[number]
        own = feed
        # climb: the material is to the right, so only what turns left has the wall outside it
        if along and centre is not None and sweep > 0.0:
            own = round(inside_feed(feeds, feed=feed, arc=segments.radii[number]), 1)
            own = min(own, feeds.corner) if cutting and segments.radii[number] < feeds.radius / 2.0 else own
        for part in segments.parts[number] if cutting else _WHOLE:
            now = min(own, feeds.corner) if part.slow else own
            if centre is None:
                goal = to if part.end >= 1.0 else _on_line(position, to=to, share=part.end)
                moves.append(Line(to=goal, feed=now))
            else:
                goal = to if part.end >= 1.0 else _on_arc(position, to=to, centre=centre, sweep=sweep, share=part.end)
                moves.append(Arc(to=goal, centre=centre, clockwise=sweep < 0.0, feed=now))
        position = to
    return position


def _on_line(position: tuple[Mm, Mm, Mm], *, to: tuple[Mm, Mm, Mm], share: float) -> tuple[Mm, Mm, Mm]:
    """The place a share of a straight move on."""
    x, y, z = (begin + share * (end - begin) for begin, end in zip(position, to, strict=True))
    return x, y, z


def _on_arc(
    position: tuple[Mm, Mm, Mm], *, to: tuple[Mm, Mm, Mm], centre: tuple[Mm, Mm], sweep: Rad, share: float
) -> tuple[Mm, Mm, Mm]:
    """The place a share of an arc's sweep on."""
    radius = math.hypot(position[0] - centre[0], position[1] - centre[1])
    angle = math.atan2(position[1] - centre[1], position[0] - centre[0]) + share * sweep
    height = position[2] + share * (to[2] - position[2])
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle), height


def _parts(path: Chain, *, feeds: Feeds) -> list[tuple[_Part, ...]]:
    """Each segment of a path in parts: slow where the cutter is so near an inside corner that it meets two walls."""
    sizes = segment_lengths(path)
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    chords = np.diff(path.points, axis=0)
    headings = np.arctan2(chords[:, 1], chords[:, 0])
    half = 2.0 * np.arctan(path.bulges)
    turn = np.remainder((headings - half)[1:] - (headings + half)[:-1] + math.pi, math.tau) - math.pi
    tight = (half[1:] > _SHARP / 2.0) & (sizes[1:] < 2.0 * np.abs(half[1:]) * feeds.radius)
    corners = reached[1:-1][(turn > _SHARP) | tight]
    lead = _CORNER_LEAD * feeds.radius + feeds.skin
    found = []
    for begin, end in zip(reached[:-1].tolist(), reached[1:].tolist(), strict=True):
        size = end - begin
        ahead = corners[(corners > begin + _SAME) & (corners - lead < end)]
        since = float(ahead.min()) - lead - begin if len(ahead) else size
        found.append(_split(size, since=since, least=max(lead / 2.0, _SHORT)))
    return found


def _split(size: Mm, *, since: Mm, least: Mm) -> tuple[_Part, ...]:
    """A segment slow ``since`` a length; no part is so short that its text would be no move, or a full circle."""
    if size - since < _SHORT:
        return _WHOLE
    if since < least:
        return (_Part(end=1.0, slow=True),)
    return (_Part(end=since / size, slow=False), _Part(end=1.0, slow=True))


def drilled(
    holes: HolePass, *, feed: MmPerMin, air: Air, here: tuple[Mm, Mm, Mm]
) -> tuple[list[Move], tuple[Mm, Mm, Mm]]:
    """The moves that drill holes in their order."""
    moves: list[Move] = []
    plane = holes.top + 2.0 * _NEAR
    for at in holes.at:
        moves.extend(_across(here, to=at, air=air))
        moves.append(Rapid(to=(*at, plane)))
        if holes.fed_out:
            moves.extend((Line(to=(*at, holes.bottom), feed=feed), Line(to=(*at, plane), feed=feed)))
        else:
            drill = Drill(at=at, retract=plane, bottom=holes.bottom, peck=holes.peck, dwell=holes.dwell, feed=feed)
            moves.append(drill)
        here = (*at, max(air.low, plane))
        moves.append(Rapid(to=here))
    return moves, here
