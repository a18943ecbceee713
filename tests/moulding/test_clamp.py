"""Clamp force against printed and worked examples."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.catalogue.plastics import Span
from camplan.moulding import clamp
from camplan.moulding.clamp import FACTOR, clamp_force, largest_area

MPA_PER_T_CM2 = 98.0665
N_PER_US_TON = 2000.0 * 4.4482216
MM2_PER_IN2 = 25.4**2


def test_the_examples_in_the_docstrings_hold() -> None:
    found = doctest.testmod(clamp)
    assert found.failed == 0
    assert found.attempted > 1


def test_abs_of_40_cm2_asks_for_12_to_16_tonnes() -> None:
    """CLAMP-J's 0.30 to 0.40 t/cm2: 118 to 157 kN, times 1.0 to 1.2; worked by hand."""
    force = clamp_force(4000.0, pressure=Span(least=0.30 * MPA_PER_T_CM2, most=0.40 * MPA_PER_T_CM2))
    assert force.least / 1000.0 == pytest.approx(118.0, abs=0.5)
    assert force.most / 1000.0 / FACTOR.most == pytest.approx(157.0, abs=0.5)


def test_a_press_of_250_tons_less_a_tenth_holds_112_square_inches_of_polyethylene() -> None:
    """A mould maker's clamping note: 225 tons over 2 ton/in2 are 112.5 in2, 4000 psi or 28 MPa in the cavity."""
    pressure = 2.0 * N_PER_US_TON / MM2_PER_IN2
    assert pressure == pytest.approx(28.0, abs=0.5)
    held = largest_area(0.9 * 250.0 * N_PER_US_TON, pressure=Span(least=pressure, most=pressure))
    assert held.most / MM2_PER_IN2 == pytest.approx(112.5)
    assert held.least / MM2_PER_IN2 == pytest.approx(112.5 / 1.2)


@given(st.floats(10.0, 1e5), st.floats(5.0, 50.0), st.floats(0.0, 30.0))
def test_a_press_holds_the_area_that_asks_for_its_force(area: float, least: float, more: float) -> None:
    pressure = Span(least=least, most=least + more)
    force = clamp_force(area, pressure=pressure)
    assert largest_area(force.most, pressure=pressure).least == pytest.approx(area)
    assert largest_area(force.least, pressure=pressure).most == pytest.approx(area)
