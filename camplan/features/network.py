"""Lines that meet, as one network: how deep each place is if the floor falls from one place to all far ends.

Lines are joined where an end of one lies on another.  Ways are measured along the lines.  From the deepest place the
floor falls evenly along the longest way; a branch falls from its joint evenly to its own far end, so that every far end
has the same depth and every joint has one.  Round a loop both ways fall to the place where they are equally long.
"""

import heapq
from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from camplan import tolerance
from camplan.features.records import Slope
from camplan.features.slopes import opened, reached, slope_of
from camplan.geometry.along import length_at, nearest
from camplan.geometry.chains import Chain
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretch:
    """A part of line ``line`` from one length along it to another, between two nodes."""

    line: int
    begin: Mm
    end: Mm
    first: int
    last: int

    @property
    def size(self) -> Mm:
        return self.end - self.begin


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Net:
    """Open lines, the lengths along each at which nodes lie, with their numbers, and the stretches between."""

    lines: tuple[Chain, ...]
    at: tuple[tuple[tuple[Mm, int], ...], ...]
    stretches: tuple[_Stretch, ...]


def falling_along(lines: tuple[Chain, ...], *, first: Mm, last: Mm) -> tuple[Slope, ...]:
    """Each open line by itself: ``first`` deep at its first end and ``last`` deep at its other."""
    return tuple(Slope(path=line, depths=first + (last - first) * reached(line) / reached(line)[-1]) for line in lines)


def falling_from(lines: tuple[Chain, ...], *, place: tuple[Mm, Mm], first: Mm, last: Mm) -> tuple[Slope, ...]:
    """A network that is ``first`` deep where it is nearest to ``place``, and ``last`` deep at its far ends.

    Lines that do not meet are networks of their own, each with its own nearest place.
    """
    return tuple(
        slope
        for net in _networks(lines)
        for slope in _falling([lines[number] for number in net], place=place, first=first, last=last)
    )


def distance_to(lines: tuple[Chain, ...], *, place: tuple[Mm, Mm]) -> Mm:
    """How far a place is from the nearest of lines."""
    return min(nearest(line, to=place).distance for line in lines)


def _networks(lines: tuple[Chain, ...]) -> list[list[int]]:
    """The numbers of lines that hang together, each list rising, in the order of their first."""
    root = list(range(len(lines)))

    def top(number: int) -> int:
        while root[number] != number:
            number = root[number]
        return number

    for number, line in enumerate(lines):
        for other, path in enumerate(lines):
            if other != number and any(_touches(path, end) for end in _ends(line)):
                low, high = sorted((top(number), top(other)))
                root[high] = low
    found: dict[int, list[int]] = defaultdict(list)
    for number in range(len(lines)):
        found[top(number)].append(number)
    return list(found.values())


def _ends(line: Chain) -> list[tuple[Mm, Mm]]:
    picked = [] if line.closed else [line.points[0], line.points[-1]]
    return [(float(x), float(y)) for x, y in picked]


def _touches(path: Chain, end: tuple[Mm, Mm]) -> bool:
    return nearest(path, to=end).distance <= tolerance.JOIN


def _falling(lines: list[Chain], *, place: tuple[Mm, Mm], first: Mm, last: Mm) -> list[Slope]:
    net, root = _net(lines, place=place)
    return _levelled(net, root=root, first=first, last=last)


def _net(lines: list[Chain], *, place: tuple[Mm, Mm]) -> tuple[_Net, int]:
    """The network of lines that hang together, closed ones opened at their first node, and its deepest node."""
    chosen = min(range(len(lines)), key=lambda number: (round(nearest(lines[number], to=place).distance, 9), number))
    deepest = nearest(lines[chosen], to=place).point
    nodes: list[tuple[Mm, Mm]] = []

    def node(point: tuple[Mm, Mm]) -> int:
        for number, known in enumerate(nodes):
            if np.hypot(known[0] - point[0], known[1] - point[1]) <= tolerance.JOIN:
                return number
        nodes.append(point)
        return len(nodes) - 1

    root = node(deepest)
    for line in lines:
        for end in _ends(line):
            node(end)
    paths: list[Chain] = []
    at: list[tuple[tuple[Mm, int], ...]] = []
    stretches: list[_Stretch] = []
    for number, line in enumerate(lines):
        on = [(nearest(line, to=point), one) for one, point in enumerate(nodes)]
        met = sorted((length_at(line, place=spot), one) for spot, one in on if spot.distance <= tolerance.JOIN)
        path = opened(line, at=met[0][0]) if line.closed else line
        total = float(reached(path)[-1])
        if line.closed:
            start = met[0][0]
            met = [*((length - start, one) for length, one in met), (total, met[0][1])]
        else:
            met = [(0.0, met[0][1]), *met[1:-1], (total, met[-1][1])]
        paths.append(path)
        at.append(tuple(met))
        stretches.extend(
            _Stretch(line=number, begin=low, end=high, first=one, last=other)
            for (low, one), (high, other) in pairwise(met)
        )
    return _Net(lines=tuple(paths), at=tuple(at), stretches=tuple(stretches)), root


def _levelled(net: _Net, *, root: int, first: Mm, last: Mm) -> list[Slope]:
    """The depths of a network: those of its nodes from the tree of shortest ways, and far points on the rest."""
    away, way = _shortest(net, root=root)
    far: dict[int, Mm] = {}
    for number, one in enumerate(net.stretches):
        if way.get(one.first) != number and way.get(one.last) != number:
            far[number] = (one.size + away[one.last] - away[one.first]) / 2.0
    rest = _rest(net, away=away, way=way, far=far)
    depth = {root: first}
    for node in sorted(away, key=lambda one: (away[one], one)):
        if node == root:
            continue
        step = net.stretches[way[node]]
        before = step.first if step.last == node else step.last
        size = step.size
        left = size + rest[node]
        depth[node] = depth[before] + (last - depth[before]) * size / left
    found = []
    for line, (path, at) in enumerate(zip(net.lines, net.at, strict=True)):
        spots = {length: depth[node] for length, node in at}
        for number, size in far.items():
            one = net.stretches[number]
            if one.line == line and tolerance.JOIN < size < one.size - tolerance.JOIN:
                spots[one.begin + size] = last
        lengths = np.array(sorted(spots))
        found.append(slope_of(path, at=lengths, depths=np.array([spots[length] for length in lengths.tolist()])))
    return found


def _shortest(net: _Net, *, root: int) -> tuple[dict[int, Mm], dict[int, int]]:
    """The shortest way from the root to each node, and the stretch by which it arrives (Dijkstra's algorithm)."""
    meets: dict[int, list[int]] = defaultdict(list)
    for number, one in enumerate(net.stretches):
        meets[one.first].append(number)
        meets[one.last].append(number)
    away: dict[int, Mm] = {}
    way: dict[int, int] = {}
    waiting: list[tuple[Mm, int, int]] = [(0.0, root, -1)]
    while waiting:
        size, node, by = heapq.heappop(waiting)
        if node in away:
            continue
        away[node] = size
        if by >= 0:
            way[node] = by
        for number in meets[node]:
            one = net.stretches[number]
            other = one.last if one.first == node else one.first
            if other not in away:
                heapq.heappush(waiting, (size + one.size, other, number))
    return away, way


def _rest(net: _Net, *, away: dict[int, Mm], way: dict[int, int], far: dict[int, Mm]) -> dict[int, Mm]:
    """How far it is from each node on to the farthest far end behind it."""
    rest = dict.fromkeys(away, 0.0)
    for number, size in far.items():
        one = net.stretches[number]
        if tolerance.JOIN < size < one.size - tolerance.JOIN:
            rest[one.first] = max(rest[one.first], size)
            rest[one.last] = max(rest[one.last], one.size - size)
    for node in sorted(way, key=lambda one: (-away[one], one)):
        step = net.stretches[way[node]]
        before = step.first if step.last == node else step.last
        rest[before] = max(rest[before], step.size + rest[node])
    return rest
