"""What programs have left of a plate, against what a few known moves sweep (plane geometry, GEOS)."""

import itertools
import math
from types import ModuleType
from typing import Any

import pytest
import shapely

from camplan.simulation.hollows import Hollow, hollows
from camplan.simulation.track import track_of

NARROWER = 0.004
"""So much narrower a hollow may be than what was swept."""


def left(shop: ModuleType, *tapes: tuple[Any, Any], thickness: float = 10.0) -> list[Hollow]:
    track = track_of([shop.program(tape, cutter) for tape, cutter in tapes])
    return list(hollows(track, thickness=thickness))


def slots(shop: ModuleType) -> Any:
    """From X20 to X40 2 deep, from X30 to X60 4 deep, and a hole through at X80."""
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -2.0)
    tape.move(40.0, 30.0, -2.0)
    tape.across(30.0, 30.0)
    tape.move(30.0, 30.0, -4.0)
    tape.move(60.0, 30.0, -4.0)
    tape.across(80.0, 30.0)
    tape.move(80.0, 30.0, -10.3)
    return tape


def slot(x0: float, x1: float, *, radius: float = 3.0) -> Any:
    return shapely.LineString([(x0, 30.0), (x1, 30.0)]).buffer(radius, quad_segs=256)


HOLE = shapely.Point(80.0, 30.0).buffer(3.0, quad_segs=256)


def agrees(found: Any, expected: Any) -> None:
    """Never wider than what was swept, and hardly narrower."""
    assert found.difference(expected.buffer(1e-5)).is_empty
    assert expected.buffer(-NARROWER).difference(found).is_empty


def test_each_hollow_holds_the_deeper_ones_and_the_deepest_comes_first(shop: ModuleType) -> None:
    through, deep, shallow = left(shop, (slots(shop), shop.slot_drill(6.0)))
    assert (through.z, deep.z, shallow.z) == (
        pytest.approx(-10.0),
        pytest.approx(-4.0, abs=1e-5),
        pytest.approx(-2.0, abs=1e-5),
    )
    agrees(through.solid, HOLE)
    agrees(deep.solid, shapely.union_all([HOLE, slot(30.0, 60.0)]))
    agrees(shallow.solid, shapely.union_all([HOLE, slot(20.0, 60.0)]))


def test_nothing_is_left_by_moves_above_the_plate(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(40.0, 30.0, 0.5)
    assert left(shop, (tape, shop.slot_drill(6.0))) == []


def test_what_several_cutters_left_is_one_hollow_a_height(shop: ModuleType) -> None:
    other = shop.Tape()
    other.across(20.0, 30.0)
    other.move(20.0, 30.0, -2.0)
    other.move(20.0, 50.0, -2.0)
    *_, shallow = left(shop, (slots(shop), shop.slot_drill(6.0)), (other, shop.slot_drill(4.0)))
    branch = shapely.LineString([(20.0, 30.0), (20.0, 50.0)]).buffer(2.0, quad_segs=256)
    agrees(shallow.solid, shapely.union_all([HOLE, slot(20.0, 60.0), branch]))


def test_a_tapers_hollows_widen_upwards_and_none_is_wider_than_the_cone(shop: ModuleType) -> None:
    """At height h over its tip the cone is as wide as the tip and h tan a on either side."""
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -5.0)
    tape.move(40.0, 30.0, -5.0)
    found = left(shop, (tape, shop.taper(3.0, half_angle_deg=2.0)))
    assert found[0].z == pytest.approx(-5.0, abs=1e-5)
    assert -0.06 < found[-1].z < 0.0
    for deeper, higher in itertools.pairwise(found):
        assert deeper.z < higher.z
        assert deeper.solid.difference(higher.solid.buffer(1e-6)).is_empty
    for one in found:
        agrees(one.solid, slot(20.0, 40.0, radius=1.5 + (5.0 + one.z) * math.tan(math.radians(2.0))))


def test_between_a_tapers_hollows_hardly_anything_is_left_out(shop: ModuleType) -> None:
    """0.05 mm higher a side of 2 degrees is 1.75 um farther out."""
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -5.0)
    heights = [one.z for one in left(shop, (tape, shop.taper(3.0, half_angle_deg=2.0)))]
    assert max(b - a for a, b in itertools.pairwise(heights)) <= 0.05 + 1e-5


def test_a_ramp_is_followed_in_steps_below_which_nothing_is_taken(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -1.0)
    tape.move(60.0, 30.0, -3.0)
    for one in left(shop, (tape, shop.slot_drill(6.0))):
        begins = 20.0 + 40.0 * (max(-one.z, 1.0) - 1.0) / 2.0
        agrees(one.solid, slot(begins, 60.0))
