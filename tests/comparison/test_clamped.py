"""What clamps keep out is told with the clamp, and nothing else is laid at its door."""

import math
from types import ModuleType
from typing import Any

import pytest
import shapely

from camplan.comparison.records import Proof
from camplan.features.specs import Clamp, SettingSpec
from camplan.findings import Severity

POCKET = (20.0, 15.0, 60.0, 45.0)
AT_THE_EDGE = Clamp(x=0.0, y=25.0, width=30.0, length=10.0, height=8.0)
BEYOND = Clamp(x=0.0, y=25.0, width=12.0, length=10.0, height=8.0)


def cut(
    shop: ModuleType, *, room: shapely.Geometry, settings: tuple[SettingSpec, ...], stick_out: float = 25.0
) -> Proof:
    """The pocket cleared as far as ``room`` goes."""
    cutter = shop.slot_drill(6.0, stick_out=stick_out)
    tape = shop.cleared(shop.Tape(), room, radius=3.0, levels=(-3.0, -6.0)) if not room.is_empty else shop.Tape()
    proof = shop.prove(
        (shop.program(tape, cutter),),
        plate=shop.plate(),
        features=(shop.pocket(shop.rectangle(*POCKET)),),
        settings=settings,
        cutters=(cutter,),
        machine=shop.mill(),
        material=shop.MATERIAL,
    )
    assert isinstance(proof, Proof)
    return proof


def unmet(proof: Proof) -> list[str]:
    return [finding.code for finding in proof.findings if finding.severity is Severity.UNMET]


def setting(*clamps: Clamp, name: str = "one", **more: Any) -> SettingSpec:
    return SettingSpec(name=name, features=("disc",), clamps=clamps, **more)


def beside(clamp: Clamp, *, by: float) -> shapely.Geometry:
    """What a cutter of radius 3 clears of the pocket whose middle stays ``by`` away from a clamp."""
    foot = shapely.box(clamp.x, clamp.y, clamp.x + clamp.width, clamp.y + clamp.length)
    return (shapely.box(*POCKET).buffer(-3.0) - foot.buffer(by, quad_segs=64)).buffer(3.0, quad_segs=64)


def test_what_stands_under_a_clamp_is_laid_at_its_door(shop: ModuleType) -> None:
    """The middle stays 3.5 mm away: radius of cutter and shank, and half a millimetre."""
    proof = cut(shop, room=beside(AT_THE_EDGE, by=3.5), settings=(setting(AT_THE_EDGE),))
    assert proof.passed
    assert unmet(proof) == ["clamp-in-the-way"]
    held = [left for left in proof.leftovers if "clamp 1 of 'one' at X0 Y25" in left.cause]
    fillet = 1.0 - math.pi / 4.0  # between a right angle and a circle of radius 1 that touches both sides
    stands = 10.5 * 11.0 - 2.0 * fillet * 0.5**2 + 2.0 * fillet * 3.0**2
    assert max(left.area for left in held) == pytest.approx(stands, abs=0.05)
    assert not [left for left in proof.leftovers if "within reach" in left.cause]


def test_what_nobody_cut_away_from_clamps_is_within_reach(shop: ModuleType) -> None:
    room = beside(AT_THE_EDGE, by=3.5) - shapely.box(50.0, 0.0, 70.0, 60.0)
    proof = cut(shop, room=room, settings=(setting(AT_THE_EDGE),))
    assert unmet(proof) == ["left-uncut", "clamp-in-the-way"]
    uncut = next(left for left in proof.leftovers if left.cause == "within reach, but not cut")
    assert uncut.area == pytest.approx(300.0, rel=0.05)


def test_a_clamp_far_enough_away_excuses_nothing(shop: ModuleType) -> None:
    proof = cut(shop, room=beside(AT_THE_EDGE, by=3.5), settings=(setting(BEYOND),))
    assert unmet(proof) == ["left-uncut"]


def test_a_setting_without_the_clamp_leaves_no_excuse(shop: ModuleType) -> None:
    settings = (setting(AT_THE_EDGE), setting(name="two"))
    assert unmet(cut(shop, room=beside(AT_THE_EDGE, by=3.5), settings=settings)) == ["left-uncut"]


def test_a_clamp_in_the_setting_of_another_feature_leaves_no_excuse(shop: ModuleType) -> None:
    other = SettingSpec(name="two", features=("part",), clamps=(AT_THE_EDGE,))
    assert unmet(cut(shop, room=beside(AT_THE_EDGE, by=3.5), settings=(setting(), other))) == ["left-uncut"]


def test_a_holder_that_comes_down_to_the_clamp_keeps_farther_away(shop: ModuleType) -> None:
    """The holder is 28 mm wide; with the tip 6 mm deep and 13 mm of stick-out it is 7 mm above the plate."""
    wide = beside(AT_THE_EDGE, by=14.5)
    assert unmet(cut(shop, room=wide, settings=(setting(AT_THE_EDGE),), stick_out=13.0)) == ["clamp-in-the-way"]
    assert "left-uncut" in unmet(cut(shop, room=wide, settings=(setting(AT_THE_EDGE),), stick_out=25.0))


def test_a_pocket_wholly_under_a_clamp_is_laid_at_its_door(shop: ModuleType) -> None:
    all_over = Clamp(x=0.0, y=0.0, width=100.0, length=60.0, height=8.0)
    proof = cut(shop, room=shapely.Polygon(), settings=(setting(all_over),))
    assert unmet(proof) == ["clamp-in-the-way"]
