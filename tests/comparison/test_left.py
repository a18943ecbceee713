"""What is left: how much (closed forms of plane geometry), where, and why."""

import math
from types import ModuleType
from typing import Any

import pytest
import shapely

from camplan import tolerance
from camplan.comparison.records import Proof
from camplan.findings import Severity
from camplan.geometry.chains import chain, circle


def codes(proof: Proof) -> list[str]:
    return [finding.code for finding in proof.findings if finding.severity is Severity.UNMET]


def square(shop: ModuleType, *, cutter: Any, shelf: tuple[Any, ...] | None = None, **spec: Any) -> Proof:
    tape = shop.cleared(
        shop.Tape(), shapely.box(20, 15, 60, 45), radius=cutter.diameter / 2.0, levels=(-2.0, -4.0, -6.0)
    )
    proof = shop.verdict(
        shop.program(tape, cutter), features=(shop.pocket(shop.rectangle(20, 15, 60, 45), **spec),), shelf=shelf
    )
    assert isinstance(proof, Proof)
    return proof


@pytest.mark.parametrize("diameter", [2.0, 6.0, 10.0])
def test_a_square_corner_keeps_what_a_round_cutter_cannot_reach(shop: ModuleType, diameter: float) -> None:
    """(1 - pi/4) r^2 in a right angle, (sqrt 2 - 1) r deep: plane geometry."""
    radius = diameter / 2.0
    proof = square(shop, cutter=shop.slot_drill(diameter))
    assert len(proof.leftovers) == 4
    for left in proof.leftovers:
        assert left.area == pytest.approx((1.0 - math.pi / 4.0) * radius**2, abs=1e-3 * radius)
        assert left.deepest == pytest.approx((math.sqrt(2.0) - 1.0) * radius, abs=1e-3)
        assert left.depth == pytest.approx(6.0)
        assert left.feature == "disc"
        assert "inner corner tighter than cutter radius" in left.cause
    assert {left.at for left in proof.leftovers} == {(20.0, 15.0), (20.0, 45.0), (60.0, 15.0), (60.0, 45.0)}
    assert proof.left_area == pytest.approx(4.0 * (1.0 - math.pi / 4.0) * radius**2, rel=2e-3)
    assert codes(proof) == []
    floor = next(section for section in proof.sections if section.z == pytest.approx(-5.995))
    assert floor.left_area == pytest.approx(proof.left_area)


def test_a_corner_that_a_listed_cutter_reaches_must_be_cut(shop: ModuleType) -> None:
    large, small = shop.slot_drill(6.0), shop.slot_drill(2.0)
    proof = square(shop, cutter=large, shelf=(large, small))
    assert codes(proof) == ["left-uncut"]
    within = [left.deepest for left in proof.leftovers if left.cause == "within reach, but not cut"]
    assert max(within) == pytest.approx((math.sqrt(2.0) - 1.0) * 2.0, abs=0.01)
    assert proof.wall_error <= tolerance.WALL_PROOF, "the corners are no finished walls; the rest is"
    assert sum(left.area for left in proof.leftovers) == pytest.approx(36.0 * (1.0 - math.pi / 4.0), abs=0.01)


def test_a_cutter_that_does_not_reach_the_floor_is_asked_nothing(shop: ModuleType) -> None:
    large, small = shop.slot_drill(6.0), shop.slot_drill(2.0, flute_length=4.0, reach=5.0)
    assert codes(square(shop, cutter=large, shelf=(large, small))) == []


def test_a_cutter_that_the_feature_does_not_list_is_asked_nothing(shop: ModuleType) -> None:
    large, small = shop.slot_drill(6.0), shop.slot_drill(2.0)
    assert codes(square(shop, cutter=large, shelf=(large, small), cutters=("slot-6",))) == []


def test_a_granted_corner_radius_is_granted(shop: ModuleType) -> None:
    large, small = shop.slot_drill(6.0), shop.slot_drill(2.0)
    proof = square(shop, cutter=large, shelf=(large, small), corner=3.0)
    assert codes(proof) == []
    assert {left.cause for left in proof.leftovers} == {"a corner radius of up to 3 mm is granted"}


@pytest.mark.parametrize("with_small", [True, False])
def test_a_corner_radius_larger_than_asked_is_not_met(shop: ModuleType, with_small: bool) -> None:
    large, small = shop.slot_drill(6.0), shop.slot_drill(2.0)
    proof = square(shop, cutter=large, shelf=(large, small) if with_small else (large,), corner=1.2)
    assert codes(proof) == ["corner-not-met"]
    assert "X20." in proof.findings[0].message or "X59." in proof.findings[0].message
    assert proof.passed


def dumbbell() -> list[tuple[float, float]]:
    """Two rooms of 15 x 20 and a passage 10 long and 3 wide between them."""
    return [
        (20.0, 15.0), (35.0, 15.0), (35.0, 23.5), (45.0, 23.5), (45.0, 15.0), (60.0, 15.0),
        (60.0, 35.0), (45.0, 35.0), (45.0, 26.5), (35.0, 26.5), (35.0, 35.0), (20.0, 35.0),
    ]  # fmt: skip


def test_a_neck_narrower_than_the_cutter_is_not_reached(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.Polygon(dumbbell()), radius=2.0, levels=(-3.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)), features=(shop.pocket(chain(dumbbell(), closed=True)),)
    )
    assert codes(proof) == ["not-reached"]
    neck = next(left for left in proof.leftovers if "neck" in left.cause)
    assert 25.0 < neck.area < 30.0 + 2.0
    assert 35.0 < neck.at[0] < 45.0


def test_how_far_a_cutter_comes_between_walls_that_close_in_slowly_is_judged_by_its_own_size(shop: ModuleType) -> None:
    """A cutter a micrometre narrower would come 15 um farther in: that is nobody's fault."""
    wedge = [(20.0, 20.0), (60.0, 23.2), (60.0, 26.8), (20.0, 30.0)]
    tape = shop.cleared(shop.Tape(), shapely.Polygon(wedge), radius=2.0, levels=(-3.0, -6.0))
    proof = shop.verdict(shop.program(tape, shop.slot_drill(4.0)), features=(shop.pocket(chain(wedge, closed=True)),))
    assert all("within reach" not in left.cause for left in proof.leftovers)


def test_a_granted_corner_radius_does_not_excuse_a_neck(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.Polygon(dumbbell()), radius=2.0, levels=(-3.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)),
        features=(shop.pocket(chain(dumbbell(), closed=True), corner=2.0),),
        shelf=(shop.slot_drill(4.0), shop.slot_drill(2.0)),
    )
    assert codes(proof) == ["left-uncut"]


def test_a_level_left_out_is_told_with_its_depth(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=(-2.0, -4.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),)
    )
    assert codes(proof) == ["left-uncut"]
    assert proof.passed
    uncut = next(left for left in proof.leftovers if left.cause == "within reach, but not cut")
    assert uncut.depth == pytest.approx(6.0)
    assert uncut.area == pytest.approx(1200.0 - 36.0 * (1.0 - math.pi / 4.0), abs=0.1)
    assert proof.wall_error <= tolerance.WALL_PROOF, "walls that were never cut are not finished ones"


@pytest.mark.parametrize(("short", "told"), [(0.003, False), (0.008, True), (0.05, True)])
def test_a_wall_that_stands_too_far_in_is_told(shop: ModuleType, short: float, told: bool) -> None:
    region = shapely.box(20 + short, 15 + short, 60 - short, 45 - short)
    tape = shop.cleared(shop.Tape(), region, radius=3.0, levels=(-3.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),)
    )
    assert (codes(proof) == ["left-uncut"]) is told
    assert proof.wall_error >= short - 1e-4
    assert proof.wall_error <= 1.6 * short + 0.0015


@pytest.mark.parametrize(("short", "told"), [(0.004, False), (0.02, True)])
def test_a_floor_that_stands_too_high_is_told(shop: ModuleType, short: float, told: bool) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(20, 15, 60, 45), radius=3.0, levels=(-3.0, -6.0 + short))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(20, 15, 60, 45)),)
    )
    assert (codes(proof) == ["left-uncut"]) is told


def test_a_hole_without_a_cutter_of_its_size_is_not_reached(shop: ModuleType) -> None:
    proof = shop.verdict(
        shop.program(shop.table([]), shop.drill(4.0)), features=(shop.hole((50.0, 30.0), diameter=3.0),)
    )
    assert codes(proof) == ["not-reached"]
    assert "no listed cutter makes this hole" in proof.leftovers[0].cause


def test_an_outline_without_a_cutter_is_told_and_may_not_be_cut(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(17.0, 30.0)
    tape.move(17.0, 30.0, -2.0)
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)), features=(shop.outline(shop.rectangle(20, 15, 60, 45)),)
    )
    assert codes(proof) == ["not-cut"]
    assert not proof.passed


def test_a_pocket_open_at_the_edge_is_reached_from_the_air(shop: ModuleType) -> None:
    """Its two corners at the plate's edge are no corners."""
    room = shapely.box(-20, 15, 30, 45)
    tape = shop.cleared(shop.Tape(), room, radius=3.0, levels=(-3.0, -6.0))
    proof = shop.verdict(
        shop.program(tape, shop.slot_drill(6.0)), features=(shop.pocket(shop.rectangle(0, 15, 30, 45)),)
    )
    assert proof.passed
    assert codes(proof) == []
    assert {left.at for left in proof.leftovers} == {(30.0, 15.0), (30.0, 45.0)}


def test_what_one_setting_leaves_the_next_may_cut(shop: ModuleType) -> None:
    first = shop.cleared(shop.Tape(), shapely.box(20, 15, 40, 45), radius=3.0, levels=(-3.0, -6.0))
    second = shop.cleared(shop.Tape(), shapely.box(34, 15, 60, 45), radius=3.0, levels=(-3.0, -6.0))
    cutter = shop.slot_drill(6.0)
    feature = shop.pocket(shop.rectangle(20, 15, 60, 45))
    assert codes(shop.verdict(shop.program(first, cutter), features=(feature,))) == ["left-uncut"]
    both = shop.verdict(
        shop.program(first, cutter), shop.program(second, cutter, file="02-disc.ngc"), features=(feature,)
    )
    assert codes(both) == []
    assert len(both.leftovers) == 4


def test_what_stands_above_short_flutes_is_found_although_the_floor_is_clean(shop: ModuleType) -> None:
    """One level at 6 mm with flutes of 2.5 mm: above 3.5 mm the shank goes where stock stands.  The round groove that
    crosses the round pocket has more heights asked for."""
    cutter = shop.slot_drill(6.0, flute_length=2.5, reach=12.0)
    tape = shop.cleared(shop.Tape(), shapely.Point(40, 30).buffer(15.0, quad_segs=256), radius=3.0, levels=(-6.0,))
    runner = shop.groove(chain([(40.0, 30.0), (80.0, 30.0)], closed=False), width=4.0, depth=2.0, section="round")
    proof = shop.verdict(
        shop.program(tape, cutter),
        features=(shop.pocket(circle((40.0, 30.0), radius=15.0)), runner),
        shelf=(cutter, shop.ball(4.0)),
    )
    assert not proof.passed
    floor = next(section for section in proof.sections if section.z == pytest.approx(-5.995))
    assert floor.left_area == 0.0
    standing = [left for left in proof.leftovers if left.feature == "disc"]
    assert 600.0 < sum(left.area for left in standing) < math.pi * 15.0**2, "all but where the cutter went down"
