"""What is left to cut where part of the plate was gone before: held against GEOS, and never too little."""

import dataclasses
import math
from types import ModuleType, SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.records import Existing, Plate
from camplan.geometry.chains import chain, circle
from camplan.geometry.clipper import Area
from camplan.passes.existing import in_air, left_along, room_standing, walls_standing
from camplan.passes.ground import Ground, bare_ground, gone_at, gone_over, spread, stands_at
from camplan.regions import Region

RADIUS = 3.0
Box = tuple[float, float, float, float]


def box(*edges: float) -> Area:
    x0, y0, x1, y1 = edges
    return (np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64),)


def solid(area: Area) -> shapely.Geometry:
    """Rings of an area, holes clockwise, as one figure."""
    whole = shapely.Polygon()
    for ring in area:
        whole = whole.symmetric_difference(shapely.make_valid(shapely.Polygon(ring)))
    return whole


def ground(*existing: tuple[Region, float], plate: Plate) -> Ground:
    gone = tuple(Existing(regions=(region,), depth=depth) for region, depth in existing)
    return bare_ground(dataclasses.replace(plate, existing=gone), holder_radius=20.0)


def rectangle(*edges: float) -> Region:
    x0, y0, x1, y1 = edges
    return Region(outer=chain([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True))


@pytest.fixture
def stepped(shop: ModuleType) -> Ground:
    """A window in a pocket 5 deep."""
    return ground((rectangle(20, 20, 30, 30), 10.0), (rectangle(10, 10, 40, 40), 5.0), plate=shop.plate())


def test_what_was_gone_is_told_height_by_height(stepped: Ground) -> None:
    assert solid(gone_at(stepped, z=-5.0)).equals(shapely.box(10, 10, 40, 40))
    assert solid(gone_at(stepped, z=-5.1)).equals(shapely.box(20, 20, 30, 30))
    assert solid(stands_at(stepped, z=-5.1)).area == pytest.approx(6000.0 - 100.0)


def test_levels_are_parted_where_what_was_gone_changes(stepped: Ground, shop: ModuleType) -> None:
    assert spread((-2.0, -4.0, -5.0, -6.0, -8.0), ground=stepped) == ((-2.0, -4.0, -5.0), (-6.0, -8.0))
    assert spread((-6.0, -10.3), ground=stepped) == ((-6.0,), (-10.3,))
    whole = bare_ground(shop.plate(), holder_radius=20.0)
    assert spread((-2.0, -9.0), ground=whole) == ((-2.0, -9.0),)


def test_over_a_place_the_plate_is_gone_down_to_the_deepest_hollow_that_is_wide_enough(stepped: Ground) -> None:
    assert gone_over(stepped, at=(25.0, 25.0), radius=4.0) == -10.0
    assert gone_over(stepped, at=(25.0, 25.0), radius=6.0) == -5.0
    assert gone_over(stepped, at=(12.0, 12.0), radius=1.0) == -5.0
    assert gone_over(stepped, at=(12.0, 12.0), radius=3.0) == 0.0
    assert gone_over(stepped, at=(60.0, 30.0), radius=1.0) == 0.0


def test_a_cutter_is_in_air_as_far_inside_what_was_gone_as_it_is_wide(stepped: Ground) -> None:
    inside = solid(in_air(stepped, radius=RADIUS, z=-7.0))
    assert shapely.box(23.2, 23.2, 26.8, 26.8).within(inside)
    assert inside.within(shapely.box(23, 23, 27, 27))
    assert in_air(stepped, radius=RADIUS, z=-10.3) == ()


def test_all_of_a_room_is_cut_in_a_whole_plate(shop: ModuleType) -> None:
    whole = bare_ground(shop.plate(), holder_radius=20.0)
    work = box(13, 13, 37, 37)
    assert room_standing(work, radius=RADIUS, z=-4.0, ground=whole) is work


def test_nothing_of_a_room_is_cut_that_was_gone(stepped: Ground) -> None:
    assert room_standing(box(13, 13, 37, 37), radius=RADIUS, z=-5.0, ground=stepped) == ()
    # a hairline along the wall is none of it
    assert room_standing(box(12.999, 13, 37, 37), radius=RADIUS, z=-5.0, ground=stepped) == ()


@settings(max_examples=30, deadline=None)
@given(st.floats(5, 60), st.floats(5, 30), st.floats(7, 40), st.floats(7, 30), st.booleans())
def test_all_that_stands_is_covered_and_hardly_any_path_runs_beyond_it(
    x: float, y: float, wide: float, deep: float, round_: bool
) -> None:
    gone = (
        Region(outer=circle((x + wide / 2, y + deep / 2), radius=min(wide, deep) / 2))
        if round_
        else rectangle(x, y, x + wide, y + deep)
    )
    plate = Plate(thickness=10.0, outline=rectangle(0, 0, 100, 60), bounds=(0, 0, 100, 60), zero="front-left")
    work = box(13, 13, 77, 47)
    room = room_standing(work, radius=RADIUS, z=-4.0, ground=ground((gone, 5.0), plate=plate))
    before = solid(gone_at(ground((gone, 5.0), plate=plate), z=-4.0))
    reached = shapely.box(13, 13, 77, 47).buffer(RADIUS, quad_segs=128)
    stands = reached.difference(before).buffer(-0.003).buffer(0.003)
    cleared = solid(room).buffer(RADIUS, quad_segs=128) if room else shapely.Polygon()
    assert stands.difference(cleared.buffer(0.005)).area < 1e-3
    if room and solid(room).area < solid(work).area - 1.0:
        assert solid(room).difference(stands.buffer(RADIUS + 0.31)).area < 1e-3


def test_a_hollow_may_be_round(shop: ModuleType) -> None:
    disc = Region(outer=circle((50.0, 30.0), radius=8.0))
    found = solid(gone_at(ground((disc, 3.0), plate=shop.plate()), z=-1.0))
    assert found.area == pytest.approx(math.pi * 64.0, rel=1e-3)


def wall(shop: ModuleType, *, cutter: Any) -> Any:
    """An operation on the wall of a pocket 20 to 60 by 15 to 45, 5 deep."""
    spec = shop.pocket(shop.rectangle(20, 15, 60, 45), depth=5.0)
    return SimpleNamespace(cutter=cutter, levels=(-5.0,), feature=dataclasses.replace(spec, bottom=5.0))


def ring(inset: float) -> Any:
    return np.array(
        [(20 + inset, 15 + inset), (60 - inset, 15 + inset), (60 - inset, 45 - inset), (20 + inset, 45 - inset)]
    )


def test_along_a_wall_only_what_stands_within_the_cutters_reach_is_left(shop: ModuleType) -> None:
    """The old pocket ends at X50: of the wall's band, 6 mm wide, what lies to the right of that."""
    old = ground((rectangle(20, 15, 50, 45), 6.0), plate=shop.plate())
    left = left_along(ring(3.0), operation=wall(shop, cutter=shop.slot_drill(6.0)), ground=old)
    assert left is not None
    band = shapely.LinearRing(ring(3.0)).buffer(3.0, quad_segs=64).intersection(shapely.box(50, 0, 100, 60))
    assert solid(left).symmetric_difference(band).area < 0.01


def test_sharp_corners_that_no_cutter_reaches_are_nothing_left(shop: ModuleType) -> None:
    round_ = shapely.box(20, 15, 60, 45).buffer(-3.0).buffer(2.998, quad_segs=64)
    outer = chain(shapely.get_coordinates(round_.exterior)[:-1][::-1], closed=True)
    old = ground((Region(outer=outer), 5.0), plate=shop.plate())
    assert left_along(ring(3.0), operation=wall(shop, cutter=shop.slot_drill(6.0)), ground=old) == ()


def test_a_leaning_side_is_asked_above_its_tip(shop: ModuleType) -> None:
    """The tip runs along the old upright wall, where nothing is left; 5 mm higher the side is 0.175 mm farther out."""
    old = ground((rectangle(20, 15, 60, 45), 5.0), plate=shop.plate())
    taper = shop.taper(3.0, half_angle_deg=2.0)
    left = left_along(ring(1.5), operation=wall(shop, cutter=taper), ground=old)
    assert left
    assert solid(left).bounds == pytest.approx((20 - 0.175, 15 - 0.175, 60 + 0.175, 45 + 0.175), abs=0.005)
    assert left_along(ring(1.5), operation=wall(shop, cutter=shop.slot_drill(3.0)), ground=old) == ()


def test_nothing_is_asked_where_nothing_was_gone_as_deep(shop: ModuleType) -> None:
    old = ground((rectangle(20, 15, 60, 45), 3.0), plate=shop.plate())
    assert left_along(ring(3.0), operation=wall(shop, cutter=shop.slot_drill(6.0)), ground=old) is None


def test_walls_stand_inside_the_plate_and_not_at_the_edge_of_what_was_gone(shop: ModuleType) -> None:
    old = ground((rectangle(20, 15, 60, 45), 5.0), plate=shop.plate())
    upright = solid(walls_standing(wall(shop, cutter=shop.slot_drill(6.0)), ground=old))
    assert not upright.intersects(shapely.box(20, 15, 60, 45).boundary)
    leaning = solid(walls_standing(wall(shop, cutter=shop.taper(3.0, half_angle_deg=2.0)), ground=old))
    assert leaning.contains(shapely.box(20, 15, 60, 45))
    assert not leaning.intersects(shapely.box(0, 0, 100, 60).boundary)
