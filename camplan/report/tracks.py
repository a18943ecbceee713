"""Motions thinned to what a picture can show.

A picture has a grid; what falls on the same grid lines is drawn once, the deepest on top, and a run of short
motions is drawn as few long ones.  So 150,000 motions and 150 cost about the same.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from camplan.moves.table import Kind, MotionTable
from camplan.units import Mm

Integers = NDArray[np.int64]
RAPID, ABOVE = -2, -1
BANDS = 5
STRAIGHTEN = 0.7
"""How far, in grid steps, a drawn line may leave the path that it stands for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strokes:
    """Polylines on the grid, each (n, 2), of one ``band``: `RAPID`, `ABOVE` the plate, or 0 (shallow) and up."""

    band: int
    lines: tuple[Integers, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segments:
    """m straight pieces: ``start`` and ``end`` (m, 2) in mm, the lower end's height ``z`` (m,), ``rapid`` (m,)."""

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    z: NDArray[np.float64]
    rapid: NDArray[np.bool_]


def rows_of(motions: MotionTable, *, first_line: int, last_line: int) -> MotionTable:
    """The motions that stand in lines ``first_line`` to ``last_line`` of the text, both included."""
    inside = (motions.line >= first_line) & (motions.line <= last_line)
    return MotionTable(
        start=motions.start[inside],
        end=motions.end[inside],
        centre=motions.centre[inside],
        kind=motions.kind[inside],
        feed=motions.feed[inside],
        rpm=motions.rpm[inside],
        line=motions.line[inside],
    )


def segments(motions: MotionTable, *, sagitta: Mm) -> Segments:
    """Every motion as straight pieces, arcs as chords that leave them by at most ``sagitta``."""
    start, end = motions.start[:, :2], motions.end[:, :2]
    round_ones = (motions.kind == Kind.CLOCKWISE) | (motions.kind == Kind.COUNTER_CLOCKWISE)
    arm = start - motions.centre
    radius = np.hypot(arm[:, 0], arm[:, 1])
    begun = np.arctan2(arm[:, 1], arm[:, 0])
    reached = np.arctan2(end[:, 1] - motions.centre[:, 1], end[:, 0] - motions.centre[:, 0])
    turn = np.where(motions.kind == Kind.CLOCKWISE, begun - reached, reached - begun) % (2.0 * math.pi)
    turn = np.where(turn < 1e-9, 2.0 * math.pi, turn)
    steps = np.ones(len(start), dtype=np.int64)
    ratio = np.clip(1.0 - sagitta / np.maximum(radius[round_ones], sagitta), -1.0, 1.0)
    widest = np.minimum(2.0 * np.arccos(ratio), math.pi / 4.0)
    steps[round_ones] = np.maximum(np.ceil(turn[round_ones] / widest), 1.0).astype(np.int64)
    which = np.repeat(np.arange(len(steps)), steps)
    place = np.arange(len(which)) - np.repeat(np.cumsum(steps) - steps, steps)
    sense = np.where(motions.kind == Kind.CLOCKWISE, -1.0, 1.0)

    def along(part: NDArray[np.float64]) -> NDArray[np.float64]:
        points = np.where(part[:, None] > 0.5, end[which], start[which])
        inner = round_ones[which] & (part > 0.0) & (part < 1.0)
        chosen = which[inner]
        angle = begun[chosen] + sense[chosen] * turn[chosen] * part[inner]
        points[inner] = motions.centre[chosen] + radius[chosen, None] * np.column_stack((np.cos(angle), np.sin(angle)))
        return points

    count = steps[which]
    return Segments(
        start=along(place / count),
        end=along((place + 1) / count),
        z=np.minimum(motions.start[:, 2], motions.end[:, 2])[which],
        rapid=(motions.kind == Kind.RAPID)[which],
    )


def plunges(motions: MotionTable) -> NDArray[np.float64]:
    """(n, 2) places where the cutter goes straight down into the plate, each once, in the order of the program."""
    still = np.hypot(*(motions.end[:, :2] - motions.start[:, :2]).T) < 1e-6
    down = still & (motions.end[:, 2] < np.minimum(motions.start[:, 2], -1e-6)) & (motions.kind != Kind.RAPID)
    places: NDArray[np.float64] = np.round(motions.end[down][:, :2], 3)
    _, first = np.unique(places, axis=0, return_index=True)
    return places[np.sort(first)]


def strokes(pieces: Segments, *, origin: tuple[Mm, Mm], step: Mm, deepest: Mm) -> tuple[Strokes, ...]:
    """Polylines on a grid of ``step`` from ``origin`` (X right, Y up), from rapids to the deepest band.

    ``deepest`` (positive) is the depth of the darkest band.  A place that is passed at several heights is drawn at
    its lowest one.
    """
    start = np.round((pieces.start - np.asarray(origin)) / step).astype(np.int64)
    end = np.round((pieces.end - np.asarray(origin)) / step).astype(np.int64)
    band = _bands(pieces, deepest=deepest)
    moving = np.any(start != end, axis=1)
    start, end, band = start[moving], end[moving], band[moving]
    seen = _lowest_of_each(start, end, band=band)
    return tuple(
        Strokes(band=value, lines=_runs(start, end, chosen=np.flatnonzero(seen & (band == value))))
        for value in range(RAPID, BANDS)
        if np.any(seen & (band == value))
    )


def band_of(depth: Mm, *, deepest: Mm) -> int:
    """The band of a depth (positive) in the plate."""
    return min(max(math.ceil(depth / max(deepest, 1e-9) * BANDS - 1e-9) - 1, 0), BANDS - 1)


def straightened(lines: list[Integers]) -> tuple[Integers, ...]:
    """Polylines with no more points than the grid can show."""
    if not lines:
        return ()
    sizes = np.array([len(line) for line in lines])
    made = shapely.linestrings(np.vstack(lines).astype(np.float64), indices=np.repeat(np.arange(len(lines)), sizes))
    thin = shapely.simplify(made, STRAIGHTEN, preserve_topology=False)
    points, owner = shapely.get_coordinates(thin, return_index=True)
    cuts = np.flatnonzero(np.diff(owner)) + 1
    return tuple(part.astype(np.int64) for part in np.split(points, cuts))


def _bands(pieces: Segments, *, deepest: Mm) -> Integers:
    depth = np.ceil(-pieces.z / max(deepest, 1e-9) * BANDS - 1e-9).astype(np.int64) - 1
    bands = np.where(pieces.z >= -1e-9, ABOVE, np.clip(depth, 0, BANDS - 1))
    return np.where(pieces.rapid, RAPID, bands)


def _lowest_of_each(start: Integers, end: Integers, *, band: Integers) -> NDArray[np.bool_]:
    """Which segments to draw: of those between the same two grid points, the first of the deepest."""
    if not len(start):
        return np.zeros(0, dtype=np.bool_)
    turned = (start[:, 0] > end[:, 0]) | ((start[:, 0] == end[:, 0]) & (start[:, 1] > end[:, 1]))
    low, high = np.where(turned[:, None], end, start), np.where(turned[:, None], start, end)
    order = np.lexsort((np.arange(len(start)), -band, high[:, 1], high[:, 0], low[:, 1], low[:, 0]))
    keys = np.column_stack((low, high))[order]
    fresh = np.ones(len(order), dtype=np.bool_)
    fresh[1:] = np.any(keys[1:] != keys[:-1], axis=1)
    seen = np.zeros(len(start), dtype=np.bool_)
    seen[order[fresh]] = True
    return seen


def _runs(start: Integers, end: Integers, *, chosen: Integers) -> tuple[Integers, ...]:
    joined = np.all(end[chosen[:-1]] == start[chosen[1:]], axis=1)
    cuts = np.flatnonzero(~joined) + 1
    lines = [np.vstack((start[part[:1]], end[part])) for part in np.split(chosen, cuts)]
    return straightened(lines)
