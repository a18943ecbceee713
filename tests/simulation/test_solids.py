"""Sections worked out by GEOS, against closed forms of plane geometry."""

import math
from types import ModuleType

import numpy as np
import pytest
import shapely

from camplan.features.records import EMPTY, Section
from camplan.geometry.chains import chain, circle
from camplan.regions import Region
from camplan.simulation import solids
from camplan.simulation.solids import Nearness, Tree, deepest, meetings, polygon_of, shares


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


def test_distances_are_nought_inside_and_endless_from_nothing() -> None:
    places = np.array([(0.5, 0.5), (2.0, 0.5), (2.0, 2.0), (1.0, 0.5)])
    assert Nearness(shapely.box(0, 0, 1, 1)).distances(places) == pytest.approx([0.0, 1.0, math.sqrt(2.0), 0.0])
    assert np.isinf(Nearness(shapely.Polygon()).distances(places)).all()


def test_shapes_are_asked_together_and_answered_one_by_one() -> None:
    shapes = [shapely.box(0, 0, 1, 1), shapely.box(10, 0, 11, 1), shapely.box(20, 0, 21, 1)]
    other = shapely.union_all([shapely.box(0.5, -1, 5, 2), shapely.box(9, 0, 10.25, 1), shapely.box(10.75, 0, 12, 1)])
    assert shares(shapes, other=other) == pytest.approx([0.5, 0.5, 0.0])
    assert meetings(shapes, other=other, least=1e-6).tolist() == [1, 2, 0]
    assert deepest(shapes, near=Nearness(other)) == pytest.approx([0.5, 0.0, 9.0])


def test_boxes_are_found_as_by_looking_at_each() -> None:
    corners = np.random.default_rng(3).uniform(0.0, 100.0, (500, 2))
    boxes = np.hstack((corners, corners + 3.0))
    found = Tree(boxes).near((20.0, 30.0, 40.0, 35.0))
    asked = shapely.box(20.0, 30.0, 40.0, 35.0)
    assert found.tolist() == [number for number, box in enumerate(boxes) if shapely.box(*box).intersects(asked)]
    disc = shapely.Point(50.0, 50.0).buffer(20.0)
    near = Tree(boxes).meeting(disc)
    assert near.tolist() == [number for number, box in enumerate(boxes) if shapely.box(*box).intersects(disc)]


def test_a_figure_that_crosses_itself_is_mended_where_another_is_taken_from_it() -> None:
    bow = shapely.Polygon([(0, 0), (4, 4), (4, 0), (0, 4)])
    assert not bow.is_valid
    left = solids.less(bow, shapely.box(2.5, -1.0, 6.0, 6.0))
    assert left.is_valid
    assert solids.area(left) == pytest.approx(4.0 + 2.0 * 0.25 / 2.0)


@pytest.mark.parametrize("about", ["x", "y"])
def test_a_figure_of_a_turned_plate_is_seen_mirrored_from_the_other_face(about: str) -> None:
    lies, seen = (
        ((-100.0, 0.0, 0.0, 60.0), (0.0, 0.0, 100.0, 60.0))
        if about == "y"
        else (
            (0.0, -60.0, 100.0, 0.0),
            (0.0, 0.0, 100.0, 60.0),
        )
    )
    corner = shapely.box(lies[0] + 1.0, lies[1] + 2.0, lies[0] + 5.0, lies[1] + 9.0)
    expected = shapely.box(95.0, 2.0, 99.0, 9.0) if about == "y" else shapely.box(1.0, 51.0, 5.0, 58.0)
    assert solids.turned(corner, about=about, lies=lies, seen=seen).symmetric_difference(expected).area < 1e-9  # type: ignore[arg-type]


def test_the_edge_of_a_figure_is_measured_where_it_lies_inside_another(shop: ModuleType) -> None:
    square = polygon_of(Section(regions=(Region(outer=shop.rectangle(-5.0, 2.0, 5.0, 8.0)),)))
    plate = polygon_of(Section(regions=(Region(outer=shop.rectangle(0.0, 0.0, 10.0, 10.0)),)))
    assert solids.edge_length(square, within=plate) == pytest.approx(5.0 + 6.0 + 5.0)
