"""Offsets and set operations against shapely (GEOS), an independent kernel, and closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from camplan.geometry import chains, clipper

SQUARE = (np.array([(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]),)


def star(seed: int, count: int = 24) -> np.ndarray:
    random = np.random.default_rng(seed)
    angle = np.linspace(0.0, 2 * math.pi, count, endpoint=False)
    reach = random.uniform(8.0, 20.0, count)
    return np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))


def test_a_grown_rectangle_has_steiners_area() -> None:
    # Steiner's formula for a convex figure: A + P r + pi r^2
    grown = clipper.offset(SQUARE, by=3.0)
    assert clipper.surface(grown) == pytest.approx(200.0 + 60.0 * 3.0 + math.pi * 9.0, abs=0.02)


def test_an_opened_square_loses_its_corners() -> None:
    # closed form: each right angle keeps (1 - pi/4) r^2
    left = clipper.surface(SQUARE) - clipper.surface(clipper.opened(SQUARE, radius=2.0))
    assert left == pytest.approx(4 * (1 - math.pi / 4) * 4.0, abs=0.01)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(-3.0, 3.0))
def test_offsets_agree_with_geos(seed: int, by: float) -> None:
    ring = star(seed)
    ours = clipper.offset((ring,), by=by)
    theirs = Polygon(ring).buffer(by, quad_segs=128)
    assert clipper.surface(ours) == pytest.approx(theirs.area, abs=0.02 + 1e-3 * abs(by) * theirs.length)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.2, 4.0))
def test_a_shrunk_area_never_comes_nearer_to_the_edge_than_asked(seed: int, by: float) -> None:
    ring = star(seed)
    edge = Polygon(ring).exterior
    for inner in clipper.offset((ring,), by=-by):
        nearest = min(edge.distance(Point(point)) for point in inner)
        assert nearest >= by - 1e-3


def test_differences_unions_and_intersections_add_up() -> None:
    a, b = (star(1),), (star(2),)
    both = clipper.surface(clipper.intersection(a, with_=b))
    assert clipper.surface(clipper.union([a, b])) == pytest.approx(clipper.surface(a) + clipper.surface(b) - both)
    assert clipper.surface(clipper.difference(a, less=b)) == pytest.approx(clipper.surface(a) - both)


def test_pieces_keep_holes_with_their_outer_ring() -> None:
    hole = chains.tessellated(chains.circle((5.0, 5.0), radius=2.0, clockwise=True), chord=0.001)
    far = (SQUARE[0] + (50.0, 0.0),)
    found = clipper.pieces((*SQUARE, hole, *far))
    assert sorted(len(piece) for piece in found) == [1, 2]


def test_a_line_is_cut_where_it_enters_an_area() -> None:
    line = np.array([(-5.0, 5.0), (25.0, 5.0)])
    (inside,) = clipper.cut_lines([line], area=SQUARE, inside=True)
    assert np.sort(inside[:, 0]) == pytest.approx([0.0, 20.0])
    assert len(clipper.cut_lines([line], area=SQUARE, inside=False)) == 2


@pytest.mark.parametrize("turned", [False, True])
def test_a_cut_line_keeps_its_direction(turned: bool) -> None:
    line = np.array([(-5.0, 5.0), (10.0, 6.0), (25.0, 5.0)])
    line = line[::-1] if turned else line
    for inside in (True, False):
        for part in clipper.cut_lines([line], area=SQUARE, inside=inside):
            assert (part[-1] - part[0]) @ (line[-1] - line[0]) > 0.0
