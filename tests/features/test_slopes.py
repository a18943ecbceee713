"""Falling floors: depths along lines, the stretches as deep as asked, and what cutters cover above them."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.records import Section, Slope
from camplan.features.slopes import (
    angle_of,
    as_deep,
    beads,
    placed,
    reached,
    round_profile,
    shallowest,
    side_profile,
    slope_of,
    under,
    widening,
    with_vertices,
)
from camplan.geometry.chains import chain, length
from camplan.operations import areas
from camplan.simulation.figures import polygon_of

QUARTER = math.sqrt(2.0) - 1.0


def straight(first: float, last: float, *, size: float = 20.0) -> Slope:
    return Slope(path=chain([(0, 0), (size, 0)]), depths=np.array([first, last]))


def test_a_slope_has_a_depth_at_each_point_of_an_open_path() -> None:
    with pytest.raises(ValueError, match="open path"):
        Slope(path=chain([(0, 0), (1, 0)]), depths=np.array([1.0]))
    with pytest.raises(ValueError, match="open path"):
        Slope(path=chain([(0, 0), (1, 0), (0, 1)], closed=True), depths=np.ones(3))


def test_a_depth_between_two_vertices_becomes_a_vertex_and_the_arc_stays_an_arc() -> None:
    path = chain([(10, 0), (0, 10)], bulges=[QUARTER])
    slope = slope_of(path, at=np.array([0.0, 5.0, length(path)]), depths=np.array([2.0, 1.0, 1.5]))
    assert slope.depths.tolist() == pytest.approx([2.0, 1.0, 1.5])
    assert np.hypot(*slope.path.points.T) == pytest.approx(10.0)
    assert length(slope.path) == pytest.approx(math.pi * 5.0)
    assert with_vertices(path, at=np.array([0.0])) is path


def test_the_stretch_that_is_as_deep_ends_where_the_floor_passes_the_depth() -> None:
    (part,) = as_deep(straight(2.5, 1.5), depth=2.0)
    assert part.points[:, 0].tolist() == pytest.approx([0.0, 10.0])
    (part,) = as_deep(straight(1.5, 2.5), depth=2.0)
    assert part.points[:, 0].tolist() == pytest.approx([10.0, 20.0])
    assert as_deep(straight(1.5, 2.5), depth=2.6) == ()
    assert length(as_deep(straight(1.5, 2.5), depth=1.5)[0]) == pytest.approx(20.0)


def test_a_ridge_parts_the_line_and_a_joint_does_not() -> None:
    ridge = Slope(path=chain([(0, 0), (10, 0), (20, 0)]), depths=np.array([2.0, 1.0, 2.0]))
    assert len(as_deep(ridge, depth=1.5)) == 2
    (whole,) = as_deep(ridge, depth=1.0)
    assert length(whole) == pytest.approx(20.0)


def test_depths_and_angles_are_those_of_the_line() -> None:
    slopes = (straight(2.5, 1.5), placed(straight(3.0, 2.0), by=(0.0, 5.0)))
    assert shallowest(slopes) == 1.5
    assert angle_of(slopes[0]) == pytest.approx(math.atan(1.0 / 20.0))
    assert under(slopes, places=np.array([[10.0, 0.4], [10.0, 4.5], [-3.0, 0.0]])).tolist() == pytest.approx(
        [2, 2.5, 2.5]
    )


def test_an_arc_falls_evenly_along_its_length() -> None:
    arc = Slope(path=chain([(10, 0), (0, 10)], bulges=[QUARTER]), depths=np.array([2.0, 1.0]))
    third = [10.0 * math.cos(math.pi / 6.0), 10.0 * math.sin(math.pi / 6.0)]
    assert under((arc,), places=np.array([third]))[0] == pytest.approx(2.0 - 1.0 / 3.0, abs=1e-4)
    assert reached(arc.path).tolist() == pytest.approx([0.0, math.pi * 5.0])


def width_at(figure: shapely.Geometry, x: float) -> float:
    x0, y0, x1, y1 = figure.bounds
    del x0, x1
    return float(figure.intersection(shapely.LineString([(x, y0 - 1.0), (x, y1 + 1.0)])).length)


@pytest.mark.parametrize("station", [4.0, 9.0, 16.0])
def test_a_level_round_groove_is_as_wide_as_the_chord_of_its_circle(station: float) -> None:
    """Chord of a circle at height h over its lowest point: 2 sqrt(h (2 r - h)) (plane geometry)."""
    even = straight(2.0, 2.0)
    found = beads(even, depth=1.4, profile=round_profile(4.0))
    assert found is not None
    figure = polygon_of(Section(beads=(found,)))
    assert width_at(figure, station) == pytest.approx(2.0 * math.sqrt(0.6 * 3.4), abs=0.0005)


def test_a_falling_round_groove_is_the_envelope_of_its_balls() -> None:
    """A cylinder of radius r whose axis falls by the angle a is cut by an upright plane across in an ellipse of half
    axes r and r / cos a; its balls touch it (solid geometry)."""
    slope = Slope(path=chain([(0, 0), (40, 0)]), depths=np.array([3.0, 1.0]))
    angle = math.atan(2.0 / 40.0)
    figure = polygon_of(Section(beads=(beads(slope, depth=1.5, profile=round_profile(4.0)),)))
    for x in (5.0, 12.0, 20.0):
        middle = 3.0 - 2.0 * x / 40.0 - 2.0  # depth of the balls' middles over x
        up = (1.5 - middle) * math.cos(angle)  # square to the axis, in units of the circle
        assert width_at(figure, x) == pytest.approx(2.0 * math.sqrt(4.0 - up**2), abs=0.001)


def test_a_groove_that_narrows_is_the_hull_of_its_end_discs() -> None:
    """Two discs and the quadrangle of their outer tangents: with sin t = (R - r) / l the area is
    (R + r) l cos t + R2 (pi / 2 + t) + r2 (pi / 2 - t) (plane geometry)."""
    section = Section(beads=(widening(chain([(5, 5), (17, 5)]), widths=(4.0, 2.0)),))
    lean = math.asin(1.0 / 12.0)
    wanted = 3.0 * 12.0 * math.cos(lean) + 4.0 * (math.pi / 2.0 + lean) + (math.pi / 2.0 - lean)
    assert polygon_of(section).area == pytest.approx(wanted, abs=0.005)
    assert sum(shapely.Polygon(ring).area for ring in areas.of_section(section)) == pytest.approx(wanted, abs=0.005)


def test_both_kernels_find_the_same_figure() -> None:
    path = chain([(0, 0), (15, 0), (20, 5), (20, 12)], bulges=[0.0, QUARTER, 0.0])
    slope = slope_of(path, at=np.array([0.0, length(path)]), depths=np.array([2.5, 1.0]))
    for profile in (round_profile(4.0), side_profile(1.0, angle=math.radians(5.0), height=2.5)):
        for depth in (0.2, 1.1, 1.8, 2.4):
            section = Section(beads=(beads(slope, depth=depth, profile=profile),))
            mine = shapely.union_all([shapely.Polygon(ring) for ring in areas.of_section(section)])
            other = polygon_of(section)
            assert mine.difference(other.buffer(0.001)).is_empty
            assert other.difference(mine.buffer(0.001)).is_empty


@settings(max_examples=25, deadline=None)
@given(first=st.floats(0.5, 4.0), last=st.floats(0.5, 4.0), share=st.floats(0.05, 0.95))
def test_deeper_sections_lie_within_shallower_ones(first: float, last: float, share: float) -> None:
    slope = straight(first, last)
    high = share * max(first, last)
    for profile in (round_profile(3.0), side_profile(1.0, angle=math.radians(3.0), height=4.0)):
        upper, lower = (beads(slope, depth=depth, profile=profile) for depth in (0.5 * high, high))
        assert upper is not None
        assert lower is not None
        wide, narrow = (polygon_of(Section(beads=(one,))) for one in (upper, lower))
        assert narrow.difference(wide.buffer(0.001)).is_empty
