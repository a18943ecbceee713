"""Parting along a contour: a slot round the part, level by level, its bridges left standing."""

import math
from dataclasses import dataclass

import numpy as np

from camplan.geometry import clipper
from camplan.geometry.along import Place, at_length, connected, direction, nearest, stretch
from camplan.geometry.chains import Chain, Points, backwards, chain, length, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, edges_of, holds
from camplan.geometry.fitting import Band, Circles, fitted
from camplan.passes.again import runs_through
from camplan.passes.entry import Descent, ramp_to_and_fro, straight_down
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.passes.slots import slotted_round
from camplan.passes.wall import Wall, wall_passes
from camplan.units import Mm, Rad

_GAP: Mm = 0.2
_LEAD = 0.25
"""Radius of a lead between bridges over the cutter's diameter (common practice, no source)."""
_LEAST_WALL = 4.0
"""A wall between bridges is at least this many leads long, or gets none."""
_STEEPEST = math.radians(45.0)
_STEP: Mm = 0.02
_ON_EDGE: Mm = 0.002
_FINE: Mm = 0.0002


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kerf:
    """``path``: closed, the wall to its right.  ``blocked``: where the tool's centre may not be at levels below
    ``bridge_top``, ``shut``: at no level; ``needed``: stretches that do not run through it were cut before (None: none
    were).  ``room``: sideways room in the kerf for leads (0: the kerf is being
    opened)."""

    path: Chain
    blocked: Area
    shut: Area
    bridge_top: Mm
    top: Mm
    levels: tuple[Mm, ...]
    diameter: Mm
    descent: Descent
    room: Mm
    band: Band
    known: Circles
    needed: Area | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Storey:
    """Levels at which the same ``barred`` figure interrupts the path, below ``top``; nothing does if it is empty."""

    levels: tuple[Mm, ...]
    top: Mm
    barred: Area


def _storeys(job: Kerf) -> tuple[_Storey, ...]:
    """The levels above the bridges, and those between them."""
    ring = _ring(job.path)
    shut = job.shut if clipper.cut_lines([ring], area=job.shut, inside=True) else ()
    bridged = bool(clipper.cut_lines([ring], area=job.blocked, inside=True))
    upper = tuple(level for level in job.levels if not bridged or level >= job.bridge_top - 1e-9)
    lower = job.levels[len(upper) :]
    found = [_Storey(levels=upper, top=job.top, barred=shut)] if upper else []
    if lower:
        top = upper[-1] if upper else job.top
        found.append(_Storey(levels=lower, top=top, barred=clipper.union([shut, job.blocked])))
    return tuple(found)


def kerf_passes(job: Kerf) -> tuple[Pass, ...]:
    """The slot opened from the top to the last level: round and down where the path is whole, else to and fro."""
    passes: list[Pass] = []
    for storey in _storeys(job):
        if not storey.barred:
            down = slotted_round(job.path, top=storey.top, levels=storey.levels, descent=job.descent)
            passes.append(Pass(strokes=tuple(down), free=storey.top))
            continue
        for between in _stretches(job, barred=storey.barred):
            strokes: list[Stroke] = []
            reached, run = storey.top, between
            for level in storey.levels:
                start = reached if strokes else reached + _GAP
                strokes.extend(ramp_to_and_fro(run, descent=job.descent, start=start, end=level))
                strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
                run, reached = backwards(run), level
            passes.append(Pass(strokes=tuple(strokes), free=storey.top))
    return tuple(passes)


def kerf_wall_passes(job: Kerf, *, work: Area, opened: Area) -> tuple[tuple[Pass, ...], bool]:
    """The kerf's wall at its final size: laps where the path is whole, else runs; whether all leads are tangent arcs.
    ``work`` is where the tool's centre stands within the kerf, ``opened`` where it stands clear of both walls."""
    passes: list[Pass] = []
    tangent = True
    for storey in _storeys(job):
        if not storey.barred:
            wall = Wall(
                path=job.path,
                work=work,
                ground=opened,
                diameter=job.diameter,
                top=job.top,
                levels=storey.levels,
                room=job.room,
                descent=job.descent,
            )
            found, arcs = wall_passes(wall)
            passes.extend(found)
            tangent = tangent and arcs
            continue
        fence = edges_of(clipper.offset(storey.barred, by=-_ON_EDGE))
        for between in _stretches(job, barred=storey.barred):
            led = _led_between(between, room=job.room, radius=_LEAD * job.diameter, fence=fence)
            if led is None:
                continue
            tangent = tangent and led[1]
            first = (float(led[0].points[0, 0]), float(led[0].points[0, 1]))
            for level in storey.levels:
                down = straight_down(first, start=level + _GAP, end=level, feed=Feed.FREE)
                passes.append(Pass(strokes=(down, level_stroke(led[0], z=level, feed=Feed.CUT)), free=level))
    return tuple(passes), tangent


def lead_room(*, radius: Mm, room: Mm) -> Mm:
    """How much of a wall between bridges the way on or off it takes, for a cutter's ``radius``."""
    lead = 2.0 * _LEAD * radius
    return math.sqrt(max(2.0 * lead * room - room**2, room**2))


def _led_between(wall: Chain, *, room: Mm, radius: Mm, fence: Edges) -> tuple[Chain, bool] | None:
    """A run along a wall between two bridges with its ways on and off it, and whether they are tangent arcs; None if
    there is no room for any.

    It begins and ends beside the wall, in the opened kerf and outside the ``fence``.  An arc takes as much of the wall
    beside the bridge as it is long, which goes when the bridge is cut; a wall too short or too bent there is met by a
    square step."""
    total = length(wall)
    first = _beside(wall, room=room, fence=fence)
    last = _beside(backwards(wall), room=-room, fence=fence)
    if first is None or last is None or first.along + last.along >= total:
        return None
    taken = lead_room(radius=radius / (2.0 * _LEAD), room=room)
    if total - first.along - last.along >= _LEAST_WALL * taken:
        run = stretch(wall, start=first.along + taken, end=total - last.along - taken)
        on = _tangent(first.at, to=run.points[0], heading=_end_heading(run, last=False))
        off = _tangent(last.at, to=run.points[-1], heading=_end_heading(backwards(run), last=False))
        arrive = chain([first.at, run.points[0]], bulges=[math.tan(on / 2.0)])
        leave = chain([run.points[-1], last.at], bulges=[math.tan(-off / 2.0)])
        gentle = 0.0 < on < _STEEPEST and -_STEEPEST < off < 0.0
        if gentle and all(_in_kerf(arc, wall=wall, room=room) for arc in (arrive, leave)):
            return connected([arrive, run, leave]), True
    run = stretch(wall, start=first.along, end=total - last.along)
    return connected([chain([first.at, run.points[0]]), run, chain([run.points[-1], last.at])]), False


def _in_kerf(arc: Chain, *, wall: Chain, room: Mm) -> bool:
    """Whether an arc lies to the left of a wall, no farther from it than there is room."""
    for point in tessellated(stretch(arc, start=_STEP, end=length(arc) - _STEP), chord=_FINE):
        place = nearest(wall, to=(float(point[0]), float(point[1])))
        dx, dy = direction(wall, place=place)
        left = dx * (point[1] - place.point[1]) - dy * (point[0] - place.point[0])
        if place.distance > room + _FINE or (left < 0.0 and place.distance > _FINE):
            return False
    return True


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """A point ``at`` the side of a wall, square to a place some way ``along`` it."""

    along: Mm
    at: Points


def _beside(wall: Chain, *, room: Mm, fence: Edges) -> _Side | None:
    """The first place along a wall beside which, ``room`` to the left, the tool's centre may be."""
    total = length(wall)
    for number in range(math.ceil(total / 2.0 / _STEP)):
        place = at_length(wall, length=number * _STEP)
        dx, dy = direction(wall, place=place)
        at = np.array(place.point) + room * np.array([-dy, dx])
        if not holds(fence, point=at):
            return _Side(along=number * _STEP, at=at)
    return None


def _end_heading(path: Chain, *, last: bool) -> tuple[float, float]:
    segment = len(path.bulges) - 1 if last else 0
    return direction(path, place=Place(segment=segment, part=1.0 if last else 0.0, point=(0.0, 0.0), distance=0.0))


def _tangent(start: Points, *, to: Points, heading: tuple[float, float]) -> Rad:
    """The angle by which the chord of an arc has to turn to the left to leave its end in a direction."""
    chord = to - start
    cross = chord[0] * heading[1] - chord[1] * heading[0]
    return math.atan2(float(cross), float(chord[0] * heading[0] + chord[1] * heading[1]))


def _ring(path: Chain) -> Points:
    points = tessellated(path, chord=0.0005)
    return np.vstack((points, points[:1]))


def _stretches(job: Kerf, *, barred: Area) -> tuple[Chain, ...]:
    """The parts of the path beside what bars it, in the direction of the path."""
    ring = _ring(job.path)
    parts = clipper.rejoined(clipper.cut_lines([ring], area=barred, inside=False))
    if job.needed is not None:
        parts = [part for part in parts if runs_through(part, area=job.needed)]
    order = sorted(parts, key=lambda part: int(np.argmin(np.hypot(*(ring[:-1] - part[len(part) // 2]).T))))
    return fitted(order, closed=False, band=job.band, known=job.known)
