"""Necks against drawn widths."""

import numpy as np
import pytest

from camplan.geometry import chains
from camplan.geometry.necks import narrowest


def test_the_narrowest_place_of_a_dumbbell_is_its_neck() -> None:
    figure = np.array(
        [
            (0, 0),
            (20, 0),
            (20, 8),
            (30, 8),
            (30, 0),
            (50, 0),
            (50, 20),
            (30, 20),
            (30, 11),
            (20, 11),
            (20, 20),
            (0, 20),
        ],
        dtype=float,
    )
    neck = narrowest((figure,))
    assert neck is not None
    assert neck.width == pytest.approx(3.0, abs=0.03)
    assert 20.0 <= neck.at[0] <= 30.0


def test_a_ring_is_as_narrow_as_the_gap_between_its_circles() -> None:
    outer = chains.tessellated(chains.circle((0.0, 0.0), radius=20.0), chord=0.001)
    inner = chains.tessellated(chains.circle((4.0, 0.0), radius=12.0, clockwise=True), chord=0.001)
    neck = narrowest((outer, inner))
    assert neck is not None
    assert neck.width == pytest.approx(4.0, abs=0.05)
