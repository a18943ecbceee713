"""Walls that give, against plane geometry worked out by hand."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry import planar
from camplan.geometry.chains import chain, circle
from camplan.recut.figures import across, faces_along, grown, is_round, island_at
from camplan.recut.sides import both
from camplan.regions import Region

BOX = Region(
    outer=chain([(0, 0), (30, 0), (30, 20), (0, 20)], closed=True),
    islands=(chain([(10, 8), (10, 14), (18, 14), (18, 8)], closed=True),),
)
GIVES = st.floats(min_value=-0.3, max_value=0.3).map(lambda value: round(value, 4))


def polygon(region: Region) -> shapely.Polygon:
    return planar.polygon(region, chord=0.0005)


@settings(max_examples=30, deadline=None)
@given(x=GIVES, y=GIVES)
def test_walls_that_face_an_axis_give_just_what_is_asked_along_it(x: float, y: float) -> None:
    (one,) = grown(BOX, by=both(x=x, y=y))
    assert across(one, along=0, at=None) == pytest.approx(30.0 + 2.0 * x, abs=2e-6)
    assert across(one, along=1, at=None) == pytest.approx(20.0 + 2.0 * y, abs=2e-6)
    # beside the island: its walls give as well, the other way
    assert across(one, along=0, at=(5.0, 11.0)) == pytest.approx(10.0 + 2.0 * x, abs=2e-6)
    assert across(one, along=1, at=(14.0, 4.0)) == pytest.approx(8.0 + 2.0 * y, abs=2e-6)


@settings(max_examples=20, deadline=None)
@given(x=GIVES, y=GIVES, more=st.floats(min_value=0.0, max_value=0.2), along=st.sampled_from((0, 1)))
def test_what_gives_more_holds_what_gave_less(x: float, y: float, more: float, along: int) -> None:
    (less,) = grown(BOX, by=both(x=x, y=y))
    (wider,) = grown(BOX, by=both(x=x + more, y=y) if along == 0 else both(x=x, y=y + more))
    assert polygon(less).difference(polygon(wider).buffer(2e-3)).area < 1e-9


def test_an_even_give_is_a_growth_by_a_disc() -> None:
    (one,) = grown(BOX, by=both(x=-0.15, y=-0.15))
    exact = polygon(BOX).buffer(-0.15, quad_segs=64)
    assert polygon(one).symmetric_difference(exact).area < 3e-4


def test_a_circle_that_gives_unevenly_is_as_wide_as_an_ellipse_says() -> None:
    """The width of the sum of two convex figures is the sum of their widths (Minkowski; plane geometry)."""
    (one,) = grown(Region(outer=circle((0.0, 0.0), radius=10.0)), by=both(x=0.2, y=0.1))
    places = np.asarray(one.outer.points)
    for degrees in range(0, 180, 15):
        way = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
        width = float((places @ way).max() - (places @ way).min())
        assert width == pytest.approx(20.0 + 2.0 * math.hypot(0.2 * way[0], 0.1 * way[1]), abs=1e-3)


def test_a_neck_that_closes_leaves_two_regions() -> None:
    """Two squares joined by a neck of 0.4: shrunk by 0.25 they part."""
    bone = [
        (0, 0),
        (10, 0),
        (10, 4.8),
        (14, 4.8),
        (14, 0),
        (24, 0),
        (24, 10),
        (14, 10),
        (14, 5.2),
        (10, 5.2),
        (10, 10),
        (0, 10),
    ]
    assert len(grown(Region(outer=chain(bone, closed=True)), by=both(x=-0.25, y=-0.25))) == 2


def test_a_place_between_walls_that_are_not_square_to_the_axis_is_known() -> None:
    wedge = Region(outer=chain([(0, 0), (20, 0), (14, 20), (6, 20)], closed=True))
    assert faces_along(BOX, along=0, at=(5.0, 11.0))
    assert not faces_along(wedge, along=0, at=(10.0, 10.0))
    assert across(BOX, along=0, at=(14.0, 11.0)) is None


def test_circles_and_many_chords_of_one_are_round_and_rectangles_are_not() -> None:
    turn = [math.tau * k / 40 for k in range(40)]
    chords = chain([(9 * math.cos(a), 9 * math.sin(a)) for a in turn], closed=True)
    assert is_round(Region(outer=circle((1.0, 2.0), radius=4.0)))
    assert is_round(Region(outer=chords))
    assert not is_round(BOX)


def test_islands_give_by_their_own_where_that_is_asked() -> None:
    (one,) = grown(BOX, by=both(x=0.1, y=0.0), islands=both(x=-0.05, y=0.02))
    assert across(one, along=0, at=None) == pytest.approx(30.2)
    island = island_at(one, at=(14.0, 11.0))
    assert island is not None
    assert across(island, along=0, at=None) == pytest.approx(8.1)
    assert across(island, along=1, at=None) == pytest.approx(5.96)
    assert island_at(one, at=(5.0, 5.0)) is None
