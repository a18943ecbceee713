"""Four walls and a figure for each."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.recut.sides import Side, Sides, both, facing, in_order

FIGURES = st.floats(min_value=-1.0, max_value=1.0)
EACH = st.builds(Sides, left=FIGURES, right=FIGURES, front=FIGURES, back=FIGURES)


@pytest.mark.parametrize("side", list(Side))
def test_the_wall_across_from_one_faces_along_the_same_axis(side: Side) -> None:
    assert side.other is not side
    assert side.other.other is side
    assert set(facing(side.axis)) == {side, side.other}


@given(sides=EACH)
def test_turned_twice_all_stand_where_they_stood(sides: Sides) -> None:
    assert sides.turned().turned() == sides
    assert sides.turned().widths == pytest.approx(sides.widths)
    assert sides.even == (sides.left == sides.right and sides.front == sides.back)


@given(sides=EACH, side=st.sampled_from(tuple(Side)), by=FIGURES)
def test_one_wall_that_is_moved_leaves_the_other_three(sides: Sides, side: Side, by: float) -> None:
    moved = sides.moved(side, by=by)
    assert moved.at(side) == sides.at(side) + by
    assert all(moved.at(other) == sides.at(other) for other in Side if other is not side)
    assert sides.put(side, to=by).at(side) == by


def test_half_of_a_width_for_either_wall() -> None:
    assert both(x=0.1, y=-0.2).widths == (0.2, -0.4)
    assert both(x=0.1).plus(Sides(left=0.3), times=-1.0) == Sides(left=0.1 - 0.3, right=0.1)
    assert list(both(x=1.0, y=2.0)) == [1.0, 1.0, 2.0, 2.0]
    assert in_order([Side.BACK, Side.LEFT, Side.BACK]) == (Side.LEFT, Side.BACK)
