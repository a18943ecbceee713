"""Edges: how high the cusps of a ball stand, and what is chosen for a chamfer."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.operations.edged import ball_cusp


@given(radius=st.floats(0.2, 5.0), ball=st.floats(0.5, 4.0), count=st.integers(3, 60))
def test_a_cusp_lies_where_two_balls_meet(radius: float, ball: float, count: int) -> None:
    """The place is as far from either ball's middle as the ball is wide (plane geometry)."""
    step = math.pi / 2.0 / count
    high = ball_cusp(radius, ball=ball, step=step)
    if not math.isfinite(high):
        assert (radius + ball) * math.sin(step / 2.0) >= ball
        return
    out = radius + ball
    middle = (out * math.cos(step / 2.0), out * math.sin(step / 2.0))
    assert math.hypot(middle[0] - (radius + high), middle[1]) == pytest.approx(ball)
    assert high >= 0.0


def test_on_a_wall_that_is_all_but_flat_a_cusp_is_that_of_a_ball_on_a_plane() -> None:
    """b - sqrt(b2 - (s/2)2) for passes s apart (plane geometry): on a radius of 1 m they differ little."""
    apart, ball, radius = 0.2, 1.5, 1000.0
    flat = ball - math.sqrt(ball**2 - (apart / 2.0) ** 2)
    assert ball_cusp(radius, ball=ball, step=apart / (radius + ball)) == pytest.approx(flat, rel=5e-3)


def test_finer_steps_leave_lower_cusps() -> None:
    heights = [ball_cusp(1.0, ball=1.5, step=math.pi / 2.0 / count) for count in (4, 8, 16, 32)]
    assert heights == sorted(heights, reverse=True)
    assert heights[0] / heights[1] == pytest.approx(4.0, rel=0.1)  # with the square of the step
