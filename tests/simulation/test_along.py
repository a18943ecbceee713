"""The survey of engagement along a whole path, against plane geometry and against single moments asked exactly."""

import math
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.simulation.along import Along, surveyed
from camplan.simulation.engagement import contacts
from camplan.simulation.track import track_of

TWO_SPOKES = math.radians(4.0)


def along(shop: ModuleType, tape: Any, cutter: Any, *, line: int) -> Along:
    """The samples of one line of a program."""
    track = track_of([shop.program(tape, cutter)])
    found = surveyed(track, plate=shop.plate())
    mine = track.line[found.row] == line
    return Along(
        row=found.row[mine],
        at=found.at[mine],
        arc=found.arc[mine],
        deep=found.deep[mine],
        length=found.length[mine],
        pixel=found.pixel,
    )


def test_a_full_slot_engages_half_a_turn_as_deep_as_it_goes(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -2.0)
    line = tape.move(60.0, 30.0, -2.0)
    slot = along(shop, tape, shop.slot_drill(6.0), line=line)
    assert slot.arc[1:-1] == pytest.approx(math.pi, abs=TWO_SPOKES)
    assert slot.deep[1:-1] == pytest.approx(2.0, abs=1e-5)
    assert slot.length.sum() == pytest.approx(30.0, abs=0.7)


@settings(max_examples=12, deadline=None)
@given(share=st.floats(0.05, 0.9), depth=st.floats(0.5, 9.0), size=st.sampled_from([3.0, 6.0, 10.0]))
def test_a_pass_beside_a_slot_engages_the_arc_of_its_width(
    shop: ModuleType, share: float, depth: float, size: float
) -> None:
    """phi = arccos(1 - 2 ae/D): El-Hofy, Fundamentals of Machining Processes, section 6.3.1; two pixels off at most."""
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -depth)
    tape.move(80.0, 30.0, -depth)
    tape.move(80.0, 30.0 + size * share, -depth)
    line = tape.move(20.0, 30.0 + size * share, -depth)
    beside = along(shop, tape, shop.slot_drill(size), line=line)
    middle = np.abs(beside.at[:, 0] - 50.0) < 20.0
    least, most = (
        math.acos(max(1.0 - 2.0 * (share * size + sign * 2.5 * beside.pixel) / size, -1.0)) for sign in (-1.0, 1.0)
    )
    assert beside.arc[middle].min() >= least - TWO_SPOKES
    assert beside.arc[middle].max() <= most + TWO_SPOKES
    assert beside.deep[middle] == pytest.approx(depth, abs=1e-4)


def test_what_was_cleared_before_is_not_met_again(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -2.0)
    tape.move(60.0, 30.0, -2.0)
    line = tape.move(30.0, 30.0, -2.0)
    assert not along(shop, tape, shop.slot_drill(6.0), line=line).arc.any()


def test_a_second_level_is_as_deep_as_its_step_in_corners_too(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 20.0)
    for z in (-2.0, -3.0):
        tape.move(30.0, 20.0, z)
        lines = [tape.move(x, y, z) for x, y in ((70, 20), (70, 40), (30, 40), (30, 20))]
    for line in lines:
        assert along(shop, tape, shop.slot_drill(6.0), line=line).deep.max() <= 1.0 + 1e-5


def test_a_tight_circle_is_walked_in_many_samples(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    tape.circle(50.0, 30.0, radius=0.3, z=-1.0)
    line = tape.circle(50.0, 30.0, radius=0.3, z=-2.0)
    assert along(shop, tape, shop.slot_drill(6.0), line=line).deep.max() <= 1.0 + 1e-5


def test_the_survey_agrees_with_single_moments(shop: ModuleType) -> None:
    """Nine tenths of moments within 8 degrees, the median within 2."""
    tape = shop.Tape()
    tape.across(30.0, 20.0)
    tape.move(30.0, 20.0, -2.0)
    for grow in (0.0, 2.0, 4.0, 6.0):
        for x, y in ((70 + grow, 20 - grow), (70 + grow, 40 + grow), (30 - grow, 40 + grow), (30 - grow, 20 - grow)):
            tape.move(x, y, -2.0)
    track = track_of([shop.program(tape, shop.slot_drill(6.0))])
    found = surveyed(track, plate=shop.plate())
    off = []
    for one in contacts(track, plate=shop.plate(), apart=2.0):
        near = np.flatnonzero(found.row == one.row)
        away = np.linalg.norm(found.at[near] - np.array(one.at), axis=1)
        if len(near) and away.min() < 0.35:
            off.append(float(found.arc[near[away.argmin()]]) - one.arc)
    assert len(off) > 100
    assert abs(math.degrees(float(np.median(off)))) <= 2.0
    assert np.mean(np.abs(np.degrees(off)) <= 8.0) >= 0.9


def test_a_ball_is_engaged_no_deeper_than_it_goes_and_only_where_it_is_as_wide(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -1.0)
    line = tape.move(60.0, 30.0, -1.0)
    ball = along(shop, tape, shop.ball(6.0), line=line)
    assert ball.arc[1:-1].min() >= math.radians(150.0)
    assert ball.deep.max() <= 1.0 + 1e-5
    assert np.median(ball.deep) >= 0.8


def test_nothing_below_the_top_is_nothing_to_survey(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(30.0, 30.0)
    found = surveyed(track_of([shop.program(tape, shop.slot_drill(6.0))]), plate=shop.plate())
    assert len(found.row) == len(found.arc) == 0
