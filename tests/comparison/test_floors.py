"""A move below a falling floor is looked at where it is, however short it is."""

import dataclasses
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from camplan.comparison.floors import doubtful
from camplan.comparison.wanted import wanted_of
from camplan.features.records import Slope
from camplan.geometry.chains import chain
from camplan.simulation.blank import blank_of
from camplan.simulation.track import track_of


def runner(shop: ModuleType) -> Any:
    line = chain([(10, 20), (50, 20)])
    level = shop.groove(line, width=4.0, depth=2.5)
    return dataclasses.replace(level, slopes=(Slope(path=line, depths=np.array([2.5, 1.5])),))


def tape(shop: ModuleType, *tips: tuple[float, float]) -> Any:
    """A ramp to and fro at both levels, the last way along (x, z) tips."""
    made = shop.Tape()
    made.across(10, 20)
    for x, z in ((10, -1.25), (50, -0.75), *tips):
        made.move(x, 20, z)
    made.rapid(tips[-1][0], 20, 5)
    return made


FLOOR = ((50.0, -1.5), (10.0, -2.5))


def heights(shop: ModuleType, *features: Any, tips: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    track = track_of([shop.program(tape(shop, *tips), shop.slot_drill(4.0))])
    wanted = wanted_of(features, plate=blank_of(shop.plate()))
    return doubtful(wanted, members=tuple(range(len(features))), track=track, rows=np.arange(len(track)))


def test_a_floor_that_is_kept_asks_for_no_height(shop: ModuleType) -> None:
    assert heights(shop, runner(shop), tips=FLOOR) == ()
    assert heights(shop, shop.groove(chain([(10, 20), (50, 20)]), width=4.0, depth=2.5), tips=FLOOR) == ()


def test_a_dip_is_looked_at_just_above_its_tip(shop: ModuleType) -> None:
    dip = (FLOOR[0], (30.0, -2.02), FLOOR[1])
    assert min(abs(z + 2.02) for z in heights(shop, runner(shop), tips=dip)) == pytest.approx(0.003, abs=1e-6)


def test_what_another_feature_allows_is_no_dip(shop: ModuleType) -> None:
    well = shop.pocket(shop.rectangle(25.0, 15.0, 35.0, 25.0), depth=3.0)
    dip = (FLOOR[0], (34.0, -1.9), (34.0, -2.8), (30.0, -2.8), (30.0, -2.0), FLOOR[1])
    assert heights(shop, runner(shop), well, tips=dip) == ()
    assert heights(shop, runner(shop), tips=dip) != ()


@pytest.mark.parametrize("at", [14.0, 26.0, 33.3, 47.0])
def test_twenty_micrometres_too_deep_anywhere_on_the_ramp_are_refused(shop: ModuleType, at: float) -> None:
    good = shop.verdict(shop.program(tape(shop, *FLOOR), shop.slot_drill(4.0)), features=(runner(shop),))
    assert good.passed
    assert good.gouge < 0.001
    assert good.left_area == pytest.approx(0.0, abs=1e-3)
    deep = -(2.5 - (at - 10.0) / 40.0) - 0.02
    dip = (FLOOR[0], (at + 0.5, deep + 0.0075), (at, deep), (at - 0.5, deep + 0.0075), FLOOR[1])
    bad = shop.verdict(shop.program(tape(shop, *dip), shop.slot_drill(4.0)), features=(runner(shop),))
    assert not bad.passed
    assert 0.010 < bad.gouge < 0.022
    assert {finding.code for finding in bad.findings if finding.severity.value == "unsafe"} == {"gouge"}


def test_a_floor_left_too_high_is_said(shop: ModuleType) -> None:
    high = ((50.0, -1.48), (10.0, -2.48))
    found = shop.verdict(shop.program(tape(shop, *high), shop.slot_drill(4.0)), features=(runner(shop),))
    assert found.passed
    assert found.left_area > 0.1
