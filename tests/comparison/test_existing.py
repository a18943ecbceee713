"""The proof of a plate that has a pocket already: what it grants of the old one, and what it never grants."""

import dataclasses
from types import ModuleType
from typing import Any

import pytest
import shapely

from camplan.comparison.records import Proof
from camplan.comparison.wanted import demanded, to_cut, wanted_of
from camplan.features.records import Existing, Plate
from camplan.regions import Region
from camplan.simulation.blank import blank_of

OLD = (10.0, 10.0, 50.0, 50.0)
NEW = (30.0, 20.0, 80.0, 40.0)


@pytest.fixture
def stock(shop: ModuleType) -> Plate:
    """100 x 60 x 10 with a pocket 6 deep at its left."""
    existing = (Existing(regions=(Region(outer=shop.rectangle(*OLD)),), depth=6.0),)
    found: Plate = dataclasses.replace(shop.plate(), existing=existing)
    return found


def way(shop: ModuleType, *, beyond: float = 0.0, short: float = 0.0, from_: float = 45.0) -> Any:
    """What of the new pocket lies beside the old one cleared by a slot drill of 4: its right end ``short`` of the wall,
    its lower wall ``beyond`` the drawn one."""
    tape = shop.Tape()
    region = shapely.box(from_, 20.0 - beyond, 80.0 - short, 40.0)
    return shop.cleared(tape, region, radius=2.0, levels=(-2.0, -4.0, -6.0))


def proof(shop: ModuleType, tape: Any, *, stock: Plate) -> Proof:
    found: Proof = shop.verdict(
        shop.program(tape, shop.slot_drill(4.0)), features=(shop.pocket(shop.rectangle(*NEW)),), stock=stock
    )
    return found


def codes(proof: Proof) -> set[str]:
    return {finding.code for finding in proof.findings}


def test_only_what_stands_beside_the_old_pocket_has_to_be_cut(shop: ModuleType, stock: Plate) -> None:
    found = proof(shop, way(shop), stock=stock)
    assert found.passed and "left-uncut" not in codes(found)
    whole = proof(shop, way(shop), stock=shop.plate())
    assert "left-uncut" in codes(whole)


def test_what_the_new_programs_miss_is_found(shop: ModuleType, stock: Plate) -> None:
    assert "left-uncut" in codes(proof(shop, way(shop, short=0.05), stock=stock))
    # a strip stands between the old pocket and where the new one begins
    assert "left-uncut" in codes(proof(shop, way(shop, from_=50.05), stock=stock))


def test_a_cut_beyond_the_new_wall_is_a_gouge_beside_the_old_pocket_too(shop: ModuleType, stock: Plate) -> None:
    found = proof(shop, way(shop, beyond=0.02), stock=stock)
    assert not found.passed
    assert found.gouge == pytest.approx(0.02, abs=0.001)


def test_a_way_through_the_old_pocket_cuts_nothing_and_its_floor_is_guarded(shop: ModuleType, stock: Plate) -> None:
    tape = way(shop)
    tape.across(15.0, 15.0)
    tape.move(15.0, 15.0, -6.0)
    tape.move(40.0, 15.0, -6.0)
    assert proof(shop, tape, stock=stock).passed
    tape.move(40.0, 45.0, -6.05)
    found = proof(shop, tape, stock=stock)
    assert not found.passed
    assert found.gouge == pytest.approx(0.05, abs=0.001)


def test_a_rapid_into_the_old_pocket_is_none_in_the_stock(shop: ModuleType, stock: Plate) -> None:
    tape = way(shop)
    tape.across(20.0, 20.0)
    tape.rapid(20.0, 20.0, -5.9)
    tape.rapid(20.0, 20.0, 5.0)
    assert proof(shop, tape, stock=stock).rapids_in_stock == 0
    assert proof(shop, tape, stock=shop.plate()).rapids_in_stock > 0


def test_a_hair_at_the_old_pockets_edge_is_no_deep_gouge_for_being_far_from_the_new_one(
    shop: ModuleType, stock: Plate
) -> None:
    """The slot drill, on its way in from the old pocket, bites a micrometre into that one's wall, far from the new."""
    tape = way(shop)
    tape.across(48.001, 45.0)
    tape.move(48.001, 45.0, -6.0)
    tape.move(48.001, 30.0, -6.0)
    assert proof(shop, tape, stock=stock).passed
    tape.across(48.02, 45.0)
    tape.move(48.02, 45.0, -6.0)
    found = proof(shop, tape, stock=stock)
    assert not found.passed
    assert found.gouge == pytest.approx(0.02, abs=0.002)


def test_of_what_is_demanded_the_rest_beside_the_old_walls_and_their_grant_is_to_be_cut(
    shop: ModuleType, stock: Plate
) -> None:
    wanted = wanted_of((shop.pocket(shop.rectangle(*NEW)),), plate=blank_of(stock))
    assert demanded(wanted, number=0, z=-3.0).equals(shapely.box(*NEW))
    due = to_cut(wanted, number=0, z=-3.0, grant=0.02)
    assert due.bounds == pytest.approx((50.0 + 0.02, 20.0, 80.0, 40.0), abs=0.004)
    assert to_cut(wanted, number=0, z=-3.0, grant=0.02) is due
