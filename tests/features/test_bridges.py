"""Bridges: how many, where, and what they span."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.bridges import bridge_findings
from camplan.features.records import Feature
from camplan.features.sections import may
from camplan.features.shaped import with_kerf, with_point, with_profile
from camplan.geometry.chains import chain, circle, signed_area
from camplan.regions import Region


def middles(feature: Feature) -> np.ndarray:
    return np.array([region.outer.points.mean(axis=0) for region in feature.bridges])


def stock(make: SimpleNamespace) -> Region:
    return Region(outer=make.rectangle(0.0, 0.0, 100.0, 80.0))


def test_bridges_are_evenly_spread_round_a_disc(make: SimpleNamespace) -> None:
    disc = Region(outer=circle((50, 40), radius=25.0))
    part = with_kerf(make.feature(make.outline(bridges=5), regions=(disc,), stock=stock(make)), kerf=4.0)
    angles = np.sort(np.arctan2(*(middles(part) - (50.0, 40.0)).T[::-1]))
    assert np.diff(angles) == pytest.approx(2.0 * math.pi / 5.0, abs=0.01)


@settings(max_examples=12, deadline=None)
@given(width=st.floats(1.0, 5.0), kerf=st.floats(1.0, 6.0), count=st.integers(2, 5), turn=st.floats(0.0, 1.5))
def test_every_bridge_spans_the_kerf_at_its_full_width(
    make: SimpleNamespace, width: float, kerf: float, count: int, turn: float
) -> None:
    cos, sin = math.cos(turn), math.sin(turn)
    corners = np.array([(-22, -12), (22, -12), (22, 12), (-22, 12)]) @ np.array([(cos, sin), (-sin, cos)])
    corners += np.array((50.0, 40.0))
    part = Region(outer=chain(corners, closed=True))
    plate = Region(outer=make.rectangle(0.0, 0.0, 100.0, 80.0))
    spec = make.outline(bridges=count, bridge_width=width)
    cut = with_kerf(make.feature(spec, regions=(part,), stock=plate), kerf=kerf)
    assert len(cut.bridges) == count
    assert bridge_findings(cut) == ()
    rectangles = shapely.union_all([shapely.Polygon(region.outer.points) for region in cut.bridges])
    left = make.figure(may(cut, z=-1.0)).intersection(rectangles)
    assert left.area == pytest.approx(count * width * kerf, rel=1e-4)
    assert len(shapely.get_parts(left)) == count
    assert make.figure(may(cut, z=-9.9)).intersection(left).area == pytest.approx(0.0, abs=1e-6)
    assert left.distance(shapely.MultiPoint(corners)) > width / 4.0
    assert all(signed_area(region.outer) > 0.0 for region in cut.bridges)


def test_bridges_keep_away_from_corners_and_small_arcs(make: SimpleNamespace) -> None:
    tight = math.tan(math.pi / 8.0)
    rounded = chain(
        [(14, 10), (46, 10), (50, 14), (50, 36), (46, 40), (14, 40), (10, 36), (10, 14)],
        bulges=[0, tight, 0, tight, 0, tight, 0, tight],
        closed=True,
    )
    part = make.feature(make.outline(), regions=(Region(outer=rounded),), stock=stock(make))
    for x, y in middles(with_kerf(part, kerf=3.0)):
        assert 14.0 <= x <= 46.0 or 14.0 <= y <= 36.0


def test_a_contour_of_waves_is_held_on_its_crests(make: SimpleNamespace) -> None:
    turn = np.linspace(0.0, 2.0 * math.pi, 2001)[:-1]
    radius = 25.0 + np.sin(40.0 * turn)
    waves = chain(np.column_stack((50.0 + radius * np.cos(turn), 40.0 + radius * np.sin(turn))), closed=True)
    part = with_kerf(make.feature(make.outline(), regions=(Region(outer=waves),), stock=stock(make)), kerf=4.0)
    assert len(part.bridges) == 4
    assert bridge_findings(part) == ()


def test_bridges_land_in_the_plate(make: SimpleNamespace) -> None:
    corner = Region(outer=make.rectangle(0.0, 0.0, 50.0, 40.0))
    part = with_kerf(make.feature(make.outline(), regions=(corner,), stock=stock(make)), kerf=4.0)
    assert len(part.bridges) == 4
    assert all(x > 50.0 or y > 40.0 for x, y in middles(part))


def test_bridges_do_not_span_to_another_part(make: SimpleNamespace) -> None:
    left, right = (
        Region(outer=make.rectangle(20.0, 20.0, 45.0, 60.0)),
        Region(outer=make.rectangle(49.0, 20.0, 75.0, 60.0)),
    )
    pair = with_kerf(make.feature(make.outline(), regions=(left, right), stock=stock(make)), kerf=4.0)
    assert len(pair.bridges) == 8
    gap = shapely.box(45.5, 20.0, 48.5, 60.0)
    assert not any(gap.intersects(shapely.Polygon(region.outer.points)) for region in pair.bridges)


def test_a_plate_with_no_frame_left_has_no_bridges_and_says_so(make: SimpleNamespace) -> None:
    whole = Region(outer=make.rectangle(0.0, 0.0, 100.0, 80.0))
    part = with_kerf(make.feature(make.outline(), regions=(whole,), stock=stock(make)), kerf=4.0)
    assert part.bridges == ()
    (finding,) = bridge_findings(part)
    assert (finding.code, finding.severity) == ("bridges-missing", "unmet")
    assert "0 of 4 bridges" in finding.message


def test_windows_hold_their_slug_if_the_kerf_leaves_one(make: SimpleNamespace) -> None:
    ring = Region(outer=circle((50, 40), radius=30.0), islands=(circle((50, 40), radius=12.0, clockwise=True),))
    part = make.feature(make.outline(bridges=3), regions=(ring,), stock=stock(make))
    assert len(with_kerf(part, kerf=4.0).bridges) == 6
    narrow = with_kerf(part, kerf=12.5)
    assert len(narrow.bridges) == 3
    assert bridge_findings(narrow) == ()


def test_the_slug_of_an_inside_outline_is_held(make: SimpleNamespace) -> None:
    disc = Region(outer=circle((50, 40), radius=25.0))
    window = with_kerf(make.feature(make.outline(side="inside"), regions=(disc,), stock=stock(make)), kerf=4.0)
    assert len(window.bridges) == 4
    assert np.hypot(*(middles(window) - (50.0, 40.0)).T).max() < 25.0
    left = make.figure(may(window, z=-1.0)).difference(make.figure(may(window, z=-9.9)))
    assert len(shapely.get_parts(left)) == 4


def test_only_through_outlines_held_by_bridges_have_them(make: SimpleNamespace) -> None:
    disc = Region(outer=circle((50, 40), radius=25.0))
    for spec in (make.outline(hold="none"), make.outline(hold="skin"), make.outline(depth=5.0)):
        part = with_kerf(make.feature(spec, regions=(disc,), stock=stock(make)), kerf=4.0)
        assert part.bridges == ()
        assert part.kerf == 4.0
        assert bridge_findings(part) == ()


def test_of_several_drills_the_deepest_point_counts(make: SimpleNamespace) -> None:
    holes = make.feature(make.hole(), circles=((0.0, 0.0, 4.0),))
    both = with_point(with_point(holes, point_angle=math.radians(118)), point_angle=math.radians(135))
    assert both.point_angle == pytest.approx(math.radians(118))
    assert with_point(holes, point_angle=None).point_angle is None


def test_kerfs_points_and_profiles_that_cannot_be_are_refused(make: SimpleNamespace) -> None:
    part = make.feature(make.outline(), regions=(Region(outer=circle((0, 0), radius=5.0)),))
    for kerf in (0.0, -1.0, math.nan):
        with pytest.raises(ValueError, match="kerf"):
            with_kerf(part, kerf=kerf)
    with pytest.raises(ValueError, match="point"):
        with_point(make.feature(make.hole()), point_angle=math.pi)
    for profile in ((), ((0.5, 1.0),), ((0.0, 1.0), (-1.0, 1.0))):
        with pytest.raises(ValueError, match="profile"):
            with_profile(make.feature(make.mark()), profile=profile)
