"""The plate turned over: what a drawing shows from the back, against GEOS's own reflection."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.features.turned import turned_chain, turned_zero
from camplan.geometry.chains import chain, signed_area, tessellated

BULGES = st.lists(st.floats(-0.8, 0.8), min_size=4, max_size=4)


@pytest.mark.parametrize("about", ["x", "y"])
@settings(max_examples=20, deadline=None)
@given(bulges=BULGES)
def test_a_turned_chain_is_the_reflection_of_the_drawn_one(about: str, bulges: list[float]) -> None:
    path = chain([(1.0, 2.0), (30.0, 3.0), (25.0, 20.0), (4.0, 18.0)], bulges=bulges, closed=True)
    turned = turned_chain(path, about=about)  # type: ignore[arg-type]
    sx, sy = (-1.0, 1.0) if about == "y" else (1.0, -1.0)
    drawn = shapely.LinearRing(tessellated(path, chord=0.0005))
    expected = shapely.affinity.scale(drawn, xfact=sx, yfact=sy, origin=(0.0, 0.0))
    found = shapely.LinearRing(tessellated(turned, chord=0.0005))
    assert shapely.hausdorff_distance(found, expected) < 0.002
    assert signed_area(turned) == pytest.approx(-signed_area(path))
    again = turned_chain(turned, about=about)  # type: ignore[arg-type]
    assert np.array_equal(again.points, path.points) and np.array_equal(again.bulges, path.bulges)


@pytest.mark.parametrize(
    ("word", "about", "expected"),
    [
        ("front-left", "y", "front-right"),
        ("front-left", "x", "back-left"),
        ("back-right", "y", "back-left"),
        ("back-right", "x", "front-right"),
        ("centre", "y", "centre"),
    ],
)
def test_the_same_corner_of_the_plate_has_another_word_when_it_is_turned(word: str, about: str, expected: str) -> None:
    assert turned_zero(word, about=about) == expected  # type: ignore[arg-type]
    assert turned_zero(expected, about=about) == word  # type: ignore[arg-type]
