"""Motions thinned for a picture, against plain geometry (chords of a circle) and counts."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.table import Kind, MotionTable
from camplan.report.tracks import ABOVE, RAPID, band_of, plunges, rows_of, segments, strokes


def straight(points: np.ndarray, *, kind: Kind = Kind.LINE) -> MotionTable:
    count = len(points) - 1
    return MotionTable(
        start=points[:-1],
        end=points[1:],
        centre=np.full((count, 2), np.nan),
        kind=np.full(count, int(kind), dtype=np.int8),
        feed=np.full(count, 100.0),
        rpm=np.full(count, 1000.0),
        line=np.arange(1, count + 1),
    )


def test_a_full_turn_becomes_chords_on_its_circle(plans):
    track = plans.Track()
    track.at = (10.0, 0.0, -1.0)
    track.go(10.0, 0.0, -1.0, kind=Kind.CLOCKWISE, centre=(0.0, 0.0))
    pieces = segments(track.table(), sagitta=0.01)
    assert np.allclose(np.hypot(*pieces.start.T), 10.0)
    middles = np.hypot(*((pieces.start + pieces.end) / 2.0).T)
    assert np.all(10.0 - middles <= 0.01 + 1e-9)
    assert pieces.start[1, 1] < 0.0, "a clockwise turn from the right goes down first"


@given(st.floats(0.2, 6.0), st.booleans())
@settings(max_examples=25, deadline=None)
def test_an_arc_keeps_its_ends_and_its_length(angle: float, clockwise: bool):
    turn = -angle if clockwise else angle
    end = (5.0 * np.cos(turn), 5.0 * np.sin(turn), 0.0)
    kind = Kind.CLOCKWISE if clockwise else Kind.COUNTER_CLOCKWISE
    table = straight(np.array([(5.0, 0.0, 0.0), end]), kind=kind)
    table.centre[:] = 0.0
    pieces = segments(table, sagitta=0.001)
    assert np.allclose(pieces.start[0], (5.0, 0.0))
    assert np.allclose(pieces.end[-1], end[:2])
    length = float(np.hypot(*(pieces.end - pieces.start).T).sum())
    assert abs(length - 5.0 * angle) < 0.01


def test_a_path_walked_at_three_levels_is_drawn_once_at_the_deepest():
    square = np.array([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], dtype=np.float64)
    levels = [np.column_stack((square, np.full(5, z))) for z in (-1.0, -2.0, -3.0)]
    made = strokes(segments(straight(np.vstack(levels)), sagitta=0.01), origin=(0, 0), step=0.1, deepest=3.0)
    assert [item.band for item in made] == [4]
    assert len(made[0].lines) == 1
    assert made[0].lines[0].tolist() == [[0, 0], [100, 0], [100, 100], [0, 100], [0, 0]]


def test_rapids_and_moves_above_the_plate_have_bands_of_their_own():
    points = np.array([(0, 0, 5), (10, 0, 5)], dtype=np.float64)
    rapid = strokes(segments(straight(points, kind=Kind.RAPID), sagitta=1), origin=(0, 0), step=1, deepest=3.0)
    above = strokes(segments(straight(points), sagitta=1), origin=(0, 0), step=1, deepest=3.0)
    assert [item.band for item in (*rapid, *above)] == [RAPID, ABOVE]


def test_a_hundred_thousand_short_motions_become_few_lines():
    angle = np.linspace(0.0, 40.0 * np.pi, 100_001)
    points = np.column_stack((50 * np.cos(angle), 50 * np.sin(angle), np.linspace(0.0, -5.0, len(angle))))
    made = strokes(segments(straight(points), sagitta=0.1), origin=(-60, -60), step=0.1, deepest=5.0)
    drawn = sum(len(line) for item in made for line in item.lines)
    assert drawn < 6000
    reach = max(float(np.hypot(*(line * 0.1 - 60).T).max()) for item in made for line in item.lines)
    assert abs(reach - 50.0) < 0.15


def test_plunges_are_found_once_each(plans):
    motions = plans.third_program().motions
    assert plunges(motions).tolist() == [[12.0, 12.0], [108.0, 12.0], [108.0, 68.0]]


def test_rows_of_an_operation_are_those_of_its_lines(plans):
    motions = plans.second_program().motions
    part = rows_of(motions, first_line=2, last_line=4)
    assert part.line.tolist() == [2, 3, 4]


def test_bands_run_from_the_top_to_the_deepest():
    assert [band_of(depth, deepest=10.0) for depth in (0.1, 2.0, 2.1, 9.0, 10.0, 12.0)] == [0, 0, 1, 4, 4, 4]
