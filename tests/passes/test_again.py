"""What a second setting still has to do: all that the clamps of the first kept out, and no more than the overlap."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.passes.again import OVERLAP, Undone, place_undone, room_left, runs_left

RADIUS = 3.0


def box(x0: float, y0: float, x1: float, y1: float) -> Area:
    return (np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64),)


def left_of(area: Area) -> Undone:
    return Undone(each=(area,), area=area)


def solid(area: Area) -> shapely.Geometry:
    # a ring may touch itself
    return shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in area])


WHOLE = box(3, 3, 77, 47)
PLATE = box(-10, -10, 100, 60)


@settings(max_examples=25, deadline=None)
@example(29.9375, 0.0, 29.0, 4.0, 2.5809019117262646)
@given(st.floats(0, 70), st.floats(0, 40), st.floats(4, 40), st.floats(4, 40), st.floats(0, math.pi))
def test_the_second_cut_clears_all_that_the_first_left_and_little_else(
    x: float, y: float, wide: float, deep: float, turn: float
) -> None:
    cos, sin = math.cos(turn), math.sin(turn)
    corners = np.array([(0, 0), (wide, 0), (wide, deep), (0, deep)]) @ np.array([(cos, sin), (-sin, cos)]) + (x, y)
    clamp = clipper.offset((corners,), by=RADIUS + 0.5)
    room = room_left(WHOLE, work=WHOLE, radius=RADIUS, left=left_of(clamp), plate=PLATE)
    # an independent kernel says what stands: GEOS
    first = shapely.Polygon(WHOLE[0]).difference(solid(clamp)).buffer(RADIUS)
    stands = shapely.Polygon(WHOLE[0]).buffer(RADIUS).difference(first).buffer(-0.003).buffer(0.003)
    second = solid(room).buffer(RADIUS) if room else shapely.Polygon()
    assert stands.difference(second.buffer(0.004)).area < 1e-3
    assert not room or second.difference(stands.buffer(2.0 * RADIUS + OVERLAP)).area < 1e-3
    assert not room or solid(room).difference(shapely.Polygon(WHOLE[0]).buffer(1e-5)).area < 1e-6


def test_along_a_straight_edge_the_second_cut_reaches_no_farther_than_the_overlap() -> None:
    room = room_left(WHOLE, work=WHOLE, radius=RADIUS, left=left_of(box(-50, -50, 33.5, 100)), plate=PLATE)
    # by the middle of the edge the corners' own need of more is out of sight
    middle = clipper.intersection(room, with_=box(0, 20, 80, 30))
    assert np.vstack(middle)[:, 0].max() == pytest.approx(33.5 - RADIUS - (RADIUS - OVERLAP), abs=1e-3)


def test_what_is_beside_the_plate_is_not_cut_again() -> None:
    assert (
        room_left(WHOLE, work=WHOLE, radius=RADIUS, left=left_of(box(50, 0, 80, 50)), plate=box(-10, 0, 40, 50)) == ()
    )


def test_nothing_is_left_where_no_clamp_stood() -> None:
    assert room_left(WHOLE, work=WHOLE, radius=RADIUS, left=left_of(()), plate=PLATE) == ()
    assert runs_left([np.array([(0.0, 0.0), (50.0, 0.0)])], shut=(), left=left_of(())) == []
    assert not place_undone((5.0, 5.0), around=1.0, left=left_of(()))


def test_a_line_is_cut_on_by_the_overlap_at_either_end() -> None:
    line = np.array([(0.0, 10.0), (100.0, 10.0)])
    (run,) = runs_left([line], shut=(), left=left_of(box(40, 0, 60, 20)))
    assert (run[0, 0], run[-1, 0]) == pytest.approx((40 - OVERLAP, 60 + OVERLAP), abs=1e-5)


def test_a_line_that_is_barred_again_is_cut_up_to_the_clamp_of_now() -> None:
    line = np.array([(0.0, 10.0), (100.0, 10.0)])
    (run,) = runs_left([line], shut=box(50, 0, 200, 20), left=left_of(box(40, 0, 60, 20)))
    assert (run[0, 0], run[-1, 0]) == pytest.approx((40 - OVERLAP, 50.0), abs=1e-5)
    assert runs_left([line], shut=box(39.8, 0, 200, 20), left=left_of(box(40, 0, 60, 20))) == []


def test_a_hole_is_made_again_only_where_every_earlier_setting_barred_it() -> None:
    near, far = box(0, 0, 10, 10), box(5, 0, 20, 10)
    both = Undone(each=(near, far), area=clipper.intersection(near, with_=far))
    assert place_undone((7.0, 5.0), around=0.0, left=both)
    assert not place_undone((2.0, 5.0), around=0.0, left=both)
    assert place_undone((4.5, 5.0), around=1.0, left=both)
    assert place_undone((4.5, 5.0), around=1.0, left=None)
