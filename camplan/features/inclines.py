"""Plane floors that fall from one place to another: how deep they are where, and where they are as deep as asked."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from camplan.features.records import HalfPlane
from camplan.features.specs import Incline
from camplan.geometry.chains import Points
from camplan.units import Mm, Rad


def shallow_end(incline: Incline) -> Mm:
    """The depth of the floor where it is least deep."""
    return min(incline.first, incline.last)


def deep_end(incline: Incline) -> Mm:
    """The depth of the floor where it is deepest."""
    return max(incline.first, incline.last)


def incline_angle(incline: Incline) -> Rad:
    """How steeply the floor falls.

    >>> round(math.degrees(incline_angle(Incline(start=(0, 0), end=(40, 0), first=2.0, last=3.0))), 3)
    1.432
    """
    return math.atan((deep_end(incline) - shallow_end(incline)) / run_of(incline))


def run_of(incline: Incline) -> Mm:
    """How far it is between the two places, seen from above."""
    return math.dist(incline.start, incline.end)


def downhill(incline: Incline) -> tuple[tuple[Mm, Mm], tuple[float, float]]:
    """The place at which the floor begins to fall, and the unit vector in which it falls."""
    high, low = (incline.start, incline.end) if incline.first <= incline.last else (incline.end, incline.start)
    size = run_of(incline)
    return high, ((low[0] - high[0]) / size, (low[1] - high[1]) / size)


def from_depth(incline: Incline, *, depth: Mm) -> HalfPlane:
    """Where the floor, between its two depths, is at a depth or below."""
    (x, y), (dx, dy) = downhill(incline)
    share = (depth - shallow_end(incline)) / (deep_end(incline) - shallow_end(incline))
    way = share * run_of(incline)
    return HalfPlane(point=(x + way * dx, y + way * dy), direction=(dx, dy))


def depth_under(incline: Incline, *, places: Points, radius: NDArray[np.float64] | Mm) -> NDArray[np.float64]:
    """How deep a flat tip of a radius may stand over each of (n, 2) places: with its upper edge on the floor."""
    high, way = downhill(incline)
    along = (np.asarray(places) - np.asarray(high)) @ np.asarray(way) - radius
    share = np.clip(along / run_of(incline), 0.0, 1.0)
    depths: NDArray[np.float64] = shallow_end(incline) + share * (deep_end(incline) - shallow_end(incline))
    return depths


def foot_height(incline: Incline, *, radius: Mm) -> Mm:
    """How high a flat tip leaves the floor standing at the foot of the wall at its lower end: 2 r tan a (plane
    geometry); along the side walls it is half of that.

    >>> round(foot_height(Incline(start=(0, 0), end=(40, 0), first=2.0, last=3.0), radius=2.0), 3)
    0.1
    """
    return 2.0 * radius * math.tan(incline_angle(incline))


def ridge_step(incline: Incline, *, radius: Mm, height: Mm) -> Mm:
    """How far apart paths down the fall may be so that a flat tip leaves ridges no higher than ``height``.

    Between two paths the tip's upper edge curves away from the floor: (r - sqrt(r2 - s2 / 4)) tan a (plane geometry).

    >>> incline = Incline(start=(0, 0), end=(40, 0), first=2.0, last=3.0)
    >>> step = ridge_step(incline, radius=2.0, height=0.01)
    >>> round((2.0 - math.sqrt(4.0 - step**2 / 4.0)) / 40.0, 6)
    0.01
    """
    sunk = min(height / math.tan(incline_angle(incline)), radius)
    return 2.0 * math.sqrt(radius**2 - (radius - sunk) ** 2)


def shifted_incline(incline: Incline, *, by: tuple[Mm, Mm]) -> Incline:
    """The plane moved by (dx, dy)."""
    (x0, y0), (x1, y1) = incline.start, incline.end
    return replace(incline, start=(x0 + by[0], y0 + by[1]), end=(x1 + by[0], y1 + by[1]))
