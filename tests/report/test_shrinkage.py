"""Sizes as drawn, as cut and as moulded, worked out by hand, and where they are said."""

import json
import math
from dataclasses import replace
from typing import Any

import pytest

from camplan.features.records import Feature
from camplan.features.scaled import Scaling, scaled
from camplan.features.specs import GrooveSpec, HoleSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import chain
from camplan.moulding.shrinkage import Along, Shrinkage
from camplan.planned import Plan, Shrunk
from camplan.regions import Region
from camplan.report.plan_json import plan_json
from camplan.report.sheet import sheet
from camplan.report.shrinkage import ShrunkSize, shrunk_sizes

ABOUT = (50.0, 40.0)


def along(share: float, *, span: tuple[float, float] | None = None) -> Along:
    return Along(share=share, span=span, sentence="as the job says", source="")


def shrunk(x: Along, y: Along, *, names: tuple[str, ...], depth: float = 1.0) -> Shrunk:
    kinds = Shrinkage(x=x, y=y, features=names, about=None, depths=depth != 1.0, plastic=None)
    return Shrunk(shrinkage=kinds, about=ABOUT, factors=(x.factor, y.factor, depth))


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Any:
    return chain([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def pocket(*, draft: float = 0.0, allowance: float = 0.0) -> Feature:
    spec = PocketSpec(
        name="disc",
        layer="DISC",
        top=0.0,
        depth=5.0,
        draft=draft,
        nominal="top",
        allowance=allowance,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    region = Region(outer=rectangle(20, 20, 70, 60), islands=(rectangle(30, 30, 40, 40),))
    return Feature(spec=spec, top=0.0, bottom=5.0, through=False, break_through=0.0, regions=(region,))


def sizes(feature: Feature, by: Shrunk) -> dict[str, ShrunkSize]:
    scaling = Scaling(features=("disc",), x=by.factors[0], y=by.factors[1], depth=1.0, about=None)
    found = shrunk_sizes((scaled(feature, by=scaling, about=ABOUT),), shrunk=by)
    assert len({size.what for size in found}) == len(found)
    return {size.what: size for size in found}


def test_a_pocket_comes_out_as_drawn_each_way_with_its_own_share() -> None:
    found = sizes(pocket(), shrunk(along(0.02), along(0.01), names=("disc",)))
    across = found["across X"]
    assert (across.drawn, across.cut, across.moulded) == pytest.approx((50.0, 50.0 / 0.98, 50.0), abs=1e-5)
    across = found["across Y"]
    assert (across.drawn, across.cut, across.moulded) == pytest.approx((40.0, 40.0 / 0.99, 40.0), abs=1e-5)
    island = found["island across X"]
    assert (island.drawn, island.cut, island.moulded) == pytest.approx((10.0, 10.0 / 0.98, 10.0), abs=1e-5)


def test_a_depth_that_is_not_scaled_comes_out_shallower_by_the_mean_share() -> None:
    found = sizes(pocket(), shrunk(along(0.02), along(0.01), names=("disc",)))["depth, not scaled"]
    assert (found.drawn, found.cut, found.moulded) == pytest.approx((5.0, 5.0, 5.0 * 0.985))


def test_a_depth_that_is_scaled_comes_out_as_drawn() -> None:
    factor = 1.0 / 0.98
    deep = replace(pocket(), bottom=5.0 * factor)
    (found,) = [
        size
        for size in shrunk_sizes((deep,), shrunk=shrunk(along(0.02), along(0.02), names=("disc",), depth=factor))
        if size.what == "depth"
    ]
    assert (found.drawn, found.cut, found.moulded) == pytest.approx((5.0, 5.0 * factor, 5.0))


def test_a_wall_that_leans_is_said_at_the_top_and_at_the_floor() -> None:
    """The wall leans by 2 degrees over 5 mm, in the mould as in the drawing: 5 tan 2 = 0.1746 mm a side."""
    fall = 5.0 * math.tan(math.radians(2.0))
    found = sizes(pocket(draft=math.radians(2.0)), shrunk(along(0.02), along(0.02), names=("disc",)))
    assert found["across X at the top"].moulded == pytest.approx(50.0, abs=1e-5)
    floor = found["across X at the floor"]
    assert floor.drawn == pytest.approx(50.0 - 2.0 * fall, abs=1e-5)
    assert floor.cut == pytest.approx(50.0 / 0.98 - 2.0 * fall, abs=1e-5)
    assert floor.moulded == pytest.approx(0.98 * floor.cut)
    island = found["island across X at the floor"]
    assert island.cut == pytest.approx(10.0 / 0.98 + 2.0 * fall, abs=1e-5)


def test_what_is_left_on_the_wall_makes_the_moulding_smaller_and_its_cores_larger() -> None:
    found = sizes(pocket(allowance=0.1), shrunk(along(0.02), along(0.02), names=("disc",)))
    assert found["across X"].cut == pytest.approx(50.0 / 0.98 - 0.2, abs=1e-5)
    assert found["across X"].drawn == pytest.approx(50.0, abs=1e-5)
    assert found["island across X"].cut == pytest.approx(10.0 / 0.98 + 0.2, abs=1e-5)


def test_a_range_of_the_share_is_a_range_of_the_moulding() -> None:
    found = sizes(pocket(), shrunk(along(0.02, span=(0.01, 0.03)), along(0.02), names=("disc",)))
    across = found["across X"]
    assert across.between == pytest.approx((0.97 * across.cut, 0.99 * across.cut))
    assert across.spread == pytest.approx(0.01 * across.cut)
    assert found["across Y"].between is None
    assert found["depth, not scaled"].between is None


def test_lines_are_scaled_and_the_width_of_their_groove_is_not() -> None:
    spec = GrooveSpec(
        name="disc",
        layer="GATES",
        top=0.0,
        depth=1.0,
        width=2.0,
        section="square",
        tolerance=0.02,
        cutters=(),
    )
    line = chain([(20.0, 20.0), (60.0, 20.0)])
    groove = Feature(spec=spec, top=0.0, bottom=1.0, through=False, break_through=0.0, lines=(line,))
    found = sizes(groove, shrunk(along(0.02), along(0.02), names=("disc",)))
    assert (found["line along X"].drawn, found["line along X"].moulded) == pytest.approx((40.0, 40.0), abs=1e-5)
    assert "line along Y" not in found
    width = found["width, not scaled"]
    assert (width.drawn, width.cut, width.moulded) == pytest.approx((2.0, 2.0, 1.96))


def test_cores_are_said_by_their_diameter_and_outlines_by_their_part() -> None:
    hole = HoleSpec(
        name="disc", layer="PINS", top=0.0, depth=None, diameter=None, spot=True, tolerance=0.02, cutters=()
    )
    pins = Feature(spec=hole, top=0.0, bottom=10.0, through=True, break_through=0.3, circles=((20.0, 20.0, 4.0),))
    by = shrunk(along(0.02), along(0.02), names=("disc",))
    assert list(sizes(pins, by)) == ["diameter"]
    assert sizes(pins, by)["diameter"].cut == pytest.approx(4.0 / 0.98)
    outline = OutlineSpec(
        name="disc",
        layer="PART",
        top=0.0,
        depth=None,
        side="inside",
        hold="none",
        bridges=0,
        bridge_width=3.0,
        bridge_height=1.5,
        skin=0.2,
        allowance=0.1,
        finish=None,
        corner=None,
        tolerance=0.02,
        cutters=(),
    )
    part = replace(pins, spec=outline, circles=(), regions=(Region(outer=rectangle(20, 20, 70, 60)),))
    assert sizes(part, by)["opening across X"].cut == pytest.approx(50.0 / 0.98 - 0.2, abs=1e-5)
    outside = replace(part, spec=replace(outline, side="outside"))
    assert sizes(outside, by)["part across X"].cut == pytest.approx(50.0 / 0.98 + 0.2, abs=1e-5)


def test_what_is_not_named_has_no_sizes() -> None:
    by = shrunk(along(0.02), along(0.02), names=("rim",))
    assert shrunk_sizes((pocket(),), shrunk=by) == ()


def test_the_plan_says_that_everything_is_cut_as_drawn(plan: Plan) -> None:
    assert json.loads(plan_json(plan))["shrinkage"] is None
    assert "Shrinkage" not in sheet(plan)


def test_the_plan_and_the_sheet_say_the_sizes(plan: Plan) -> None:
    by = shrunk(along(0.016, span=(0.015, 0.017)), along(0.014), names=("disc",))
    made = replace(plan, shrinkage=by)
    found = json.loads(plan_json(made))["shrinkage"]
    assert found["features"] == ["disc"]
    assert (found["x"]["percent"], found["x"]["between_percent"]) == (1.6, [1.5, 1.7])
    assert found["y"]["between_percent"] is None
    assert found["about_mm"] == [50.0, 40.0]
    assert {size["feature"] for size in found["sizes"]} == {"disc"}
    for size in found["sizes"]:
        assert size["moulded_mm"] < size["cut_mm"]
    text = sheet(made)
    assert "<h2>Shrinkage</h2>" in text
    assert "1.01626 along X and 1.01420 along Y" in text
    assert "depths stay as drawn" in text
