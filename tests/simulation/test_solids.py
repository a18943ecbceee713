"""Plane figures worked out by GEOS, against closed forms of plane geometry."""

import math

import numpy as np
import pytest
import shapely

from camplan.simulation import solids
from camplan.simulation.solids import Nearness, Tree, deepest, meetings, shares


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


def test_the_edge_of_a_figure_is_measured_where_it_lies_inside_another() -> None:
    square, plate = shapely.box(-5.0, 2.0, 5.0, 8.0), shapely.box(0.0, 0.0, 10.0, 10.0)
    assert solids.edge_length(square, within=plate) == pytest.approx(5.0 + 6.0 + 5.0)


def test_the_rings_of_a_polygon_turn_about_what_stands() -> None:
    """Outside counter-clockwise, holes clockwise, whichever way they were drawn, and no vertex twice."""
    square, hole = [(0, 0), (0, 4), (4, 4), (4, 0)], [(1, 1), (2, 1), (2, 2), (1, 2)]
    for outer, inner in ((square, hole), (square[::-1], hole[::-1])):
        edge, (island,) = solids.rings(shapely.Polygon(outer, [inner]))
        assert (len(edge), len(island)) == (4, 4)
        assert shapely.LinearRing(edge).is_ccw and not shapely.LinearRing(island).is_ccw
        assert shapely.Polygon(edge, [island]).equals(shapely.Polygon(square, [hole]))


def test_fewer_vertices_stay_within_the_distance() -> None:
    disc = shapely.Point(0.0, 0.0).buffer(10.0, quad_segs=200)
    fewer = solids.simplified(disc, within=0.001)
    assert len(solids.coordinates(fewer)) < len(solids.coordinates(disc)) / 2
    assert shapely.hausdorff_distance(disc.exterior, fewer.exterior, densify=0.05) <= 0.0011


def test_a_figure_is_moved_as_it_is() -> None:
    assert solids.shifted(shapely.box(0, 0, 2, 1), by=(3.0, -1.0)).equals(shapely.box(3, -1, 5, 0))


def test_the_nearest_place_lies_on_the_figure() -> None:
    at = solids.nearest(shapely.box(0, 0, 2, 2), to=shapely.box(5, 3, 6, 4))
    assert at == pytest.approx((2.0, 2.0))
    assert solids.apart(shapely.box(0, 0, 2, 2), other=shapely.box(5, 3, 6, 4)) == pytest.approx(math.hypot(3.0, 1.0))


def test_a_line_of_one_place_is_a_point_and_a_closed_one_comes_back() -> None:
    assert solids.line(np.array([(1.0, 2.0)]), closed=False).equals(shapely.Point(1.0, 2.0))
    assert solids.line(np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]), closed=True).is_ring


def test_rings_that_cross_themselves_enclose_what_lies_on_either_side() -> None:
    bow = solids.polygon(np.array([(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)]))
    assert bow.is_valid
    assert solids.area(bow) == pytest.approx(8.0)


def test_a_figure_balances_on_the_middle_of_its_area() -> None:
    """An L of three squares: 5/6 of their side from its corner (plane geometry)."""
    corner = shapely.union_all([shapely.box(0, 0, 1, 2), shapely.box(1, 0, 2, 1)])
    assert solids.centre_of_area(corner) == pytest.approx((5.0 / 6.0, 5.0 / 6.0))
