"""Walls that give, against plane geometry worked out by hand."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from camplan.geometry import planar
from camplan.geometry.chains import chain, circle
from camplan.recut.figures import across, faces, faces_along, gives_at, grown, is_round, island_at
from camplan.recut.sides import Side, Sides, both
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


L_SHAPE = Region(outer=chain([(0, 0), (40, 0), (40, 14), (20, 14), (20, 28), (0, 28)], closed=True))
LENS = Region(outer=circle((3.0, -2.0), radius=9.0))
TRAPEZE = Region(outer=chain([(0, 0), (20, 0), (14, 16), (6, 16)], closed=True))
SHAPES = st.sampled_from((BOX, L_SHAPE, LENS, TRAPEZE))
OUTWARD = {Side.LEFT: (-1.0, 0.0), Side.RIGHT: (1.0, 0.0), Side.FRONT: (0.0, -1.0), Side.BACK: (0.0, 1.0)}
ALLOWED = st.sampled_from((-0.15, 0.0, 0.02))
MORE = st.floats(min_value=0.008, max_value=0.3).map(lambda value: round(value, 4))


def reach(region: Region, way: tuple[float, float]) -> float:
    """How far a region reaches in a direction (its support function)."""
    return float((np.asarray(region.outer.points) @ np.array(way)).max())


@settings(max_examples=40, deadline=None)
@given(shape=SHAPES, stands=ALLOWED, side=st.sampled_from(tuple(Side)), more=MORE)
def test_one_wall_that_gives_moves_itself_and_no_other(shape: Region, stands: float, side: Side, more: float) -> None:
    # reaches add up as figures grow (Minkowski); of what shrinks, where walls meet at right angles
    assume(stands >= 0.0 or shape is not TRAPEZE)
    by = both(x=stands, y=stands)
    (before,) = grown(shape, by=by, islands=by)
    (after,) = grown(shape, by=by.moved(side, by=more), islands=by)
    assert polygon(before).difference(polygon(after).buffer(1e-3)).area < 1e-9
    # the end of a curved wall of radius R also stands up to a^2 / (2 R) in where its neighbours stand a in
    bent = 0.15**2 / 2.0 / 9.0 + 2e-4 if shape is LENS and stands < 0.0 else 0.0
    flat = 2e-6 if shape in (BOX, L_SHAPE) else 3e-4  # where a corner or a curve reaches farthest it is one of chords
    assert more - bent - flat <= reach(after, OUTWARD[side]) - reach(before, OUTWARD[side]) <= more + flat
    x, y = OUTWARD[side]
    for degrees in range(-90, 91, 15):
        # every direction from square to the wall's own round its back
        turn = math.radians(degrees)
        way = (-x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) - y * math.cos(turn))
        assert reach(after, way) == pytest.approx(reach(before, way), abs=5e-4), degrees


@settings(max_examples=30, deadline=None)
@given(shape=SHAPES, side=st.sampled_from(tuple(Side)), more=MORE)
def test_one_wall_gives_what_the_figure_covers_while_it_is_moved(shape: Region, side: Side, more: float) -> None:
    """Sum with a line (Minkowski): between, at either end and at no place more than both ends and what lies between."""
    (after,) = grown(shape, by=Sides().moved(side, by=more), islands=Sides())
    (still,) = grown(shape, by=Sides(), islands=Sides())
    outer = Region(outer=still.outer)
    x, y = OUTWARD[side]
    steps = [
        polygon(outer),
        *(affinity.translate(polygon(outer), more * s * x, more * s * y) for s in (0.25, 0.5, 1.0)),
    ]
    assert shapely.union_all(steps).difference(polygon(Region(outer=after.outer)).buffer(1e-3)).area < 1e-9
    # the area that is swept is the move times the width across it (Cavalieri), for all of these are one piece across
    across_it = 1 if side.axis == 0 else 0
    x0, y0, x1, y1 = polygon(outer).bounds
    width = (x1 - x0, y1 - y0)[across_it]
    assert polygon(Region(outer=after.outer)).area - polygon(outer).area == pytest.approx(more * width, rel=2e-3)


def test_a_slanting_wall_gives_less_of_what_is_asked_along_an_axis() -> None:
    """Square to itself a wall at 45 degrees gives g cos(45) of a move g (plane geometry)."""
    roof = Region(outer=chain([(0, 0), (20, 0), (20, 20), (10, 30), (0, 20)], closed=True))
    (after,) = grown(roof, by=Sides(right=0.2))
    way = (math.sqrt(0.5), math.sqrt(0.5))
    assert reach(after, way) - reach(roof, way) == pytest.approx(0.2 * math.sqrt(0.5), abs=1e-6)
    way = (-math.sqrt(0.5), math.sqrt(0.5))
    assert reach(after, way) == pytest.approx(reach(roof, way), abs=1e-9)


def test_a_corner_between_two_walls_that_give_unlike_is_a_quarter_of_an_ellipse() -> None:
    """The sum of a square and a quarter of an ellipse in a direction is the sum of what both reach there."""
    (after,) = grown(Region(outer=BOX.outer), by=Sides(left=0.3, back=0.1, right=0.05))
    for degrees in range(0, 91, 15):
        way = (-math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
        wanted = 20.0 * way[1] + math.hypot(0.3 * way[0], 0.1 * way[1])
        assert reach(after, way) == pytest.approx(wanted, abs=1e-3)
    assert reach(after, (0.0, -1.0)) == 0.0


def test_an_islands_wall_gives_by_itself_the_other_way() -> None:
    (after,) = grown(BOX, by=Sides(), islands=Sides(left=0.2))
    island = island_at(after, at=(14.0, 11.0))
    assert island is not None
    assert island.outer.points.min(axis=0) == pytest.approx((10.2, 8.0), abs=1e-6)
    assert island.outer.points.max(axis=0) == pytest.approx((18.0, 14.0), abs=1e-6)
    assert across(after, along=0, at=None) == pytest.approx(30.0)


def test_a_wall_that_could_give_by_itself_is_told_from_an_islands() -> None:
    wedge = Region(outer=chain([(0, 0), (20, 0), (14, 20), (0, 20)], closed=True))
    assert faces(BOX, side=Side.LEFT, at=(5.0, 11.0))
    assert not faces(BOX, side=Side.RIGHT, at=(5.0, 11.0))
    assert gives_at(BOX, sides=(Side.RIGHT,), at=(5.0, 11.0)) == pytest.approx(0.0, abs=1e-6)
    assert faces(wedge, side=Side.LEFT, at=(5.0, 10.0))
    assert not faces(wedge, side=Side.RIGHT, at=(5.0, 10.0))
