"""Along falling floors: shares of the way down, never below the floor, never steeper than the cutter bears."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.records import Slope
from camplan.features.slopes import reached, slope_of, under
from camplan.geometry.chains import chain, length, segment_lengths
from camplan.passes.entry import Descent
from camplan.passes.ramps import part_of, ramped_pass
from camplan.passes.records import Feed, Stroke

QUARTER = math.sqrt(2.0) - 1.0
DESCENT = Descent(diameter=4.0, angle=math.radians(4.0), pitch=0.5, plunges=True)


def falls(stroke: Stroke) -> np.ndarray:
    return -np.diff(stroke.z) / np.maximum(segment_lengths(stroke.path), 1e-9)


def runner() -> Slope:
    path = chain([(0, 0), (25, 0), (35, 10), (35, 30)], bulges=[0.0, QUARTER, 0.0])
    return slope_of(path, at=np.array([0.0, length(path)]), depths=np.array([2.5, 1.5]))


def test_the_last_run_lies_on_the_floor_and_keeps_its_arc() -> None:
    slope = runner()
    one = ramped_pass(slope, top=0.0, shares=(0.5, 1.0), descent=DESCENT)
    last = one.strokes[-1]
    # the second pass comes back, from the shallow end to the deep one
    assert last.z[-1] == pytest.approx(-2.5)
    assert np.count_nonzero(last.path.bulges) == 1
    assert last.z.tolist() == pytest.approx([-1.5, -1.5 - 20.0 / length(slope.path), *last.z[2:3], -2.5])


def test_each_share_is_an_even_part_of_the_way_down() -> None:
    one = ramped_pass(runner(), top=-0.5, shares=(0.5, 1.0), descent=DESCENT)
    ends = [stroke.z[-1] for stroke in one.strokes if stroke.feed is Feed.SLOT]
    assert ends == pytest.approx([-0.5 - 0.5 * 1.0, -2.5])
    assert one.free == -0.5


def test_strokes_hang_together() -> None:
    one = ramped_pass(runner(), top=0.0, shares=(0.3, 0.6, 1.0), descent=DESCENT)
    for before, after in zip(one.strokes[:-1], one.strokes[1:], strict=True):
        assert before.path.points[-1] == pytest.approx(after.path.points[0], abs=1e-9)
        assert before.z[-1] == pytest.approx(after.z[0])


def test_a_floor_steeper_than_a_ramp_is_fed_down_at_the_plunge_feed_and_up_as_a_slot() -> None:
    steep = Slope(path=chain([(0, 0), (10, 0)]), depths=np.array([1.0, 3.0]))
    down = ramped_pass(steep, top=0.0, shares=(1.0,), descent=DESCENT)
    assert down.strokes[-1].feed is Feed.PLUNGE
    up = ramped_pass(Slope(path=steep.path, depths=steep.depths[::-1]), top=0.0, shares=(1.0,), descent=DESCENT)
    assert up.strokes[-1].feed is Feed.SLOT


def test_a_part_of_a_slope_keeps_its_depths() -> None:
    part = part_of(runner(), start=5.0, end=25.0)
    whole = length(runner().path)
    assert part.depths.tolist() == pytest.approx([2.5 - 5.0 / whole, 2.5 - 25.0 / whole])
    assert reached(part.path)[-1] == pytest.approx(20.0)


@settings(max_examples=40, deadline=None)
@given(
    steps=st.lists(st.tuples(st.floats(4.0, 20.0), st.floats(-1.2, 1.2)), min_size=1, max_size=4),
    depths=st.tuples(st.floats(0.3, 3.0), st.floats(0.3, 3.0)),
    count=st.integers(1, 4),
)
def test_no_pass_along_a_random_line_is_below_its_floor_or_steeper_than_a_ramp(
    steps: list[tuple[float, float]], depths: tuple[float, float], count: int
) -> None:
    points, heading = [(0.0, 0.0)], 0.0
    for size, turn in steps:
        heading += turn
        points.append((points[-1][0] + size * math.cos(heading), points[-1][1] + size * math.sin(heading)))
    path = chain(points)
    if not shapely.LineString(points).is_simple:
        return
    slope = slope_of(path, at=np.array([0.0, length(path)]), depths=np.array(depths))
    shares = tuple((number + 1) / count for number in range(count))
    one = ramped_pass(slope, top=0.0, shares=shares, descent=DESCENT)
    for stroke in one.strokes:
        deep = under((slope,), places=stroke.path.points)
        assert (-stroke.z <= deep + 1e-6).all()
        if stroke.feed is Feed.RAMP:
            assert (falls(stroke) <= math.tan(DESCENT.angle) + 1e-6).all()
