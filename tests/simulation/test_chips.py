"""Chips per tooth that a cutter does not bear, by the largest chip of the material's table for its diameter.

6 mm carbide in aluminium-6082: 0.048 mm a tooth (see `tooling/materials/aluminium-6082.toml`); twice as much is fed in
narrow cuts, and 1.5 times that (common practice, no source) is 0.144 mm.  Straight down 1.5 times 0.048 are borne.
A drill: 0.02 D a turn is customary (common practice, no source), three times that is 0.252 mm for 4.2 mm.
"""

import math
from types import ModuleType
from typing import Any

import pytest

from camplan.simulation.chips import thick_chips
from camplan.simulation.stock import stock_of
from camplan.simulation.track import track_of

NONE = (math.nan, math.nan)
RPM, TEETH = 10_000.0, 2.0


def rows(*, plunge: float, side: float) -> list[Any]:
    """Down 2 mm at 30, 30, 20 mm to the right and back; feeds in mm a tooth."""
    down, across = plunge * RPM * TEETH, side * RPM * TEETH
    return [
        ((0.0, 0.0, 5.0), (30.0, 30.0, 5.0), NONE, 0, math.nan, RPM, 1),
        (None, (30.0, 30.0, -2.0), NONE, 1, down, RPM, 2),
        (None, (50.0, 30.0, -2.0), NONE, 1, across, RPM, 3),
        (None, (30.0, 30.0, -2.0), NONE, 1, 50.0 * across, RPM, 4),
    ]


def hits(shop: ModuleType, moves: list[Any], cutter: Any) -> list[tuple[int, str]]:
    track = track_of([shop.program(shop.table(moves), cutter)])
    found = thick_chips(stock_of(track, plate=shop.plate()), material=shop.MATERIAL)
    return [(int(track.line[hit.row]), hit.code) for hit in found]


def test_feeds_that_are_borne_and_a_way_back_in_the_air_are_not_spoken_of(shop: ModuleType) -> None:
    assert hits(shop, rows(plunge=0.012, side=0.143), shop.slot_drill(6.0)) == []


@pytest.mark.parametrize(("plunge", "side", "line"), [(0.012, 0.145, 3), (0.073, 0.05, 2)])
def test_the_first_motion_that_feeds_more_is_named(shop: ModuleType, plunge: float, side: float, line: int) -> None:
    assert hits(shop, rows(plunge=plunge, side=side), shop.slot_drill(6.0)) == [(line, "chip-too-thick")]


@pytest.mark.parametrize(("a_turn", "found"), [(0.25, []), (0.26, [(2, "chip-too-thick")])])
def test_a_drill_bears_three_times_its_customary_feed_a_turn(
    shop: ModuleType, a_turn: float, found: list[tuple[int, str]]
) -> None:
    moves = rows(plunge=a_turn / TEETH, side=0.0)[:2]
    assert hits(shop, moves, shop.drill(4.2)) == found


def test_nothing_is_said_of_a_spindle_at_rest_or_of_no_motion(shop: ModuleType) -> None:
    at_rest = [(*row[:5], 0.0, row[6]) for row in rows(plunge=9.0, side=9.0)]
    assert hits(shop, at_rest, shop.slot_drill(6.0)) == []
    assert hits(shop, [], shop.slot_drill(6.0)) == []
