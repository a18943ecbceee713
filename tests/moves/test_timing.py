"""Machine time against closed forms of constant acceleration and of ramps with limited jerk."""

import math
from dataclasses import replace
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.expand import motions
from camplan.moves.path import lengths
from camplan.moves.records import Arc, Drill, Dwell, Line, Rapid, Remark, Spindle, ToolChange
from camplan.moves.timing import Drives, program_seconds, row_seconds

DRIVES = Drives(
    rapid=(6000.0, 6000.0, 3000.0), feed_max=3000.0, acceleration=(100.0, 100.0, 50.0), junction_deviation=0.01
)


def seconds(*moves: Line | Arc | Rapid) -> np.ndarray:
    return row_seconds(motions(moves, start=(0.0, 0.0, 0.0)), drives=DRIVES)


def test_a_long_cut_takes_length_over_feed_and_the_time_to_speed_up_and_slow_down() -> None:
    # t = L / v + v / a
    assert seconds(Line(to=(100, 0, 0), feed=600)).sum() == pytest.approx(10.0 + 0.1)


def test_a_short_cut_never_reaches_its_feed() -> None:
    # t = 2 sqrt(L / a)
    assert seconds(Line(to=(0.1, 0, 0), feed=3000)).sum() == pytest.approx(2 * math.sqrt(0.1 / 100.0))


def test_two_cuts_in_line_take_as_long_as_one() -> None:
    one = seconds(Line(to=(40, 30, 0), feed=1200)).sum()
    two = seconds(Line(to=(16, 12, 0), feed=1200), Line(to=(40, 30, 0), feed=1200)).sum()
    assert two == pytest.approx(one)


def test_a_square_corner_is_taken_at_the_speed_of_the_junction_deviation() -> None:
    # v^2 = a d s / (1 - s), s = sin 45 deg, at both sides of the corner
    s = math.sin(math.pi / 4)
    corner = math.sqrt(100.0 * 0.01 * s / (1 - s))
    v = 10.0
    leg = 20.0
    ramp = (v * v - corner * corner) / 200.0 + v * v / 200.0
    expected = 2 * ((v - corner) / 100.0 + v / 100.0 + (leg - ramp) / v)
    assert seconds(Line(to=(20, 0, 0), feed=600), Line(to=(20, 20, 0), feed=600)).sum() == pytest.approx(expected)


def test_a_turn_back_stops() -> None:
    there = seconds(Line(to=(20, 0, 0), feed=600)).sum()
    both = seconds(Line(to=(20, 0, 0), feed=600), Line(to=(0, 0, 0), feed=600)).sum()
    assert both == pytest.approx(2 * there)


def test_a_small_circle_is_slowed_by_its_own_bend() -> None:
    # v^2 = a r
    circle = Arc(to=(0, 0, 0), centre=(0.5, 0.0), clockwise=False, feed=3000)
    total = seconds(circle).sum()
    assert total >= math.pi / math.sqrt(100.0 * 0.5)


def test_the_weaker_axis_limits_a_slanting_rapid() -> None:
    took = seconds(Rapid(to=(0.0, 0.0, 50.0))).sum()
    assert took == pytest.approx(50.0 / 50.0 + 50.0 / 50.0)


def test_a_joint_in_line_between_a_rapid_and_a_cut_is_taken_at_the_cuts_speed() -> None:
    # rapid: rest to 10 mm/s over 50 mm at a = 100, peak p with p^2 = 100 * 50 + 10^2 / 2
    # cut: 50 mm from 10 mm/s to rest
    peak = math.sqrt(100.0 * 50.0 + 10.0**2 / 2.0)
    rapid = (2.0 * peak - 10.0) / 100.0
    cut = 50.0 / 10.0 + 0.5 * 10.0 / 100.0
    found = seconds(Rapid(to=(50, 0, 0)), Line(to=(100, 0, 0), feed=600))
    assert found.tolist() == pytest.approx([rapid, cut])


def test_a_circle_of_many_arcs_takes_as_long_as_one() -> None:
    start = (10.0, 0.0, 0.0)
    whole = [Arc(to=start, centre=(0.0, 0.0), clockwise=False, feed=600)]
    parts = [
        Arc(
            to=(10 * math.cos(math.pi * k / 6), 10 * math.sin(math.pi * k / 6), 0.0),
            centre=(0.0, 0.0),
            clockwise=False,
            feed=600,
        )
        for k in range(1, 13)
    ]
    one = row_seconds(motions(whole, start=start), drives=DRIVES).sum()
    many = row_seconds(motions(parts, start=start), drives=DRIVES).sum()
    # t = 2 pi r / v + v / a
    assert one == pytest.approx(2 * math.pi * 10 / 10 + 10 / 100)
    assert many == pytest.approx(one, rel=1e-6)


def test_a_place_that_no_line_has_said_takes_no_time() -> None:
    table = motions([Rapid(to=(0.0, 0.0, 10.0)), Line(to=(1, 0, 10), feed=60)], start=(math.nan, math.nan, math.nan))
    found = row_seconds(table, drives=DRIVES)
    assert found[0] == 0.0
    assert np.isfinite(found).all()


def test_dwells_and_changes_of_cutter_add_to_a_program_and_stop_it() -> None:
    start = (0.0, 0.0, 0.0)
    half, rest = Line(to=(50, 0, 0), feed=600), Line(to=(100, 0, 0), feed=600)
    through = program_seconds([half, rest], start=start, drives=DRIVES)
    assert through == pytest.approx(10.1)
    # stopping in between costs another v / a
    assert program_seconds([half, Dwell(seconds=2.0), rest], start=start, drives=DRIVES) == pytest.approx(12.2)
    change = [half, ToolChange(number=2, cutter="slot-2"), Spindle(rpm=100.0), Remark(text="x"), rest]
    assert program_seconds(change, start=start, drives=DRIVES, cutter_change=30.0) == pytest.approx(40.2)


def test_a_hole_that_dwells_takes_its_dwell() -> None:
    def hole(dwell: float) -> Drill:
        return Drill(at=(0.0, 0.0), retract=1.0, bottom=-4.0, peck=None, dwell=dwell, feed=60.0)

    start = (0.0, 0.0, 1.0)
    still = program_seconds([hole(0.0)], start=start, drives=DRIVES)
    assert program_seconds([hole(1.5)], start=start, drives=DRIVES) == pytest.approx(still + 1.5, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(
    points=st.lists(st.tuples(*[st.floats(-50, 50)] * 3), min_size=2, max_size=12),
    feed=st.floats(30.0, 3000.0),
)
def test_no_row_is_faster_than_its_feed_and_no_program_slower_than_stopping_at_each(
    points: list[tuple[float, float, float]], feed: float
) -> None:
    moves = [Line(to=point, feed=feed) for point in points]
    table = motions(moves, start=(0.0, 0.0, 0.0))
    found = row_seconds(table, drives=DRIVES)
    assert np.all(found + 1e-9 >= lengths(table) / feed * 60.0)
    stopping = row_seconds(table, drives=DRIVES, stops=np.arange(len(points)))
    assert found.sum() <= stopping.sum() + 1e-9


JERKY = replace(DRIVES, jerk=(1000.0, 1000.0, 500.0))


def test_with_limited_jerk_a_cut_takes_a_over_j_longer_and_two_in_line_no_longer_than_one() -> None:
    start = (0.0, 0.0, 0.0)
    one = row_seconds(motions([Line(to=(100, 0, 0), feed=600)], start=start), drives=JERKY)
    # t = L / v + v / a + a / j
    assert one.tolist() == pytest.approx([10.0 + 0.1 + 0.1])
    parts = [Line(to=(to, 0, 0), feed=600) for to in (0.2, 40.0, 99.3, 100.0)]
    many = row_seconds(motions(parts, start=start), drives=JERKY)
    assert many.sum() == pytest.approx(one.sum())
    assert many[1] == pytest.approx(39.8 / 10.0, rel=0.02)
    assert np.all(many > 0.0)


def test_with_limited_jerk_the_axis_with_the_least_rules_a_slanting_move() -> None:
    # straight up with 50 mm/s2 and 500 mm/s3
    found = row_seconds(motions([Line(to=(0, 0, 20), feed=600)], start=(0.0, 0.0, 0.0)), drives=JERKY)
    assert found.sum() == pytest.approx(2.0 + 0.2 + 0.1)


def test_the_start_of_a_way_takes_longer_than_its_middle_where_it_is_cut_in_parts() -> None:
    parts = [Line(to=(0.5 * to, 0, 0), feed=600) for to in range(1, 41)]
    found = row_seconds(motions(parts, start=(0.0, 0.0, 0.0)), drives=JERKY)
    assert found[0] > found[1] > found[20]
    assert found == pytest.approx(found[::-1])


POINTS = st.lists(st.tuples(*[st.floats(-50, 50)] * 3), min_size=2, max_size=12)


@settings(max_examples=60, deadline=None)
@given(points=POINTS, feed=st.floats(30.0, 3000.0), jerk=st.floats(100.0, 1e6))
def test_limited_jerk_only_ever_takes_longer_and_without_limit_it_is_as_before(
    points: list[tuple[float, float, float]], feed: float, jerk: float
) -> None:
    table = motions([Line(to=point, feed=feed) for point in points], start=(0.0, 0.0, 0.0))
    free = row_seconds(table, drives=DRIVES)
    bound = row_seconds(table, drives=replace(DRIVES, jerk=(jerk, jerk, jerk))).sum()
    assert bound >= free.sum() * (1.0 - 1e-9)
    endless = row_seconds(table, drives=replace(DRIVES, jerk=(1e13, 1e13, 1e13)))
    assert endless == pytest.approx(free, rel=1e-6, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(
    points=POINTS,
    feed=st.floats(30.0, 3000.0),
    jerk=st.one_of(st.none(), st.floats(100.0, 1e5)),
    more=st.floats(1.0, 3.0),
)
def test_stronger_drives_are_never_slower(
    points: list[tuple[float, float, float]], feed: float, jerk: float | None, more: float
) -> None:
    table = motions([Line(to=point, feed=feed) for point in points], start=(0.0, 0.0, 0.0))

    def seconds_with(by: float) -> float:
        x, y, z = DRIVES.acceleration
        limited = None if jerk is None else (jerk * by, jerk * by, jerk * by)
        drives = replace(DRIVES, acceleration=(x * by, y * by, z * by), jerk=limited)
        return float(row_seconds(table, drives=drives).sum())

    assert seconds_with(more) <= seconds_with(1.0) * (1.0 + 1e-9)


@pytest.mark.parametrize("drives", [DRIVES, JERKY])
def test_a_hundred_thousand_rows_take_seconds_not_minutes(drives: Drives) -> None:
    turn = np.random.default_rng(7).uniform(0.0, 2.0 * math.pi, 100_000)
    places = np.cumsum(np.column_stack((np.cos(turn), np.sin(turn), 0.1 * np.sin(3.0 * turn))), axis=0)
    table = motions([Line(to=tuple(place), feed=1200.0) for place in places.tolist()], start=(0.0, 0.0, 0.0))
    begun = perf_counter()
    assert np.isfinite(row_seconds(table, drives=drives)).all()
    assert perf_counter() - begun < 10.0
