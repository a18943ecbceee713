"""Lines and arcs for polylines: the fewest moves that stay within a band about the points.

Neighbouring runs are joined bottom-up for as long as one arc or line serves both, all runs of all paths at
once, so that the work is some ten passes over arrays whatever the number of paths.

A run from A to B with vertices V between: the angle between AV and VB is half the sweep of the arc A-V-B,
the same for every V of a circle (inscribed angle theorem, Euclid III.20).  Its weighted mean gives the arc, and
the rest gives each vertex's distance from it: |AV| |VB| / |AB| times the angle's error.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.chains import Chain, Points
from camplan.units import Mm

_HALF_TURN = np.pi / 2.0 + 1e-9
_STRAIGHT: Mm = 1e-4
_CORNER = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """How far a fitted path may lie to the ``left`` and to the ``right`` of the points it stands for."""

    left: Mm
    right: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circles:
    """Circles known to be in the paths: ``centres`` (n, 2) and ``radii`` (n,)."""

    centres: Points
    radii: NDArray[np.float64]


NO_CIRCLES = Circles(centres=np.zeros((0, 2)), radii=np.zeros(0))


@dataclass(slots=True, kw_only=True, eq=False)
class _Runs:
    """Run k goes from vertex ``first[k]`` to ``last[k]``; ``half`` is half its sweep; ``fixed`` ones are final."""

    first: NDArray[np.int64]
    last: NDArray[np.int64]
    half: NDArray[np.float64]
    fixed: NDArray[np.bool_]


def fitted(
    paths: Sequence[Points], *, closed: bool, band: Band, known: Circles = NO_CIRCLES, on_circle: Mm = 0.0008
) -> tuple[Chain, ...]:
    """Each path as a chain of lines and arcs within ``band`` of it; ``known`` circles come back exactly.

    ``paths``: (n, 2) arrays; a closed path does not repeat its first point.  Points within ``on_circle`` of a
    known circle, with chords to match, belong to it.
    """
    if not paths:
        return ()
    opened = [_from_a_corner(path) if closed else path for path in paths]
    points = np.concatenate(opened)
    counts = np.array([len(path) for path in opened])
    firsts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    starts = np.ones(len(points), dtype=bool)
    starts[firsts + counts - 1] = False
    first = np.flatnonzero(starts)
    runs = _Runs(first=first, last=first + 1, half=np.zeros(len(first)), fixed=np.zeros(len(first), dtype=bool))
    if len(known.radii):
        runs = _along_known(points, runs=runs, known=known, within=on_circle)
    runs = _joined(points, runs=runs, band=band)
    return _as_chains(points, runs=runs, path_first=firsts, path_last=firsts + counts - 1, closed=closed)


def _from_a_corner(ring: Points) -> Points:
    """The ring begun at its sharpest turn (a smooth one after its longest chord), closed by repeating that point."""
    ahead = np.roll(ring, -1, axis=0) - ring
    behind = np.roll(ahead, 1, axis=0)
    turn = np.abs(np.arctan2(_cross(behind, ahead), np.sum(behind * ahead, axis=1)))
    sharpest = turn.max()
    long = np.hypot(*behind.T)
    at = int(np.argmax(turn > sharpest - 1e-9)) if sharpest > _CORNER else int(np.argmax(long > long.max() - 1e-9))
    return np.vstack((ring[at:], ring[: at + 1]))


def _cross(a: Points, b: Points) -> NDArray[np.float64]:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _along_known(points: Points, *, runs: _Runs, known: Circles, within: Mm) -> _Runs:
    """Runs along the known circles merged and fixed."""
    label: NDArray[np.int64] = np.full(len(runs.first), -1, dtype=np.int64)
    best = np.full(len(runs.first), within)
    a, b = points[runs.first], points[runs.last]
    chord = np.hypot(*(b - a).T)
    middle = (a + b) / 2.0
    for which, (centre, radius) in enumerate(zip(known.centres, known.radii, strict=True)):
        if radius < within:
            continue
        near = np.flatnonzero(np.abs(np.hypot(*(middle - centre).T) - radius) < 4.0 * within)
        if not len(near):
            continue
        off = np.maximum(
            np.abs(np.hypot(*(a[near] - centre).T) - radius), np.abs(np.hypot(*(b[near] - centre).T) - radius)
        )
        sagitta = chord[near] ** 2 / (8.0 * radius)
        fits = near[(off < best[near]) & (sagitta < 3.0 * within)]
        best[fits] = off[np.isin(near, fits)]
        label[fits] = which
    adjoining = np.concatenate(([False], runs.first[1:] == runs.last[:-1]))
    same = np.concatenate(([False], (label[1:] == label[:-1]) & (label[1:] >= 0))) & adjoining
    heads = np.flatnonzero(~same)
    tails = np.concatenate((heads[1:], [len(label)])) - 1
    first, last, number = runs.first[heads], runs.last[tails], label[heads]
    half = np.zeros(len(heads))
    on = np.flatnonzero((number >= 0) & (tails > heads))
    if len(on):
        arm = points[runs.first] - known.centres[np.maximum(label, 0)]
        out = points[runs.last] - known.centres[np.maximum(label, 0)]
        turn = np.arctan2(_cross(arm, out), np.sum(arm * out, axis=1))
        half[on] = np.add.reduceat(turn, heads)[on] / 2.0
    fixed = np.zeros(len(heads), dtype=bool)
    fixed[on] = True
    return _split_long(points, runs=_Runs(first=first, last=last, half=half, fixed=fixed), known=known, number=number)


def _split_long(points: Points, *, runs: _Runs, known: Circles, number: NDArray[np.int64]) -> _Runs:
    """Fixed runs beyond a half turn cut at a middle vertex, again if need be."""
    long = np.flatnonzero(runs.fixed & (np.abs(runs.half) > _HALF_TURN))
    if not len(long):
        return runs
    cuts = (runs.first[long] + runs.last[long]) // 2
    first = np.insert(runs.first, long + 1, cuts)
    last = np.insert(runs.last, long, cuts)
    numbers = np.insert(number, long, number[long])
    fixed = np.insert(runs.fixed, long, True)
    half = np.insert(runs.half, long, 0.0)
    parts = np.concatenate((long + np.arange(len(long)), long + np.arange(len(long)) + 1))
    for part in parts:
        arms = points[first[part] : last[part] + 1] - known.centres[numbers[part]]
        half[part] = np.arctan2(_cross(arms[:-1], arms[1:]), np.sum(arms[:-1] * arms[1:], axis=1)).sum() / 2.0
    return _split_long(points, runs=_Runs(first=first, last=last, half=half, fixed=fixed), known=known, number=numbers)


def _joined(points: Points, *, runs: _Runs, band: Band) -> _Runs:
    """Runs joined pairwise until none can be."""
    fresh = np.ones(len(runs.first), dtype=bool)
    idle = 0
    parity = 0
    while idle < 2 and len(runs.first) > 1:
        pairs = np.arange(parity, len(runs.first) - 1, 2)
        pairs = pairs[
            (runs.last[pairs] == runs.first[pairs + 1])
            & ~runs.fixed[pairs]
            & ~runs.fixed[pairs + 1]
            & (fresh[pairs] | fresh[pairs + 1])
        ]
        half, good = _fits(points, first=runs.first[pairs], last=runs.last[pairs + 1], band=band)
        chosen = pairs[good]
        idle = 0 if len(chosen) else idle + 1
        tried = fresh.copy()
        fresh = np.zeros(len(runs.first), dtype=bool)
        if idle == 1:
            fresh = tried
        if len(chosen):
            runs.last[chosen] = runs.last[chosen + 1]
            runs.half[chosen] = half[good]
            fresh = tried
            fresh[chosen] = True
            keep = np.ones(len(runs.first), dtype=bool)
            keep[chosen + 1] = False
            runs = _Runs(first=runs.first[keep], last=runs.last[keep], half=runs.half[keep], fixed=runs.fixed[keep])
            fresh = fresh[keep]
        parity = 1 - parity
    return runs


def _fits(
    points: Points, *, first: NDArray[np.int64], last: NDArray[np.int64], band: Band
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Half sweep of the best arc for each run of vertices, and whether it keeps within the band."""
    if not len(first):
        return np.zeros(0), np.zeros(0, dtype=bool)
    inner = last - first - 1
    head = np.concatenate(([0], np.cumsum(inner)[:-1]))
    run = np.repeat(np.arange(len(first)), inner)
    vertex = first[run] + 1 + np.arange(len(run)) - head[run]
    a, b, v = points[first[run]], points[last[run]], points[vertex]
    av, vb = v - a, b - v
    delta = np.arctan2(_cross(av, vb), np.sum(av * vb, axis=1))
    span = np.hypot(*(points[last] - points[first]).T)
    weight = np.hypot(*av.T) * np.hypot(*vb.T)
    total = np.add.reduceat(weight**2, head)
    with np.errstate(divide="ignore", invalid="ignore"):
        half = np.add.reduceat(weight**2 * delta, head) / total
        off = (delta - half[run]) * weight / span[run]
        curvature = 2.0 * np.sin(half) / span
    half[np.abs(span * np.tan(half / 2.0) / 2.0) < _STRAIGHT] = 0.0
    # between two vertices a left-turning arc lies to the right of their chord by its sagitta
    leading = np.hypot(*(v - points[vertex - 1]).T)
    trailing = np.hypot(*(points[vertex + 1] - v).T)
    sag_lead = leading**2 * curvature[run] / 8.0
    sag_trail = trailing**2 * curvature[run] / 8.0
    with np.errstate(invalid="ignore"):
        highest = np.maximum(off, np.maximum(off / 2.0 - sag_lead, off / 2.0 - sag_trail))
        lowest = np.minimum(off, np.minimum(off / 2.0 - sag_lead, off / 2.0 - sag_trail))
    good = (
        np.isfinite(half)
        & (span > 0.0)
        & (np.abs(half) <= _HALF_TURN)
        & (np.maximum.reduceat(highest, head) <= band.left)
        & (np.minimum.reduceat(lowest, head) >= -band.right)
        & (np.maximum.reduceat(np.abs(delta), head) <= np.pi * 0.75)
    )
    return half, good


def _as_chains(
    points: Points, *, runs: _Runs, path_first: NDArray[np.int64], path_last: NDArray[np.int64], closed: bool
) -> tuple[Chain, ...]:
    begin = np.searchsorted(runs.first, path_first)
    end = np.searchsorted(runs.first, path_last)
    bulges = np.tan(runs.half / 2.0)
    chains: list[Chain] = []
    for low, high, final in zip(begin, end, path_last, strict=True):
        vertices = points[runs.first[low:high]]
        if not closed:
            vertices = np.vstack((vertices, points[final : final + 1]))
        chains.append(Chain(points=vertices, bulges=bulges[low:high].copy(), closed=closed))
    return tuple(chains)
