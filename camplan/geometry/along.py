"""Places along a chain: nearest points, cuts, directions."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.geometry.chains import STRAIGHT, Chain, Points, arcs, ends, segment_lengths
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point on a chain: ``part`` (0 to 1) of the way along segment ``segment``, at ``point``."""

    segment: int
    part: float
    point: tuple[Mm, Mm]
    distance: Mm


def nearest(path: Chain, *, to: tuple[Mm, Mm]) -> Place:
    """The place on the chain that is nearest to a point; ``distance`` is how far that is."""
    target = np.asarray(to)
    start, end = ends(path)
    along = end - start
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.sum((target - start) * along, axis=1) / np.sum(along**2, axis=1)
    part = np.clip(np.nan_to_num(part), 0.0, 1.0)
    point = start + along * part[:, None]
    curved = np.flatnonzero(np.abs(path.bulges) >= STRAIGHT)
    if len(curved):
        found = arcs(path)
        centre, sweep = found.centres[curved], found.sweeps[curved]
        arm, ray = start[curved] - centre, target - centre
        turn = np.arctan2(arm[:, 0] * ray[:, 1] - arm[:, 1] * ray[:, 0], np.sum(arm * ray, axis=1))
        turn = np.where(sweep > 0.0, turn, -turn)
        turn = np.where(turn < 0.0, turn + 2.0 * math.pi, turn)
        size = np.abs(sweep)
        beyond = turn > size
        share = np.where(beyond, np.where(turn - size < 2.0 * math.pi - turn, 1.0, 0.0), turn / size)
        part[curved] = share
        angle = sweep * share
        cos, sin = np.cos(angle), np.sin(angle)
        point[curved] = centre + np.column_stack((arm[:, 0] * cos - arm[:, 1] * sin, arm[:, 0] * sin + arm[:, 1] * cos))
    off = np.hypot(*(point - target).T)
    best = int(np.argmin(off))
    return Place(
        segment=best,
        part=float(part[best]),
        point=(float(point[best, 0]), float(point[best, 1])),
        distance=float(off[best]),
    )


def at_length(path: Chain, *, length: Mm) -> Place:
    """The place at a length along the chain (wrapping round a closed one)."""
    sizes = segment_lengths(path)
    total = float(sizes.sum())
    wanted = length % total if path.closed else min(max(length, 0.0), total)
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    segment = min(int(np.searchsorted(reached, wanted, side="right")) - 1, len(sizes) - 1)
    part = (wanted - reached[segment]) / sizes[segment] if sizes[segment] > 0.0 else 0.0
    return Place(segment=segment, part=float(part), point=_point(path, segment=segment, part=float(part)), distance=0.0)


def length_at(path: Chain, *, place: Place) -> Mm:
    """How far along the chain a place is."""
    sizes = segment_lengths(path)
    return float(sizes[: place.segment].sum() + sizes[place.segment] * place.part)


def direction(path: Chain, *, place: Place) -> tuple[float, float]:
    """The unit vector in which the chain runs at a place."""
    start, end = ends(path)
    chord = end[place.segment] - start[place.segment]
    sweep = 4.0 * math.atan(float(path.bulges[place.segment]))
    heading = math.atan2(chord[1], chord[0]) - sweep / 2.0 + sweep * place.part
    return math.cos(heading), math.sin(heading)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Places:
    """k places on a chain: ``points`` (k, 2), the angle ``heading`` (k,) in which it runs there, the ``segment`` (k,)
    of each and how far along it as a share ``part`` (k,)."""

    points: Points
    heading: NDArray[np.float64]
    segment: NDArray[np.int64]
    part: NDArray[np.float64]


def at_lengths(path: Chain, *, lengths: NDArray[np.float64]) -> Places:
    """The places at lengths along an open chain."""
    sizes = segment_lengths(path)
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    segment = np.clip(np.searchsorted(reached, lengths, side="right") - 1, 0, len(sizes) - 1)
    part = np.clip((lengths - reached[segment]) / np.maximum(sizes[segment], tolerance.SAME_POINT), 0.0, 1.0)
    start, end = ends(path)
    a, chord = start[segment], (end - start)[segment]
    sweep = 4.0 * np.arctan(path.bulges[segment])
    points = a + chord * part[:, None]
    curved = np.flatnonzero(np.abs(path.bulges[segment]) >= STRAIGHT)
    centre = arcs(path).centres[segment[curved]]
    arm, angle = a[curved] - centre, (sweep * part)[curved]
    cos, sin = np.cos(angle), np.sin(angle)
    points[curved] = centre + np.column_stack((arm[:, 0] * cos - arm[:, 1] * sin, arm[:, 0] * sin + arm[:, 1] * cos))
    heading = np.arctan2(chord[:, 1], chord[:, 0]) - sweep / 2.0 + sweep * part
    return Places(points=points, heading=heading, segment=segment, part=part)


def parted(path: Chain, *, at: NDArray[np.float64]) -> tuple[Chain, ...]:
    """An open chain in pieces, cut at lengths along it that rise and lie inside it; arcs stay arcs, and a cut within
    `tolerance.SAME_POINT` of a vertex is made there."""
    sizes = segment_lengths(path)
    reached = np.concatenate(([0.0], np.cumsum(sizes)))
    cuts = at_lengths(path, lengths=at)
    pieces: list[Chain] = []
    vertex, points, bulges = 1, [path.points[0]], list[float]()
    begun = 0.0
    for place, length_ in enumerate(at.tolist()):
        segment, part = int(cuts.segment[place]), float(cuts.part[place])
        near = int(np.argmin(np.abs(reached - length_)))
        on_vertex = abs(float(reached[near]) - length_) <= tolerance.SAME_POINT
        last = near if on_vertex else segment
        while vertex <= last:
            points.append(path.points[vertex])
            bulges.append(_bulge(path, segment=vertex - 1, share=1.0 - begun))
            vertex, begun = vertex + 1, 0.0
        if not on_vertex:
            points.append(cuts.points[place])
            bulges.append(_bulge(path, segment=segment, share=part - begun))
            begun = part
        pieces.append(Chain(points=np.array(points), bulges=np.array(bulges), closed=False))
        points, bulges = [points[-1]], []
    while vertex < len(path.points):
        points.append(path.points[vertex])
        bulges.append(_bulge(path, segment=vertex - 1, share=1.0 - begun))
        vertex, begun = vertex + 1, 0.0
    pieces.append(Chain(points=np.array(points), bulges=np.array(bulges), closed=False))
    return tuple(pieces)


def _bulge(path: Chain, *, segment: int, share: float) -> float:
    """The bulge of a share of a segment's sweep."""
    bulge = float(path.bulges[segment])
    return bulge if share >= 1.0 else math.tan(math.atan(bulge) * share)


def opened_at(path: Chain, *, place: Place) -> Chain:
    """A closed chain as an open one that starts and ends at a place."""
    count = len(path.bulges)
    if 0.0 < place.part < 1.0:
        quarter = math.atan(float(path.bulges[place.segment]))
        here = np.array([place.point])
        points = np.vstack((here, np.roll(path.points, -(place.segment + 1), axis=0), here))
        others = np.roll(path.bulges, -(place.segment + 1))[:-1]
        first, last = math.tan(quarter * (1.0 - place.part)), math.tan(quarter * place.part)
        return Chain(points=points, bulges=np.concatenate(([first], others, [last])), closed=False)
    vertex = place.segment if place.part <= 0.0 else (place.segment + 1) % count
    points = np.roll(path.points, -vertex, axis=0)
    return Chain(points=np.vstack((points, points[:1])), bulges=np.roll(path.bulges, -vertex), closed=False)


def stretch(path: Chain, *, start: Mm, end: Mm) -> Chain:
    """The part of a chain between two lengths along it, start < end; a closed chain may be wrapped once."""
    first = at_length(path, length=start)
    if path.closed:
        whole = opened_at(path, place=first)
        return stretch(whole, start=0.0, end=end - start)
    total = float(segment_lengths(path).sum())
    last = at_length(path, length=min(end, total))
    segments = range(first.segment, last.segment + 1)
    points = [np.asarray(first.point)]
    bulges = []
    for segment in segments:
        low = first.part if segment == first.segment else 0.0
        high = last.part if segment == last.segment else 1.0
        if high - low <= 1e-12:
            continue
        points.append(np.asarray(_point(path, segment=segment, part=high)))
        bulges.append(math.tan(math.atan(float(path.bulges[segment])) * (high - low)))
    return Chain(points=np.array(points), bulges=np.array(bulges), closed=False)


def connected(parts: list[Chain]) -> Chain:
    """Open chains, each starting where the one before ends, as one."""
    points: list[Points] = [parts[0].points]
    points.extend(part.points[1:] for part in parts[1:])
    return Chain(points=np.vstack(points), bulges=np.concatenate([part.bulges for part in parts]), closed=False)


def _point(path: Chain, *, segment: int, part: float) -> tuple[Mm, Mm]:
    start, end = ends(path)
    a, b = start[segment], end[segment]
    if part >= 1.0:
        return float(b[0]), float(b[1])
    bulge = float(path.bulges[segment])
    if abs(bulge) < STRAIGHT or part <= 0.0:
        x, y = a + (b - a) * part
        return float(x), float(y)
    half = (b - a) / 2.0
    centre = (a + b) / 2.0 + (1.0 - bulge**2) / (2.0 * bulge) * np.array([-half[1], half[0]])
    angle = 4.0 * math.atan(bulge) * part
    arm = a - centre
    cos, sin = math.cos(angle), math.sin(angle)
    return (
        float(centre[0] + arm[0] * cos - arm[1] * sin),
        float(centre[1] + arm[0] * sin + arm[1] * cos),
    )
