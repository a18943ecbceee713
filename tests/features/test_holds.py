"""Sizes of holes that hold something, from the drawn circle and the table."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.standards import Standards, load_standards
from camplan.features.holds import Fit, Magnet, Refused, Screw, Sized, Thread, nominal_size, sized

STANDARDS: Standards = load_standards(beside=Path("nowhere"))


def made(holds: object, *, drawn: float) -> Sized:
    found = sized(holds, drawn=drawn)  # type: ignore[arg-type]
    assert isinstance(found, Sized)
    return found


def refused(holds: object, *, drawn: float) -> Refused:
    found = sized(holds, drawn=drawn)  # type: ignore[arg-type]
    assert isinstance(found, Refused)
    return found


def test_a_fit_is_aimed_at_the_middle_of_its_limits_and_says_how_to_gauge_it() -> None:
    """6 H7: 6.000 to 6.012 (ISO 286-2)."""
    found = made(Fit(fit=STANDARDS.holes["H7"]), drawn=6.0)
    assert found.diameter == 6.006
    assert found.gauge is not None
    assert found.gauge.words == "6 H7: 6.000 to 6.012, aim 6.006, go 6.000 / no-go 6.012"


def test_half_a_micrometre_of_an_odd_tolerance_is_said() -> None:
    found = made(Fit(fit=STANDARDS.holes["H8"]), drawn=12.0)
    assert found.gauge is not None
    assert "aim 12.0135," in found.gauge.words


@settings(max_examples=60, deadline=None)
@given(nominal=st.floats(1.0, 80.0), name=st.sampled_from(sorted(STANDARDS.holes)))
def test_the_aim_of_every_fit_lies_in_the_middle(nominal: float, name: str) -> None:
    gauge = made(Fit(fit=STANDARDS.holes[name]), drawn=nominal).gauge
    assert gauge is not None
    assert gauge.least < gauge.aim < gauge.most
    assert gauge.aim - gauge.least == pytest.approx(gauge.most - gauge.aim, abs=2e-6)


def test_a_size_outside_the_table_is_refused_with_the_sizes_that_are_known() -> None:
    found = refused(Fit(fit=STANDARDS.holes["H7"]), drawn=90.0)
    assert "H7 is not known for 90 mm" in found.message
    assert "up to 80 mm" in found.accepted


def test_a_dowel_pin_wider_than_iso_8734_has_is_refused() -> None:
    """ISO 8734:1997, scope: 1 to 20 mm."""
    dowel = Fit(fit=STANDARDS.holes["H7"], pin=STANDARDS.pins["m6"], way="press")
    assert made(dowel, drawn=20.0).diameter == 20.0105
    assert "1 to 20 mm" in refused(dowel, drawn=25.0).accepted


@pytest.mark.parametrize("drawn", [5.0, 4.2])
def test_a_thread_is_drilled_for_whether_its_nominal_size_or_its_drill_is_drawn(drawn: float) -> None:
    """M5: 4.2 mm (DIN 336)."""
    assert made(Thread(size=STANDARDS.threads["M5"], depth=None), drawn=drawn).diameter == 4.2


def test_a_circle_that_is_no_size_of_the_thread_is_refused_with_those_that_are() -> None:
    found = refused(Thread(size=STANDARDS.threads["M5"], depth=None), drawn=4.5)
    assert "4.500 mm is not M5" in found.message
    assert found.accepted == "points, or circles of 5 mm (nominal), 4.2 mm (tapping drill)"


@pytest.mark.parametrize("drawn", [5.0, 5.5, 10.0])
def test_a_cap_screw_gets_its_clearance_and_its_heads_bore(drawn: float) -> None:
    """M5: medium clearance 5.5 (ISO 273), head 8.72 at most (ISO 4762), bore 10 (DIN 974-1, from memory)."""
    found = made(Screw(size=STANDARDS.screws["M5"], series="medium", head=5.4), drawn=drawn)
    assert (found.diameter, found.bore) == (5.5, 10.0)


def test_a_screw_without_a_sunk_head_gets_its_clearance_alone() -> None:
    screw = Screw(size=STANDARDS.screws["M4"], series="fine", head=None)
    assert made(screw, drawn=4.0) == Sized(diameter=4.3)
    assert "4.3 mm (fine clearance)" in refused(screw, drawn=8.0).accepted


def test_a_magnets_socket_is_wider_or_narrower_by_its_gap() -> None:
    assert made(Magnet(way="glue", gap=0.1), drawn=8.0).diameter == pytest.approx(8.1)
    assert made(Magnet(way="press", gap=-0.02), drawn=8.0).diameter == pytest.approx(7.98)
    assert "smaller gap_um" in refused(Magnet(way="press", gap=-0.5), drawn=0.4).accepted


def test_only_threads_and_screws_give_a_point_its_size() -> None:
    assert nominal_size(Thread(size=STANDARDS.threads["M5"], depth=None)) == 5.0
    assert nominal_size(Screw(size=STANDARDS.screws["M4"], series="fine", head=None)) == 4.0
    assert nominal_size(Fit(fit=STANDARDS.holes["H7"])) is None
    assert nominal_size(None) is None
