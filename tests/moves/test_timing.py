"""Machine time against closed forms of constant acceleration."""

import math

import numpy as np
import pytest

from camplan.moves.expand import motions
from camplan.moves.records import Arc, Line, Rapid
from camplan.moves.timing import Drives, row_seconds

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
