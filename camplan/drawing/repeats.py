"""Curves that were drawn twice."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from camplan import tolerance
from camplan.geometry import planar
from camplan.geometry.chains import Chain, Points, ends, length, signed_area
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Once:
    """The curves without those that were drawn twice, and where each of these is."""

    pieces: tuple[Chain, ...]
    closed: tuple[Chain, ...]
    dropped: tuple[tuple[Mm, Mm], ...]


def without_repeats(pieces: Sequence[Chain], *, closed: Sequence[Chain], within: Mm) -> Once:
    """Single lines and arcs, and closed chains, each once; a repeat may run the other way."""
    single = [index for index, piece in enumerate(pieces) if len(piece.bulges) == 1]
    signs = _segment_signs([pieces[index] for index in single])
    twice = {single[index] for index in _repeated(signs, within=within)}
    again = _closed_again(closed, within=within)
    middles = [_middle(pieces[index]) for index in sorted(twice)] + [_middle(closed[index]) for index in sorted(again)]
    return Once(
        pieces=tuple(piece for index, piece in enumerate(pieces) if index not in twice),
        closed=tuple(path for index, path in enumerate(closed) if index not in again),
        dropped=tuple(middles),
    )


def _segment_signs(pieces: Sequence[Chain]) -> Points:
    """Per segment the middle of its chord, its chord at twice its angle, and the middle of its arc: the same
    whichever way it runs, and nearly the same for segments that nearly are."""
    if not pieces:
        return np.zeros((0, 6))
    start = np.array([piece.points[0] for piece in pieces])
    end = np.array([piece.points[1] for piece in pieces])
    bulge = np.array([piece.bulges[0] for piece in pieces])[:, None]
    chord = end - start
    size = np.maximum(np.hypot(*chord.T), 1e-300)
    twice = np.column_stack((chord[:, 0] ** 2 - chord[:, 1] ** 2, 2.0 * chord[:, 0] * chord[:, 1])) / size[:, None]
    middle = (start + end) / 2.0
    top = middle + bulge / 2.0 * np.column_stack((chord[:, 1], -chord[:, 0]))
    return np.hstack((middle, twice, top))


def _repeated(signs: Points, *, within: Mm) -> set[int]:
    if len(signs) < 2:
        return set()
    exact, first = np.unique(np.round(signs / tolerance.SAME_POINT).astype(np.int64), axis=0, return_index=True)
    if len(exact) < len(signs):
        kept = np.sort(first)
        near = {int(kept[index]) for index in _repeated(signs[kept], within=within)}
        return near | (set(range(len(signs))) - set(kept.tolist()))
    pairs = cKDTree(signs).query_pairs(within, p=np.inf, output_type="ndarray")
    # segments shorter than the tolerance are not the same as their neighbours
    apart = np.abs(signs[pairs[:, 0]] - signs[pairs[:, 1]]).max(axis=1)
    pairs = pairs[apart <= np.hypot(*signs[pairs[:, 0], 2:4].T) / 4.0]
    return {int(high) for high in np.unique(pairs.max(axis=1))} if len(pairs) else set()


def _closed_again(closed: Sequence[Chain], *, within: Mm) -> set[int]:
    if len(closed) < 2:
        return set()
    signs = np.array([_closed_signs(path) for path in closed])
    # area and length of long contours gather more noise than single coordinates: the vertices decide
    exact, first = np.unique(np.round(signs / tolerance.SAME_POINT).astype(np.int64), axis=0, return_index=True)
    if len(exact) < len(signs):
        kept = np.sort(first)
        near = {int(kept[index]) for index in _repeated(signs[kept], within=within)}
        return near | (set(range(len(signs))) - set(kept.tolist()))
    pairs = cKDTree(signs).query_pairs(4.0 * within, p=np.inf, output_type="ndarray")
    again: set[int] = set()
    for low, high in sorted((min(pair), max(pair)) for pair in pairs.tolist()):
        if low not in again and high not in again and _same(closed[low], closed[high], within=within):
            again.add(high)
    return again


def _closed_signs(path: Chain) -> tuple[float, float, float, float]:
    x, y = _centre(path)
    return float(x), float(y), abs(signed_area(path)) ** 0.5, length(path)


def _centre(path: Chain) -> Points:
    """The centre of gravity of a chain's curve, nearly: of its chords, each with its arc's middle."""
    start, end = ends(path)
    weight = np.hypot(*(end - start).T)
    middle = (start + end + 2.0 * _tops(path)) / 4.0
    return np.asarray((weight[:, None] * middle).sum(axis=0) / weight.sum())


def _same(a: Chain, b: Chain, *, within: Mm) -> bool:
    """Whether every vertex and arc's middle of either lies on the other."""
    return all(
        float(planar.distances(np.vstack((path.points, _tops(path))), to=other, chord=within / 10.0).max()) <= within
        for path, other in ((a, b), (b, a))
    )


def _tops(path: Chain) -> Points:
    """The middle of every segment of a closed chain."""
    start, end = ends(path)
    chord = end - start
    return np.asarray((start + end) / 2.0 + path.bulges[:, None] / 2.0 * np.column_stack((chord[:, 1], -chord[:, 0])))


def _middle(path: Chain) -> tuple[Mm, Mm]:
    if path.closed:
        x, y = path.points.mean(axis=0)
    else:
        (ax, ay), (bx, by) = path.points[0], path.points[-1]
        bulge = float(path.bulges[0]) if len(path.bulges) == 1 else 0.0
        x, y = (ax + bx) / 2.0 + bulge / 2.0 * (by - ay), (ay + by) / 2.0 - bulge / 2.0 * (bx - ax)
    return float(x), float(y)
