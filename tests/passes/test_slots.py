"""Closed slots: round once a level, or in a spiral where the lap is short."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry.chains import chain, circle, length
from camplan.passes.entry import Descent
from camplan.passes.records import Feed, Stroke
from camplan.passes.slots import slotted_round

DESCENT = Descent(diameter=3.0, angle=math.radians(4.0), pitch=0.5, plunges=True)
LEVELS = (-0.7, -1.4, -2.1)


def travelled(strokes: list[Stroke]) -> float:
    return sum(length(stroke.path) for stroke in strokes)


def test_a_long_slot_is_walked_once_a_level_and_its_slopes_twice() -> None:
    path = chain([(0, 0), (100, 0), (100, 40), (0, 40)], closed=True)
    strokes = slotted_round(path, top=0.0, levels=LEVELS, descent=DESCENT)
    slopes = (0.2 + 2.1) / math.tan(DESCENT.angle)
    assert travelled(strokes) == pytest.approx(3 * 280.0 + slopes)


def test_a_short_slot_goes_down_in_a_spiral_and_round_once_more() -> None:
    path = circle((0.0, 0.0), radius=2.0)
    strokes = slotted_round(path, top=0.0, levels=LEVELS, descent=DESCENT)
    assert strokes[-1].feed is Feed.SLOT and set(strokes[-1].z.tolist()) == {-2.1}
    assert travelled(strokes[:-1]) * math.tan(DESCENT.angle) >= 2.3 - 1e-9


@settings(max_examples=25, deadline=None)
@given(st.floats(1.0, 60.0), st.integers(1, 5), st.floats(0.1, 1.0))
def test_a_slot_is_one_path_no_steeper_than_its_cutter_bears(radius: float, count: int, step: float) -> None:
    levels = tuple(-step * number for number in range(1, count + 1))
    strokes = slotted_round(circle((5.0, 5.0), radius=radius), top=0.0, levels=levels, descent=DESCENT)
    for before, after in pairwise(strokes):
        assert np.allclose(before.path.points[-1], after.path.points[0], atol=1e-9)
        assert before.z[-1] == pytest.approx(after.z[0])
    for stroke in strokes:
        fall = float(stroke.z[0] - stroke.z[-1])
        assert fall <= length(stroke.path) * math.tan(DESCENT.angle) + 1e-9
    assert strokes[-1].z[-1] == levels[-1]
    level = sum(length(one.path) for one in strokes if one.z[0] == one.z[-1] == levels[-1])
    assert level == pytest.approx(2.0 * math.pi * radius)
