"""Machine time against closed forms of constant acceleration."""

import math

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
