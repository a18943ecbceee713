"""Cooling time against a worked example and against the temperature field worked out by its series."""

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.catalogue.plastics import Span, Thermal
from camplan.moulding import cooling
from camplan.moulding.cooling import CENTRE, MEAN, Heat, cooling_time, shortest_and_longest, slower

ABS = Heat(melt=230.0, mould=60.0, ejection=90.0)


def test_the_examples_in_the_docstrings_hold() -> None:
    found = doctest.testmod(cooling)
    assert found.failed == 0
    assert found.attempted > 2


@pytest.mark.parametrize(("wall", "constant", "seconds"), [(2.0, MEAN, 3.34), (2.0, CENTRE, 4.33), (4.0, MEAN, 13.36)])
def test_a_wall_of_abs_cools_as_worked_out(wall: float, constant: float, seconds: float) -> None:
    """Form of Ballman and Shusman 1959; diffusivity from Crawford, Plastics Engineering, table 1.8; worked by hand."""
    found = cooling_time(wall, diffusivity=0.185, heat=ABS, constant=constant)
    assert found == pytest.approx(seconds, abs=0.006)


@pytest.mark.parametrize("constant", [MEAN, CENTRE])
def test_the_temperature_is_then_that_of_ejection_by_the_whole_series(constant: float) -> None:
    """A slab with both faces held at the mould's temperature, Carslaw and Jaeger, Conduction of Heat in Solids, 3.3:
    the mean is sum 8/(pi n)^2 exp(-n^2 pi^2 a t / s^2), the middle sum 4/(pi n) sin(n pi / 2) exp(...), n odd."""
    wall, diffusivity = 2.0, 0.185
    seconds = cooling_time(wall, diffusivity=diffusivity, heat=ABS, constant=constant)
    odd = np.arange(1, 200, 2)
    fade = np.exp(-(odd**2) * math.pi**2 * diffusivity * seconds / wall**2)
    terms = 8.0 / (math.pi * odd) ** 2 if constant == MEAN else 4.0 / (math.pi * odd) * np.sin(odd * math.pi / 2.0)
    temperature = ABS.mould + (ABS.melt - ABS.mould) * float(np.sum(terms * fade))
    assert temperature == pytest.approx(ABS.ejection, abs=0.1)


@given(st.floats(0.5, 8.0), st.floats(1.1, 4.0))
def test_time_grows_with_the_square_of_the_wall(wall: float, times: float) -> None:
    one = cooling_time(wall, diffusivity=0.1, heat=ABS, constant=MEAN)
    assert cooling_time(times * wall, diffusivity=0.1, heat=ABS, constant=MEAN) == pytest.approx(times**2 * one)


@given(st.floats(205.0, 280.0), st.floats(20.0, 75.0))
def test_hotter_melts_and_moulds_take_longer(melt: float, mould: float) -> None:
    def seconds(melt: float, mould: float) -> float:
        heat = Heat(melt=melt, mould=mould, ejection=90.0)
        return cooling_time(2.0, diffusivity=0.1, heat=heat, constant=CENTRE)

    assert seconds(melt + 5.0, mould) > seconds(melt, mould)
    assert seconds(melt, mould + 5.0) > seconds(melt, mould)


@pytest.mark.parametrize(
    "heat",
    [
        Heat(melt=230.0, mould=95.0, ejection=90.0),
        Heat(melt=85.0, mould=60.0, ejection=90.0),
        Heat(melt=230.0, mould=90.0, ejection=90.0),
    ],
)
def test_a_moulding_cannot_leave_colder_than_its_mould_or_hotter_than_its_melt(heat: Heat) -> None:
    with pytest.raises(ValueError, match="cools"):
        cooling_time(2.0, diffusivity=0.1, heat=heat, constant=MEAN)


def test_of_two_diffusivities_the_smaller_counts() -> None:
    assert slower(Thermal(diffusivity=0.110, printed=0.065, source="")) == 0.065
    assert slower(Thermal(diffusivity=0.120, printed=0.157, source="")) == 0.120
    assert slower(Thermal(diffusivity=0.124, printed=None, source="")) == 0.124


def test_a_mould_is_kept_colder_than_what_leaves_it() -> None:
    found = shortest_and_longest(Span(least=204.0, most=260.0), mould=Span(least=21.0, most=85.0), ejection=80.0)
    assert found == (
        Heat(melt=204.0, mould=21.0, ejection=80.0),
        Heat(melt=260.0, mould=70.0, ejection=80.0),
    )


@pytest.mark.parametrize("ejection", [25.0, 204.0, 300.0])
def test_there_is_no_time_for_an_ejection_outside_the_ranges(ejection: float) -> None:
    span = Span(least=21.0, most=49.0)
    assert shortest_and_longest(Span(least=204.0, most=260.0), mould=span, ejection=ejection) is None
