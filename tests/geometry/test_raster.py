"""Which pixels lie in a figure, checked with shapely (GEOS)."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from camplan.geometry.raster import inside


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.05, 0.7))
def test_a_pixel_lies_in_a_figure_if_its_middle_does(seed: int, pixel: float) -> None:
    random = np.random.default_rng(seed)
    angle = np.linspace(0.0, 2.0 * np.pi, 17, endpoint=False)
    reach = random.uniform(4.0, 9.0, 17)
    outer = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
    hole = 0.4 * outer[::-1]
    shape = (int(20.0 / pixel), int(21.0 / pixel))
    found = inside([outer, hole], corner=(-10.0, -9.5), pixel=pixel, shape=shape)
    x = -10.0 + (np.arange(shape[1]) + 0.5) * pixel
    y = -9.5 + (np.arange(shape[0]) + 0.5) * pixel
    across, up = np.meshgrid(x, y)
    figure = Polygon(outer, [hole])
    near = shapely.distance(shapely.points(across, up), figure.boundary) < 1e-9
    assert np.array_equal(found[~near], shapely.contains_xy(figure, across, up)[~near])


def test_no_figure_holds_no_pixel() -> None:
    assert not inside([], corner=(0.0, 0.0), pixel=1.0, shape=(4, 5)).any()
