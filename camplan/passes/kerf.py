"""Parting along a contour: a slot round the part, level by level, its bridges left standing."""

from dataclasses import dataclass

import numpy as np

from camplan.geometry import clipper
from camplan.geometry.along import Place, connected, direction, opened_at
from camplan.geometry.chains import Chain, backwards, chain, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import Band, Circles, fitted
from camplan.passes.entry import Descent, ramp_round, ramp_to_and_fro, straight_down
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.passes.wall import Wall, wall_passes
from camplan.units import Mm

_GAP: Mm = 0.2


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
    """The slot opened from the top to the last level: round and down in one spiral, then one lap level."""
    clear = [level for level in job.levels if not job.blocked or level >= job.bridge_top - 1e-9]
    barred = [level for level in job.levels if level not in clear]
    passes: list[Pass] = []
    strokes: list[Stroke] = []
    above = job.top
    lap = opened_at(job.path, place=Place(segment=0, part=0.0, point=(0.0, 0.0), distance=0.0))
    for level in clear:
        start = above if strokes else above + _GAP
        strokes.extend(ramp_round(lap, descent=job.descent, start=start, end=level))
        above = level
    if strokes:
        strokes.append(level_stroke(lap, z=above, feed=Feed.SLOT))
        passes.append(Pass(strokes=tuple(strokes), free=job.top))
    for stretch in _stretches(job) if barred else []:
        strokes, reached, run = [], above, stretch
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
    for stretch in _stretches(job) if barred else []:
        for level in barred:
            passes.append(_stretch_pass(stretch, level=level, room=job.room))
    return tuple(passes), tangent


def _stretch_pass(stretch: Chain, *, level: Mm, room: Mm) -> Pass:
    """A wall between two bridges: down in the opened kerf, a step onto the wall, along, and a step off it."""
    ends = (
        direction(stretch, place=Place(segment=0, part=0.0, point=(0.0, 0.0), distance=0.0)),
        direction(stretch, place=Place(segment=len(stretch.bulges) - 1, part=1.0, point=(0.0, 0.0), distance=0.0)),
    )
    first, last = (
        stretch.points[index] + room * np.array([-heading[1], heading[0]])
        for index, heading in zip((0, -1), ends, strict=True)
    )
    run = connected([chain([first, stretch.points[0]]), stretch, chain([stretch.points[-1], last])])
    down = straight_down((float(first[0]), float(first[1])), start=level + _GAP, end=level, feed=Feed.FREE)
    return Pass(strokes=(down, level_stroke(run, z=level, feed=Feed.CUT)), free=level)


def _stretches(job: Kerf) -> tuple[Chain, ...]:
    """The parts of the path between bridges, in the direction of the path."""
    points = tessellated(job.path, chord=0.0005)
    ring = np.vstack((points, points[:1]))
    parts = clipper.rejoined(clipper.cut_lines([ring], area=job.blocked, inside=False))
    order = sorted(parts, key=lambda part: int(np.argmin(np.hypot(*(points - part[len(part) // 2]).T))))
    return fitted(order, closed=False, band=job.band, known=job.known)
