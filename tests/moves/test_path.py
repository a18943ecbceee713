"""Lengths, bounds and points of motions against closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.expand import motions
from camplan.moves.path import bounds, lengths, sweeps, trail
from camplan.moves.records import Arc, Line, Move, Rapid
from camplan.moves.table import MotionTable


def arc(radius: float, first: float, swept: float, *, fall: float = 0.0) -> MotionTable:
    start = (radius * math.cos(first), radius * math.sin(first), 0.0)
    to = (radius * math.cos(first + swept), radius * math.sin(first + swept), -fall)
    return motions([Arc(to=to, centre=(0.0, 0.0), clockwise=swept < 0.0, feed=100.0)], start=start)


def test_a_helix_is_as_long_as_printed() -> None:
    # cutter 6 in a hole of 10 at 1 mm a turn: path 12.606 mm a turn, sqrt((2 pi 2)^2 + 1)
    turn = Arc(to=(2.0, 0.0, -1.0), centre=(0.0, 0.0), clockwise=False, feed=240.0)
    assert lengths(motions([turn], start=(2.0, 0.0, 0.0)))[0] == pytest.approx(12.606, abs=5e-4)


def test_a_line_is_as_long_as_its_diagonal() -> None:
    assert lengths(motions([Line(to=(2.0, 3.0, 6.0), feed=1.0)], start=(0.0, 0.0, 0.0)))[0] == 7.0


@settings(max_examples=60, deadline=None)
@given(
    radius=st.floats(0.1, 200.0),
    first=st.floats(-6.0, 6.0),
    swept=st.floats(0.01, 6.27).flatmap(lambda angle: st.sampled_from([angle, -angle])),
    fall=st.floats(0.0, 9.0),
)
def test_an_arc_turns_and_runs_as_far_as_it_says(radius: float, first: float, swept: float, fall: float) -> None:
    table = arc(radius, first, swept, fall=fall)
    assert sweeps(table)[0] == pytest.approx(swept, abs=1e-9)
    assert lengths(table)[0] == pytest.approx(math.hypot(radius * swept, fall))
    points = trail(table, chord=0.01).points
    assert np.hypot(points[:, 0], points[:, 1]) == pytest.approx(radius)
    middles = (points[1:] + points[:-1]) / 2.0
    assert radius - np.hypot(middles[:, 0], middles[:, 1]).min() <= 0.01 + 1e-9
    box = bounds(table)
    dense = trail(table, chord=1e-7 * radius).points
    assert np.array(box.low) == pytest.approx(dense.min(axis=0), abs=2e-6 * radius)
    assert np.array(box.high) == pytest.approx(dense.max(axis=0), abs=2e-6 * radius)


@pytest.mark.parametrize(("radius", "chords"), [(10.0, 157), (3.0, 86)])
def test_a_circle_has_about_as_many_chords_as_grbl_makes(radius: float, chords: int) -> None:
    # Grbl 1.1h: floor(pi r / sqrt(t (2 r - t))), t = 0.002; ours is rounded up, so that it never leaves more
    table = arc(radius, 0.0, 2.0 * math.pi)
    table.end[:] = table.start
    assert chords <= len(trail(table, chord=0.002).points) - 1 <= chords + 1


def test_a_full_circle_reaches_its_four_sides() -> None:
    circle = Arc(to=(3.0, 4.0, 1.0), centre=(0.0, 0.0), clockwise=True, feed=1.0)
    box = bounds(motions([circle], start=(3.0, 4.0, 0.0)))
    assert box.low == pytest.approx((-5.0, -5.0, 0.0))
    assert box.high == pytest.approx((5.0, 5.0, 1.0))


def test_rows_of_a_trail_keep_their_ends() -> None:
    moves: list[Move] = [Rapid(to=(1, 1, 1)), Arc(to=(3, 1, 1), centre=(2, 1), clockwise=True, feed=9)]
    table = motions(moves, start=(0.0, 0.0, 5.0))
    found = trail(table, chord=0.1)
    for row in range(2):
        mine = found.points[found.row == row]
        assert mine[0].tolist() == table.start[row].tolist()
        assert mine[-1].tolist() == table.end[row].tolist()


def test_bounds_leave_out_heights_that_nobody_has_said() -> None:
    table = motions([Rapid(to=(1.0, 1.0, math.nan)), Rapid(to=(2.0, 1.0, 4.0))], start=(0.0, 0.0, math.nan))
    assert bounds(table).low == (0.0, 0.0, 4.0)
    with pytest.raises(ValueError, match="no motion"):
        bounds(motions([], start=(0.0, 0.0, 0.0)))
