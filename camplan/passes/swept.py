"""Clearing a room by fronts: the arc of the edge in material stays about the same all the way.

Takes a `Room` as rings do.  The ground grows from a helix in the roomiest place, from open ground, or, where the room
is too narrow for a helix, from a slot along a straight ramp.  What is too narrow for any front is cut along its
edge at the feed for slots, and is marked as such.
"""

import math
from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.along import connected
from camplan.geometry.chains import Chain, Points, chain, circle, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.edges import edges_of, straight_way
from camplan.geometry.fitting import Band, fitted
from camplan.passes import entry
from camplan.passes.entry import Spot
from camplan.passes.front_links import Bound, joined
from camplan.passes.fronts import SHARPEST, Growth, fronts
from camplan.passes.layout import Room
from camplan.passes.records import Feed
from camplan.units import Mm, Rad

ABOVE: Rad = math.radians(3.5)
"""Smooth fronts are laid out for this much more of the edge in material than a straight cut of the step-over meets."""
_HELIX = 0.4
_NARROWEST = 0.15
"""Path radii of helices over the cutter's diameter, as in `entry`."""
_LEFT: Mm = 0.03
"""What is farther than this from the last front is cut in a slot."""
_SEAM: Mm = 0.004
_WAYS = 36
_LONG = 1.5
_THIN: Mm = 0.001
_FEWER: Mm = 0.0005
"""Vertices of the edge are dropped to within this: offsets take the square of their number."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sweep:
    """One cut: an open ``path`` at ``feed``; ``link`` leads to it at depth from the one before (from the helix, for
    the first) through ground cleared by then; None: lift and come down at the path's first point, round which all is
    ``clear`` for the cutter or not."""

    path: Chain
    link: Chain | None
    feed: Feed
    clear: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweptGroup:
    """Sweeps that begin with one way down: in ``open`` ground, by a helix at ``spot`` with the tool's centre on a
    circle of radius ``helix``, else along the first sweep."""

    sweeps: tuple[Sweep, ...]
    open: bool
    spot: Spot | None
    helix: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweptLayout:
    """The groups of a room, in the order in which they are cut."""

    room: Room
    groups: tuple[SweptGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Begin:
    """Ground cleared first, and where the cutter is then."""

    ground: Area
    bend: Mm
    at: Points
    heading: Rad
    open: bool
    spot: Spot | None
    helix: Mm
    slot: Chain | None


def swept_by_fronts(room: Room, *, both_ways: bool) -> SweptLayout:
    """The sweeps of a room in order; ``both_ways``: cuts may have material to the left as well as to the right."""
    work, band = _drawn_in(room)
    groups = [_group(piece, band=band, room=room, both_ways=both_ways) for piece in clipper.pieces(work)]
    return SweptLayout(room=room, groups=tuple(groups))


def _drawn_in(room: Room) -> tuple[Area, Band]:
    """The room's work drawn in by half of its band, so that fitted paths may lie to either side; as it is where that
    would lose a part of it."""
    by = (room.band.left - room.band.right) / 2.0 + _FEWER
    inner = clipper.simplified(clipper.offset(room.work, by=-by), within=_FEWER)
    lost = clipper.difference(room.work, less=clipper.offset(inner, by=by + 2.0 * _SEAM))
    if inner and not lost and len(clipper.pieces(inner)) == len(clipper.pieces(room.work)):
        half = 0.8 * (room.band.left + room.band.right) / 2.0
        return inner, Band(left=half, right=half)
    return room.work, Band(left=room.band.right, right=room.band.right)


def _group(work: Area, *, band: Band, room: Room, both_ways: bool) -> SweptGroup:
    begin = _begin(work, room=room)
    if begin is None:
        slots = _fitted(_rims(work, ground=()), band=band)
        return SweptGroup(
            sweeps=tuple(Sweep(path=path, link=None, feed=Feed.SLOT) for path in slots),
            open=False,
            spot=None,
            helix=0.0,
        )
    angle = math.acos(1.0 - room.step_over / room.radius) + ABOVE
    growth = Growth(work=work, begun=begin.ground, radius=room.radius, angle=angle, bend=begin.bend)
    found = tuple(fronts(growth))
    bound = joined(
        found,
        begun=begin.ground,
        start=begin.at,
        heading=begin.heading,
        radius=room.radius,
        step=room.step_over,
        both_ways=both_ways,
    )
    sweeps = [] if begin.slot is None else [Sweep(path=begin.slot, link=None, feed=Feed.SLOT)]
    sweeps.extend(_sweeps(bound, band=band, lifted=begin.open, slotted=begin.slot is not None))
    last = found[-1].area if found else begin.ground
    rims = _fitted(_rims(work, ground=last), band=band)
    sweeps.extend(Sweep(path=path, link=None, feed=Feed.SLOT) for path in rims)
    return SweptGroup(sweeps=tuple(sweeps), open=begin.open, spot=begin.spot, helix=begin.helix)


def _begin(work: Area, *, room: Room) -> _Begin | None:
    radius = room.radius
    ground = clipper.intersection(work, with_=room.open_ground)
    if clipper.offset(ground, by=-SHARPEST):
        at = ground[0][0]
        return _Begin(ground=ground, bend=0.25 * radius, at=at, heading=0.0, open=True, spot=None, helix=0.0, slot=None)
    spot = entry.roomiest(work, within=work)
    if spot is None or spot.radius < 2.0 * SHARPEST:
        return None
    if spot.radius >= _NARROWEST * 2.0 * radius:
        helix = min(spot.radius, _HELIX * 2.0 * radius)
        disc = tessellated(circle(spot.centre, radius=helix), chord=tolerance.CHORD)
        return _Begin(
            ground=(disc,),
            bend=0.9 * helix,
            at=np.array([spot.centre[0] + helix, spot.centre[1]]),
            heading=math.pi / 2.0,
            open=False,
            spot=spot,
            helix=helix,
            slot=None,
        )
    line = _ramp(work, spot=spot, most=_LONG * 2.0 * radius)
    way = line[1] - line[0]
    return _Begin(
        ground=clipper.intersection(clipper.around([line], by=_THIN), with_=work),
        bend=0.5 * spot.radius,
        at=line[1],
        heading=math.atan2(way[1], way[0]),
        open=False,
        spot=None,
        helix=0.0,
        slot=chain(line),
    )


def _ramp(work: Area, *, spot: Spot, most: Mm) -> Points:
    """The longest straight line through a spot, up to ``most``."""
    edges = edges_of(work)
    centre = np.asarray(spot.centre)
    found = np.vstack((centre, centre))
    for turn in range(_WAYS):
        angle = math.pi * turn / _WAYS
        way = np.array([math.cos(angle), math.sin(angle)])
        reach = [0.0, 0.0]
        for end, sign in enumerate((-1.0, 1.0)):
            size = most / 2.0
            while size > _SEAM and straight_way(edges, start=centre, end=centre + sign * size * way) is None:
                size *= 0.8
            reach[end] = size
        if sum(reach) > float(np.hypot(*(found[1] - found[0]))) + 1e-9:
            found = np.vstack((centre - reach[0] * way, centre + reach[1] * way))
    return found


def _rims(work: Area, *, ground: Area) -> list[Points]:
    """The parts of the edge that the ground does not reach."""
    rims = [np.vstack((ring, ring[:1])) for ring in work]
    if not ground:
        return rims
    parts = clipper.rejoined(clipper.cut_lines(rims, area=clipper.offset(ground, by=_SEAM), inside=False))
    far = clipper.offset(ground, by=_LEFT)
    return [part for part in parts if clipper.cut_lines([part], area=far, inside=False)]


def _fitted(lines: list[Points], *, band: Band) -> tuple[Chain, ...]:
    return fitted([_apart(line) for line in lines], closed=False, band=band)


def _apart(line: Points) -> Points:
    """The line without points that repeat the one before."""
    keep = np.concatenate(([True], np.hypot(*np.diff(line, axis=0).T) > tolerance.SAME_POINT))
    return line[keep]


def _sweeps(bound: tuple[Bound, ...], *, band: Band, lifted: bool, slotted: bool) -> list[Sweep]:
    paths = _fitted([one.line for one in bound], band=band)
    sweeps: list[Sweep] = []
    for number, (one, path) in enumerate(zip(bound, paths, strict=True)):
        whole = connected([one.lead, path]) if one.lead is not None else path
        link = None if lifted and number == 0 else one.link
        # about a slot's ends the first front meets more than the others
        feed = Feed.SLOT if slotted and number == 0 else Feed.EVEN
        sweeps.append(Sweep(path=whole, link=link, feed=feed, clear=one.lead is not None))
    return sweeps
