"""Moves as rows of arrays."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.expand import drill_steps, expanded, motions
from camplan.moves.records import Arc, Drill, Dwell, Line, Rapid, Remark, Spindle, ToolChange
from camplan.moves.table import Kind

START = (0.0, 0.0, 5.0)


def drill(**figures: float | None) -> Drill:
    told = {"retract": 2.0, "bottom": -10.0, "peck": None, "dwell": 0.0, "feed": 80.0, **figures}
    return Drill(at=(0.0, 0.0), **told)


def test_each_row_starts_where_the_last_one_ended() -> None:
    found = motions(
        [Rapid(to=(1, 2, 3)), Line(to=(4, 5, 6), feed=100), Arc(to=(6, 5, 6), centre=(5, 5), clockwise=True, feed=50)],
        start=START,
    )
    assert found.start.tolist() == [[0, 0, 5], [1, 2, 3], [4, 5, 6]]
    assert found.kind.tolist() == [Kind.RAPID, Kind.LINE, Kind.CLOCKWISE]
    assert math.isnan(found.feed[0]) and found.feed[1:].tolist() == [100, 50]
    assert np.isnan(found.centre[:2]).all() and found.centre[2].tolist() == [5, 5]


def test_the_spindles_speed_is_carried_until_a_change_of_cutter() -> None:
    found = motions(
        [
            Line(to=(1, 0, 0), feed=1),
            Spindle(rpm=900),
            Line(to=(2, 0, 0), feed=1),
            Dwell(seconds=1),
            Remark(text="x"),
            Line(to=(3, 0, 0), feed=1),
            ToolChange(number=2, cutter="slot-2"),
            Rapid(to=(3, 0, 9)),
        ],
        start=START,
    )
    assert found.rpm.tolist() == [0, 900, 900, 0]  # NISTIR 6556 §3.6.3: the spindle stops


def test_rows_know_the_line_and_the_move_they_come_from() -> None:
    found = expanded([Spindle(rpm=1), drill(peck=6.0), Rapid(to=(9, 9, 9))], start=START, lines=[3, 7, 8])
    rows = len(found.motions.kind)
    assert found.first.tolist() == [0, 0, rows - 1, rows]
    assert found.motions.line.tolist() == [7] * (rows - 1) + [8]


def test_pecks_feed_to_the_depths_of_g83() -> None:
    # NISTIR 6556 §3.5.16.4: R2 Z-10 Q4; the gap of 0.25 is common practice, no source
    steps = drill_steps(drill(peck=4.0), at=(0.0, 0.0, 2.0))
    assert [step.to[2] for step in steps if isinstance(step, Line)] == [-2.0, -6.0, -10.0]
    assert [step.to[2] for step in steps if isinstance(step, Rapid)] == [2.0, -1.75, 2.0, -5.75, 2.0]


def test_pecks_smaller_than_the_gap_do_not_go_above_the_plane() -> None:
    steps = drill_steps(drill(peck=0.1, bottom=1.5), at=(0.0, 0.0, 2.0))
    assert max(step.to[2] for step in steps if isinstance(step, Rapid | Line)) == 2.0


def test_a_hole_dwells_once_at_its_bottom() -> None:
    steps = drill_steps(drill(peck=4.0, dwell=0.5), at=(0.0, 0.0, 2.0))
    assert [type(step) for step in steps[-3:]] == [Line, Dwell, Rapid]
    assert sum(isinstance(step, Dwell) for step in steps) == 1


def test_from_below_the_plane_a_drill_goes_up_before_it_goes_across() -> None:
    # NISTIR 6556 §3.5.16.1
    steps = drill_steps(drill(), at=(8.0, 0.0, 1.0))
    assert [step.to for step in steps if isinstance(step, Rapid)][:2] == [(8.0, 0.0, 2.0), (0.0, 0.0, 2.0)]


def test_no_moves_make_no_rows() -> None:
    found = motions([], start=START)
    assert found.start.shape == (0, 3) and found.centre.shape == (0, 2) and found.line.shape == (0,)


@settings(max_examples=50, deadline=None)
@given(
    peck=st.floats(0.05, 20.0),
    deep=st.floats(0.01, 30.0),
    height=st.floats(-5.0, 20.0),
    far=st.sampled_from([0.0, 7.0]),
)
def test_a_drill_reaches_its_bottom_and_ends_at_its_plane(peck: float, deep: float, height: float, far: float) -> None:
    hole = drill(peck=peck, bottom=2.0 - deep)
    found = motions([hole], start=(far, 0.0, height))
    cuts = found.kind == Kind.LINE
    assert found.end[cuts, 2].min() == hole.bottom
    assert found.end[-1].tolist() == [0.0, 0.0, 2.0]
    # each feed goes at most one peck below what was cut, and no rapid goes below that
    depth = 2.0
    for kind, start, end in zip(found.kind, found.start, found.end, strict=True):
        if kind == Kind.LINE:
            assert end[2] >= depth - peck - 2e-9
            assert start[2] >= depth - 1e-9
            depth = min(depth, end[2])
        elif end[2] < height:
            assert end[2] >= depth - 1e-9
    assert sum(cuts) == pytest.approx(math.ceil(deep / peck - 1e-6), abs=1)
