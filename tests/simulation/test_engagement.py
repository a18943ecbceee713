"""Engagement measured in the stock, against plane geometry."""

import math
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.table import Kind
from camplan.simulation.engagement import ANGLE, Contact, contacts
from camplan.simulation.track import track_of


def met(shop: ModuleType, tape: object, cutter: object, *, line: int, apart: float = 1.0) -> list[Contact]:
    """The contacts of one line of a program, away from the ends of its run."""
    track = track_of([shop.program(tape, cutter)])
    return [found for found in contacts(track, plate=shop.plate(), apart=apart) if track.line[found.row] == line]


def test_a_full_slot_engages_half_a_turn_as_deep_as_it_goes(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -2.0)
    line = tape.move(60.0, 30.0, -2.0)
    slot = met(shop, tape, shop.slot_drill(6.0), line=line)[1:-1]
    assert len(slot) == 29
    assert all(found.arc == pytest.approx(math.pi, abs=2.1 * ANGLE) for found in slot)
    assert all(found.depth == pytest.approx(2.0) for found in slot)


@settings(max_examples=12, deadline=None)
@given(share=st.floats(0.05, 0.9), depth=st.floats(0.5, 9.0))
def test_a_pass_beside_a_slot_engages_the_arc_of_its_width(shop: ModuleType, share: float, depth: float) -> None:
    """phi = arccos(1 - 2 ae/D): El-Hofy, Fundamentals of Machining Processes, section 6.3.1; 10 mm, 1 mm: 36.87."""
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -depth)
    tape.move(80.0, 30.0, -depth)
    tape.move(80.0, 30.0 + 10.0 * share, -depth)
    line = tape.move(20.0, 30.0 + 10.0 * share, -depth)
    beside = met(shop, tape, shop.slot_drill(10.0), line=line, apart=6.0)[3:-3]
    assert beside
    for found in beside:
        assert found.arc == pytest.approx(math.acos(1.0 - 2.0 * share), abs=2.1 * ANGLE)
        assert found.depth == pytest.approx(depth)
        assert np.flatnonzero(found.depths[0]).min() <= 1, "the stock lies to the right of the way back"


def test_a_skim_inside_a_ring_engages_more_than_beside_a_straight_wall(shop: ModuleType) -> None:
    """Where the circle of the cutter meets that of the wall before: the law of cosines in the plane."""
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    tape.circle(50.0, 30.0, radius=1.8, z=-3.0)
    line = tape.circle(50.0, 30.0, radius=2.0, z=-3.0)
    inside = met(shop, tape, shop.slot_drill(6.0), line=line)[1:-1]
    wall, path, cutter = 4.8, 2.0, 3.0
    from_middle = math.acos((path**2 + cutter**2 - wall**2) / (2.0 * path * cutter))
    assert math.degrees(math.pi - from_middle) == pytest.approx(33.2, abs=0.1)
    assert inside
    assert all(found.arc == pytest.approx(math.pi - from_middle, abs=1.1 * ANGLE) for found in inside)
    straight = math.acos(1.0 - 2.0 * 0.2 / 6.0)
    assert all(found.arc > 1.4 * straight for found in inside)


def test_a_second_level_meets_only_what_the_first_left(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -2.0)
    tape.move(60.0, 30.0, -2.0)
    tape.move(60.0, 30.0, -2.5)
    line = tape.move(30.0, 30.0, -2.5)
    again = met(shop, tape, shop.slot_drill(6.0), line=line)[4:-4]
    assert [round(found.depth, 6) for found in again] == [0.5] * len(again)


def test_a_path_run_again_meets_nothing(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.circle(30.0, 30.0, radius=8.0, z=-2.0)
    line = tape.circle(30.0, 30.0, radius=8.0, z=-2.0)
    assert met(shop, tape, shop.slot_drill(6.0), line=line) == []


def test_beside_the_plate_and_in_the_air_nothing_is_met(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(-10.0, 30.0)
    beside = tape.move(-10.0, 50.0, -2.0)
    tape.across(30.0, 30.0)
    air = tape.move(60.0, 30.0, 0.5)
    assert met(shop, tape, shop.slot_drill(6.0), line=beside) == []
    assert met(shop, tape, shop.slot_drill(6.0), line=air) == []


def test_no_more_of_the_edge_is_engaged_than_the_plate_is_thick(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(-10.0, 30.0)
    tape.move(-10.0, 30.0, -11.0)
    line = tape.move(60.0, 30.0, -11.0)
    assert met(shop, tape, shop.slot_drill(6.0), line=line)[-2].depth == pytest.approx(10.0)


def test_a_move_that_ends_at_a_wall_is_not_charged_with_the_wall(shop: ModuleType) -> None:
    """What is never cut is never met, though the edge touches it."""
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -6.0)
    tape.move(60.0, 30.0, -6.0)
    tape.move(60.0, 30.5, -6.0)
    tape.move(40.0, 30.5, -6.0)
    line = tape.move(60.0, 30.5, -6.0)
    assert all(found.arc < 0.3 for found in met(shop, tape, shop.slot_drill(6.0), line=line))


@pytest.mark.parametrize("depth", [0.5, 1.5])
def test_a_ball_meets_the_stock_with_the_width_it_has_at_each_height(shop: ModuleType, depth: float) -> None:
    """r(h) = sqrt(h (2 R - h)): plane geometry."""
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -depth)
    line = tape.move(60.0, 30.0, -depth)
    for found in met(shop, tape, shop.ball(4.0), line=line)[1:-1]:
        assert found.depth == pytest.approx(depth, abs=0.01)
        middles = (found.heights[1:] + found.heights[:-1]) / 2.0
        assert found.radii == pytest.approx(np.sqrt(middles * (4.0 - middles)), abs=2e-3)
        area = float(np.sum(2.0 * found.radii * found.depths.max(axis=1)))
        exact = 4.0 * math.acos((2.0 - depth) / 2.0) - (2.0 - depth) * math.sqrt(depth * (4.0 - depth))
        assert area == pytest.approx(exact, rel=0.02)


def test_a_helix_falls_into_what_stands_under_it_and_a_plunge_into_all(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(52.0, 30.0)
    tape.move(52.0, 30.0, 0.0)
    turn = tape.move(52.0, 30.0, -0.5, kind=Kind.COUNTER_CLOCKWISE, centre=(50.0, 30.0))
    tape.across(20.0, 30.0)
    plunge = tape.move(20.0, 30.0, -1.0)
    falling = met(shop, tape, shop.slot_drill(6.0), line=turn)
    assert falling
    assert all(found.fall == pytest.approx(0.5 / math.hypot(0.5, 4.0 * math.pi), rel=1e-3) for found in falling)
    assert all(found.depth <= 0.5 for found in falling)
    straight = met(shop, tape, shop.slot_drill(6.0), line=plunge, apart=0.25)
    assert {round(found.under, 3) for found in straight if found.at[2] < -0.1} == {1.0}
    assert all(found.fall == 1.0 for found in straight)
