"""Floors that fall along lines: where they are how deep, and what of a line is as deep as asked.

A slope is an open chain with the depth of its floor at each vertex; between two vertices the floor falls evenly along
the chain.  A flat cutter on a slope stands upright, so the floor that is meant is what its lower end leaves: along the
line it touches the slope with the edge of its tip.
"""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.features.records import Beads, Slope
from camplan.geometry.along import at_length, opened_at, stretch
from camplan.geometry.chains import Chain, Points, length, segment_lengths, shifted, tessellated
from camplan.units import Mm

_ROUND_STEPS = 96
"""Straight pieces for a quarter of a round floor's profile: less than 0.2 um off for balls of up to 8 mm."""


def slope_of(path: Chain, *, at: NDArray[np.float64], depths: NDArray[np.float64]) -> Slope:
    """A slope from the depths at some lengths along an open chain; the first and the last are its ends."""
    whole = with_vertices(path, at=at)
    return Slope(path=whole, depths=np.interp(reached(whole), at, depths))


def reached(path: Chain) -> NDArray[np.float64]:
    """The length along an open chain at each of its vertices."""
    return np.concatenate(([0.0], np.cumsum(segment_lengths(path))))


def with_vertices(path: Chain, *, at: NDArray[np.float64]) -> Chain:
    """An open chain with vertices at some lengths too, its arcs split and not drawn anew."""
    known = reached(path)
    fresh = [float(one) for one in at if np.min(np.abs(known - one)) > tolerance.SAME_POINT and 0.0 < one < known[-1]]
    if not fresh:
        return path
    places = [0.0, *sorted(fresh), float(known[-1])]
    parts = [stretch(path, start=start, end=end) for start, end in pairwise(places)]
    points = np.vstack([parts[0].points, *(part.points[1:] for part in parts[1:])])
    return Chain(points=points, bulges=np.concatenate([part.bulges for part in parts]), closed=False)


def opened(path: Chain, *, at: Mm) -> Chain:
    """A closed chain opened at a length along it."""
    return opened_at(path, place=at_length(path, length=at))


def shallowest(slopes: tuple[Slope, ...]) -> Mm:
    """The least depth of all floors."""
    return min(float(slope.depths.min()) for slope in slopes)


def placed(slope: Slope, *, by: tuple[Mm, Mm]) -> Slope:
    """A slope moved by (dx, dy)."""
    return Slope(path=shifted(slope.path, by=by), depths=slope.depths)


def as_deep(slope: Slope, *, depth: Mm) -> tuple[Chain, ...]:
    """The stretches of a slope's line whose floor is at ``depth`` or below."""
    edges = reached(slope.path)
    found: list[tuple[Mm, Mm]] = []
    for (begin, end), (first, last) in zip(pairwise(edges.tolist()), pairwise(slope.depths.tolist()), strict=True):
        if max(first, last) < depth:
            continue
        low, high = begin, end
        if first < depth:
            low = end - (end - begin) * (last - depth) / (last - first)
        elif last < depth:
            high = begin + (end - begin) * (first - depth) / (first - last)
        if found and low - found[-1][1] <= tolerance.SAME_POINT:
            found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    return tuple(stretch(slope.path, start=low, end=high) for low, high in found if high - low > tolerance.SAME_POINT)


def under(slopes: tuple[Slope, ...], *, places: Points) -> NDArray[np.float64]:
    """The depth of the floor of the nearest line under each of (n, 2) places: as deep as the line is where it is
    nearest."""
    best = np.full(len(places), math.inf)
    depth = np.zeros(len(places))
    for slope in slopes:
        points, depths = _fine(slope)
        start, along = points[:-1], np.diff(points, axis=0)
        size = np.maximum(np.sum(along**2, axis=1), 1e-18)
        for number, place in enumerate(places):
            share = np.clip(np.sum((place - start) * along, axis=1) / size, 0.0, 1.0)
            off = np.hypot(*(start + along * share[:, None] - place).T)
            nearest = int(np.argmin(off))
            if off[nearest] < best[number]:
                best[number] = off[nearest]
                depth[number] = depths[nearest] + share[nearest] * (depths[nearest + 1] - depths[nearest])
    return depth


def beads(slope: Slope, *, depth: Mm, profile: tuple[tuple[Mm, Mm], ...]) -> Beads | None:
    """What a cutter of a ``profile`` covers at ``depth`` as its tip follows the slope; None where it does not come.

    ``profile``: (height above the tip, radius) pairs, heights rising from 0; above the last the radius stays.
    """
    points, depths = _fine(slope)
    above = depths - depth
    heights = np.array([height for height, _ in profile])
    parts: list[Points] = []
    radii: list[NDArray[np.float64]] = []
    for number, (first, last) in enumerate(pairwise(above.tolist())):
        if max(first, last) < 0.0:
            continue
        low, high = min(first, last), max(first, last)
        inner = heights[(heights > max(low, 0.0)) & (heights < high)]
        asked = np.unique(np.concatenate(([max(low, 0.0)], inner, [high])))
        share = (asked - first) / (last - first) if last != first else np.array([0.0, 1.0])
        if last == first:
            asked = np.array([first, last])
        elif len(asked) < 2:
            continue
        order = np.argsort(share, kind="stable")
        parts.append(points[number] + np.clip(share[order], 0.0, 1.0)[:, None] * (points[number + 1] - points[number]))
        radii.append(np.interp(asked[order], heights, [radius for _, radius in profile]))
    return Beads(points=tuple(parts), radii=tuple(radii)) if parts else None


def round_profile(width: Mm) -> tuple[tuple[Mm, Mm], ...]:
    """The (height, radius) pairs of a ball of a diameter, from its tip up to its middle."""
    angles = np.arange(_ROUND_STEPS + 1) * (math.pi / 2.0 / _ROUND_STEPS)
    radius = width / 2.0
    return tuple(zip((radius * (1.0 - np.cos(angles))).tolist(), (radius * np.sin(angles)).tolist(), strict=True))


def side_profile(foot: Mm, *, angle: float, height: Mm) -> tuple[tuple[Mm, Mm], ...]:
    """The (height, radius) pairs of sides that lean outward by ``angle`` from a floor 2 ``foot`` wide."""
    return ((0.0, foot), (height, foot + height * math.tan(angle)))


def angle_of(slope: Slope) -> float:
    """The steepest angle (rad) at which a slope's floor falls."""
    sizes = np.maximum(segment_lengths(slope.path), tolerance.SAME_POINT)
    return float(np.arctan(np.abs(np.diff(slope.depths)) / sizes).max(initial=0.0))


def widening(path: Chain, *, widths: tuple[Mm, Mm]) -> Beads:
    """The discs along an open line whose width changes evenly along it from the one to the other."""
    points, share = _fine(Slope(path=path, depths=reached(path) / reached(path)[-1]))
    return Beads(points=(points,), radii=((widths[0] + share * (widths[1] - widths[0])) / 2.0,))


def placed_beads(beads: Beads, *, by: tuple[Mm, Mm]) -> Beads:
    """Discs moved by (dx, dy)."""
    return Beads(points=tuple(points + np.asarray(by) for points in beads.points), radii=beads.radii)


def is_worth(path: Chain) -> bool:
    """Whether a line is long enough for a floor to fall along it."""
    return length(path) > tolerance.JOIN


def _fine(slope: Slope) -> tuple[Points, NDArray[np.float64]]:
    """A slope's line as chords, and the depth at each of their ends."""
    path = slope.path
    places: list[Points] = [path.points[:1]]
    depths: list[NDArray[np.float64]] = [slope.depths[:1]]
    for number in range(len(path.bulges)):
        one = Chain(points=path.points[number : number + 2], bulges=path.bulges[number : number + 1], closed=False)
        chords = tessellated(one, chord=tolerance.CHORD)[1:]
        share = np.arange(1, len(chords) + 1) / len(chords)
        places.append(chords)
        depths.append(slope.depths[number] + share * (slope.depths[number + 1] - slope.depths[number]))
    return np.vstack(places), np.concatenate(depths)
