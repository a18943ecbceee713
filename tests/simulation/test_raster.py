"""A figure on a raster covers what the figure covers."""

import math

import numpy as np
import pytest
import shapely

from camplan.simulation.raster import filled, raster_of


def test_a_disc_with_a_hole_covers_as_many_pixels_as_its_size_says() -> None:
    figure = shapely.Point(10.0, 8.0).buffer(5.0, quad_segs=64).difference(shapely.box(9.0, 7.0, 11.0, 9.0))
    raster = raster_of((0.0, 0.0, 20.0, 16.0), margin=1.0, pixel=0.05, value=0.0)
    filled(raster, solid=figure, value=1.0)
    assert float(raster.values.sum()) * 0.05**2 == pytest.approx(figure.area, rel=2e-3)


def test_each_pixel_is_set_whose_middle_lies_inside() -> None:
    figure = shapely.union_all([shapely.box(1.0, 1.0, 3.0, 2.0), shapely.Polygon([(5, 1), (8, 4), (5, 6)])])
    raster = raster_of((0.0, 0.0, 9.0, 7.0), margin=0.5, pixel=0.3, value=-1.0)
    filled(raster, solid=figure, value=2.0)
    rows, columns = np.indices(raster.values.shape)
    x, y = raster.x + (columns + 0.5) * 0.3, raster.y + (rows + 0.5) * 0.3
    assert np.array_equal(raster.values == 2.0, shapely.contains_xy(figure, x, y))


def test_nothing_sets_nothing() -> None:
    raster = raster_of((0.0, 0.0, 1.0, 1.0), margin=0.0, pixel=0.5, value=-math.inf)
    filled(raster, solid=shapely.Polygon(), value=0.0)
    assert np.isinf(raster.values).all()
