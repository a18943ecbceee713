"""Places and lengths as they are said: to the micron, and zero without a sign."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.geometry.places import by_axes, listed, millimetres, place


@given(value=st.floats(-1e6, 1e6), places=st.integers(0, 4))
def test_no_length_is_said_as_a_negative_zero(value: float, places: int) -> None:
    text = millimetres(value, places=places)
    assert not (text.startswith("-") and float(text) == 0.0)
    assert float(text) == pytest.approx(value, abs=0.51 * 10.0**-places)


def test_a_place_is_said_with_its_axes_or_in_brackets() -> None:
    assert place((-0.0, -0.0001)) == "(0.000, 0.000)"
    assert by_axes((1.5, -0.0004)) == "X1.500 Y0.000"
    assert by_axes((1.5, -2.0, -0.0), places=2) == "X1.50 Y-2.00 Z0.00"


def test_of_many_places_the_first_are_said_and_the_rest_counted() -> None:
    assert listed([(1, 2), (3, 4), (5, 6), (7, 8)]) == "(1.000, 2.000), (3.000, 4.000), (5.000, 6.000) and 1 more"
