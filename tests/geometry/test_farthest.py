"""Ways within a figure, against ways worked out by hand."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry.farthest import farthest


def spot(x: float, y: float) -> shapely.Geometry:
    return shapely.Point(x, y).buffer(0.5)


def test_in_a_long_strip_the_way_is_its_length() -> None:
    found = farthest(shapely.box(0, 0, 100, 4), begins=shapely.box(-5, 0, 0, 4))
    assert found is not None
    assert found.straight == pytest.approx(100.0, abs=0.5)
    assert found.straight <= found.along <= 101.5
    assert found.unreached == 0.0


def test_round_a_wall_the_way_is_longer_than_the_straight_line() -> None:
    """A U of two legs 50 long, 10 wide, a wall of 10 between: from the end of one leg to the far corner of the other.

    The way goes past both inner corners of the bend: 40 + 10, then to (30, 50); worked by Pythagoras.
    """
    figure = shapely.box(0, 0, 30, 50).difference(shapely.box(10, 10, 20, 50))
    found = farthest(figure, begins=shapely.box(0, 50, 10, 55))
    assert found is not None
    way = 40.0 + 10.0 + math.hypot(10.0, 40.0)
    assert found.along == pytest.approx(way, rel=0.03)
    assert found.straight == pytest.approx(math.hypot(20.0, 50.0), rel=0.03)


@settings(max_examples=8, deadline=None)
@given(st.floats(2.0, 60.0))
def test_in_a_disc_fed_at_its_edge_the_way_is_the_diameter(radius: float) -> None:
    figure = shapely.Point(3.0, -7.0).buffer(radius, quad_segs=64)
    found = farthest(figure, begins=shapely.Point(3.0 + radius, -7.0).buffer(0.05 * radius))
    assert found is not None
    low = 2.0 * radius - 0.06 * radius
    assert low * 0.98 <= found.straight <= 2.0 * radius
    assert found.straight <= found.along <= 1.03 * 2.0 * radius + 0.2


@settings(max_examples=8, deadline=None)
@given(st.floats(-math.pi, math.pi))
def test_ways_in_any_direction_are_no_more_than_3_percent_long(angle: float) -> None:
    axis = shapely.LineString([(0, 0), (80 * math.cos(angle), 80 * math.sin(angle))])
    found = farthest(axis.buffer(5.0), begins=shapely.Point(0, 0).buffer(0.3))
    assert found is not None
    assert 84.0 < found.straight < 85.3
    assert found.straight <= found.along < 1.035 * 85.0


def test_a_part_that_lies_apart_is_not_reached() -> None:
    figure = shapely.union_all([shapely.box(0, 0, 10, 10), shapely.box(20, 0, 30, 10)])
    found = farthest(figure, begins=spot(0, 5))
    assert found is not None
    assert found.unreached == pytest.approx(0.5, abs=0.01)
    assert found.straight < 15.0


def test_a_way_begins_at_the_edge_that_what_feeds_it_crosses() -> None:
    """What feeds the strip reaches 30 mm into it, and still comes in at its left end."""
    found = farthest(shapely.box(0, 0, 100, 4), begins=shapely.box(-5, 1, 30, 3))
    assert found is not None
    assert found.straight == pytest.approx(100.0, abs=0.5)


def test_what_lies_in_the_figure_altogether_feeds_it_from_there() -> None:
    found = farthest(shapely.box(0, 0, 100, 4), begins=shapely.box(49, 0, 51, 4))
    assert found is not None
    assert found.straight == pytest.approx(49.0, abs=0.5)


def test_nothing_begins_where_nothing_meets() -> None:
    assert farthest(shapely.box(0, 0, 10, 10), begins=spot(30, 30)) is None


def test_the_same_figure_gives_the_same_way() -> None:
    figure = shapely.box(0, 0, 30, 50).difference(shapely.box(10, 10, 20, 50))
    assert farthest(figure, begins=spot(5, 50)) == farthest(figure, begins=spot(5, 50))
