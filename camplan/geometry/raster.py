"""Which pixels of a raster lie in a figure."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.chains import Points
from camplan.units import Mm


def inside(rings: Sequence[Points], *, corner: tuple[Mm, Mm], pixel: Mm, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """The pixels (rows, columns), rows upward from ``corner``, whose middles lie in a figure, row by row between its
    edges (even-odd rule)."""
    found = np.zeros(shape, dtype=np.bool_)
    if not len(rings):
        return found
    start = np.vstack(rings)
    end = np.vstack([np.roll(ring, -1, axis=0) for ring in rings])
    low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
    rows, columns = shape
    middles = corner[1] + (np.arange(rows) + 0.5) * pixel
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
        edges = np.clip(np.ceil((crossed - corner[0]) / pixel - 0.5).astype(np.int64), 0, columns)
        for left, right in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=False):
            found[row, left:right] = True
    return found
