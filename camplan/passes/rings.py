"""Rings: the paths that clear an area, contour inside contour, and the order in which they are cut.

Takes the area that the tool's centre may occupy.  The outermost rings are its edge; each next ring lies one
step-over further in.  Where the step-over exceeds the radius, what two rings leave between them is found exactly
and gets a path of its own.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, simplified
from camplan.units import Mm

_SPECK = 1e-5
_SECOND: Mm = 0.0005
_SLACK: Mm = 0.012
"""What two fitted roughing paths may lie apart more than planned."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """One path: closed (region to its left), or an open one across what rings leave; ``depth`` counts from the edge."""

    path: Points
    closed: bool
    depth: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Nest:
    """Rings of one area, and the innermost areas in which no further ring fits."""

    rings: tuple[Ring, ...]
    innermost: tuple[Area, ...]


def nest(work: Area, *, radius: Mm, step_over: Mm) -> Nest:
    """The rings that let a cutter of ``radius`` clear everything within reach of ``work``."""
    rings: list[Ring] = []
    innermost: list[Area] = []
    current, depth = work, 0
    while current:
        rings.extend(Ring(path=ring, closed=True, depth=depth) for ring in current)
        # the kernel's time grows with the square of the vertices, and inner rings need not know the edge's every one
        thin = simplified(current, within=_SECOND)
        inner = simplified(clipper.offset(thin, by=-step_over))
        if step_over > radius - _SLACK:
            rings.extend(_between(thin, inner=inner, radius=radius, depth=depth))
        if not inner:
            innermost.append(current)
        current, depth = inner, depth + 1
    return Nest(rings=tuple(rings), innermost=tuple(innermost))


def _between(current: Area, *, inner: Area, radius: Mm, depth: int) -> list[Ring]:
    """Paths over what a ring and the next one in leave uncut between them."""
    beyond = clipper.offset(current, by=-(radius - _SLACK))
    left = clipper.without_specks(
        clipper.difference(beyond, less=clipper.offset(inner, by=radius - _SLACK)), smaller=_SPECK
    )
    if not left:
        return []
    guide = clipper.offset(current, by=-(radius - 2.0 * _SLACK))
    closed = [np.vstack((ring, ring[:1])) for ring in guide]
    near = clipper.offset(left, by=radius)
    parts = clipper.cut_lines(closed, area=near, inside=True)
    return [Ring(path=part, closed=False, depth=depth) for part in clipper.rejoined(parts)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Which ring is cut next, and from which ring already cut the cutter steps over to it (None: enter anew)."""

    ring: int
    parent: int | None


def order(rings: tuple[Ring, ...], *, step_over: Mm, easy: NDArray[np.bool_]) -> tuple[Turn, ...]:
    """An order in which each ring, where that can be, lies beside one cut before it.

    A group of rings is begun at one that is ``easy`` to enter, else at its deepest.  From the ring just cut the
    deepest neighbour comes next; where all its neighbours are cut, the nearest ring beside any that is.
    """
    if not rings:
        return ()
    first = max(range(len(rings)), key=lambda ring: (easy[ring], rings[ring].closed, rings[ring].depth, -ring))
    beside = _neighbours(rings, step_over=step_over)
    done = [False] * len(rings)
    parent_of: dict[int, int] = {}
    turns: list[Turn] = []
    here = first
    parent: int | None = None
    while True:
        turns.append(Turn(ring=here, parent=parent))
        done[here] = True
        parent_of.pop(here, None)
        fresh = [ring for ring in beside[here] if not done[ring]]
        for ring in fresh:
            parent_of[ring] = here
        if fresh:
            chosen = max(fresh, key=lambda ring: (rings[ring].depth, -ring))
            here, parent = chosen, here
        elif parent_of:
            spot = rings[here].path[0]
            chosen = min(parent_of, key=lambda ring: (float(np.min(np.hypot(*(rings[ring].path - spot).T))), ring))
            here, parent = chosen, parent_of[chosen]
        else:
            rest = [ring for ring in range(len(rings)) if not done[ring]]
            if not rest:
                return tuple(turns)
            here = max(rest, key=lambda ring: (easy[ring], rings[ring].closed, rings[ring].depth, -ring))
            parent = None


def _neighbours(rings: tuple[Ring, ...], *, step_over: Mm) -> list[list[int]]:
    """For each ring the rings that pass within about a step-over of it."""
    dense = [_densified(ring, every=step_over) for ring in rings]
    owner = np.repeat(np.arange(len(rings)), [len(points) for points in dense])
    tree = cKDTree(np.vstack(dense))
    pairs = tree.query_pairs(1.35 * step_over, output_type="ndarray")
    ends = owner[pairs]
    ends = np.unique(ends[ends[:, 0] != ends[:, 1]], axis=0) if len(pairs) else np.zeros((0, 2), dtype=int)
    beside: list[list[int]] = [[] for _ in rings]
    for a, b in ends.tolist():
        beside[a].append(b)
        beside[b].append(a)
    return [sorted(set(found)) for found in beside]


def _densified(ring: Ring, *, every: Mm) -> NDArray[np.float64]:
    path = np.vstack((ring.path, ring.path[:1])) if ring.closed else ring.path
    step = np.diff(path, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])
    reached = np.concatenate(([0.0], np.cumsum(size)))
    at = np.linspace(0.0, reached[-1], max(int(reached[-1] / every) + 2, 4))
    return np.column_stack((np.interp(at, reached, path[:, 0]), np.interp(at, reached, path[:, 1])))
