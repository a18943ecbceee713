"""A plane figure's values on a raster of square pixels."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.simulation import solids
from camplan.simulation.solids import Box, Floats, Solid
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Raster:
    """``values`` (rows, columns) from the lower left corner (x, y) on, rows upward."""

    values: NDArray[np.float32]
    x: Mm
    y: Mm
    pixel: Mm


def raster_of(bounds: Box, *, margin: Mm, pixel: Mm, value: float) -> Raster:
    """A raster of one value over a box and a margin about it."""
    x0, y0, x1, y1 = bounds
    columns = math.ceil((x1 - x0 + 2.0 * margin) / pixel)
    rows = math.ceil((y1 - y0 + 2.0 * margin) / pixel)
    values = np.full((rows, columns), value, dtype=np.float32)
    return Raster(values=values, x=x0 - margin, y=y0 - margin, pixel=pixel)


def filled(raster: Raster, *, solid: Solid, value: float) -> None:
    """Set the pixels whose middles lie in a figure, row by row between its edges (even-odd rule)."""
    rings: list[Floats] = []
    for part in solids.parts(solid):
        outer, holes = solids.rings(part)
        rings += [outer, *holes]
    if not rings:
        return
    start = np.vstack(rings)
    end = np.vstack([np.roll(ring, -1, axis=0) for ring in rings])
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    rows, columns = raster.values.shape
    middles = raster.y + (np.arange(rows) + 0.5) * raster.pixel
    order = np.argsort(low, kind="stable")
    start, end, low, high = start[order], end[order], low[order], high[order]
    first = np.searchsorted(low, middles, side="right")
    for row in range(rows):
        y = middles[row]
        met = np.flatnonzero(high[: first[row]] > y)
        if not len(met):
            continue
        a, b = start[met], end[met]
        crossed = np.sort(a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1]))
        edges = np.clip(np.ceil((crossed - raster.x) / raster.pixel - 0.5).astype(np.int64), 0, columns)
        for left, right in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=False):
            raster.values[row, left:right] = value
