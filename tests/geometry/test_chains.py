"""Chains keep arcs exact; closed forms are those of the circle."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry import chains

FILLET = math.tan(math.pi / 8.0)


def rounded(width: float, height: float, radius: float) -> chains.Chain:
    w, h, r = width, height, radius
    points = [(r, 0), (w - r, 0), (w, r), (w, h - r), (w - r, h), (r, h), (0, h - r), (0, r)]
    return chains.chain(points, bulges=[0, FILLET] * 4, closed=True)


def test_a_circle_has_its_length_area_and_bounds() -> None:
    path = chains.circle((3.0, -2.0), radius=50.0)
    assert chains.length(path) == pytest.approx(2 * math.pi * 50.0, rel=1e-12)
    assert chains.signed_area(path) == pytest.approx(math.pi * 2500.0, rel=1e-12)
    assert chains.bounds(path) == pytest.approx((-47.0, -52.0, 53.0, 48.0), abs=1e-9)


def test_a_clockwise_circle_has_negative_area() -> None:
    path = chains.circle((0.0, 0.0), radius=2.0, clockwise=True)
    assert chains.signed_area(path) == pytest.approx(-4.0 * math.pi)


def test_a_rounded_rectangle_has_its_closed_form_area_and_length() -> None:
    path = rounded(40.0, 30.0, 5.0)
    assert chains.signed_area(path) == pytest.approx(1200.0 - (4.0 - math.pi) * 25.0)
    assert chains.length(path) == pytest.approx(2 * 30.0 + 2 * 20.0 + 2 * math.pi * 5.0)


def test_chords_stay_within_their_sagitta_and_keep_every_vertex() -> None:
    path = rounded(40.0, 30.0, 5.0)
    points = chains.tessellated(path, chord=0.0005)
    for vertex in path.points:
        assert np.min(np.hypot(*(points - vertex).T)) < 1e-12
    corner = points[(points[:, 0] > 35.0) & (points[:, 1] > 25.0)] - (35.0, 25.0)
    assert np.hypot(*corner.T) == pytest.approx(5.0, abs=1e-9)
    step = np.diff(corner[np.argsort(np.arctan2(corner[:, 1], corner[:, 0]))], axis=0)
    assert np.max(np.hypot(*step.T) ** 2 / (8 * 5.0)) <= 0.0005 + 1e-9


def test_a_chain_with_the_wrong_number_of_bulges_is_refused() -> None:
    with pytest.raises(ValueError, match="3 points need 3 bulges"):
        chains.Chain(points=np.zeros((3, 2)), bulges=np.zeros(2), closed=True)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=8, unique=True),
    st.floats(-0.9, 0.9),
)
def test_walked_backwards_a_chain_has_the_same_length_and_the_opposite_area(
    points: list[tuple[float, float]], bulge: float
) -> None:
    path = chains.chain(points, bulges=[bulge] * len(points), closed=True)
    back = chains.backwards(path)
    assert chains.length(back) == pytest.approx(chains.length(path))
    assert chains.signed_area(back) == pytest.approx(-chains.signed_area(path), abs=1e-6)
    assert np.allclose(back.points[0], path.points[0])
