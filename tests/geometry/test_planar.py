"""Chains and regions as straight-line figures."""

import math

import numpy as np
import pytest
import shapely

from camplan.geometry import planar
from camplan.geometry.chains import chain, circle
from camplan.regions import Region


def test_a_region_becomes_a_polygon_with_its_islands_as_holes():
    region = Region(outer=circle((0, 0), radius=10), islands=(circle((3, 0), radius=2, clockwise=True),))
    shape = planar.polygon(region, chord=1e-4)
    assert shape.is_valid and len(shape.interiors) == 1
    # chords lie inside the outer circle and cut corners off the hole: both within 1e-4 of the exact area's edges
    assert shape.area == pytest.approx(math.pi * 96.0, abs=1e-4 * 2.0 * math.pi * 12.0)


def test_a_closed_chain_becomes_a_line_that_comes_back():
    line = planar.line(chain([(0, 0), (4, 0), (4, 3)], closed=True), chord=0.001)
    assert line.is_closed and line.length == pytest.approx(12.0)
    assert not planar.line(chain([(0, 0), (4, 0)]), chord=0.001).is_closed


def test_a_chain_that_runs_there_and_back_encloses_nothing():
    assert planar.filled(chain([(0, 0), (4, 0)], closed=True), chord=0.001).is_empty


def test_polygons_are_found_in_any_shape():
    square = shapely.box(0, 0, 1, 1)
    mixed = shapely.GeometryCollection([square, shapely.MultiPolygon([shapely.box(2, 0, 3, 1)]), shapely.Point(5, 5)])
    assert [part.area for part in planar.polygons(mixed)] == [1.0, 1.0]
    assert planar.polygons(shapely.Polygon()) == ()


def test_distances_are_to_the_curve_and_not_to_its_vertices():
    found = planar.distances(np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 7.0]]), to=circle((0, 0), radius=5), chord=1e-5)
    assert found == pytest.approx([5.0, 5.0, 2.0], abs=2e-5)


def test_crossing_places_of_two_lines():
    lines = [shapely.LineString([(0, 0), (4, 4)]), shapely.LineString([(0, 4), (4, 0)])]
    assert planar.crossing_places(lines) == [(2.0, 2.0)]
