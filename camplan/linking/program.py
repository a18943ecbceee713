"""A batch of operations as one program's moves."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from camplan.catalogue.records import CutterKind
from camplan.catalogue.shape import radius as radius_at
from camplan.geometry.chains import Points, tessellated
from camplan.linking.order import short_tour
from camplan.linking.way import Air, Feeds, drilled, linked
from camplan.moves.records import Dwell as DwellMove
from camplan.moves.records import Line, Move, Rapid, Remark, Spindle
from camplan.operations.records import Operation, Part
from camplan.passes.records import HolePass, Pass
from camplan.units import Mm, MmPerMin, Rpm, Seconds

_FREE_SHARE = 1.5
"""Feed through cleared ground over the feed of a cut: the cutter survives it even where something stands."""
_CHORD: Mm = 0.3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """One operation with the passes or holes that carry it out."""

    operation: Operation
    passes: tuple[Pass, ...]
    holes: tuple[HolePass, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembled:
    """Moves, and for each job the indexes of its first and last move."""

    moves: tuple[Move, ...]
    spans: tuple[tuple[int, int], ...]


def assembled(jobs: Sequence[Job], *, air: Air, spin_up: Seconds, feed_max: MmPerMin) -> Assembled:
    """The moves of jobs in order: spindle on and up to speed, each job, up to the safe height, spindle off."""
    moves: list[Move] = [Spindle(rpm=jobs[0].operation.data.rpm), DwellMove(seconds=spin_up)]
    rpm: Rpm = jobs[0].operation.data.rpm
    here: tuple[Mm, Mm, Mm] | None = None
    spans: list[tuple[int, int]] = []
    for job in jobs:
        first = len(moves)
        moves.append(Remark(text=_title(job.operation)))
        if job.operation.data.rpm != rpm:
            rpm = job.operation.data.rpm
            moves.extend((Spindle(rpm=rpm), DwellMove(seconds=spin_up)))
        if here is None:
            start = _first_point(job)
            moves.extend((Rapid(to=(*start, air.high)),))
            here = (*start, air.high)
        feeds = _feeds(job.operation, feed_max=feed_max)
        made, here = linked(in_short_order(job.passes, here=(here[0], here[1])), feeds=feeds, air=air, here=here)
        moves.extend(made)
        for holes in job.holes:
            tour = short_tour(np.array(holes.at), start=(here[0], here[1]))
            ordered = replace(holes, at=tuple(holes.at[place] for place in tour))
            made, here = drilled(ordered, feed=job.operation.data.feed, air=air, here=here)
            moves.extend(made)
        spans.append((first, len(moves) - 1))
    assert here is not None
    moves.append(Rapid(to=(here[0], here[1], air.high)))
    moves.append(Spindle(rpm=0.0))
    return Assembled(moves=tuple(moves), spans=tuple(spans))


def _title(operation: Operation) -> str:
    return f"{operation.feature.spec.name}: {operation.purpose.value}, {operation.cutter.name}"


def _first_point(job: Job) -> tuple[Mm, Mm]:
    if job.passes:
        x, y = job.passes[0].strokes[0].path.points[0]
        return float(x), float(y)
    return job.holes[0].at[0]


def _feeds(operation: Operation, *, feed_max: MmPerMin) -> Feeds:
    data = operation.data
    return Feeds(
        radius=_radius(operation),
        skin=data.step_over if operation.part is Part.WALL else 0.0,
        corner=data.feed if data.corner_feed is None else min(data.corner_feed, data.feed),
        cut=data.feed,
        slot=min(data.slot_feed, data.feed),
        ramp=data.ramp_feed,
        plunge=data.plunge_feed,
        free=min(_FREE_SHARE * data.feed, feed_max),
    )


def _radius(operation: Operation) -> Mm:
    """How wide a side the cutter is where it cuts: a taper at the plate's top, not where its flutes end."""
    cutter = operation.cutter
    deep = min(-operation.levels[-1], cutter.flute_length) if operation.levels else cutter.flute_length
    if cutter.kind is not CutterKind.TAPER or deep <= 0.0:
        return cutter.diameter / 2.0
    return min(float(radius_at(cutter, height=deep)), cutter.diameter / 2.0)


def in_short_order(passes: Sequence[Pass], *, here: tuple[Mm, Mm]) -> list[Pass]:
    """The passes with their groups in the order of a short tour; within a group they stay as they are."""
    groups: dict[int, list[Pass]] = {}
    for one in passes:
        groups.setdefault(one.group, []).append(one)
    members = list(groups.values())
    if len(members) < 2:
        return list(passes)
    starts = np.array([group[0].strokes[0].path.points[0] for group in members])
    return [one for place in short_tour(starts, start=here) for one in members[place]]


def trace_moves(jobs: Sequence[Job], *, air: Air, feed: MmPerMin) -> tuple[Move, ...]:
    """The outline of all that the jobs do, walked once in the air with the spindle at rest."""
    corners = _hull(_all_points(jobs))
    if not len(corners):
        return ()
    first = (float(corners[0, 0]), float(corners[0, 1]))
    moves: list[Move] = [Rapid(to=(*first, air.high))]
    moves.extend(Line(to=(float(x), float(y), air.high), feed=feed) for x, y in corners[1:])
    moves.append(Line(to=(*first, air.high), feed=feed))
    return tuple(moves)


def _all_points(jobs: Sequence[Job]) -> Points:
    # a path comes again on every level
    paths = {id(stroke.path): stroke.path for job in jobs for one in job.passes for stroke in one.strokes}
    found: list[Points] = [tessellated(path, chord=_CHORD) for path in paths.values()]
    found.extend(np.array(holes.at) for job in jobs for holes in job.holes)
    return np.vstack(found) if found else np.zeros((0, 2))


def _hull(points: Points) -> Points:
    """Convex hull, counter-clockwise (Andrew's monotone chain, *Information Processing Letters* 9, 1979)."""
    order = np.unique(np.round(points, 4), axis=0)
    if len(order) < 3:
        return order

    def half(run: Points) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for x, y in run.tolist():
            while len(kept) > 1 and _turn(kept[-2], kept[-1], (x, y)) <= 0.0:
                kept.pop()
            kept.append((x, y))
        return kept

    lower, upper = half(order), half(order[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
