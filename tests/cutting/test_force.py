"""Forces against sums over thin slices, worked out apart from the code under test."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import ForceCoefficients
from camplan.cutting.force import cutting_power, torque_of, unit_peaks
from camplan.cutting.mechanistic import mean_torque, slot_forces


def sliced(
    *, depth: float, diameter: float, width: float, teeth: int, helix: float, mc: float, turns: int = 360
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Forces along and across the feed and torque at ``turns`` places of a turn, summed over slices of 1/2000 of the
    depth, for dFt = h**(1-mc) dz and dFr = 0.4 dFt, down milling: entry at pi - phi_e, exit at pi."""
    entry = math.pi - math.acos(1.0 - 2.0 * min(width, diameter) / diameter)
    slices = 2000
    z = (np.arange(slices) + 0.5) * depth / slices
    x, y, torque = np.zeros(turns), np.zeros(turns), np.zeros(turns)
    for place in range(turns):
        for tooth in range(teeth):
            phi = 2.0 * math.pi * (place / turns + tooth / teeth) - z * math.tan(helix) / (diameter / 2.0)
            phi = np.mod(phi, 2.0 * math.pi)
            cuts = (phi >= entry) & (phi <= math.pi)
            h = np.where(cuts, np.maximum(np.sin(phi), 0.0), 0.0)
            tangential = h ** (1.0 - mc) * (depth / slices)
            radial = 0.4 * tangential
            x[place] += float(np.sum(-tangential * np.cos(phi) - radial * np.sin(phi)))
            y[place] += float(np.sum(tangential * np.sin(phi) - radial * np.cos(phi)))
            torque[place] += float(np.sum(tangential)) * diameter / 2.0
    return x, y, torque


@pytest.mark.parametrize(
    ("depth", "diameter", "width", "teeth", "helix_deg"),
    [(2.0, 6.0, 6.0, 2, 30.0), (13.0, 6.0, 0.2, 2, 30.0), (10.0, 6.0, 1.5, 4, 40.0), (0.3, 1.0, 0.45, 2, 0.0)],
)
def test_peaks_are_those_of_thin_slices(
    depth: float, diameter: float, width: float, teeth: int, helix_deg: float
) -> None:
    helix = math.radians(helix_deg)
    x, y, _ = sliced(depth=depth, diameter=diameter, width=width, teeth=teeth, helix=helix, mc=0.25)
    peaks = unit_peaks(np.array([depth]), diameter=diameter, width=width, teeth=teeth, helix=helix, mc=0.25)
    assert peaks.resultant[0] == pytest.approx(float(np.max(np.hypot(x, y))), rel=0.01)
    assert peaks.normal[0] == pytest.approx(float(np.max(np.abs(y))), rel=0.01)


@pytest.mark.parametrize(("width", "teeth"), [(6.0, 2), (1.5, 3), (0.3, 4)])
def test_power_is_that_of_the_mean_torque_of_thin_slices_within_the_mean_chip_rule(width: float, teeth: int) -> None:
    _, _, torque = sliced(depth=2.0, diameter=6.0, width=width, teeth=teeth, helix=math.radians(30.0), mc=0.25)
    exact = 800.0 * 0.03**0.75 * float(np.mean(torque))
    power = cutting_power(0.03, kc11=800.0, mc=0.25, diameter=6.0, depth=2.0, width=width, teeth=teeth, rpm=12_000.0)
    assert 0.0 <= torque_of(power, rpm=12_000.0) / exact - 1.0 < 0.045


@example(diameter=1.0, share=1.0, teeth=1, helix=2.220446049250313e-16, mc=0.25)
@settings(max_examples=25, deadline=None)
@given(
    diameter=st.floats(0.8, 12.0),
    share=st.floats(0.02, 1.0),
    teeth=st.integers(1, 6),
    helix=st.floats(0.0, 0.8),
    mc=st.floats(0.1, 0.4),
)
def test_a_peak_is_no_more_than_every_tooth_cutting_its_thickest_chip_at_once(
    diameter: float, share: float, teeth: int, helix: float, mc: float
) -> None:
    depths = np.linspace(0.05, 1.0, 8) * diameter
    peaks = unit_peaks(depths, diameter=diameter, width=share * diameter, teeth=teeth, helix=helix, mc=mc)
    assert np.all(peaks.resultant <= teeth * depths * math.hypot(1.0, 0.4) * 1.001)
    assert np.all(peaks.normal <= peaks.resultant + 1e-12)


COEFFICIENTS = ForceCoefficients(ktc=631.0, kte=13.0, krc=99.0, kre=10.0, kac=273.0, kae=2.8, source="CJME-2021")


def test_slot_averages_are_the_mean_over_the_arc() -> None:
    """Altintas, Manufacturing Automation, ch. 2, up milling from 0 to pi: integrated numerically."""
    phi = np.linspace(0.0, math.pi, 100_001)
    h = 0.03 * np.sin(phi)
    tangential, radial = 631.0 * h + 13.0, 99.0 * h + 10.0
    axial = 273.0 * h + 2.8
    share = 2 * 2.0 / (2.0 * math.pi)
    forces = slot_forces(COEFFICIENTS, chip=0.03, depth=2.0, diameter=6.0, teeth=2)
    along = -tangential * np.cos(phi) - radial * np.sin(phi)
    across = tangential * np.sin(phi) - radial * np.cos(phi)
    assert forces.along == pytest.approx(share * float(np.trapezoid(along, phi)), rel=1e-6)
    assert forces.across == pytest.approx(share * float(np.trapezoid(across, phi)), rel=1e-6)
    assert forces.axial == pytest.approx(share * float(np.trapezoid(axial, phi)), rel=1e-6)
    assert forces.torque == pytest.approx(3.0 * share * float(np.trapezoid(tangential, phi)), rel=1e-6)


def test_the_mean_torque_of_a_narrow_cut_is_the_mean_over_its_arc() -> None:
    phi = np.linspace(0.0, math.acos(1.0 - 2.0 * 0.5 / 6.0), 100_001)
    share = 3 * 4.0 / (2.0 * math.pi)
    exact = 3.0 * share * float(np.trapezoid(631.0 * 0.05 * np.sin(phi) + 13.0, phi))
    found = mean_torque(COEFFICIENTS, chip=0.05, depth=4.0, diameter=6.0, width=0.5, teeth=3)
    assert found == pytest.approx(exact, rel=1e-6)
