"""The edges of an area as arrays: does a path cross them, is a point inside, how far is it."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.chains import Points
from camplan.units import Mm

_END: Mm = 0.004
"""A path's ends may lie on an edge: what is this near to them does not count as crossing."""
_ON: Mm = _END / 2.0
"""Nearer than this to an edge is on it."""
_SAMPLES = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edges:
    """Straight edges from ``a`` to ``b``, both (n, 2)."""

    a: Points
    b: Points


def edges_of(area: tuple[Points, ...]) -> Edges:
    """All edges of all rings of an area."""
    if not area:
        return Edges(a=np.zeros((0, 2)), b=np.zeros((0, 2)))
    return Edges(a=np.vstack(area), b=np.vstack([np.roll(ring, -1, axis=0) for ring in area]))


def crossed(edges: Edges, *, path: Points) -> bool:
    """Whether a polyline, its ends left out, meets any edge."""
    trimmed = _trimmed(path)
    if trimmed is None or not len(edges.a):
        return False
    low, high = trimmed.min(axis=0), trimmed.max(axis=0)
    near = np.all((np.maximum(edges.a, edges.b) >= low - 1e-9) & (np.minimum(edges.a, edges.b) <= high + 1e-9), axis=1)
    if not near.any():
        return False
    a, b = edges.a[near], edges.b[near]
    for first, last in pairwise(trimmed):
        along = last - first
        side_a = along[0] * (a[:, 1] - first[1]) - along[1] * (a[:, 0] - first[0])
        side_b = along[0] * (b[:, 1] - first[1]) - along[1] * (b[:, 0] - first[0])
        edge = b - a
        side_first = edge[:, 0] * (first[1] - a[:, 1]) - edge[:, 1] * (first[0] - a[:, 0])
        side_last = edge[:, 0] * (last[1] - a[:, 1]) - edge[:, 1] * (last[0] - a[:, 0])
        if np.any((side_a * side_b <= 0.0) & (side_first * side_last <= 0.0)):
            return True
    return False


def _trimmed(path: Points) -> Points | None:
    """The path without its last micrometres at either end; None if nothing is left."""
    sizes = np.hypot(*np.diff(path, axis=0).T)
    total = float(sizes.sum())
    if total <= 2.0 * _END:
        return None
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    inner = (reached > _END) & (reached < total - _END)
    ends = [
        np.array([[np.interp(at, reached, path[:, 0]), np.interp(at, reached, path[:, 1])]])
        for at in (_END, total - _END)
    ]
    return np.vstack((ends[0], path[inner], ends[1]))


def holds(edges: Edges, *, point: Points | tuple[Mm, Mm]) -> bool:
    """Whether a point lies inside (a ray to the right meets an odd number of edges)."""
    x, y = float(point[0]), float(point[1])
    spans = (edges.a[:, 1] > y) != (edges.b[:, 1] > y)
    a, b = edges.a[spans], edges.b[spans]
    cut = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return int(np.count_nonzero(cut > x)) % 2 == 1


def all_held(edges: Edges, *, points: Points) -> NDArray[np.bool_]:
    """`holds` for each of (n, 2) points."""
    return np.array([holds(edges, point=point) for point in points], dtype=bool)


def distance(edges: Edges, *, point: Points | tuple[Mm, Mm]) -> Mm:
    """Distance from a point to the nearest edge; infinite without edges."""
    if not len(edges.a):
        return math.inf
    at = np.asarray(point, dtype=np.float64)
    along = edges.b - edges.a
    size = np.sum(along**2, axis=1)
    part = np.clip(np.sum((at - edges.a) * along, axis=1) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    off = edges.a + along * part[:, None] - at
    return float(np.sqrt(np.min(np.sum(off**2, axis=1))))


def straight_way(
    edges: Edges, *, start: Points | tuple[Mm, Mm], end: Points | tuple[Mm, Mm], most: Mm = math.inf
) -> Points | None:
    """The straight way between two places, (2, 2), if it is shorter than ``most`` and lies wholly inside."""
    way = np.array([start, end], dtype=np.float64)
    return way if np.hypot(*(way[1] - way[0])) < most and covered(edges, path=way) else None


def covered(edges: Edges, *, path: Points) -> bool:
    """Whether a polyline lies wholly inside, where it may run along an edge: it crosses none, and it is not outside."""
    total = float(np.hypot(*np.diff(path, axis=0).T).sum())
    if total <= 2.0 * _END:
        return True
    if crossed(edges, path=path):
        return False
    middle = path[0] + (path[-1] - path[0]) / 2.0 if len(path) == 2 else path[len(path) // 2]
    if distance(edges, point=middle) > _ON:
        return holds(edges, point=middle)
    # it runs along an edge there: elsewhere it may be outside without having crossed any
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))))
    at = np.linspace(_END, total - _END, _SAMPLES)
    points = np.column_stack((np.interp(at, reached, path[:, 0]), np.interp(at, reached, path[:, 1])))
    return all(distance(edges, point=point) <= _ON or holds(edges, point=point) for point in points)
