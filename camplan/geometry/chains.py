"""Chains: connected lines and arcs, kept exact.

A chain is its vertices and one bulge a segment.  The bulge is tan(sweep / 4): 0 for a line,
positive for an arc that turns to the left (counter-clockwise), 1 for a half circle.  So a full
circle is two half circles, and an arc of a drawing is never lost to chords until somebody asks.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.units import Mm, Mm2

Points = NDArray[np.float64]
"""(n, 2) coordinates in mm."""

STRAIGHT = 1e-9
"""A segment whose bulge is smaller is a line."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Connected segments: ``points`` (n, 2), ``bulges`` (n,) if closed, else (n - 1,).

    A closed chain does not repeat its first point; its last segment runs back to it.
    """

    points: Points
    bulges: NDArray[np.float64]
    closed: bool

    def __post_init__(self) -> None:
        segments = len(self.points) if self.closed else max(len(self.points) - 1, 0)
        if self.points.ndim != 2 or self.points.shape[1] != 2 or self.bulges.shape != (segments,):
            raise ValueError(f"{len(self.points)} points need {segments} bulges, got {self.bulges.shape}")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SegmentArcs:
    """Per segment of a chain: centre (n, 2), radius (n,) and signed sweep (n,); lines are NaN, NaN, 0."""

    centres: Points
    radii: NDArray[np.float64]
    sweeps: NDArray[np.float64]


def chain(points: object, *, bulges: object = None, closed: bool = False) -> Chain:
    """A chain from anything numpy can read; without bulges, of straight lines."""
    vertices = np.ascontiguousarray(points, dtype=np.float64).reshape(-1, 2)
    segments = len(vertices) if closed else max(len(vertices) - 1, 0)
    turns = np.zeros(segments) if bulges is None else np.ascontiguousarray(bulges, dtype=np.float64)
    return Chain(points=vertices, bulges=turns, closed=closed)


def circle(centre: tuple[float, float], *, radius: Mm, clockwise: bool = False) -> Chain:
    """A full circle as two half circles, starting at the point to the right of its centre."""
    x, y = centre
    bulge = -1.0 if clockwise else 1.0
    return chain([(x + radius, y), (x - radius, y)], bulges=[bulge, bulge], closed=True)


def ends(path: Chain) -> tuple[Points, Points]:
    """Start and end points of every segment, two (n, 2) arrays."""
    if path.closed:
        return path.points, np.roll(path.points, -1, axis=0)
    return path.points[:-1], path.points[1:]


def arcs(path: Chain) -> SegmentArcs:
    """Centre, radius and signed sweep of every segment."""
    start, end = ends(path)
    bulge = path.bulges
    half = (end - start) / 2.0
    length = np.hypot(half[:, 0], half[:, 1])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        along = (1.0 - bulge**2) / (2.0 * bulge)
        centres = (start + end) / 2.0 + along[:, None] * np.column_stack((-half[:, 1], half[:, 0]))
        radii = length * (1.0 + bulge**2) / (2.0 * np.abs(bulge))
    lines = np.abs(bulge) < STRAIGHT
    centres[lines] = np.nan
    radii[lines] = np.nan
    return SegmentArcs(centres=centres, radii=radii, sweeps=4.0 * np.arctan(bulge))


def segment_lengths(path: Chain) -> NDArray[np.float64]:
    """Length of every segment along its arc."""
    start, end = ends(path)
    chords = np.hypot(*(end - start).T) if len(start) else np.zeros(0)
    bulge = np.abs(path.bulges)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        curved = chords * (1.0 + bulge**2) / bulge * np.arctan(bulge)
    return np.where(bulge < STRAIGHT, chords, curved)


def length(path: Chain) -> Mm:
    """Length along the chain."""
    return float(segment_lengths(path).sum())


def signed_area(path: Chain) -> Mm2:
    """Area inside a closed chain, positive if it turns counter-clockwise.  Arcs are exact."""
    start, end = ends(path)
    straight = 0.5 * float(np.sum(start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]))
    sweep = 4.0 * np.arctan(path.bulges)
    chord2 = np.sum((end - start) ** 2, axis=1)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        radius2 = chord2 / (4.0 * np.sin(sweep / 2.0) ** 2)
        lenses = 0.5 * radius2 * (sweep - np.sin(sweep))
    return straight + float(np.sum(np.where(np.abs(path.bulges) < STRAIGHT, 0.0, lenses)))


def backwards(path: Chain) -> Chain:
    """The same chain walked the other way, from the same first point if closed."""
    if path.closed:
        points = np.roll(path.points[::-1], 1, axis=0)
        return Chain(points=points, bulges=-path.bulges[::-1], closed=True)
    return Chain(points=path.points[::-1].copy(), bulges=-path.bulges[::-1], closed=False)


def starting_at(path: Chain, *, vertex: int) -> Chain:
    """A closed chain begun at another of its vertices."""
    return Chain(points=np.roll(path.points, -vertex, axis=0), bulges=np.roll(path.bulges, -vertex), closed=True)


def shifted(path: Chain, *, by: tuple[float, float]) -> Chain:
    """The chain moved by (dx, dy)."""
    return Chain(points=path.points + np.asarray(by), bulges=path.bulges, closed=path.closed)


def bounds(path: Chain) -> tuple[Mm, Mm, Mm, Mm]:
    """x0, y0, x1, y1 of the chain, its arcs taken exactly."""
    points = tessellated(path, chord=tolerance.CHORD)
    low, high = points.min(axis=0), points.max(axis=0)
    found = arcs(path)
    for centre, radius, segment in zip(found.centres, found.radii, range(len(path.bulges)), strict=True):
        if abs(path.bulges[segment]) < STRAIGHT:
            continue
        for quarter in range(4):
            extreme = centre + radius * np.array([(1, 0), (0, 1), (-1, 0), (0, -1)][quarter])
            if _on_arc(path, segment=segment, point=extreme, centre=centre):
                low, high = np.minimum(low, extreme), np.maximum(high, extreme)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _on_arc(path: Chain, *, segment: int, point: Points, centre: Points) -> bool:
    start = path.points[segment] - centre
    sweep = 4.0 * math.atan(path.bulges[segment])
    ray = point - centre
    turn = math.atan2(start[0] * ray[1] - start[1] * ray[0], float(start @ ray))
    turn = turn if sweep > 0 else -turn
    return (turn % (2.0 * math.pi)) <= abs(sweep)


def tessellated(path: Chain, *, chord: Mm) -> Points:
    """Points along the chain, arcs as chords whose sagitta is at most ``chord``.

    Every vertex is kept exactly.  A closed chain does not repeat its first point.
    """
    curved = np.abs(path.bulges) >= STRAIGHT
    if not curved.any():
        return path.points.copy()
    start, end = ends(path)
    found = arcs(path)
    steps = np.ones(len(path.bulges), dtype=np.int64)
    ratio = np.clip(1.0 - chord / np.maximum(found.radii[curved], chord), -1.0, 1.0)
    widest = np.minimum(2.0 * np.arccos(ratio), math.pi / 4.0)
    steps[curved] = np.maximum(np.ceil(np.abs(found.sweeps[curved]) / widest - 1e-9), 1).astype(np.int64)
    which = np.repeat(np.arange(len(steps)), steps)
    offset = np.concatenate(([0], np.cumsum(steps)[:-1]))
    part = (np.arange(len(which)) - offset[which]) / steps[which]
    points = start[which].copy()
    bent = curved[which] & (part > 0.0)
    index = which[bent]
    angle = found.sweeps[index] * part[bent]
    arm = start[index] - found.centres[index]
    cos, sin = np.cos(angle), np.sin(angle)
    points[bent] = found.centres[index] + np.column_stack(
        (arm[:, 0] * cos - arm[:, 1] * sin, arm[:, 0] * sin + arm[:, 1] * cos)
    )
    if not path.closed:
        points = np.vstack((points, end[-1:]))
    return points
