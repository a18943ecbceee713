"""In which order the cuts of fronts are made, and the ways between them through ground that is cleared by then.

A cut may be made once every cut of an earlier front within reach of its edge is made: it meets no more than planned
then.  A way is clear if it lies in the area of a front of which, and of all fronts before, nothing uncut is within
reach of the way.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from camplan.geometry.chains import Chain, Points, chain, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, edges_of
from camplan.passes.fronts import Front
from camplan.units import Mm, Rad

_SLACK: Mm = 0.0045
_BERTH: Mm = 0.02
_EVERY: Mm = 0.25
_SAME: Mm = 1e-6
_LEADS = (2.0, 1.5, 1.0, 0.7, 0.4, 0.2)
"""Radii of arcs into a closed cut, over the cutter's: the widest that has room."""
_TURNS = (1.0, 0.5, 0.24, 0.1)
"""Radii of a way's arcs over the cutter's."""
_LANDINGS = (0.5, 0.24, 0.1, 0.05)
"""Radii of arcs from where the cutter comes down anew, over its own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bound:
    """A cut as it is made: ``lead`` enters it from cleared ground (None: it begins there), ``line`` is the cut itself;
    ``link`` leads to it at depth from the cut before (None: lift); ``climb``: material to the right."""

    line: Points
    lead: Chain | None
    link: Chain | None
    climb: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    front: int
    line: Points
    closed: bool


def joined(
    found: Sequence[Front], *, begun: Area, start: Points, heading: Rad, radius: Mm, step: Mm, both_ways: bool
) -> tuple[Bound, ...]:
    """All cuts of the fronts in order, from a place in the ground first cleared, ``begun``."""
    cuts = [
        _Cut(front=number, line=line, closed=bool(np.hypot(*(line[0] - line[-1])) < _SAME))
        for number, front in enumerate(found)
        for line in front.cuts
    ]
    if not cuts:
        return ()
    yard = _Yard.of(cuts, areas=[begun, *(front.area for front in found)], radius=radius, step=step)
    bound: list[Bound] = []
    here = _Place(at=start, heading=heading, side=1.0, closed=None)
    while yard.open:
        number = yard.nearest(here.at, both_ways=both_ways)
        made = _made(yard, cut=cuts[number], here=here, both_ways=both_ways)
        bound.append(made)
        yard.done(number)
        steps = made.line[-1] - made.line[-2]
        here = _Place(
            at=made.line[-1],
            heading=math.atan2(steps[1], steps[0]),
            side=1.0 if made.climb else -1.0,
            closed=made.line if cuts[number].closed else None,
        )
    return tuple(bound)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Place:
    """Where the cutter is: its heading, the side of the ground cleared (1: left), the last cut if closed."""

    at: Points
    heading: Rad
    side: float
    closed: Points | None


@dataclass(slots=True, kw_only=True, eq=False)
class _Yard:
    """What is cut and what is not."""

    cuts: list[_Cut]
    areas: list[Area]
    radius: Mm
    step: Mm
    tree: "cKDTree[None]"
    owner: NDArray[np.int64]
    front: NDArray[np.int64]
    uncut: NDArray[np.bool_]
    waits: list[int]
    frees: list[list[int]]
    open: set[int]
    edges: dict[int, Edges]

    @staticmethod
    def of(cuts: list[_Cut], *, areas: list[Area], radius: Mm, step: Mm) -> "_Yard":
        dense = [_beads(cut.line, every=radius / 3.0) for cut in cuts]
        owner = np.repeat(np.arange(len(cuts)), [len(points) for points in dense])
        tree = cKDTree(np.vstack(dense))
        front = np.array([cut.front for cut in cuts])
        pairs = tree.query_pairs(2.1 * radius, output_type="ndarray")
        ends = owner[pairs]
        ends = np.unique(ends[front[ends[:, 0]] != front[ends[:, 1]]], axis=0)
        first = np.where(front[ends[:, 0]] < front[ends[:, 1]], ends[:, 0], ends[:, 1])
        last = np.where(front[ends[:, 0]] < front[ends[:, 1]], ends[:, 1], ends[:, 0])
        links = np.unique(np.column_stack((first, last)), axis=0)
        waits = [0] * len(cuts)
        frees: list[list[int]] = [[] for _ in cuts]
        for early, late in links.tolist():
            waits[late] += 1
            frees[early].append(late)
        return _Yard(
            cuts=cuts,
            areas=areas,
            radius=radius,
            step=step,
            tree=tree,
            owner=owner,
            front=front,
            uncut=np.ones(len(cuts), dtype=bool),
            waits=waits,
            frees=frees,
            open={number for number, count in enumerate(waits) if count == 0},
            edges={},
        )

    def nearest(self, at: Points, *, both_ways: bool) -> int:
        """The open cut that begins nearest."""

        def away(number: int) -> tuple[float, int]:
            cut = self.cuts[number]
            if cut.closed:
                return float(np.hypot(*(cut.line - at).T).min()), number
            off = float(np.hypot(*(cut.line[0] - at)))
            return (min(off, float(np.hypot(*(cut.line[-1] - at)))) if both_ways else off), number

        return min(self.open, key=away)

    def done(self, number: int) -> None:
        self.uncut[number] = False
        self.open.discard(number)
        for late in self.frees[number]:
            self.waits[late] -= 1
            if self.waits[late] == 0:
                self.open.add(late)

    def clear_for(self, points: Points) -> int:
        """The number of the area in which a way is clear."""
        reach = 2.1 * self.radius
        near = self.tree.query_ball_point(points[:: max(int(self.radius / 2.0 / _EVERY), 1)], r=reach + self.radius)
        rows = np.unique(np.concatenate([np.asarray(one, dtype=np.int64) for one in near]))
        owners = np.unique(self.owner[rows])
        owners = owners[self.uncut[owners]]
        return int(self.front[owners].min()) if len(owners) else len(self.areas) - 1

    def edges_at(self, number: int) -> Edges:
        if number not in self.edges:
            self.edges[number] = edges_of(self.areas[number])
        return self.edges[number]


def _made(yard: _Yard, *, cut: _Cut, here: _Place, both_ways: bool) -> Bound:
    if cut.closed:
        return _ring(yard, cut=cut, here=here)
    choices = [(cut.line, True)]
    if both_ways:
        choices.append((cut.line[::-1], False))
        choices.sort(key=lambda choice: float(np.hypot(*(choice[0][0] - here.at))))
    for line, climb in choices:
        link = _link(yard, here=here, line=line, side=1.0 if climb else -1.0)
        if link is not None:
            return Bound(line=line, lead=None, link=link, climb=climb)
    line, climb = choices[0]
    return Bound(line=line, lead=_landing(yard, line=line, side=1.0 if climb else -1.0), link=None, climb=climb)


def _landing(yard: _Yard, *, line: Points, side: float) -> Chain | None:
    """An arc to the line's begin from a place at which the cutter may come down."""
    for share in _LANDINGS:
        lead = _arc_to(line[0], heading=_heading(line), radius=share * yard.radius, sweep=math.pi / 2.0, turns=side)
        points = _points(lead)
        number = yard.clear_for(points)
        edges = yard.edges_at(number)
        if _lies_in(edges, points=points[:1], slack=-_BERTH) and _lies_in(edges, points=points, slack=_SLACK):
            return lead
    return None


def _heading(line: Points) -> Rad:
    steps = line[1] - line[0]
    return math.atan2(steps[1], steps[0])


def _ring(yard: _Yard, *, cut: _Cut, here: _Place) -> Bound:
    """A closed cut, entered by a drift outward from the one before, else by an arc."""
    ring = cut.line[:-1]
    at = int(np.argmin(np.hypot(*(ring - here.at).T)))
    line = _spread(np.vstack((ring[at:], ring[: at + 1])), every=_EVERY)
    sizes = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    near = float(np.hypot(*(line[0] - here.at)))
    if here.closed is not None and near < 2.0 * yard.step:
        drift = min(3.0 * yard.radius, sizes[-1] / 3.0)
        old = here.closed
        at_old = int(np.argmin(np.hypot(*(old[:-1] - here.at).T)))
        old = np.vstack((old[at_old:-1], old[: at_old + 1]))
        reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(old, axis=0).T))))
        where = np.linspace(0.0, drift, max(int(4.0 * drift / _EVERY), 8))
        share = where / drift
        weight = (share**2 * (3.0 - 2.0 * share))[:, None]
        scale = min(reached[-1] / sizes[-1], 1.0)
        inner, outer = _at(old, reached=reached, where=where * scale), _at(line, reached=sizes, where=where)
        blend = inner * (1.0 - weight) + outer * weight
        rest = line[sizes > drift]
        back = line[(sizes > 0.0) & (sizes <= drift)]
        if _lies_in(yard.edges_at(cut.front + 1), points=blend, slack=_SLACK / 5.0):
            return Bound(
                line=np.vstack((blend, rest, back, _at(line, reached=sizes, where=np.array([drift])))),
                lead=None,
                link=chain(np.vstack((here.at, blend[:1]))),
                climb=True,
            )
    for share in _LEADS:
        size = share * yard.radius
        first = int(np.searchsorted(sizes, min(1.2 * size, sizes[-1] / 2.0)))
        run = np.vstack((line[first:-1], line[: first + 1]))
        for sweep in (math.pi / 2.0, math.pi / 3.0):
            heading = _heading(run)
            lead = _arc_to(run[0], heading=heading, radius=size, sweep=sweep, turns=1.0)
            begin = lead.points[0]
            if not _lies_in(yard.edges_at(cut.front + 1), points=_points(lead), slack=_SLACK):
                continue
            number = yard.clear_for(begin[None])
            if not _lies_in(yard.edges_at(number), points=begin[None], slack=-_BERTH / 2.0):
                continue
            link = _ways(yard, here=here, to=begin, heading=heading - sweep, side=1.0)
            if link is not None:
                return Bound(line=run, lead=lead, link=link, climb=True)
    return Bound(line=line, lead=_landing(yard, line=line, side=1.0), link=None, climb=True)


def _at(line: Points, *, reached: NDArray[np.float64], where: NDArray[np.float64]) -> Points:
    return np.column_stack((np.interp(where, reached, line[:, 0]), np.interp(where, reached, line[:, 1])))


def _arc_to(point: Points, *, heading: Rad, radius: Mm, sweep: Rad, turns: float) -> Chain:
    """An arc that ``turns`` left (1) or right (-1) and arrives at a point with a heading."""
    centre = point + turns * radius * np.array([-math.sin(heading), math.cos(heading)])
    begin = heading - turns * sweep
    first = centre - turns * radius * np.array([-math.sin(begin), math.cos(begin)])
    return chain([first, point], bulges=[turns * math.tan(sweep / 4.0)])


def _link(yard: _Yard, *, here: _Place, line: Points, side: float) -> Chain | None:
    return _ways(yard, here=here, to=line[0], heading=_heading(line), side=side)


def _ways(yard: _Yard, *, here: _Place, to: Points, heading: Rad, side: float) -> Chain | None:
    """The shortest clear way with tangent arcs; a straight one where there is no room for them."""
    found: list[tuple[float, Chain]] = []
    for share in _TURNS:
        size = share * yard.radius
        way = tangent_way(
            here.at, heading=here.heading, side=here.side, to=to, arrives=heading, turns=side, radius=size
        )
        if way is None:
            continue
        points = _points(way)
        if _lies_in(yard.edges_at(yard.clear_for(points)), points=points, slack=_SLACK):
            found.append((_length(points), way))
            break
    straight = np.vstack((here.at, to))
    points = _spread(straight, every=_EVERY)
    off = _length(straight)
    near = off < 2.0 * yard.radius and (not found or found[0][0] > 4.0 * off + yard.radius)
    if near and _lies_in(yard.edges_at(yard.clear_for(points)), points=points, slack=_SLACK):
        return chain(straight)
    return found[0][1] if found else None


def tangent_way(
    start: Points, *, heading: Rad, side: float, to: Points, arrives: Rad, turns: float, radius: Mm
) -> Chain | None:
    """Arc, line, arc of one radius: leaves by an arc to ``side`` (1: left) and arrives by one that ``turns``."""
    first = start + radius * side * np.array([-math.sin(heading), math.cos(heading)])
    last = to + radius * turns * np.array([-math.sin(arrives), math.cos(arrives)])
    across = last - first
    size = float(np.hypot(*across))
    off = radius * (turns - side)
    if size <= abs(off) + 1e-9:
        return None
    course = math.atan2(across[1], across[0]) - math.asin(off / size)
    left = np.array([-math.sin(course), math.cos(course)])
    out = _turn(side * (course - heading))
    into = _turn(turns * (arrives - course))
    points = [start]
    bulges: list[float] = []
    for centre, sense, sweep, begin in ((first, side, out, heading), (last, turns, into, course)):
        if sense is side and centre is first:
            pass
        else:
            points.append(last - turns * radius * left)
            bulges.append(0.0)
        halves = 2 if sweep > math.pi * 0.95 else 1
        if sweep > 1e-6:
            for half in range(1, halves + 1):
                angle = begin + sense * sweep * half / halves
                points.append(centre - sense * radius * np.array([-math.sin(angle), math.cos(angle)]))
                bulges.append(sense * math.tan(sweep / halves / 4.0))
    return chain(np.array(points), bulges=np.array(bulges))


def _turn(angle: Rad) -> Rad:
    turn = angle % math.tau
    return 0.0 if turn > math.tau - 1e-6 else turn


def _points(way: Chain) -> Points:
    return _spread(tessellated(way, chord=0.002), every=_EVERY)


def _length(points: Points) -> Mm:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _spread(line: Points, *, every: Mm) -> Points:
    sizes = np.hypot(*np.diff(line, axis=0).T)
    counts = np.maximum(np.ceil(sizes / every), 1.0).astype(np.int64)
    first = np.repeat(np.arange(len(sizes)), counts)
    part = (np.arange(len(first)) - np.repeat(np.cumsum(counts) - counts, counts)) / counts[first]
    return np.vstack((line[first] + part[:, None] * (line[first + 1] - line[first]), line[-1:]))


def _beads(line: Points, *, every: Mm) -> Points:
    """Points of a line at equal lengths of at most ``every``, its ends among them."""
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    return _at(line, reached=reached, where=np.linspace(0.0, reached[-1], math.ceil(reached[-1] / every) + 1))


def _lies_in(edges: Edges, *, points: Points, slack: Mm) -> bool:
    """Whether all points lie inside the edges, or outside by no more than ``slack`` (negative: inside by as much)."""
    low, high = points.min(axis=0) - 0.1, points.max(axis=0) + 0.1
    spans = (edges.a[:, 1] > points[:, 1:]) != (edges.b[:, 1] > points[:, 1:])
    with np.errstate(divide="ignore", invalid="ignore"):
        cut = edges.a[:, 0] + (points[:, 1:] - edges.a[:, 1]) * (edges.b[:, 0] - edges.a[:, 0]) / (
            edges.b[:, 1] - edges.a[:, 1]
        )
    inside = np.count_nonzero(spans & (cut > points[:, :1]), axis=1) % 2 == 1
    doubtful = points if slack < 0.0 else points[~inside]
    if slack < 0.0 and not inside.all():
        return False
    if not len(doubtful):
        return True
    near = np.all((np.maximum(edges.a, edges.b) >= low) & (np.minimum(edges.a, edges.b) <= high), axis=1)
    a, b = edges.a[near], edges.b[near]
    if not len(a):
        return slack < 0.0
    along = b - a
    square = np.maximum(np.sum(along**2, axis=1), 1e-18)
    ray = doubtful[:, None, :] - a
    part = np.clip(np.sum(ray * along, axis=2) / square, 0.0, 1.0)
    off = np.sqrt(np.sum((ray - part[:, :, None] * along) ** 2, axis=2).min(axis=1))
    return bool(off.min() >= -slack) if slack < 0.0 else bool(off.max() <= slack)
