"""The narrowest place between two walls of an area.

The points with more than one nearest place on the edge form the medial axis; sampled edges give it as the Voronoi
diagram of the samples.  Where two walls face each other squarely, their nearest points lie on opposite sides of the
axis: the least such width is the narrowest neck.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import Voronoi

from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, perimeter
from camplan.geometry.edges import all_held, edges_of
from camplan.units import Mm

_SAMPLES = 1500
_OPPOSITE = np.cos(np.radians(165.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Neck:
    """The width between two facing walls, the middle between them, and the two places of the walls that face."""

    width: Mm
    at: tuple[Mm, Mm]
    ends: tuple[tuple[Mm, Mm], tuple[Mm, Mm]]


def narrowest(area: Area, *, count: int = _SAMPLES) -> Neck | None:
    """The narrowest neck to within a sampling step (the edge over ``count``); None where no walls face each other."""
    samples = _sampled(area, count=count)
    if len(samples) < 8:
        return None
    diagram = Voronoi(samples)
    pairs = diagram.ridge_points
    a, b = samples[pairs[:, 0]], samples[pairs[:, 1]]
    middle = (a + b) / 2.0
    width = np.hypot(*(b - a).T)
    step = perimeter(area) / count
    ends = np.asarray(diagram.ridge_vertices)
    far = ends.min(axis=1) >= 0
    corner = diagram.vertices[np.maximum(ends[:, 0], 0)]
    to_a, to_b = a - corner, b - corner
    with np.errstate(divide="ignore", invalid="ignore"):
        facing = np.sum(to_a * to_b, axis=1) / (np.hypot(*to_a.T) * np.hypot(*to_b.T))
    good = far & (width > 3.0 * step) & (facing < _OPPOSITE)
    good[good] = all_held(edges_of(area), points=middle[good])
    if not good.any():
        return None
    best = np.flatnonzero(good)[int(np.argmin(width[good]))]
    return Neck(width=float(width[best]), at=_pair(middle[best]), ends=(_pair(a[best]), _pair(b[best])))


def _pair(point: Points) -> tuple[Mm, Mm]:
    return float(point[0]), float(point[1])


def _sampled(area: Area, *, count: int) -> Points:
    total = perimeter(area)
    if total == 0.0:
        return np.zeros((0, 2))
    found = []
    for ring in area:
        path = np.vstack((ring, ring[:1]))
        reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))))
        mine = max(int(reached[-1] / total * count), 8)
        at = np.linspace(0.0, reached[-1], mine, endpoint=False)
        found.append(np.column_stack((np.interp(at, reached, path[:, 0]), np.interp(at, reached, path[:, 1]))))
    return np.unique(np.round(np.vstack(found), 7), axis=0)
