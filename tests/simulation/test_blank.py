"""The plate before anything is cut, against the same figures drawn with GEOS alone."""

import dataclasses
import math
from types import ModuleType

import numpy as np
import pytest
import shapely

from camplan.features.records import Existing
from camplan.regions import Region
from camplan.simulation.blank import Blank, blank_at, blank_of, blank_tops, firm_at, floors_in, gone_at
from camplan.simulation.stock import standing, stock_of
from camplan.simulation.track import track_of

PLATE = shapely.box(0, 0, 100, 60)
HOLE = shapely.box(20, 20, 30, 30)
POCKET = shapely.box(10, 10, 40, 40)


@pytest.fixture
def blank(shop: ModuleType) -> Blank:
    """100 x 60 x 10 with a pocket 5 deep and a window through its floor."""
    existing = (
        Existing(regions=(Region(outer=shop.rectangle(20, 20, 30, 30)),), depth=10.0),
        Existing(regions=(Region(outer=shop.rectangle(10, 10, 40, 40)),), depth=5.0),
    )
    return blank_of(dataclasses.replace(shop.plate(), existing=existing))


@pytest.mark.parametrize(("z", "gone"), [(-1.0, POCKET), (-5.0, POCKET), (-5.1, HOLE), (-10.0, HOLE)])
def test_the_plate_stands_beside_what_was_gone_at_a_height(blank: Blank, z: float, gone: shapely.Polygon) -> None:
    assert blank_at(blank, z=z).equals(PLATE.difference(gone))
    assert gone_at(blank, z=z).equals(gone)


def test_a_whole_plate_is_its_outline_at_every_height(shop: ModuleType) -> None:
    whole = blank_of(shop.plate())
    assert blank_at(whole, z=-3.0) is whole.outline
    assert gone_at(whole, z=-3.0).is_empty
    assert firm_at(whole, z=-3.0, by=0.1).equals(PLATE)


def test_skins_of_walls_that_were_cut_before_are_not_firm(blank: Blank) -> None:
    firm = firm_at(blank, z=-8.0, by=0.1)
    assert firm.contains(PLATE.difference(HOLE.buffer(0.105)).buffer(-1e-6))
    assert not firm.intersects(HOLE.buffer(0.1))


def test_figures_are_the_same_object_between_two_changes(blank: Blank) -> None:
    """The proof goes on with what it knows as long as nothing changes."""
    assert blank_at(blank, z=-1.0) is blank_at(blank, z=-4.9)
    assert blank_at(blank, z=-5.1) is not blank_at(blank, z=-4.9)


def test_its_floors_are_told_where_they_are(blank: Blank) -> None:
    assert floors_in(blank, domain=shapely.box(12, 12, 14, 14)) == (-5.0,)
    assert floors_in(blank, domain=shapely.box(12, 12, 25, 25)) == (-10.0, -5.0)
    assert floors_in(blank, domain=shapely.box(60, 12, 70, 25)) == ()


def test_its_tops_are_floors_and_nothing_beside_or_through_it(blank: Blank) -> None:
    places = np.array([(50.0, 50.0), (12.0, 12.0), (25.0, 25.0), (-1.0, 5.0)])
    assert blank_tops(blank, places=places).tolist() == [0.0, -5.0, -math.inf, -math.inf]


def test_nothing_stands_in_what_was_gone(blank: Blank, shop: ModuleType) -> None:
    stock = stock_of(track_of([shop.program(shop.table([]), shop.slot_drill(6.0))]), plate=blank.plate)
    window = shapely.box(5, 15, 25, 25)
    assert standing(stock, where=window, z=-3.0, before=0).area == pytest.approx(5.0 * 10.0)
    assert standing(stock, where=window, z=-7.0, before=0).area == pytest.approx(200.0 - 25.0)
