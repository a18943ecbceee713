"""Lines that meet share the depth of their joints, and all far ends have one depth."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.network import distance_to, falling_along, falling_from
from camplan.features.records import Slope
from camplan.features.slopes import reached
from camplan.geometry.chains import chain, circle, length


def depth_at(slopes: tuple[Slope, ...], x: float, y: float) -> float:
    for slope in slopes:
        off = np.hypot(*(slope.path.points - (x, y)).T)
        if off.min() < 1e-6:
            return float(slope.depths[int(off.argmin())])
    raise AssertionError(f"no vertex at {x}, {y}")


def test_each_line_falls_from_its_first_end_to_its_other() -> None:
    lines = (chain([(0, 0), (6, 0), (6, 4)]), chain([(9, 9), (9, 0)]))
    one, other = falling_along(lines, first=2.5, last=1.5)
    assert one.depths.tolist() == pytest.approx([2.5, 1.9, 1.5])
    assert other.depths.tolist() == [2.5, 1.5]


def test_from_the_middle_of_a_line_both_halves_fall() -> None:
    (slope,) = falling_from((chain([(0, 0), (30, 0)]),), place=(10, 3), first=2.5, last=1.5)
    assert slope.path.points.tolist() == [[0, 0], [10, 0], [30, 0]]
    assert slope.depths.tolist() == pytest.approx([1.5, 2.5, 1.5])


def test_a_joint_has_one_depth_and_every_far_end_the_last() -> None:
    lines = (chain([(0, 0), (20, 0)]), chain([(20, 0), (20, 20)]), chain([(20, 0), (20, -10)]))
    slopes = falling_from(lines, place=(0, 0), first=3.0, last=1.0)
    assert depth_at(slopes, 0, 0) == 3.0
    # 20 of the 40 mm of the longest way
    assert [slope.depths[0 if number else -1] for number, slope in enumerate(slopes)] == pytest.approx([2.0, 2.0, 2.0])
    assert (depth_at(slopes, 20, 20), depth_at(slopes, 20, -10)) == pytest.approx((1.0, 1.0))


def test_a_branch_from_the_middle_of_a_line_joins_it_there() -> None:
    lines = (chain([(0, 0), (40, 0)]), chain([(10, 0), (10, 10)]))
    slopes = falling_from(lines, place=(0, 0), first=3.0, last=1.0)
    assert depth_at(slopes[:1], 10, 0) == pytest.approx(2.5)
    assert slopes[1].depths.tolist() == pytest.approx([2.5, 1.0])


def test_a_closed_line_falls_both_ways_to_its_far_point() -> None:
    (slope,) = falling_from((circle((0, 0), radius=10.0),), place=(15, 0), first=2.0, last=1.0)
    assert slope.path.points[0].tolist() == pytest.approx([10.0, 0.0])
    assert (slope.depths[0], slope.depths[-1]) == (2.0, 2.0)
    assert slope.depths.min() == pytest.approx(1.0)
    half = reached(slope.path)[int(slope.depths.argmin())]
    assert half == pytest.approx(10.0 * math.pi)


def test_two_ways_of_one_length_meet_at_one_depth() -> None:
    """A diamond with a tail: both ways round are as long, so the tail starts as deep as each of them ends."""
    corners = [(0, 0), (10, 5), (20, 0), (10, -5)]
    lines = (chain(corners[:3]), chain([corners[0], corners[3], corners[2]]), chain([(20, 0), (30, 0)]))
    slopes = falling_from(lines, place=(0, 0), first=3.0, last=1.0)
    ends = [float(slopes[0].depths[-1]), float(slopes[1].depths[-1]), float(slopes[2].depths[0])]
    assert ends == pytest.approx([ends[0]] * 3)
    assert 1.0 < ends[0] < 3.0


def test_lines_that_do_not_meet_are_each_deepest_where_they_are_nearest() -> None:
    lines = (chain([(-30, 0), (-5, 0)]), chain([(5, 0), (30, 0)]))
    left, right = falling_from(lines, place=(0, 0), first=2.0, last=1.0)
    assert (left.depths.tolist(), right.depths.tolist()) == ([1.0, 2.0], [2.0, 1.0])
    assert distance_to(lines, place=(0, 3)) == pytest.approx(math.hypot(5, 3))


@settings(max_examples=40, deadline=None)
@given(
    arms=st.lists(
        st.tuples(st.floats(5.0, 40.0), st.floats(0.0, 5.9)), min_size=2, max_size=5, unique_by=lambda a: round(a[1])
    ),
    first=st.floats(2.0, 4.0),
    last=st.floats(0.5, 1.9),
)
def test_a_star_falls_along_every_arm_from_the_first_depth_to_the_last(
    arms: list[tuple[float, float]], first: float, last: float
) -> None:
    lines = tuple(chain([(0, 0), (size * math.cos(angle), size * math.sin(angle))]) for size, angle in arms)
    for slope in falling_from(lines, place=(0.0, 0.0), first=first, last=last):
        assert slope.depths.tolist() == pytest.approx([first, last])
        assert length(slope.path) >= 5.0 - 1e-9
