"""Sections against closed forms, worked out by shapely."""

import math
from types import SimpleNamespace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.records import EMPTY
from camplan.features.sections import MUST_BAND, curved_between, heights, may, must, varies
from camplan.features.shaped import with_flat_end
from camplan.geometry.chains import backwards, chain, circle
from camplan.regions import Region

DRAFT = math.radians(2.0)


def square(side: float) -> Region:
    return Region(outer=chain([(0, 0), (side, 0), (side, side), (0, side)], closed=True))


def test_a_straight_pocket_is_the_same_at_every_height(make: SimpleNamespace) -> None:
    pocket = make.feature(make.pocket(), regions=(square(20.0),))
    for z in (0.0, -3.0, -6.5):
        assert make.figure(may(pocket, z=z)).area == pytest.approx(400.0)
        assert make.figure(must(pocket, z=z)).area == pytest.approx(400.0)
    assert heights(pocket) == (0.0, -6.5)
    assert not varies(pocket)


def test_nothing_goes_above_a_features_top_or_below_its_floor(make: SimpleNamespace) -> None:
    ledge = make.feature(make.pocket(top=2.0), regions=(square(20.0),))
    for z in (1.0, 0.0, -1.999, -6.501, -20.0):
        assert may(ledge, z=z) is EMPTY
        assert must(ledge, z=z) is EMPTY


def test_an_allowance_stays_on_the_wall_but_may_go(make: SimpleNamespace) -> None:
    pocket = make.feature(make.pocket(allowance=0.15), regions=(square(20.0),))
    assert make.figure(must(pocket, z=-1.0)).area == pytest.approx(19.7**2)
    assert make.figure(may(pocket, z=-1.0)).area == pytest.approx(20.0**2)


def test_a_drafted_square_pocket_holds_the_volume_of_its_frustum(make: SimpleNamespace) -> None:
    # prismoidal formula V = h (A1 + 4 Am + A2) / 6 against the frustum of a pyramid V = h (a2 + ab + b2) / 3,
    # both in every handbook of mensuration (from memory)
    pocket = make.feature(make.pocket(draft=DRAFT), regions=(square(20.0),))
    upper, middle, lower = (make.figure(may(pocket, z=z)).area for z in (0.0, -3.25, -6.5))
    floor = 20.0 - 2.0 * 6.5 * math.tan(DRAFT)
    assert lower == pytest.approx(floor**2)
    assert 6.5 / 6.0 * (upper + 4.0 * middle + lower) == pytest.approx(6.5 / 3.0 * (400.0 + 20.0 * floor + floor**2))
    assert varies(pocket)
    assert curved_between(pocket) == ((0.0, -6.5),)


def test_a_pocket_drawn_at_its_floor_opens_upward_with_round_corners(make: SimpleNamespace) -> None:
    pocket = make.feature(make.pocket(draft=DRAFT, nominal="floor"), regions=(square(20.0),))
    out = 6.5 * math.tan(DRAFT)
    assert make.figure(may(pocket, z=-6.5)).area == pytest.approx(400.0)
    # Steiner's formula for a convex figure grown by a disc: A + P r + pi r2
    assert make.figure(may(pocket, z=0.0)).area == pytest.approx(400.0 + 80.0 * out + math.pi * out**2, rel=1e-5)


def test_an_island_in_a_drafted_pocket_widens_downward(make: SimpleNamespace) -> None:
    ring = Region(outer=circle((0, 0), radius=20.0), islands=(circle((0, 0), radius=5.0, clockwise=True),))
    pocket = make.feature(make.pocket(draft=DRAFT), regions=(ring,))
    by = 6.5 * math.tan(DRAFT)
    expected = math.pi * ((20.0 - by) ** 2 - (5.0 + by) ** 2)
    assert make.figure(may(pocket, z=-6.5)).area == pytest.approx(expected, rel=1e-5)


def test_a_through_pocket_may_go_past_the_plate_and_must_not(make: SimpleNamespace) -> None:
    pocket = make.feature(make.pocket(depth=None), regions=(square(20.0),))
    assert make.figure(may(pocket, z=-10.3)).area == pytest.approx(400.0)
    assert must(pocket, z=-10.3) is EMPTY
    assert heights(pocket) == (0.0, -10.0, -10.3)


def test_the_kerf_round_a_disc_is_a_ring(make: SimpleNamespace) -> None:
    disc = Region(outer=circle((30, 30), radius=25.0))
    part = make.feature(make.outline(hold="none"), regions=(disc,), kerf=4.2)
    ring = make.figure(may(part, z=-5.0))
    assert ring.area == pytest.approx(math.pi * (29.2**2 - 25.0**2), rel=1e-5)
    band = make.figure(must(part, z=-5.0))
    assert band.area == pytest.approx(math.pi * ((25.0 + MUST_BAND) ** 2 - 25.0**2), rel=1e-4)


def test_the_kerf_inside_a_window_leaves_the_slug(make: SimpleNamespace) -> None:
    disc = Region(outer=circle((30, 30), radius=25.0))
    window = make.feature(make.outline(hold="none", side="inside", allowance=0.1), regions=(disc,), kerf=4.0)
    ring = make.figure(may(window, z=-5.0))
    assert ring.area == pytest.approx(math.pi * (25.0**2 - 20.9**2), rel=1e-5)
    band = make.figure(must(window, z=-5.0))
    assert band.area == pytest.approx(math.pi * (24.9**2 - 24.8**2), rel=1e-4)


def test_a_kerf_reaches_its_width_beyond_the_allowance(make: SimpleNamespace) -> None:
    part = make.feature(make.outline(hold="none", allowance=0.2), regions=(square(20.0),), kerf=4.0)
    assert make.figure(may(part, z=-5.0)).area == pytest.approx(80.0 * 4.2 + math.pi * 4.2**2, rel=1e-5)
    inner = make.figure(must(part, z=-5.0))
    assert inner.distance(shapely.box(0, 0, 20, 20)) == pytest.approx(0.2, abs=3e-5)


def test_parts_beside_each_other_keep_out_of_each_others_kerf(make: SimpleNamespace) -> None:
    left, right = square(20.0), Region(outer=make.rectangle(22.0, 0.0, 42.0, 20.0))
    both = make.feature(make.outline(hold="none"), regions=(left, right), kerf=4.0)
    cut = make.figure(may(both, z=-5.0))
    assert cut.intersection(shapely.box(0, 0, 20, 20)).area == pytest.approx(0.0, abs=1e-9)
    assert cut.intersection(shapely.box(22, 0, 42, 20)).area == pytest.approx(0.0, abs=1e-9)
    alone = make.feature(make.outline(hold="none"), regions=(left,), neighbours=(right,), kerf=4.0)
    assert make.figure(may(alone, z=-5.0)).intersection(shapely.box(22, 0, 42, 20)).area == 0.0


def test_bridges_stay_below_their_top_and_go_above_it(make: SimpleNamespace) -> None:
    bar = Region(outer=make.rectangle(8.5, 19.0, 11.5, 26.0))
    part = make.feature(make.outline(bridge_height=1.5), regions=(square(20.0),), kerf=4.0, bridges=(bar,))
    standing = shapely.box(8.5, 20.0, 11.5, 24.0)
    for z, stays in ((-8.4, 0.0), (-8.5, 0.0), (-8.6, 12.0), (-10.2, 12.0)):
        left = standing.difference(make.figure(may(part, z=z))).area
        assert left == pytest.approx(stays, abs=1e-6)
    assert make.figure(must(part, z=-9.0)).intersects(standing.buffer(-0.01)) is False
    assert heights(part) == (0.0, -8.5, -10.0, -10.3)


def test_a_kerf_is_open_until_a_cutter_is_chosen(make: SimpleNamespace) -> None:
    with pytest.raises(ValueError, match="kerf"):
        may(make.feature(make.outline(), regions=(square(20.0),)), z=-1.0)
    with pytest.raises(ValueError, match="cutter"):
        may(make.feature(make.mark(), lines=(chain([(0, 0), (10, 0)]),)), z=-0.1)


def test_holes_are_discs_down_to_their_depth(make: SimpleNamespace) -> None:
    holes = make.feature(make.hole(), circles=((0.0, 0.0, 4.0), (20.0, 0.0, 6.0)))
    assert make.figure(may(holes, z=-8.0)).area == pytest.approx(math.pi * (4.0 + 9.0), rel=1e-4)
    assert make.figure(must(holes, z=-8.0)).area == pytest.approx(math.pi * (4.0 + 9.0), rel=1e-4)
    assert may(holes, z=-8.01) is EMPTY


def test_a_drills_cone_may_stand_below_a_blind_hole(make: SimpleNamespace) -> None:
    # height of a 118 degree point: 0.3 of the diameter (common practice, no source)
    drilled = make.feature(make.hole(), circles=((0.0, 0.0, 10.0),), point_angle=math.radians(118.0))
    assert heights(drilled)[-1] == pytest.approx(-8.0 - 0.3 * 10.0, abs=0.01)
    below = 1.5
    cone = make.figure(may(drilled, z=-8.0 - below))
    assert math.sqrt(cone.area / math.pi) == pytest.approx(5.0 - below * math.tan(math.radians(59.0)), rel=1e-4)
    assert must(drilled, z=-8.0 - below) is EMPTY
    assert may(drilled, z=-11.1) is EMPTY


def test_the_cones_of_small_holes_end_first(make: SimpleNamespace) -> None:
    drilled = make.feature(make.hole(), circles=((0.0, 0.0, 2.0), (20.0, 0.0, 10.0)), point_angle=math.radians(118.0))
    assert len(may(drilled, z=-8.3).regions) == 2
    assert len(may(drilled, z=-9.0).regions) == 1


def test_a_square_groove_is_a_stadium(make: SimpleNamespace) -> None:
    runner = make.feature(make.groove(), lines=(chain([(0, 0), (30, 0)]),))
    assert make.figure(may(runner, z=-3.0)).area == pytest.approx(30.0 * 4.0 + math.pi * 4.0, rel=1e-5)


def test_a_closed_groove_is_a_ring(make: SimpleNamespace) -> None:
    runner = make.feature(make.groove(), lines=(circle((0, 0), radius=15.0),))
    assert make.figure(may(runner, z=-3.0)).area == pytest.approx(math.pi * (17.0**2 - 13.0**2), rel=1e-5)


@settings(max_examples=30, deadline=None)
@given(above=st.floats(0.01, 2.0))
def test_a_round_groove_is_as_wide_as_the_chord_of_its_circle(make: SimpleNamespace, above: float) -> None:
    # Euclid III.35: half the chord, squared, is the product of the diameter's two parts
    runner = make.feature(make.groove(section="round"), lines=(chain([(0, 0), (30, 0)]),))
    low, high = make.figure(may(runner, z=-3.0 + above)).bounds[1::2]
    assert ((high - low) / 2.0) ** 2 == pytest.approx(above * (4.0 - above), rel=1e-5)


def test_a_round_groove_stands_upright_above_its_middle(make: SimpleNamespace) -> None:
    runner = make.feature(make.groove(section="round"), lines=(chain([(0, 0), (30, 0)]),))
    assert may(runner, z=-0.5).grow == 2.0
    assert may(runner, z=-3.0).grow == 0.0
    assert curved_between(runner) == ((-1.0, -3.0),)


def test_a_mark_is_as_wide_as_its_cutter_at_that_height(make: SimpleNamespace) -> None:
    point = ((0.0, 0.05), (1.0, 0.05 + math.tan(math.radians(15.0))))
    marks = make.feature(make.mark(), lines=(chain([(0, 0), (10, 0)]),), profile=point)
    assert may(marks, z=-0.2).grow == pytest.approx(0.05)
    assert may(marks, z=0.0).grow == pytest.approx(0.05 + 0.2 * math.tan(math.radians(15.0)))
    assert must(marks, z=-0.1).grow == may(marks, z=-0.1).grow


def test_a_face_is_its_regions(make: SimpleNamespace) -> None:
    top = make.feature(make.face(), regions=(square(20.0),))
    assert make.figure(must(top, z=-0.5)).area == pytest.approx(400.0)
    assert may(top, z=-0.6) is EMPTY


@settings(max_examples=40, deadline=None)
@given(
    draft=st.floats(0.0, math.radians(10.0)),
    allowance=st.floats(0.0, 0.5),
    nominal=st.sampled_from(["top", "floor"]),
    depth=st.floats(0.0, 6.5),
)
def test_what_must_go_may_go_and_walls_never_overhang(
    make: SimpleNamespace, draft: float, allowance: float, nominal: str, depth: float
) -> None:
    hole = backwards(make.rectangle(8.0, 8.0, 12.0, 12.0))
    shape = Region(outer=make.rectangle(0.0, 0.0, 20.0, 20.0), islands=(hole,))
    spec = make.pocket(draft=draft, allowance=allowance, nominal=nominal)
    pocket = make.feature(spec, regions=(shape,))
    wanted = make.figure(must(pocket, z=-depth))
    allowed = make.figure(may(pocket, z=-depth))
    assert wanted.difference(allowed.buffer(1e-6)).area == pytest.approx(0.0, abs=1e-6)
    above = make.figure(may(pocket, z=-depth / 2.0))
    assert allowed.difference(above.buffer(1e-6)).area == pytest.approx(0.0, abs=1e-6)


def test_bored_holes_of_a_layer_end_flat_beside_drilled_ones(make):
    # a 118 degree point of 4.2 mm reaches 2.1 / tan(59 degrees) = 1.262 mm deeper (plane geometry)
    both = make.feature(make.hole(), circles=((0.0, 0.0, 4.2), (30.0, 0.0, 20.0)), point_angle=math.radians(118.0))
    flat = with_flat_end(both, diameter=20.0)
    assert -min(heights(flat)) - flat.bottom == pytest.approx(1.262, abs=1e-3)
    below = may(flat, z=-(flat.bottom + 0.5))
    assert [region.outer.points[:, 0].max() for region in below.regions] == pytest.approx([2.1])
