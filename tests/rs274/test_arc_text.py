"""Arcs of the text against the planned ones, point by point."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.path import sweeps
from camplan.moves.records import Arc, Rapid
from camplan.moves.table import Kind
from camplan.rs274.read import read
from camplan.rs274.records import Post
from camplan.rs274.write import write

NAMES = ("rs274ngc", "grbl", "iso6983")
turns = st.one_of(
    st.just(2.0 * math.pi),
    st.floats(0.02, 6.25),
    st.floats(1e-3, 0.2).map(lambda rest: 2.0 * math.pi - rest),
    st.floats(-0.01, 0.01).map(lambda off: math.pi + off),
)


def points(start: np.ndarray, *, end: np.ndarray, centre: np.ndarray, swept: float) -> np.ndarray:
    """Points along an arc as a controller runs it: its radius goes evenly from that of its start to that of its end."""
    first, last = start - centre, end - centre
    part = np.linspace(0.0, 1.0, 65)
    angle = math.atan2(first[1], first[0]) + swept * part
    size = np.hypot(*first) + (np.hypot(*last) - np.hypot(*first)) * part
    return centre + np.column_stack((size * np.cos(angle), size * np.sin(angle)))


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=80, deadline=None)
@given(
    size=st.floats(0.05, 400.0),
    first=st.floats(0.0, 6.28),
    turn=turns,
    x=st.floats(-50.0, 50.0),
    y=st.floats(-50.0, 50.0),
    clockwise=st.booleans(),
)
def test_no_point_of_an_arc_is_farther_than_a_micrometre_and_a_half_from_the_planned_one(
    posts: dict[str, Post], name: str, size: float, first: float, turn: float, x: float, y: float, clockwise: bool
) -> None:
    swept = -turn if clockwise else turn
    start = (x + size * math.cos(first), y + size * math.sin(first), 0.0)
    end = (x + size * math.cos(first + swept), y + size * math.sin(first + swept), 0.0)
    if turn == 2.0 * math.pi:
        end = start
    moves = [Rapid(to=start), Arc(to=end, centre=(x, y), clockwise=clockwise, feed=300.0)]
    reading = read(write(moves, post=posts[name], header=[]).text, file="p", post=posts[name])
    rows = reading.motions
    assert not reading.findings
    found = sweeps(rows)
    for row in np.flatnonzero(rows.kind >= Kind.CLOCKWISE):
        along = points(rows.start[row, :2], end=rows.end[row, :2], centre=rows.centre[row], swept=found[row])
        assert np.abs(np.hypot(*(along - [x, y]).T) - size).max() <= 0.0015
    if np.all(rows.kind[rows.kind != Kind.RAPID] >= Kind.CLOCKWISE):
        # each end is rounded by up to 0.71 units; a centre moved by 1.16 turns both rays of a half turn: 3.7 in all
        slack = 4.0 * 10.0 ** -posts[name].decimals / size
        assert found.sum() == pytest.approx(swept, abs=slack)


@pytest.mark.parametrize("name", NAMES)
def test_a_full_circle_with_its_centre_between_the_decimals_is_still_one_circle(
    posts: dict[str, Post], name: str
) -> None:
    start = (10.00055, 0.00045, -1.0)
    moves = [Rapid(to=start), Arc(to=start, centre=(0.00055, 0.00045), clockwise=False, feed=300.0)]
    rows = read(write(moves, post=posts[name], header=[]).text, file="p", post=posts[name]).motions
    assert rows.kind.tolist().count(Kind.COUNTER_CLOCKWISE) == 1
    assert sweeps(rows)[-1] == pytest.approx(2.0 * math.pi)
