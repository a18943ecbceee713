import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.moves.expand import motions
from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Rapid, Remark, Spindle
from camplan.moves.turned import turned, turned_motions

MOVES: tuple[Move, ...] = (
    Spindle(rpm=12000),
    Rapid(to=(10.0, 5.0, 2.0)),
    Remark(text="disc"),
    Line(to=(10.0, 5.0, -1.0), feed=100.0),
    Arc(to=(14.0, 5.0, -1.5), centre=(12.0, 5.0), clockwise=True, feed=300.0),
    Dwell(seconds=1.0),
    Drill(at=(20.0, -3.0), retract=1.0, bottom=-4.0, peck=None, dwell=0.0, feed=80.0),
)
angle = st.floats(min_value=-math.pi, max_value=math.pi)


def test_a_quarter_turn_takes_x_to_y() -> None:
    (line,) = turned([Line(to=(10.0, 5.0, -1.0), feed=100.0)], by=math.pi / 2.0)
    assert isinstance(line, Line)
    assert line.to == pytest.approx((-5.0, 10.0, -1.0))


@given(by=angle)
def test_a_turn_back_gives_the_moves_again(by: float) -> None:
    again = motions(turned(turned(MOVES, by=by), by=-by), start=(0.0, 0.0, 5.0))
    once = motions(MOVES, start=(0.0, 0.0, 5.0))
    assert np.allclose(again.end, once.end, atol=1e-9)
    assert np.allclose(again.centre, once.centre, atol=1e-9, equal_nan=True)
    assert np.array_equal(again.kind, once.kind)


@given(by=angle)
def test_moves_and_their_motions_turn_alike(by: float) -> None:
    start = (3.0, 4.0, 5.0)
    (first,) = turned([Rapid(to=start)], by=by)
    assert isinstance(first, Rapid)
    by_moves = motions(turned(MOVES, by=by), start=first.to)
    by_rows = turned_motions(motions(MOVES, start=start), by=by)
    assert np.allclose(by_moves.end, by_rows.end, atol=1e-9)
    assert np.allclose(by_moves.centre, by_rows.centre, atol=1e-9, equal_nan=True)


def test_a_lift_at_a_place_that_nobody_said_is_left_out() -> None:
    lift = Rapid(to=(math.nan, math.nan, 10.0))
    assert turned([lift, Spindle(rpm=0.0)], by=0.1) == (Spindle(rpm=0.0),)
