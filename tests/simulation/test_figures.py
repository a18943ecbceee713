"""Sections worked out by GEOS, against closed forms of plane geometry."""

import math
from types import ModuleType

import pytest

from camplan.features.records import EMPTY, Section
from camplan.geometry.chains import chain, circle
from camplan.regions import Region
from camplan.simulation.figures import polygon_of, regions_polygon


def test_an_empty_section_is_empty() -> None:
    assert polygon_of(EMPTY).is_empty


def test_a_grown_square_has_round_corners(shop: ModuleType) -> None:
    square = Region(outer=shop.rectangle(0.0, 0.0, 10.0, 10.0))
    assert polygon_of(Section(regions=(square,), grow=2.0)).area == pytest.approx(100 + 80 + math.pi * 4, abs=4e-3)
    assert polygon_of(Section(regions=(square,), grow=-2.0)).area == pytest.approx(36.0)


def test_an_island_shrinks_as_the_section_grows() -> None:
    ring = Region(outer=circle((0.0, 0.0), radius=10.0), islands=(circle((0.0, 0.0), radius=4.0, clockwise=True),))
    assert polygon_of(Section(regions=(ring,), grow=1.0)).area == pytest.approx(math.pi * (121.0 - 9.0), abs=0.05)


def test_a_line_grown_is_a_slot_with_round_ends() -> None:
    line = chain([(0.0, 0.0), (10.0, 0.0)])
    assert polygon_of(Section(lines=(line,), grow=1.5)).area == pytest.approx(30.0 + math.pi * 2.25, abs=4e-3)
    assert polygon_of(Section(lines=(line,), grow=0.0)).is_empty


def test_what_is_kept_and_what_stays_is_taken_off(shop: ModuleType) -> None:
    square = Region(outer=shop.rectangle(0.0, 0.0, 10.0, 10.0))
    stay = Region(outer=shop.rectangle(-2.0, 4.0, 12.0, 6.0))
    kerf = polygon_of(Section(regions=(square,), grow=2.0, keep=(square,), stay=(stay,)))
    assert kerf.area == pytest.approx(80.0 + math.pi * 4.0 - 2.0 * 4.0, abs=4e-3)


def test_regions_are_one_figure_and_none_are_nothing(shop: ModuleType) -> None:
    squares = [Region(outer=shop.rectangle(x, 0.0, x + 10.0, 10.0)) for x in (0.0, 5.0, 30.0)]
    assert regions_polygon(squares).area == pytest.approx(150.0 + 100.0)
    assert regions_polygon(()).is_empty
