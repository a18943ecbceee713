"""What features hold, against closed forms of plane and solid geometry."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.cavity import across, from_above, held
from camplan.features.records import Feature, Slope
from camplan.geometry.chains import backwards, chain, circle
from camplan.regions import Region


def disc(make: SimpleNamespace, radius: float, *, island: float = 0.0, **changes: object) -> Feature:
    islands = (backwards(circle((0.0, 0.0), radius=island)),) if island else ()
    spec = make.pocket(**changes)
    found: Feature = make.feature(spec, regions=(Region(outer=circle((0.0, 0.0), radius=radius), islands=islands),))
    return found


def test_a_ring_holds_its_area_times_its_depth(make: SimpleNamespace) -> None:
    found = disc(make, 20.0, island=8.0, depth=5.0)
    area = math.pi * (20.0**2 - 8.0**2)
    assert from_above([found]).area == pytest.approx(area, rel=1e-3)
    assert held([found]).volume == pytest.approx(5.0 * area, rel=1e-3)
    assert held([found]).walls == pytest.approx(5.0 * 2.0 * math.pi * 28.0, rel=1e-3)


@pytest.mark.parametrize("nominal", ["top", "floor"])
def test_a_wall_that_leans_makes_a_frustum(make: SimpleNamespace, nominal: str) -> None:
    """pi h (R2 + R r + r2) / 3."""
    found = disc(make, 20.0, depth=6.0, draft=math.radians(3.0), nominal=nominal)
    fall = 6.0 * math.tan(math.radians(3.0))
    wide, small = (20.0, 20.0 - fall) if nominal == "top" else (20.0 + fall, 20.0)
    assert held([found]).volume == pytest.approx(math.pi * 6.0 * (wide**2 + wide * small + small**2) / 3.0, rel=1e-3)
    assert from_above([found]).area == pytest.approx(math.pi * wide**2, rel=1e-3)


def test_a_step_below_another_pocket_is_counted_once_at_each_height(make: SimpleNamespace) -> None:
    upper = disc(make, 20.0, depth=4.0)
    lower = disc(make, 10.0, name="hub", top=4.0, depth=6.0)
    both = held([upper, lower])
    assert both.volume == pytest.approx(math.pi * (400.0 * 4.0 + 100.0 * 2.0), rel=1e-3)
    assert from_above([upper, lower]).area == pytest.approx(math.pi * 400.0, rel=1e-3)


def test_pockets_that_overlap_hold_no_more_than_the_deeper_one_where_they_do(make: SimpleNamespace) -> None:
    twice = held([disc(make, 20.0, depth=4.0), disc(make, 10.0, name="hub", depth=6.0)])
    assert twice.volume == pytest.approx(math.pi * (400.0 * 4.0 + 100.0 * 2.0), rel=1e-3)


@settings(max_examples=25)
@given(st.floats(1.0, 12.0))
def test_a_half_round_groove_has_a_half_circle_across(make: SimpleNamespace, width: float) -> None:
    line = chain([(0.0, 0.0), (30.0, 0.0)])
    found = make.feature(make.groove(width=width, depth=width / 2.0, section="round"), lines=(line,))
    section = across(found)
    assert section.width == pytest.approx(width)
    assert section.area == pytest.approx(math.pi * width**2 / 8.0, rel=2e-3)
    assert section.around == pytest.approx((math.pi / 2.0 + 1.0) * width, rel=2e-3)
    assert (section.depth, section.line) == pytest.approx((width / 2.0, 30.0))


def test_a_square_groove_has_a_rectangle_across(make: SimpleNamespace) -> None:
    lines = (chain([(0.0, 0.0), (30.0, 0.0)]), chain([(0.0, 9.0), (10.0, 9.0)]))
    section = across(make.feature(make.groove(width=4.0, depth=3.0), lines=lines))
    assert (section.area, section.around, section.line) == pytest.approx((12.0, 14.0, 30.0))


def test_a_round_groove_holds_its_section_along_its_line_and_a_quarter_ball_at_each_end(make: SimpleNamespace) -> None:
    """A half cylinder of 30 mm and, at its round ends, two quarter balls."""
    found = make.feature(make.groove(width=6.0, depth=3.0, section="round"), lines=(chain([(0.0, 0.0), (30.0, 0.0)]),))
    whole = math.pi * 9.0 / 2.0 * 30.0 + 2.0 / 3.0 * math.pi * 27.0
    assert held([found]).volume == pytest.approx(whole, rel=2e-3)


def test_a_groove_whose_floor_falls_holds_a_wedge_more_and_is_told_where_it_is_deepest(make: SimpleNamespace) -> None:
    """A wedge of the length between the ends' middles, and a half round end of each depth: width, depth and length."""
    line = chain([(0.0, 0.0), (40.0, 0.0)])
    slope = Slope(path=line, depths=np.array([3.0, 1.0]))
    found = make.feature(make.groove(width=4.0, depth=3.0), lines=(line,), slopes=(slope,), bottom=3.0)
    ends = math.pi * 2.0**2 / 2.0
    # a flat tip on the ramp cuts as deep as its deeper edge: pi r / 4 before its middle, on an average over its width
    wedge = 4.0 * 40.0 * (2.0 + math.pi * 2.0 / 4.0 * 2.0 / 40.0)
    assert held([found]).volume == pytest.approx(wedge + ends * (3.0 + 1.0), rel=2e-3)
    section = across(found)
    assert (section.width, section.depth, section.area) == pytest.approx((4.0, 3.0, 12.0), rel=1e-3)
