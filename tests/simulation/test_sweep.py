"""Swept figures against closed forms of plane geometry, and against shapely's own buffers."""

import itertools
import math
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from camplan.moves.table import Kind
from camplan.simulation.sweep import swept

CLOSE = 2e-3
"""mm2 for figures a few cm long whose edges are within half a micrometre."""


def section(shop: ModuleType, tape: Any, cutter: Any, z: float) -> Any:
    return swept(tape.table(), cutter=cutter, z=z)


def started(shop: ModuleType, *at: float) -> Any:
    tape = shop.Tape()
    tape.at = at
    return tape


def test_a_slot_is_a_rectangle_with_two_half_circles(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, -1.0)
    tape.move(20.0, 0.0, -1.0)
    found = section(shop, tape, shop.slot_drill(6.0), -0.5)
    assert found.area == pytest.approx(20.0 * 6.0 + math.pi * 9.0, abs=CLOSE * 2)
    assert found.bounds == pytest.approx((-3.0, -3.0, 23.0, 3.0), abs=5e-4)


def test_below_its_tip_a_cutter_sweeps_nothing(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, -1.0)
    tape.move(20.0, 0.0, -1.0)
    assert section(shop, tape, shop.slot_drill(6.0), -1.001).is_empty
    assert section(shop, tape, shop.slot_drill(6.0, flute_length=2.0), 1.001).is_empty


def test_rapids_sweep_nothing(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, -1.0)
    tape.rapid(20.0, 0.0, -1.0)
    assert section(shop, tape, shop.slot_drill(6.0), 0.0).is_empty


def test_a_full_circle_sweeps_a_ring(shop: ModuleType) -> None:
    tape = started(shop, 10.0, 0.0, -1.0)
    tape.move(10.0, 0.0, -1.0, kind=Kind.CLOCKWISE, centre=(0.0, 0.0))
    found = section(shop, tape, shop.slot_drill(4.0), 0.0)
    assert found.area == pytest.approx(math.pi * (12.0**2 - 8.0**2), abs=0.03)
    radii = np.hypot(*shapely.get_coordinates(found).T)
    assert radii.max() <= 12.0 + 1e-9
    assert radii.max() >= 12.0 - 5e-4
    assert radii.min() == pytest.approx(8.0, abs=5e-4)


@pytest.mark.parametrize(("kind", "above"), [(Kind.COUNTER_CLOCKWISE, True), (Kind.CLOCKWISE, False)])
def test_an_arc_turns_the_way_it_says(shop: ModuleType, kind: Kind, above: bool) -> None:
    tape = started(shop, 10.0, 0.0, -1.0)
    tape.move(-10.0, 0.0, -1.0, kind=kind, centre=(0.0, 0.0))
    found = section(shop, tape, shop.slot_drill(2.0), 0.0)
    assert found.contains(shapely.Point(0.0, 10.0)) is above
    assert found.contains(shapely.Point(0.0, -10.0)) is not above


def test_a_helix_counts_only_as_far_as_it_is_below_the_height(shop: ModuleType) -> None:
    tape = started(shop, 5.0, 0.0, 0.0)
    tape.move(5.0, 0.0, -1.0, kind=Kind.COUNTER_CLOCKWISE, centre=(0.0, 0.0))
    cutter = shop.slot_drill(2.0)
    half = section(shop, tape, cutter, -0.5)
    assert half.area == pytest.approx(math.pi * (6.0**2 - 4.0**2) / 2.0 + math.pi, abs=0.01)
    assert half.bounds[3] == pytest.approx(1.0, abs=1e-3)
    assert section(shop, tape, cutter, 0.1).area == pytest.approx(math.pi * (6.0**2 - 4.0**2), abs=0.02)


def test_a_ramp_is_clipped_at_the_height(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, 0.0)
    tape.move(10.0, 0.0, -2.0)
    found = section(shop, tape, shop.slot_drill(4.0), -0.5)
    assert found.bounds == pytest.approx((0.5, -2.0, 12.0, 2.0), abs=5e-4)


def test_a_drill_leaves_a_cone(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, 1.0)
    tape.move(0.0, 0.0, -4.0)
    cutter = shop.drill(4.0, point_deg=90.0)
    assert section(shop, tape, cutter, -3.0).area == pytest.approx(math.pi, abs=CLOSE)
    assert section(shop, tape, cutter, -1.0).area == pytest.approx(4.0 * math.pi, abs=CLOSE * 3)


def test_a_ball_leaves_a_cap(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, 1.0)
    tape.move(0.0, 0.0, -2.0)
    found = section(shop, tape, shop.ball(6.0), -1.0)
    assert found.area == pytest.approx(math.pi * (9.0 - 4.0), abs=0.01)


def test_a_ball_on_a_slope_cuts_a_tilted_cylinder(shop: ModuleType) -> None:
    """The section of a cylinder of radius r tilted by t is an ellipse of half width r: half way up a long slope the
    sweep is 2 r wide, and at its upper end it is a half ellipse of half length r / sin t (plane geometry)."""
    tape = started(shop, 0.0, 0.0, 0.0)
    tape.move(40.0, 0.0, -20.0)
    slope = math.atan(0.5)
    found = section(shop, tape, shop.ball(4.0, flute_length=50.0), -6.0)
    axis = 2.0 / math.tan(slope) + 12.0
    assert found.bounds[3] - found.bounds[1] == pytest.approx(4.0, abs=1e-3)
    assert found.bounds[0] == pytest.approx(axis - 2.0 / math.sin(slope), abs=2e-3)


def test_a_taper_on_a_level_is_as_wide_as_it_is_at_that_height(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, -5.0)
    tape.move(10.0, 0.0, -5.0)
    found = section(shop, tape, shop.taper(2.0, half_angle_deg=5.0), -1.0)
    assert found.bounds[3] == pytest.approx(1.0 + 4.0 * math.tan(math.radians(5.0)), abs=5e-4)


def test_a_taper_on_a_ramp_sweeps_the_hull_of_two_discs(shop: ModuleType) -> None:
    tape = started(shop, 0.0, 0.0, -1.0)
    tape.move(10.0, 0.0, -5.0)
    found = section(shop, tape, shop.taper(2.0, half_angle_deg=5.0), 0.0)
    small, large = (1.0 + depth * math.tan(math.radians(5.0)) for depth in (1.0, 5.0))
    hull = shapely.union(
        shapely.Point(0.0, 0.0).buffer(small, quad_segs=200), shapely.Point(10.0, 0.0).buffer(large, quad_segs=200)
    ).convex_hull
    assert found.symmetric_difference(hull).area < CLOSE * 5


COORDINATE = st.integers(-200, 200).map(lambda value: value / 10.0)


@settings(max_examples=40, deadline=None)
@example(places=[(0.1, 0.0), (0.0, 0.0), (0.0, 0.1), (0.0, -0.1), (0.1, 0.0)], radius=0.5)
@given(places=st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=30), radius=st.sampled_from([0.5, 3.0]))
def test_the_sweep_of_any_polyline_is_the_union_of_its_capsules(
    shop: ModuleType, places: list[tuple[float, float]], radius: float
) -> None:
    tape = started(shop, *places[0], -1.0)
    for place in places[1:]:
        tape.move(*place, -1.0)
    found = section(shop, tape, shop.slot_drill(2.0 * radius), 0.0)
    capsules = [
        shapely.LineString(pair).buffer(radius, quad_segs=128)
        if pair[0] != pair[1]
        else shapely.Point(pair[0]).buffer(radius, quad_segs=128)
        for pair in itertools.pairwise(places)
    ]
    wanted = shapely.union_all(capsules)
    assert wanted.difference(found.buffer(6e-4)).area < 1e-9
    assert found.difference(wanted.buffer(6e-4)).area < 1e-9


DEPTH = st.integers(-60, 0).map(lambda value: value / 10.0)


@settings(max_examples=25, deadline=None)
@given(
    places=st.lists(st.tuples(COORDINATE, COORDINATE, DEPTH), min_size=2, max_size=12),
    low=st.integers(-61, 9),
    rise=st.integers(1, 30),
)
def test_a_straight_cutter_removes_more_the_higher_one_looks(
    shop: ModuleType, places: list[tuple[float, float, float]], low: int, rise: int
) -> None:
    tape = started(shop, *places[0])
    for place in places[1:]:
        tape.move(*place)
    cutter = shop.slot_drill(4.0, flute_length=30.0)
    below = section(shop, tape, cutter, low / 10.0 + 0.05)
    above = section(shop, tape, cutter, (low + rise) / 10.0 + 0.05)
    assert below.difference(above.buffer(6e-4)).area < 1e-9


@settings(max_examples=20, deadline=None)
@given(places=st.lists(st.tuples(COORDINATE, COORDINATE, DEPTH), min_size=2, max_size=6))
def test_the_sweep_of_a_ball_holds_every_disc_that_it_shows_on_its_way(
    shop: ModuleType, places: list[tuple[float, float, float]]
) -> None:
    tape = started(shop, *places[0])
    for place in places[1:]:
        tape.move(*place)
    found = section(shop, tape, shop.ball(4.0, flute_length=30.0), -1.0).buffer(1e-3)
    for first, last in itertools.pairwise(places):
        for part in np.linspace(0.0, 1.0, 7):
            x, y, z = np.array(first) + part * (np.array(last) - np.array(first))
            height = -1.0 - z
            if height > 3e-4:
                lower = max(height - 3e-4, 0.0)  # the grant is square to the ball, and near its tip that is upwards
                radius = math.sqrt(4.0 - max(2.0 - lower, 0.0) ** 2)
                assert found.covers(shapely.Point(x, y).buffer(radius))
