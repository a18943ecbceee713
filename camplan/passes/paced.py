"""Feeds that follow the load along rings: the engagement is measured in the plane, once for all levels.

Takes the paths of one group of rings in their order and what stood before; gives the same paths in pieces, each with a
feed that is borne all along it.  What other groups clear in the meantime counts as standing, so that no more is engaged
than is thought.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.cutting.records import LoadFeeds
from camplan.geometry.along import at_lengths, parted
from camplan.geometry.chains import Chain, Points, segment_lengths, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.raster import inside
from camplan.passes.records import Feed
from camplan.units import S_PER_MIN, Mm, MmPerMin, Rad, Seconds

_FINE = 40.0
_CELLS = 2e7
"""Pixels a radius, and no more of them in all."""
_STEPS = 10.0
"""Samples a radius of path."""
_TURNS = 360
_SPOKES = 120
_LAG = 11.0
"""Pixels by which what the path itself clears stays behind the place that is asked: what is about to be cut stands."""
_RIM = 0.25
"""Pixels inside the edge at which stock is looked for."""
_KNOWN: Rad = 0.07
"""What arcs may be off: the edge of a straight ring must not count as more than its step over."""
_LEAST: Mm = 1.0
"""No stretch at one feed is shorter (common practice, no source)."""
_WORTH: Seconds = 0.02
"""A change of feed saves at least so much on each level (common practice, no source)."""
_MORE, _A_LEG = 1.0 / 3.0, 4
"""Most moves that feeds add to a group: over those that it has, or for each of its paths if that is more."""
_SHARP: Rad = math.radians(20.0)
"""A turn by more than this is a corner."""
_CHORD: Mm = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pacing:
    """What a cutter of ``radius`` may be fed at by its engagement, and what of the plate ``stands`` at the levels."""

    radius: Mm
    feeds: LoadFeeds
    stands: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leg:
    """A level path with the kind of its feed, and the feed that its load allows (None: not measured)."""

    path: Chain
    feed: Feed
    pace: MmPerMin | None = None


def paced(
    steps: Sequence[tuple[Leg, ...]], *, before: tuple[Chain, ...], pacing: Pacing
) -> tuple[tuple[Leg, ...], ...]:
    """The legs of each step in pieces with a feed each, after the paths ``before`` were cut."""
    legs = [leg for step in steps for leg in step]
    loads = engaged_along([leg.path for leg in legs], before=before, pacing=pacing)
    runs = _worth(
        [_runs(leg.path, engaged=load, feeds=pacing.feeds) for leg, load in zip(legs, loads, strict=True)],
        least=max(_LEAST, pacing.feeds.settle),
        more=max(_MORE * sum(len(leg.path.bulges) for leg in legs), _A_LEG * len(legs)),
    )
    pieces = [
        tuple(
            replace(leg, path=path, pace=pace)
            for path, pace in zip(parted(leg.path, at=run.ends[:-1]), run.feeds.tolist(), strict=True)
        )
        for leg, run in zip(legs, runs, strict=True)
    ]
    ends = np.cumsum([0, *(len(step) for step in steps)]).tolist()
    return tuple(tuple(piece for leg in pieces[a:b] for piece in leg) for a, b in pairwise(ends))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engaged:
    """Stretches of a path up to the lengths ``ends`` (n,) and the ``arc`` (rad) that is engaged in each; which begin
    ``sharp``: after a corner."""

    ends: NDArray[np.float64]
    arc: NDArray[np.float64]
    sharp: NDArray[np.bool_]


def engaged_along(paths: Sequence[Chain], *, before: tuple[Chain, ...], pacing: Pacing) -> tuple[Engaged, ...]:
    """The engagement along paths that are cut in their order, after the paths ``before``.

    An arc in the middle of the cutter's front counts as the one beside a free side whose chip is as thick.
    """
    every = (*before, *paths)
    field = _field(every, pacing=pacing)
    cells = [_cells(path, radius=pacing.radius) for path in every]
    first = sum(len(one.ends) for one in cells[: len(before)])
    arcs = _walked(_joined(cells, field=field), field=field, first=first)[first:]
    mine = cells[len(before) :]
    parts = np.split(arcs, np.cumsum([len(one.ends) for one in mine])[:-1])
    return tuple(Engaged(ends=one.ends, arc=arc, sharp=one.sharp) for one, arc in zip(mine, parts, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Field:
    """What stands, on a raster from the lower left ``corner`` on, and the cutter on it: its ``disc``, ``reach`` pixels
    about its middle, and by direction the offsets (turns, spokes) of the pixels under the leading half of its edge."""

    stands: NDArray[np.bool_]
    corner: tuple[Mm, Mm]
    pixel: Mm
    reach: int
    disc: NDArray[np.bool_]
    up: NDArray[np.int64]
    right: NDArray[np.int64]
    off: NDArray[np.float64]
    unknown: Rad


def _field(paths: Sequence[Chain], *, pacing: Pacing) -> _Field:
    radius = pacing.radius
    points = np.vstack([tessellated(path, chord=_CHORD) for path in paths])
    low, high = points.min(axis=0) - 2.0 * radius, points.max(axis=0) + 2.0 * radius
    size = high - low
    pixel = max(radius / _FINE, math.sqrt(float(size[0] * size[1]) / _CELLS))
    shape = (math.ceil(size[1] / pixel) + 1, math.ceil(size[0] / pixel) + 1)
    corner = (float(low[0]), float(low[1]))
    reach = math.ceil(radius / pixel) + 1
    grid = np.arange(-reach, reach + 1) * pixel
    off = (np.arange(_SPOKES) + 0.5) / _SPOKES * math.pi - math.pi / 2.0
    turned = np.radians(np.arange(_TURNS) * (360.0 / _TURNS))[:, None] + off[None, :]
    rim = (radius - _RIM * pixel) / pixel
    return _Field(
        stands=inside(pacing.stands, corner=corner, pixel=pixel, shape=shape),
        corner=corner,
        pixel=pixel,
        reach=reach,
        disc=np.hypot(grid[:, None], grid[None, :]) <= radius,
        up=np.rint(rim * np.sin(turned)).astype(np.int64),
        right=np.rint(rim * np.cos(turned)).astype(np.int64),
        off=np.abs(off),
        unknown=max(2.0 * pixel / radius - _KNOWN, 0.0),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cells:
    """Stretches of a path up to ``ends`` (n,), none beyond a vertex: ``points`` (n, 2) and ``heading`` (n,) of their
    middles, and which of them begin ``sharp``: after a corner."""

    ends: NDArray[np.float64]
    points: Points
    heading: NDArray[np.float64]
    sharp: NDArray[np.bool_]


def _cells(path: Chain, *, radius: Mm) -> _Cells:
    sizes = segment_lengths(path)
    counts = np.maximum(np.ceil(sizes * _STEPS / radius), 1).astype(np.int64)
    each = np.repeat(sizes / counts, counts)
    ends = np.cumsum(each)
    found = at_lengths(path, lengths=ends - 0.5 * each)
    half = 2.0 * np.arctan(path.bulges)
    chords = np.diff(path.points, axis=0)
    headings = np.arctan2(chords[:, 1], chords[:, 0])
    turn = np.remainder((headings - half)[1:] - (headings + half)[:-1] + math.pi, math.tau) - math.pi
    sharp = np.zeros(len(ends), dtype=np.bool_)
    sharp[np.cumsum(counts)[:-1]] = np.abs(turn) > _SHARP
    return _Cells(ends=ends, points=found.points, heading=found.heading, sharp=sharp)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Walk:
    """Places on a field in the order in which they are cut: ``carved`` is how many were, when each is asked."""

    row: list[int]
    column: list[int]
    turn: list[int]
    carved: list[int]


def _joined(cells: Sequence[_Cells], *, field: _Field) -> _Walk:
    points = np.vstack([one.points for one in cells])
    headings = np.concatenate([one.heading for one in cells])
    carved: list[int] = []
    for one in cells:
        # a path begins, and a corner is left, where the cutter stood before
        reached = np.concatenate(([0.0], one.ends[:-1]))
        begun = np.maximum.accumulate(np.where(one.sharp, np.arange(len(one.ends)), 0))
        behind = np.searchsorted(one.ends, reached - _LAG * field.pixel, side="right")
        carved += (len(carved) + np.maximum(behind, begun)).tolist()
    return _Walk(
        row=np.floor((points[:, 1] - field.corner[1]) / field.pixel).astype(np.int64).tolist(),
        column=np.floor((points[:, 0] - field.corner[0]) / field.pixel).astype(np.int64).tolist(),
        turn=(np.rint(headings / math.tau * _TURNS).astype(np.int64) % _TURNS).tolist(),
        carved=carved,
    )


def _walked(walk: _Walk, *, field: _Field, first: int) -> NDArray[np.float64]:
    """The arc at each place from the ``first`` on; 0 before."""
    stands, reach, left = field.stands, field.reach, ~field.disc
    arcs = np.zeros(len(walk.row))
    done = 0
    for place in range(len(walk.row)):
        for carved in range(done, walk.carved[place]):
            row, column = walk.row[carved], walk.column[carved]
            about = stands[row - reach : row + reach + 1, column - reach : column + reach + 1]
            np.logical_and(about, left, out=about)
        done = max(done, walk.carved[place])
        if place < first:
            continue
        turn = walk.turn[place]
        met = stands[walk.row[place] + field.up[turn], walk.column[place] + field.right[turn]]
        count = int(np.count_nonzero(met))
        if count:
            thick = math.pi / 2.0 - float(field.off[met].min())
            arcs[place] = max(count * math.pi / _SPOKES, thick) + field.unknown
    return arcs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Runs:
    """Stretches of a path up to ``ends`` (k,), the last its length, each at one of ``feeds`` (k,); ``added`` (k - 1,)
    says of each end but the last whether it is no vertex of the path."""

    ends: NDArray[np.float64]
    feeds: NDArray[np.float64]
    added: NDArray[np.bool_]


def _runs(path: Chain, *, engaged: Engaged, feeds: LoadFeeds) -> _Runs:
    """Stretches by the engagement; each counts as those beside it do, corners excepted, and one that is slow begins
    and ends at a vertex if one is near."""
    level = np.searchsorted(np.array(feeds.arcs), np.minimum(engaged.arc - _KNOWN, math.pi), side="left")
    level = np.minimum(level, len(feeds.arcs) - 1)
    joint = np.where(engaged.sharp[1:], 0, np.maximum(level[1:], level[:-1]))
    level[1:] = np.maximum(level[1:], joint)
    level[:-1] = np.maximum(level[:-1], joint)
    feed = np.array(feeds.feeds)[level]
    changes = np.flatnonzero(np.diff(feed)) + 1
    of_runs = feed[np.concatenate(([0], changes))]
    whole = float(engaged.ends[-1])
    vertices = np.concatenate(([0.0], np.cumsum(segment_lengths(path))))
    at = engaged.ends[changes - 1]
    ends: list[float] = []
    added: list[bool] = []
    for where, speeds_up in zip(at.tolist(), (np.diff(of_runs) > 0.0).tolist(), strict=True):
        beyond = (
            vertices[vertices > where - tolerance.SAME_POINT]
            if speeds_up
            else (vertices[vertices < where + tolerance.SAME_POINT])
        )
        near = float(beyond[0] if speeds_up else beyond[-1])
        snaps = abs(near - where) < _LEAST
        ends.append(near if snaps else where)
        added.append(not snaps)
    return _tidied(_Runs(ends=np.array([*ends, whole]), feeds=of_runs, added=np.array(added, dtype=np.bool_)))


def _tidied(runs: _Runs) -> _Runs:
    """Without stretches that vertices have swallowed: of those beside them the slower one has its place."""
    while True:
        sizes = np.diff(runs.ends, prepend=0.0)
        short = int(np.argmin(sizes))
        if len(sizes) == 1 or sizes[short] > tolerance.SAME_POINT:
            return runs
        last = short == len(sizes) - 1
        drop = short - 1 if last or (short > 0 and runs.feeds[short - 1] > runs.feeds[short + 1]) else short
        runs = _Runs(
            ends=np.delete(runs.ends, drop), feeds=np.delete(runs.feeds, short), added=np.delete(runs.added, drop)
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """The stretches of all legs one after another: the leg of each (n,), its length and feed, and whether its end is a
    cut that adds a move."""

    leg: NDArray[np.int64]
    size: NDArray[np.float64]
    feed: NDArray[np.float64]
    added: NDArray[np.bool_]


def _worth(runs: Sequence[_Runs], *, least: Mm, more: float) -> list[_Runs]:
    """The stretches without those that are too short, save too little, or add more than ``more`` moves; two that
    are joined go at the slower one's feed."""
    row = _Row(
        leg=np.repeat(np.arange(len(runs)), [len(run.feeds) for run in runs]),
        size=np.concatenate([np.diff(run.ends, prepend=0.0) for run in runs]),
        feed=np.concatenate([run.feeds for run in runs]),
        added=np.concatenate([np.append(run.added, False) for run in runs]),
    )
    while True:
        pairs = np.flatnonzero(row.leg[1:] == row.leg[:-1])
        if not len(pairs):
            break
        size, feed, after, then = row.size[pairs], row.feed[pairs], row.size[pairs + 1], row.feed[pairs + 1]
        slower = np.minimum(feed, then)
        loss = (size * (1.0 / slower - 1.0 / feed) + after * (1.0 / slower - 1.0 / then)) * S_PER_MIN
        must = np.minimum(size, after) < least
        if row.added.sum() > more:
            must |= row.added[pairs]
        must |= loss < _WORTH
        if not must.any():
            break
        row = _with_next(row, place=int(pairs[np.argmin(np.where(must, loss, np.inf))]))
    found = []
    for leg in range(len(runs)):
        mine = row.leg == leg
        found.append(_Runs(ends=np.cumsum(row.size[mine]), feeds=row.feed[mine], added=row.added[mine][:-1]))
    return found


def _with_next(row: _Row, *, place: int) -> _Row:
    """The stretch at a place joined with the one after it."""
    size, feed = row.size.copy(), row.feed.copy()
    size[place + 1] += size[place]
    feed[place + 1] = min(feed[place], feed[place + 1])
    return _Row(
        leg=np.delete(row.leg, place),
        size=np.delete(size, place),
        feed=np.delete(feed, place),
        added=np.delete(row.added, place),
    )
