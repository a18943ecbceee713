"""Fitted paths stay in their band; circles come back."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import points as shapely_points
from shapely.geometry import LineString

from camplan.geometry import chains, clipper
from camplan.geometry.fitting import Band, Circles, fitted

WALL = Band(left=0.002, right=0.001)


def test_a_circle_of_many_chords_comes_back_as_few_arcs_of_its_radius() -> None:
    ring = chains.tessellated(chains.circle((10.0, 5.0), radius=50.0), chord=0.0005)
    (path,) = fitted([ring], closed=True, band=WALL)
    assert len(path.points) <= 4
    assert chains.arcs(path).radii == pytest.approx(50.0, abs=1e-4)


def test_known_circles_come_back_with_their_centre_and_radius() -> None:
    corner = math.tan(math.pi / 8)
    path = chains.chain(
        [(5, 0), (35, 0), (40, 5), (40, 25), (35, 30), (5, 30), (0, 25), (0, 5)], bulges=[0, corner] * 4, closed=True
    )
    area = clipper.offset((chains.tessellated(path, chord=0.0005),), by=-1.6)
    known = Circles(centres=np.array([(5, 5), (35, 5), (35, 25), (5, 25)], dtype=float), radii=np.full(4, 3.4))
    (found,) = fitted(area, closed=True, band=WALL, known=known)
    radii = chains.arcs(found).radii
    assert len(found.points) == 8
    assert radii[np.isfinite(radii)] == pytest.approx(3.4, abs=2e-4)


def test_a_drawn_polygon_keeps_its_corners() -> None:
    angle = np.linspace(0, 2 * math.pi, 12, endpoint=False)
    ring = 20.0 * np.column_stack((np.cos(angle), np.sin(angle)))
    (path,) = fitted([ring], closed=True, band=WALL)
    assert len(path.points) == 12
    assert not path.bulges.any()


def test_collinear_points_become_one_line() -> None:
    line = np.column_stack((np.linspace(0, 10, 50), np.linspace(0, 5, 50)))
    (path,) = fitted([line], closed=False, band=WALL)
    assert len(path.points) == 2
    assert path.bulges[0] == 0.0


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.002, 0.01]), st.booleans())
def test_a_fitted_free_curve_stays_in_its_band(seed: int, left: float, closed: bool) -> None:
    random = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, 600, endpoint=False)
    reach = 15.0 + sum(random.uniform(0, 2.0) * np.sin(k * angle + random.uniform(0, 6)) for k in range(2, 6))
    ring = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
    (path,) = fitted([ring], closed=closed, band=Band(left=left, right=0.001))
    given_line = LineString(np.vstack((ring, ring[:1])) if closed else ring)
    ours = chains.tessellated(path, chord=0.0001)
    off = given_line.distance(shapely_points(ours))
    assert float(np.max(off)) <= left + 5e-4
    back = LineString(np.vstack((ours, ours[:1])) if closed else ours)
    assert float(np.max(back.distance(shapely_points(ring)))) <= left + 5e-4


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_a_fitted_path_hardly_moves_to_the_right(seed: int) -> None:
    """To the right lies the wall: the area inside a counter-clockwise path may grow by no more than 1 um."""
    random = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, 800, endpoint=False)
    reach = 12.0 + sum(random.uniform(0, 1.5) * np.sin(k * angle + random.uniform(0, 6)) for k in range(2, 5))
    ring = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
    (path,) = fitted([ring], closed=True, band=Band(left=0.01, right=0.001))
    ours = chains.tessellated(path, chord=0.0001)
    grown = clipper.offset((ring,), by=0.0012)
    beyond = clipper.difference((ours,), less=grown)
    assert clipper.surface(beyond) < 1e-3
