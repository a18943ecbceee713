"""What was drawn twice is taken once."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.drawing.joining import joined
from camplan.drawing.repeats import without_repeats
from camplan.geometry.chains import backwards, chain, circle, starting_at


def test_identical_and_reversed_lines_and_arcs_are_taken_once():
    line, arc = chain([(0, 0), (10, 3)]), chain([(0, 0), (10, 3)], bulges=[0.4])
    once = without_repeats([line, arc, backwards(line), backwards(arc), line], closed=[], within=0.01)
    assert once.pieces == (line, arc) and len(once.dropped) == 3


def test_an_arc_and_the_arc_on_the_other_side_of_its_chord_are_two():
    one, other = chain([(0, 0), (10, 0)], bulges=[0.4]), chain([(0, 0), (10, 0)], bulges=[-0.4])
    assert len(without_repeats([one, other], closed=[], within=0.01).pieces) == 2


def test_circles_and_contours_drawn_twice_are_taken_once():
    ring = chain([(0, 0), (10, 0), (10, 10), (0, 10)], bulges=[0, 0.3, 0, 0], closed=True)
    closed = [circle((30, 0), radius=4), ring, circle((30, 0), radius=4, clockwise=True)]
    closed += [backwards(ring), starting_at(ring, vertex=2), circle((30, 0), radius=4.02)]
    once = without_repeats([], closed=closed, within=0.01)
    assert len(once.closed) == 3 and len(once.dropped) == 3


@settings(max_examples=30, deadline=None)
@given(st.integers(3, 30), st.integers(0, 2**32 - 1))
def test_a_drawing_drawn_twice_gives_the_loops_of_one(count, seed):
    noise = np.random.default_rng(seed)
    t = 2 * np.pi * np.arange(count) / count
    ring = np.column_stack((np.cos(t), np.sin(t))) * noise.uniform(5, 9, count)[:, None]
    lines = [chain([a, b]) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    twice = [lines[k % count] if noise.random() < 0.5 else backwards(lines[k % count]) for k in range(2 * count)]
    result = joined([twice[k] for k in noise.permutation(2 * count)], closed=[], layer="DISC", within=0.01)
    assert len(result.closed) == 1 and not result.open
    (finding,) = result.findings
    assert finding.code == "duplicate" and finding.message.startswith(f'layer "DISC": {count} curves')
