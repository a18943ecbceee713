"""The plane order of rings in an area: worked out once, cut at every level.

Takes the area that the tool's centre may occupy; gives groups of rings, each group cut without lifting, and where a
cutter may come down to begin each.
"""

from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.along import Place, at_length, nearest, opened_at
from camplan.geometry.chains import Chain, Points, backwards, chain, length
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, edges_of, straight_way
from camplan.geometry.fitting import NO_CIRCLES, Band, Circles, fitted
from camplan.passes import entry, rings
from camplan.passes.entry import Spot
from camplan.passes.records import Feed
from camplan.passes.rings import Ring
from camplan.units import Mm, Mm2

ROUGH = Band(left=tolerance.ROUGH_FIT, right=tolerance.WALL_SIDE)
WALL_BAND = Band(left=tolerance.WALL_FIT, right=tolerance.WALL_SIDE)
"""How far a fitted path may lie from the exact one: in roughing, and along a wall."""
_FEW = 12
"""An edge of fewer moves a ring is left where it is."""
_LOST: Mm2 = 1e-7
_LANDINGS = 40
_BESIDE: Mm = 20.0
"""No step over from a path that is cut is longer than this."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """Where the tool's centre may be, ``work``; in ``open_ground`` it may come down freely at any level; ``known`` are
    circles of the outermost ring, ``band`` how far a fitted path may lie from the exact one."""

    work: Area
    radius: Mm
    step_over: Mm
    open_ground: Area = ()
    known: Circles = NO_CIRCLES
    band: Band = ROUGH


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """One ring of the plane order: an open path, the way to it from the step before (None: lift), and its feed."""

    path: Chain
    way: Points | None
    feed: Feed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """Steps that begin with one way down: ``open`` ground, a helix at ``spot``, else along the ``first`` ring."""

    steps: tuple[Step, ...]
    open: bool
    spot: Spot | None
    first: Chain
    first_closed: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """The groups of a room, in the order in which they are cut."""

    room: Room
    groups: tuple[Group, ...]


def laid_out(room: Room) -> Layout:
    """The rings of a room in order."""
    edge = _edge(room)
    found = rings.nest(edge.work, radius=room.radius, step_over=room.step_over)
    if not found.rings:
        return Layout(room=room, groups=())
    chains = _fitted(found.rings, edge=edge, band=room.band)
    easy = np.array([_open_place(path, ground=room.open_ground) is not None for path in chains])
    turns = rings.order(found.rings, step_over=room.step_over, easy=easy)
    return Layout(room=room, groups=tuple(_groups(room, nest=found, chains=chains, turns=turns)))


def same_room(one: Room, other: Room) -> bool:
    """Whether two rooms are laid out alike."""
    return (
        one.radius == other.radius
        and one.step_over == other.step_over
        and one.band == other.band
        and _same(one.work, other.work)
        and _same(one.open_ground, other.open_ground)
        and np.array_equal(one.known.centres, other.known.centres)
        and np.array_equal(one.known.radii, other.known.radii)
    )


def _same(one: Area, other: Area) -> bool:
    return len(one) == len(other) and all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edge:
    """The outermost rings of a room, and each as a fitted path."""

    work: Area
    paths: tuple[Chain, ...]


def _edge(room: Room) -> _Edge:
    """The edge of a room; one of many moves is drawn in so far that the band about it lies evenly, which takes far
    fewer moves, unless the room is too narrow or too pointed for that."""
    exact = _Edge(work=room.work, paths=fitted(room.work, closed=True, band=room.band, known=room.known))
    if sum(len(path.bulges) for path in exact.paths) <= _FEW * len(exact.paths):
        return exact
    by = (room.band.left - room.band.right) / 2.0
    inner = clipper.offset(room.work, by=-by)
    lost = clipper.difference(room.work, less=clipper.offset(inner, by=2.0 * by))
    if not inner or clipper.surface(lost) > _LOST:
        return exact
    centres, radii = room.known.centres, room.known.radii
    known = Circles(centres=np.vstack((centres, centres)), radii=np.concatenate((radii - by, radii + by)))
    return _Edge(work=inner, paths=fitted(inner, closed=True, band=_even(room.band), known=known))


def _even(band: Band) -> Band:
    half = (band.left + band.right) / 2.0
    return Band(left=half, right=half)


def _fitted(found: tuple[Ring, ...], *, edge: _Edge, band: Band) -> list[Chain]:
    chains: list[Chain | None] = [None] * len(found)
    outer = [index for index, ring in enumerate(found) if ring.closed and ring.depth == 0]
    inner = [index for index, ring in enumerate(found) if ring.closed and ring.depth > 0]
    loose = [index for index, ring in enumerate(found) if not ring.closed]
    rings_ = fitted([found[index].path for index in inner], closed=True, band=_even(band))
    lines = fitted([found[index].path for index in loose], closed=False, band=_even(band))
    for indexes, fits in ((outer, edge.paths), (inner, rings_), (loose, lines)):
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


def _groups(room: Room, *, nest: rings.Nest, chains: list[Chain], turns: tuple[rings.Turn, ...]) -> list[Group]:
    fence = edges_of(room.work)
    groups: list[Group] = []
    steps: list[Step] = []
    opening: tuple[bool, Spot | None, Chain, bool] | None = None
    here: tuple[Mm, Mm] | None = None

    def finish() -> None:
        if opening is not None:
            is_open, spot, first, closed = opening
            groups.append(Group(steps=tuple(steps), open=is_open, spot=spot, first=first, first_closed=closed))

    for turn in turns:
        ring, path = nest.rings[turn.ring], chains[turn.ring]
        reached = None
        if turn.parent is not None and here is not None:
            inward = ring.closed and nest.rings[turn.parent].depth < ring.depth
            path = backwards(path) if inward else path
            reached = _reach(path, here=here, beside=chains[turn.parent], fence=fence)
        if reached is None:
            finish()
            place = _open_place(path, ground=room.open_ground)
            opening_is_open = place is not None
            spot = None if place else _spot(nest, ring=ring, work=room.work)
            if place is None:
                place = nearest(path, to=spot.centre) if spot and ring.closed else _start(path)
            run = opened_at(path, place=place) if path.closed else path
            opening = (opening_is_open, spot, run, path.closed)
            steps = [Step(path=run, way=None, feed=Feed.SLOT)]
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


def _reach(path: Chain, *, here: tuple[Mm, Mm], beside: Chain, fence: Edges) -> Step | None:
    """The path begun near ``here`` with the straight way to it; else begun beside the path ``beside``, which is cut,
    to come down there; None if no short way leads from that one either."""
    if path.closed:
        run = opened_at(path, place=nearest(path, to=here))
    else:
        ahead = np.hypot(*(path.points[0] - here))
        run = path if ahead <= np.hypot(*(path.points[-1] - here)) else backwards(path)
    straight = straight_way(fence, start=here, end=run.points[0])
    if straight is not None:
        return Step(path=run, way=straight, feed=Feed.CUT)
    landings = [nearest(beside, to=(float(run.points[0, 0]), float(run.points[0, 1]))).point]
    spread = beside.points[:: max(len(beside.points) // _LANDINGS, 1)]
    landings.extend((float(x), float(y)) for x, y in spread)
    runs = [run] if not path.closed else []
    for landing in landings:
        for start in runs or [opened_at(path, place=nearest(path, to=landing))]:
            short = straight_way(fence, start=landing, end=start.points[0], most=_BESIDE)
            if short is not None:
                return Step(path=opened_run(start, first=short), way=None, feed=Feed.CUT)
    return None


def opened_run(run: Chain, *, first: Points) -> Chain:
    """The run with a straight piece before it, from cleared ground."""
    return Chain(points=np.vstack((first[:1], run.points)), bulges=np.concatenate(([0.0], run.bulges)), closed=False)
