"""Parting along a contour: a slot round the part, level by level, its bridges left standing."""

import math
from dataclasses import dataclass

import numpy as np

from camplan.geometry import clipper
from camplan.geometry.along import Place, connected, direction, stretch
from camplan.geometry.chains import Chain, Points, backwards, chain, length, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import Band, Circles, fitted
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kerf:
    """``path``: closed, the wall to its right.  ``blocked``: where the tool's centre may not be at levels below
    ``bridge_top``.  ``room``: sideways room in the kerf for leads (0: the kerf is being opened)."""

    path: Chain
    blocked: Area
    bridge_top: Mm
    top: Mm
    levels: tuple[Mm, ...]
    diameter: Mm
    descent: Descent
    room: Mm
    band: Band
    known: Circles


def kerf_passes(job: Kerf) -> tuple[Pass, ...]:
    """The slot opened from the top to the last level: round and down above the bridges, to and fro between them."""
    clear = [level for level in job.levels if not job.blocked or level >= job.bridge_top - 1e-9]
    barred = [level for level in job.levels if level not in clear]
    passes: list[Pass] = []
    above = clear[-1] if clear else job.top
    if clear:
        down = slotted_round(job.path, top=job.top, levels=clear, descent=job.descent)
        passes.append(Pass(strokes=tuple(down), free=job.top))
    for between in _stretches(job) if barred else []:
        strokes: list[Stroke] = []
        reached, run = above, between
        for level in barred:
            start = reached if strokes else reached + _GAP
            strokes.extend(ramp_to_and_fro(run, descent=job.descent, start=start, end=level))
            strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
            run, reached = backwards(run), level
        passes.append(Pass(strokes=tuple(strokes), free=above))
    return tuple(passes)


def kerf_wall_passes(job: Kerf, *, work: Area, opened: Area) -> tuple[tuple[Pass, ...], bool]:
    """The kerf's wall at its final size: laps above the bridges, runs between them below; whether all leads are
    tangent arcs.  ``work`` is where the tool's centre stands within the kerf, ``opened`` where it
    stands clear of both walls."""
    clear = tuple(level for level in job.levels if not job.blocked or level >= job.bridge_top - 1e-9)
    barred = [level for level in job.levels if level not in clear]
    passes: list[Pass] = []
    tangent = True
    if clear:
        found, tangent = wall_passes(
            Wall(
                path=job.path,
                work=work,
                ground=opened,
                diameter=job.diameter,
                top=job.top,
                levels=clear,
                room=job.room,
                descent=job.descent,
            )
        )
        passes.extend(found)
    for between in _stretches(job) if barred else []:
        run, arcs = _led_between(between, room=job.room, radius=_LEAD * job.diameter)
        tangent = tangent and arcs
        for level in barred:
            first = (float(run.points[0, 0]), float(run.points[0, 1]))
            down = straight_down(first, start=level + _GAP, end=level, feed=Feed.FREE)
            passes.append(Pass(strokes=(down, level_stroke(run, z=level, feed=Feed.CUT)), free=level))
    return tuple(passes), tangent


def _led_between(wall: Chain, *, room: Mm, radius: Mm) -> tuple[Chain, bool]:
    """A wall between two bridges with its ways on and off it, and whether they are tangent arcs.

    Both begin beside the wall's ends, in the opened kerf.  An arc takes as much of the wall beside the bridge as it is
    long, which goes when the bridge is cut; a wall too short or too bent there is met by a square step."""
    total = length(wall)
    taken = math.sqrt(max(2.0 * radius * room - room**2, room**2))
    sides = [
        wall.points[index] + room * np.array([-heading[1], heading[0]])
        for index, heading in ((0, _end_heading(wall, last=False)), (-1, _end_heading(wall, last=True)))
    ]
    if total >= _LEAST_WALL * taken:
        run = stretch(wall, start=taken, end=total - taken)
        back = backwards(run)
        on = _tangent(sides[0], to=run.points[0], heading=_end_heading(run, last=False))
        off = _tangent(sides[1], to=run.points[-1], heading=_end_heading(back, last=False))
        if 0.0 < on < _STEEPEST and -_STEEPEST < off < 0.0:
            arrive = chain([sides[0], run.points[0]], bulges=[math.tan(on / 2.0)])
            leave = chain([run.points[-1], sides[1]], bulges=[math.tan(-off / 2.0)])
            return connected([arrive, run, leave]), True
    return connected([chain([sides[0], wall.points[0]]), wall, chain([wall.points[-1], sides[1]])]), False


def _end_heading(path: Chain, *, last: bool) -> tuple[float, float]:
    segment = len(path.bulges) - 1 if last else 0
    return direction(path, place=Place(segment=segment, part=1.0 if last else 0.0, point=(0.0, 0.0), distance=0.0))


def _tangent(start: Points, *, to: Points, heading: tuple[float, float]) -> Rad:
    """The angle by which the chord of an arc has to turn to the left to leave its end in a direction."""
    chord = to - start
    cross = chord[0] * heading[1] - chord[1] * heading[0]
    return math.atan2(float(cross), float(chord[0] * heading[0] + chord[1] * heading[1]))


def _stretches(job: Kerf) -> tuple[Chain, ...]:
    """The parts of the path between bridges, in the direction of the path."""
    points = tessellated(job.path, chord=0.0005)
    ring = np.vstack((points, points[:1]))
    parts = clipper.rejoined(clipper.cut_lines([ring], area=job.blocked, inside=False))
    order = sorted(parts, key=lambda part: int(np.argmin(np.hypot(*(points - part[len(part) // 2]).T))))
    return fitted(order, closed=False, band=job.band, known=job.known)
