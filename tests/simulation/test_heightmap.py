"""The map of heights shows what was cut, to about a pixel."""

import math
from types import ModuleType

import numpy as np
import pytest

from camplan.simulation.heightmap import relief


def test_an_uncut_plate_is_flat(shop: ModuleType) -> None:
    found = relief([], plate=shop.plate(), pixel=0.5)
    assert found.heights.shape == (120, 200)
    assert np.all(found.heights == 0.0)


def test_a_slot_shows_at_its_depth_and_width(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -3.0)
    tape.move(60.0, 30.0, -3.0)
    found = relief([shop.program(tape, shop.slot_drill(6.0))], plate=shop.plate(), pixel=0.25)
    assert set(np.unique(found.heights)) == {-3.0, 0.0}
    area = float((found.heights < 0.0).sum()) * 0.25**2
    assert area == pytest.approx(40.0 * 6.0 + math.pi * 9.0, rel=0.06)
    assert found.heights[int(30.0 / 0.25), int(40.0 / 0.25)] == -3.0


def test_a_ball_leaves_a_round_bottom(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -3.0)
    tape.move(60.0, 30.0, -3.0)
    found = relief([shop.program(tape, shop.ball(8.0))], plate=shop.plate(), pixel=0.1)
    for offset in (0.0, 1.0, 2.0, 3.0):
        surface = found.heights[int((30.0 + offset) / 0.1), int(40.0 / 0.1)]
        assert surface == pytest.approx(-3.0 + 4.0 - math.sqrt(16.0 - offset**2), abs=0.15)


def test_what_is_cut_through_and_what_lies_beside_the_plate_is_nothing(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(50.0, 30.0)
    tape.move(50.0, 30.0, -10.3)
    found = relief([shop.program(tape, shop.slot_drill(6.0))], plate=shop.plate(), pixel=0.5)
    assert math.isnan(found.heights[60, 100])
    assert found.heights[60, 120] == 0.0


def test_a_pixel_must_have_a_size(shop: ModuleType) -> None:
    with pytest.raises(ValueError, match="pixel"):
        relief([], plate=shop.plate(), pixel=0.0)
