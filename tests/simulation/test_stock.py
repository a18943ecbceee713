"""What stands at a place before a move: the plate less what earlier moves have swept."""

import math
from types import ModuleType

import numpy as np
import pytest
import shapely

from camplan.simulation.stock import standing, stock_of
from camplan.simulation.track import track_of


def test_only_earlier_moves_have_cut(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    first = tape.move(50.0, 30.0, -2.0) - 1
    second = tape.move(50.0, 30.0, -4.0) - 1
    stock = stock_of(track_of([shop.program(tape, shop.slot_drill(6.0))]), plate=shop.plate())
    disc = shapely.Point(50.0, 30.0).buffer(2.0)
    areas = {
        (z, before): standing(stock, where=disc, z=z, before=before).area
        for z in (-1.0, -3.0)
        for before in (first, second, second + 1)
    }
    whole = pytest.approx(disc.area)
    assert areas == {
        (-1.0, first): whole,
        (-1.0, second): 0.0,
        (-1.0, second + 1): 0.0,
        (-3.0, first): whole,
        (-3.0, second): whole,
        (-3.0, second + 1): 0.0,
    }


def test_nothing_stands_above_below_or_beside_the_plate(shop: ModuleType) -> None:
    stock = stock_of(track_of([shop.program(shop.table([]), shop.slot_drill(6.0))]), plate=shop.plate())
    disc = shapely.Point(0.0, 30.0).buffer(2.0, quad_segs=128)
    assert standing(stock, where=disc, z=0.0, before=0).is_empty
    assert standing(stock, where=disc, z=-10.0, before=0).is_empty
    assert standing(stock, where=disc, z=-5.0, before=0).area == pytest.approx(2.0 * math.pi, abs=1e-3)


def test_a_coordinate_not_yet_said_is_the_next_one_said_and_a_height_is_above_everything(shop: ModuleType) -> None:
    motions = shop.table(
        [
            ((math.nan, math.nan, math.nan), (10.0, math.nan, math.nan), (math.nan, math.nan), 0, math.nan, 0.0, 1),
            (None, (10.0, 20.0, math.nan), (math.nan, math.nan), 0, math.nan, 0.0, 2),
            (None, (10.0, 20.0, 5.0), (math.nan, math.nan), 0, math.nan, 0.0, 3),
        ]
    )
    track = track_of([shop.program(motions, shop.slot_drill(6.0))])
    assert np.isfinite(track.start).all()
    assert np.isfinite(track.end).all()
    assert track.end[0, :2].tolist() == [10.0, 20.0]
    assert track.low.tolist() == [1000.0, 1000.0, 5.0]


def test_changes_of_the_cutter_hold_from_their_row_on(shop: ModuleType) -> None:
    tape = shop.Tape()
    for x in range(4):
        tape.move(float(x), 0.0, -1.0)
    small, large = shop.slot_drill(2.0), shop.slot_drill(6.0)
    track = track_of([shop.program(tape, large, changes=((2, small),)), shop.program(tape, small)])
    assert [track.cutters[number].name for number in track.cutter] == ["slot-6"] * 2 + ["slot-2"] * 6
