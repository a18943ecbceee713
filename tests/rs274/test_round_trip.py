"""Laws of writing and reading back: the text says the moves that were planned, within its last decimal."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan import tolerance
from camplan.moves.expand import motions
from camplan.moves.path import trail
from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Position, Rapid, Remark, Spindle
from camplan.moves.table import Kind, MotionTable
from camplan.rs274.read import read
from camplan.rs274.records import Post
from camplan.rs274.write import write

NAMES = ("rs274ngc", "grbl", "iso6983")
_FINE = 2e-4
START: Position = (3.25, -2.5, 5.0)

coordinate = st.floats(-60.0, 60.0, allow_nan=False)
tiny = st.floats(-1e-3, 1e-3, allow_nan=False)
height = st.floats(-8.0, 5.0, allow_nan=False)
feed = st.sampled_from([0.05, 60.0, 333.3, 1200.0])
radius = st.one_of(st.floats(1e-4, 0.1), st.floats(0.1, 80.0), st.floats(80.0, 1100.0))
turn = st.one_of(
    st.just(2.0 * math.pi),
    st.floats(1e-7, 0.01),
    st.floats(0.01, 6.2),
    st.floats(1e-7, 0.1).map(lambda rest: 2.0 * math.pi - rest),
    st.floats(-0.01, 0.01).map(lambda off: math.pi + off),
)


@st.composite
def runs(draw: st.DrawFn) -> tuple[Move, ...]:
    """Moves one after another, arcs from where the last move ended."""
    at = START
    moves: list[Move] = [Spindle(rpm=9000.0), Dwell(seconds=2.0), Rapid(to=at)]
    for _ in range(draw(st.integers(1, 7))):
        kind = draw(st.sampled_from(["line", "short", "rapid", "arc", "arc", "arc", "drill", "remark"]))
        if kind == "line":
            at = (draw(coordinate), draw(coordinate), draw(height))
            moves.append(Line(to=at, feed=draw(feed)))
        elif kind == "short":
            at = (at[0] + draw(tiny), at[1] + draw(tiny), at[2])
            moves.append(Line(to=at, feed=draw(feed)))
        elif kind == "rapid":
            at = (draw(coordinate), draw(coordinate), draw(st.sampled_from([at[2], 5.0])))
            moves.append(Rapid(to=at))
        elif kind == "remark":
            moves.append(Remark(text="disc: finish, slot-6"))
        elif kind == "drill":
            hole = Drill(
                at=(draw(coordinate), draw(coordinate)),
                retract=1.0,
                bottom=draw(st.floats(-9.0, 0.5)),
                peck=draw(st.sampled_from([None, 0.125, 3.0])),
                dwell=draw(st.sampled_from([0.0, 0.5])),
                feed=draw(feed),
            )
            moves.append(hole)
            at = (*hole.at, hole.retract)
        else:
            size, first, swept = draw(radius), draw(st.floats(0.0, 6.2)), draw(turn) * draw(st.sampled_from([-1, 1]))
            centre = (at[0] - size * math.cos(first), at[1] - size * math.sin(first))
            z = draw(st.one_of(st.just(at[2]), height))
            to = (centre[0] + size * math.cos(first + swept), centre[1] + size * math.sin(first + swept), z)
            if abs(swept) == 2.0 * math.pi:
                to = (at[0], at[1], z)
            moves.append(Arc(to=to, centre=centre, clockwise=swept < 0.0, feed=draw(feed)))
            at = to
    return tuple(moves)


def read_back(moves: Sequence[Move], post: Post) -> MotionTable:
    reading = read(write(moves, post=post, header=["Hive entrance disc"]).text, file="p", post=post)
    assert not reading.findings
    return reading.motions


def off(one: MotionTable, other: MotionTable) -> float:
    """How far points of one path, in XY, are from the other path."""
    path = np.round(trail(other, chord=_FINE).points[:, :2], 7)
    path = path[np.concatenate(([True], np.any(np.diff(path, axis=0) != 0.0, axis=1)))]
    line = shapely.LineString(path) if len(path) > 1 else shapely.Point(path[0])
    shapely.prepare(line)
    return float(shapely.distance(line, shapely.points(trail(one, chord=0.02).points[:, :2])).max())


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=30, deadline=None)
@given(moves=runs())
def test_what_is_read_back_is_what_was_planned(posts: dict[str, Post], name: str, moves: tuple[Move, ...]) -> None:
    unit = 10.0 ** -posts[name].decimals
    planned, found = motions(moves, start=START), read_back(moves, posts[name])
    assert np.abs(planned.end[-1] - found.end[-1]).max() <= 0.5001 * unit
    # ends and centre are each off by up to 0.71 of a unit; chords by CHORD
    granted = 2.0 * unit + tolerance.CHORD + _FINE
    assert off(planned, found) <= granted
    assert off(found, planned) <= granted


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=40, deadline=None)
@given(moves=runs())
def test_rows_that_are_far_enough_apart_come_back_one_by_one(
    posts: dict[str, Post], name: str, moves: tuple[Move, ...]
) -> None:
    straight = tuple(move for move in moves if not isinstance(move, Arc))
    unit = 10.0 ** -posts[name].decimals
    planned, found = motions(straight, start=START), read_back(straight, posts[name])
    kept = _moving(planned, least=2.0 * unit)
    back = _moving(found, least=2.0 * unit)
    if len(kept.kind) == len(back.kind):
        assert np.abs(kept.end - back.end).max(initial=0.0) <= 0.5001 * unit
        assert kept.kind.tolist() == back.kind.tolist()
        cuts = kept.kind != Kind.RAPID
        assert np.abs(kept.feed[cuts] - back.feed[cuts]).max(initial=0.0) <= 0.05
        assert kept.rpm.tolist() == back.rpm.tolist()
    else:  # only moves about as short as the last decimal may vanish
        lengths = np.abs(planned.end - planned.start).max(axis=1)
        assert np.any((lengths > 0.0) & (lengths < 4.0 * unit))


def _moving(table: MotionTable, *, least: float) -> MotionTable:
    rows = np.abs(table.end - table.start).max(axis=1) >= least
    return MotionTable(
        start=table.start[rows],
        end=table.end[rows],
        centre=table.centre[rows],
        kind=table.kind[rows],
        feed=table.feed[rows],
        rpm=table.rpm[rows],
        line=table.line[rows],
    )


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=30, deadline=None)
@given(moves=runs())
def test_each_moves_lines_hold_its_motions_and_no_others(
    posts: dict[str, Post], name: str, moves: tuple[Move, ...]
) -> None:
    written = write(moves, post=posts[name], header=["one", "two"])
    assert len(written.lines) == len(moves)
    assert all(first <= last for first, last in written.lines)
    at, by_line = START, {}
    for move, (first, last) in zip(moves, written.lines, strict=True):
        if isinstance(move, Line | Arc | Rapid):
            at = move.to
        elif isinstance(move, Drill):
            at = (*move.at, move.retract)
        by_line.update(dict.fromkeys(range(first, last + 1), at))
    reading = read(written.text, file="p", post=posts[name])
    unit = 10.0 ** -posts[name].decimals
    last_row = {int(line): end for line, end in zip(reading.motions.line, reading.motions.end, strict=True)}
    for move, (_, last) in zip(moves, written.lines, strict=True):
        if isinstance(move, Line | Rapid) and last in last_row:
            assert np.abs(last_row[last] - np.array(by_line[last])).max() <= 1.0001 * unit


@pytest.mark.parametrize("name", NAMES)
def test_helix_turns_keep_their_fall(posts: dict[str, Post], name: str) -> None:
    start = (12.0, 10.0, 0.0)
    moves = [Rapid(to=start)]
    moves += [
        Arc(to=(12.0, 10.0, -0.5 * turn), centre=(10.0, 10.0), clockwise=False, feed=240.0) for turn in range(1, 5)
    ]
    found = read_back(moves, posts[name])
    assert found.end[-4:, 2].tolist() == [-0.5, -1.0, -1.5, -2.0]
    assert np.all(found.centre[-4:] == [10.0, 10.0])


def test_two_decimals_are_still_an_arc_that_the_controller_takes(posts: dict[str, Post]) -> None:
    coarse = replace(posts["rs274ngc"], decimals=2)
    for number in range(40):
        first, swept = number * 0.7, 0.2 + number * 0.12
        start = (20.0 * math.cos(first), 20.0 * math.sin(first), 0.0)
        end = (20.0 * math.cos(first + swept), 20.0 * math.sin(first + swept), 0.0)
        moves = [Rapid(to=start), Arc(to=end, centre=(0.0, 0.0), clockwise=False, feed=100.0)]
        found = read_back(moves, coarse)
        assert np.abs(found.end[-1] - end).max() <= 0.0051
