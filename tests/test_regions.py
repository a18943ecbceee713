"""Closed chains nested into regions; crossings, and the tightest inner corner."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry import planar
from camplan.geometry.chains import backwards, chain, circle, signed_area, starting_at
from camplan.regions import Region, area, bounds, moved, regions_of, smallest_inner_radius


def square(x, y, size, *, clockwise=False):
    path = chain([(x, y), (x + size, y), (x + size, y + size), (x, y + size)], closed=True)
    return backwards(path) if clockwise else path


def nest(*closed):
    return regions_of(closed, layer="DISC")


def test_contours_nest_by_turns_region_island_region():
    result = nest(square(45, 45, 10), circle((50, 50), radius=20), square(0, 0, 100), circle((200, 0), radius=3))
    assert not result.problems and not result.findings
    inner, plate, hole = result.regions
    assert [len(region.islands) for region in result.regions] == [0, 1, 0]
    # closed forms: squares and discs
    assert area(plate) == pytest.approx(100.0**2 - math.pi * 400.0)
    assert area(inner) == pytest.approx(100.0) and area(hole) == pytest.approx(9.0 * math.pi)


@given(st.lists(st.booleans(), min_size=4, max_size=4))
def test_outer_chains_turn_left_and_islands_right_however_they_were_drawn(turned):
    drawn = [square(0, 0, 100), square(10, 10, 30), square(60, 60, 30), circle((25, 25), radius=5)]
    result = nest(*[backwards(path) if turn else path for path, turn in zip(drawn, turned, strict=True)])
    assert len(result.regions) == 2
    for region in result.regions:
        assert signed_area(region.outer) > 0 and all(signed_area(island) < 0 for island in region.islands)


def test_no_contours_make_no_regions():
    assert nest().regions == ()


def test_a_contour_that_crosses_itself_is_named_with_layer_and_place():
    result = nest(chain([(0, 0), (10, 10), (10, 0), (0, 10)], closed=True), square(50, 0, 10))
    (problem,) = result.problems
    assert '"DISC"' in problem.message and "(5.000, 5.000)" in problem.message and problem.accepted
    assert len(result.regions) == 1


def test_a_contour_with_a_small_loop_in_a_corner_crosses_itself():
    result = nest(chain([(0, 0), (10.2, 0), (10.2, 0.2), (10, -0.2), (10, 10), (0, 10)], closed=True))
    assert len(result.problems) == 1 and "(10.100, 0.000)" in result.problems[0].message


def places(message):
    """The coordinates that a message tells, one after the other."""
    return [float(value) for pair in re.findall(r"\((-?[\d.]+), (-?[\d.]+)\)", message) for value in pair]


def test_an_arc_that_crosses_its_own_contour_is_found():
    """Closed form: a half circle of radius 5 about (10, 3) meets the side y = 0 at x = 10 -+ 4."""
    path = chain([(0, 0), (20, 0), (20, 3), (15, 3), (5, 3), (0, 3)], bulges=[0, 0, 0, -1.0, 0, 0], closed=True)
    (problem,) = nest(path).problems
    assert places(problem.message) == pytest.approx([6.0, 0.0, 14.0, 0.0], abs=0.002)


def test_contours_that_cross_are_named_with_the_places_and_left_out():
    result = nest(square(0, 0, 100), circle((100, 50), radius=20), square(300, 0, 5))
    (problem,) = result.problems
    # closed form: the circle meets the side x = 100 at 50 +- 20
    assert "(100.000, 30.000), (100.000, 70.000)" in problem.message
    assert len(result.regions) == 1


def test_circles_that_cross_are_found_where_they_do():
    (problem,) = nest(circle((0, 0), radius=5), circle((6, 0), radius=5)).problems
    # closed form: 3-4-5 triangle
    assert places(problem.message) == pytest.approx([3.0, -4.0, 3.0, 4.0], abs=0.002)


def test_contours_that_touch_are_said_and_kept():
    for one, other in (
        (square(0, 0, 10), square(10, 0, 10)),
        (circle((0, 0), radius=5), circle((10, 0), radius=5)),
        (square(0, 0, 100), circle((5, 50), radius=5)),
    ):
        result = nest(one, other)
        assert not result.problems and [finding.code for finding in result.findings] == ["contour-touches"]
        assert sum(1 + len(region.islands) for region in result.regions) == 2


def test_a_contour_pinched_in_a_point_is_said_and_kept():
    result = nest(chain([(0, 0), (5, 5), (10, 0), (10, 10), (5, 5), (0, 10)], closed=True))
    assert not result.problems and len(result.regions) == 1
    (finding,) = result.findings
    assert finding.code == "contour-touches" and "(5.000, 5.000)" in finding.message


def test_a_contour_without_area_is_left_out_and_said():
    result = nest(chain([(0, 0), (50, 0)], closed=True), square(100, 0, 10))
    assert len(result.regions) == 1 and [finding.code for finding in result.findings] == ["no-area"]


def test_the_same_contour_twice_is_one_region():
    ring = square(0, 0, 10)
    result = nest(ring, starting_at(backwards(ring), vertex=2))
    assert len(result.regions) == 1 and not result.regions[0].islands
    assert [finding.code for finding in result.findings] == ["duplicate"]


def test_a_region_moves_with_its_islands_and_keeps_area_and_size():
    (region,) = nest(square(0, 0, 10), circle((5, 5), radius=2)).regions
    there = moved(region, by=(100.0, -3.0))
    assert bounds(there) == (100.0, -3.0, 110.0, 7.0)
    assert area(there) == pytest.approx(area(region))
    assert bounds(Region(outer=circle((1, 1), radius=3))) == pytest.approx((-2.0, -2.0, 4.0, 4.0))


@st.composite
def rings(draw):
    count = draw(st.integers(3, 10))
    radii = np.array(draw(st.lists(st.floats(8.0, 12.0), min_size=count, max_size=count)))
    bulges = draw(st.lists(st.floats(-0.15, 0.15), min_size=count, max_size=count))
    angles = 2.0 * math.pi * np.arange(count) / count
    outer = chain(np.column_stack((np.cos(angles), np.sin(angles))) * radii[:, None], bulges=bulges, closed=True)
    return outer, draw(st.floats(0.2, 1.5)), draw(st.booleans())


@settings(max_examples=40, deadline=None)
@given(rings())
def test_exact_area_is_that_of_fine_chords(case):
    """Against the area that a general-purpose geometry library (GEOS) gives for chords of 0.1 um."""
    outer, radius, clockwise = case
    (region,) = nest(circle((0, 0), radius=radius, clockwise=clockwise), outer).regions
    shape = planar.polygon(region, chord=1e-4)
    assert area(region) == pytest.approx(shape.area, abs=1e-4 * shape.length)


@settings(max_examples=40, deadline=None)
@given(rings(), st.floats(-500, 500), st.floats(-500, 500))
def test_the_tightest_corner_moves_with_the_region(case, dx, dy):
    (region,) = nest(case[0]).regions
    here, there = smallest_inner_radius(region), smallest_inner_radius(moved(region, by=(dx, dy)))
    assert (here is None) == (there is None)
    if here is not None and there is not None:
        assert there.radius == pytest.approx(here.radius, rel=1e-6)


def rounded_square(size, radius):
    """Corners rounded by quarter arcs, counter-clockwise."""
    r, q = radius, math.tan(math.pi / 8)
    points = [(r, 0), (size - r, 0), (size, r), (size, size - r), (size - r, size), (r, size), (0, size - r), (0, r)]
    return chain(points, bulges=[0, q] * 4, closed=True)


def test_a_sharp_pocket_corner_has_no_radius():
    corner = smallest_inner_radius(Region(outer=square(0, 0, 10)))
    assert corner is not None and corner.radius == 0.0 and corner.at == (0.0, 0.0)


def test_rounded_corners_count_their_radius_and_place():
    corner = smallest_inner_radius(Region(outer=rounded_square(20, 1.5)))
    assert corner is not None and corner.radius == pytest.approx(1.5)
    # closed form: the middle of a rounded corner is r (1 - 1/sqrt 2) from both sides
    off = 1.5 * (1 - math.sqrt(0.5))
    assert sorted(min(value, 20 - value) for value in corner.at) == pytest.approx([off, off])


def test_a_cutter_goes_round_islands_without_a_corner():
    region = Region(outer=rounded_square(20, 4.0), islands=(square(8, 8, 4, clockwise=True),))
    corner = smallest_inner_radius(region)
    assert corner is not None and corner.radius == pytest.approx(4.0)


def test_a_notch_in_an_island_is_an_inner_corner():
    notched = chain([(5, 5), (5, 15), (10, 12), (15, 15), (15, 5)], closed=True)
    region = Region(outer=rounded_square(20, 4.0), islands=(notched,))
    corner = smallest_inner_radius(region)
    assert corner is not None and corner.radius == 0.0 and corner.at == (10.0, 12.0)


@pytest.mark.parametrize(("turn_deg", "radius"), [(0.4, 4.0), (0.7, 0.0)])
def test_joints_within_half_a_degree_are_no_corners(turn_deg, radius):
    """The lower side bent down in its middle: half of the turn each at its ends, outward, and all of it between."""
    path = rounded_square(20, 4.0)
    points = np.insert(path.points, 1, [(10, -6 * math.tan(math.radians(turn_deg / 2)))], axis=0)
    outer = chain(points, bulges=np.insert(path.bulges, 1, 0.0), closed=True)
    corner = smallest_inner_radius(Region(outer=outer))
    assert corner is not None and corner.radius == pytest.approx(radius)


def test_chords_of_a_drawn_curve_count_with_its_radius():
    """Closed form: a regular polygon of 90 sides on a circle of radius 12."""
    t = 2.0 * math.pi * np.arange(90) / 90
    outer = chain(12.0 * np.column_stack((np.cos(t), np.sin(t))), closed=True)
    corner = smallest_inner_radius(Region(outer=outer))
    assert corner is not None and corner.radius == pytest.approx(12.0)


def test_one_bend_between_long_sides_is_a_corner_and_no_chord_of_a_curve():
    path = rounded_square(40, 4.0)
    points = np.insert(path.points, 1, [(20, -16 * math.tan(math.radians(3.0)))], axis=0)
    corner = smallest_inner_radius(Region(outer=chain(points, bulges=np.insert(path.bulges, 1, 0.0), closed=True)))
    assert corner is not None and corner.radius == 0.0 and corner.at[0] == 20.0


def test_40000_segments_and_900_islands_are_nested():
    t = np.arange(40000) * 2.0 * np.pi / 40000
    outer = chain((100.0 + 5.0 * np.sin(40.0 * t))[:, None] * np.column_stack((np.cos(t), np.sin(t))), closed=True)
    result = nest(*[circle((x, y), radius=1) for x in range(-60, 60, 4) for y in range(-60, 60, 4)], outer)
    (region,) = result.regions
    assert len(region.islands) == 900 and not result.problems
    corner = smallest_inner_radius(region)
    # closed form: the curvature of r = 100 + 5 sin 40t where r is largest is (r^2 - r r'') / r^3
    assert corner is not None and corner.radius == pytest.approx(105.0**3 / (105.0**2 + 105.0 * 8000.0), rel=0.005)
