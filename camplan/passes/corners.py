"""Corners and necks: a smaller cutter clears only what a larger one left.

What is left, grown by the cutter's radius, is where its centre has work to do.  The paths there are the offsets of
the wall, cut from the open side towards the corner, so that the cutter bites a little at a time.
"""

from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.along import at_length
from camplan.geometry.chains import Chain, Points, backwards, chain, length
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.edges import Edges, edges_of, holds, straight_way
from camplan.geometry.fitting import Circles, fitted
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.entry import Descent, straight_down
from camplan.passes.layout import WALL_BAND, Room, laid_out
from camplan.passes.records import Feed, Pass, Stroke, grouped, level_stroke
from camplan.units import Mm

_GAP: Mm = 0.2
_MARGIN: Mm = 0.1
_THIN: Mm = 0.0024


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """``work``: where the tool's centre may be; ``rest``: what is left that it can reach; ``ground``: where it
    stands clear of everything left."""

    work: Area
    rest: Area
    ground: Area
    radius: Mm
    step_over: Mm
    top: Mm
    levels: tuple[Mm, ...]
    descent: Descent
    known: Circles


def rest_of(want: Area, *, done: Area, reach: Area) -> Area:
    """What of ``want`` is not ``done`` and can be reached, less slivers no thicker than the fit of a path."""
    left = clipper.difference(clipper.intersection(want, with_=reach), less=clipper.offset(done, by=_THIN / 2.0))
    return tuple(ring for piece in clipper.pieces(left) if clipper.offset(piece, by=-_THIN / 2.0) for ring in piece)


def corner_passes(job: Corners) -> Cleared:
    """The passes that clear the rest, corner by corner, all levels of one before the next."""
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    if not job.rest:
        return Cleared(passes=(), ways=(), shut=())
    near = clipper.intersection(job.work, with_=clipper.offset(job.rest, by=job.radius + _MARGIN))
    family = _family(job, near=near)
    ground = edges_of(clipper.offset(job.ground, by=tolerance.GOUGE))
    parts = clipper.pieces(near)
    every = _all_runs(job, pieces=parts, family=family, ground=ground)
    for number, (piece, runs) in enumerate(zip(parts, every, strict=True)):
        if runs:
            passes.extend(grouped(_levels(job, runs=runs, ground=ground), group=number))
            ways.append("enters from ground cleared before")
            continue
        alone = cleared(
            Clearing(
                layout=laid_out(Room(work=piece, radius=job.radius, step_over=job.step_over, band=WALL_BAND)),
                top=job.top,
                levels=job.levels,
                descent=job.descent,
            )
        )
        passes.extend(grouped(alone.passes, group=number))
        ways.extend(alone.ways)
        shut.extend(alone.shut)
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=tuple(shut))


def _family(job: Corners, *, near: Area) -> list[Area]:
    """The wall path and its offsets inward, as far as any of them passes through ``near``."""
    found: list[Area] = []
    current = job.work
    while current and clipper.intersection(current, with_=near):
        found.append(current)
        current = simplified(clipper.offset(current, by=-job.step_over))
    return found


def _all_runs(job: Corners, *, pieces: tuple[Area, ...], family: list[Area], ground: Edges) -> list[list[Chain] | None]:
    """For each piece its open paths, from the innermost to the wall, each with an end on cleared ground; None if some
    path has none."""
    fences = [edges_of(clipper.offset(piece, by=tolerance.GOUGE)) for piece in pieces]
    whole = clipper.union([clipper.offset(piece, by=tolerance.GOUGE) for piece in pieces])
    paths: list[Points] = []
    owners: list[int] = []
    walls = 0
    for number, rings in enumerate(family):
        lines = [np.vstack((ring, ring[:1])) for ring in rings]
        for part in clipper.rejoined(clipper.cut_lines(lines, area=whole, inside=True)):
            middle = chain(part)
            at = at_length(middle, length=length(middle) / 2.0).point
            owner = next((index for index, fence in enumerate(fences) if holds(fence, point=at)), None)
            if owner is not None and length(middle) > 2.0 * _MARGIN:
                paths.append(part)
                owners.append(owner)
        walls = len(paths) if number == 0 else walls
    fits = (
        *fitted(paths[:walls], closed=False, band=WALL_BAND, known=job.known),
        *fitted(paths[walls:], closed=False, band=WALL_BAND),
    )
    found: list[list[Chain] | None] = [[] for _ in pieces]
    for path, owner in reversed(list(zip(fits, owners, strict=True))):
        mine = found[owner]
        if mine is None:
            continue
        if holds(ground, point=path.points[0]):
            mine.append(path)
        elif holds(ground, point=path.points[-1]):
            mine.append(backwards(path))
        else:
            found[owner] = None
    return found


def _levels(job: Corners, *, runs: list[Chain], ground: Edges) -> list[Pass]:
    passes: list[Pass] = []
    strokes: list[Stroke] = []
    free = job.top
    for level in job.levels:
        for number, run in enumerate(runs):
            begin = (float(run.points[0, 0]), float(run.points[0, 1]))
            way = _way(strokes[-1].path if strokes else None, to=run, ground=ground) if strokes else None
            if way is None:
                if strokes:
                    passes.append(Pass(strokes=tuple(strokes), free=free))
                strokes, free = [straight_down(begin, start=level + _GAP, end=level, feed=Feed.FREE)], job.top
            else:
                here = float(strokes[-1].z[-1])
                strokes.extend(level_stroke(path, z=here, feed=Feed.FREE) for path in way)
                if here != level:
                    strokes.append(straight_down(begin, start=here, end=level, feed=Feed.FREE))
            strokes.append(level_stroke(run, z=level, feed=Feed.SLOT if number == 0 else Feed.CUT))
    if strokes:
        passes.append(Pass(strokes=tuple(strokes), free=free))
    return passes


def _way(last: Chain | None, *, to: Chain, ground: Edges) -> list[Chain] | None:
    """From the end of the path just cut to the next one's start: straight over cleared ground, or back the way it
    came and on; None: lift."""
    if last is None:
        return None
    here, there = last.points[-1], to.points[0]
    if np.hypot(*(here - there)) < tolerance.SAME_POINT:
        return []
    straight = straight_way(ground, start=here, end=there)
    if straight is not None:
        return [chain(straight)]
    aside = straight_way(ground, start=last.points[0], end=there) if length(last) < 12.0 else None
    if aside is not None:
        back = backwards(last)
        return [back, chain(aside)] if np.hypot(*(aside[1] - aside[0])) > tolerance.SAME_POINT else [back]
    return None
