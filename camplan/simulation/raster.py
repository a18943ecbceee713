"""A plane figure's values on a raster of square pixels."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.raster import inside
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
    """Set the pixels whose middles lie in a figure."""
    edges: list[Floats] = []
    for part in solids.parts(solid):
        outer, holes = solids.rings(part)
        edges += [outer, *holes]
    shape = (raster.values.shape[0], raster.values.shape[1])
    raster.values[inside(edges, corner=(raster.x, raster.y), pixel=raster.pixel, shape=shape)] = value
