"""How much of a cutter's leading half edge stands in material along a path, measured by itself.

Of the planner nothing is used.  The path is walked in even steps; for every node of a raster the first step is noted
at which the disc covers it.  At each step the edge is asked a tenth of a mm farther on,
where it is about to cut: a place of it stands in material if the node nearest to it is covered later than now.  Nodes
that are never covered lie in the wall: what is left standing is for another test.  The outermost `SIDE` degrees of the
half edge gain less than a cell there; they are taken to be as the place next to them.  With a radius of a hundred
cells a straight cut of a fifth of the radius is measured to within two degrees.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
WALK = 0.1
FINE = 100.0
SIDE = 15.0
AHEAD = 0.1
EACH = 1.5
NEVER = 2**31 - 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engaged:
    """Degrees of the leading half edge in material at each step of the feed path, where the steps are, and of which
    polyline they are."""

    degrees: Floats
    places: Floats
    run: NDArray[np.int64]

    @property
    def most(self) -> float:
        return float(self.degrees.max())

    def share_below(self, degrees: float) -> float:
        return float(np.mean(self.degrees <= degrees))

    @property
    def p999(self) -> float:
        return float(np.quantile(self.degrees, 0.999))


def measured(runs: Sequence[Floats], *, radius: float, cleared: Sequence[Floats]) -> Engaged:
    """Engagement along polylines walked in order; ``cleared``: (n, 2) places of the disc that were there before."""
    steps = [_walked(run) for run in runs if len(run) > 1]
    places = np.vstack([*cleared, *(places for places, _ in steps)])
    headings = np.concatenate([headings for _, headings in steps])
    where = places[sum(len(one) for one in cleared) :]
    number_of = np.repeat(np.arange(len(steps)), [len(places) for places, _ in steps])
    before = sum(len(one) for one in cleared)
    ahead = where + AHEAD * np.column_stack((np.cos(headings), np.sin(headings)))
    raster = _Raster.over(places, radius=radius)
    for number, place in enumerate(places):
        raster.cover(place, number=number, radius=radius)
    turns = np.radians(np.arange(-90.0 + SIDE, 90.0 - SIDE + EACH / 2.0, EACH))
    degrees = np.zeros(len(where))
    for begin in range(0, len(where), 4000):
        rows = np.arange(begin, min(begin + 4000, len(where)))
        angles = headings[rows, None] + turns
        edge = ahead[rows, None, :] + radius * np.stack((np.cos(angles), np.sin(angles)), axis=2)
        when = raster.at(edge)
        stands = (when > (rows + before)[:, None]) & (when < NEVER)
        degrees[rows] = EACH * stands[:, 1:-1].sum(axis=1) + (SIDE + EACH / 2.0) * (stands[:, 0] + 0.0 + stands[:, -1])
    return Engaged(degrees=degrees, places=places[before:], run=number_of)


def _walked(run: Floats) -> tuple[Floats, Floats]:
    run = run[np.concatenate(([True], np.hypot(*np.diff(run, axis=0).T) > 1e-9))]
    reached = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))))
    where = np.linspace(0.0, reached[-1], max(int(np.ceil(reached[-1] / WALK)), 1) + 1)
    places = _at(run, reached=reached, where=where)
    ahead = _at(run, reached=reached, where=np.minimum(where + AHEAD, reached[-1]))
    way = ahead - places
    headings = np.arctan2(way[:, 1], way[:, 0])
    short = np.hypot(*way.T) < 1e-6
    headings[short] = headings[np.maximum(np.flatnonzero(short) - 1, 0)]
    return places, headings


def _at(run: Floats, *, reached: Floats, where: Floats) -> Floats:
    return np.column_stack((np.interp(where, reached, run[:, 0]), np.interp(where, reached, run[:, 1])))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Raster:
    corner: Floats
    cell: float
    first: NDArray[np.int32]

    @staticmethod
    def over(places: Floats, *, radius: float) -> "_Raster":
        cell = radius / FINE
        low, high = places.min(axis=0) - radius - 1.0, places.max(axis=0) + radius + 1.0
        counts = np.ceil((high - low) / cell).astype(int) + 1
        return _Raster(corner=low, cell=cell, first=np.full(tuple(counts), NEVER, dtype=np.int32))

    def cover(self, place: Floats, *, number: int, radius: float) -> None:
        low = np.ceil((place - radius - self.corner) / self.cell).astype(int)
        high = np.floor((place + radius - self.corner) / self.cell).astype(int) + 1
        x = self.corner[0] + np.arange(low[0], high[0]) * self.cell - place[0]
        y = self.corner[1] + np.arange(low[1], high[1]) * self.cell - place[1]
        part = self.first[low[0] : high[0], low[1] : high[1]]
        part[(x[:, None] ** 2 + y**2 <= radius * radius) & (part == NEVER)] = number

    def at(self, edge: Floats) -> NDArray[np.int32]:
        """The first step at which the node nearest to each place was covered."""
        node = np.rint((edge - self.corner) / self.cell).astype(int)
        return self.first[node[..., 0], node[..., 1]]
