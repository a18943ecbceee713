"""Worked examples from print.

Each names its source and status: printed (the answer was read in the source), from memory (a published answer quoted
from memory), or worked (worked from a published formula that is named).
"""

import math

import numpy as np
import pytest

from camplan.catalogue.records import ForceCoefficients
from camplan.cutting.bending import FLUTED, Piece, compliance
from camplan.cutting.chip import engagement, mean_chip, thickest_chip, thinned
from camplan.cutting.drilling import drill_torque
from camplan.cutting.entry import centre_feed, helix_angle, scallop, step_for_scallop
from camplan.cutting.force import (
    cutting_power,
    mean_force_of,
    power_of,
    removal_rate,
    specific_force,
    torque_of,
)
from camplan.cutting.mechanistic import slot_forces
from camplan.cutting.speed import spindle_speed, surface_speed

M_MIN_PER_FT_MIN = 0.3048


def test_one_inch_cutter_in_aluminium_by_hand_oiling() -> None:
    """UF-DML example 2A, printed: 955 rpm, at 60 % 570 rpm and about 18 in/min."""
    rpm = spindle_speed(250.0 * M_MIN_PER_FT_MIN, diameter=25.4)
    assert rpm == pytest.approx(955.0, abs=0.5)
    assert 0.6 * rpm == pytest.approx(570.0, abs=5.0)
    assert pytest.approx(18.0, abs=0.5) == 0.008 * 4 * 570.0


def test_a_slot_of_30_mm_with_eight_teeth() -> None:
    """El-Hofy, Fundamentals of Machining Processes, 2nd ed., p. 189, printed: 150 rpm, 14.13 m/min (pi taken as 3.14),
    1019 N, 0.24 kW."""
    rpm = 120.0 / (0.1 * 8)
    assert rpm == pytest.approx(150.0)
    assert surface_speed(rpm, diameter=30.0) == pytest.approx(14.13, abs=0.01)
    power = power_of(removal_rate(120.0, depth=4.0, width=30.0), specific=1000.0)
    assert power == pytest.approx(240.0)
    assert mean_force_of(power, surface_speed=14.13) == pytest.approx(1019.0, abs=0.5)


def test_slab_milling_of_mild_steel() -> None:
    """Kalpakjian and Schmid, slab-milling example, from memory: 150 000 mm3/min, 7.5 kW, 716 N m."""
    feed = 0.25 * 100.0 * 20
    removal = removal_rate(feed, depth=3.0, width=100.0)
    power = power_of(removal, specific=3000.0)
    assert (feed, removal, power) == (500.0, 150_000.0, 7500.0)
    assert torque_of(power, rpm=100.0) / 1000.0 == pytest.approx(716.0, abs=0.5)


def test_face_milling_of_high_strength_aluminium() -> None:
    """Kalpakjian and Schmid, face-milling example, from memory: 108 000 mm3/min, 1.98 kW."""
    removal = removal_rate(600.0, depth=3.0, width=60.0)
    assert removal == 108_000.0
    assert power_of(removal, specific=1100.0) / 1000.0 == pytest.approx(1.98)


def test_face_milling_with_three_quarters_engaged() -> None:
    """Kalpakjian and Schmid, chapter 24 problem; problem text printed, answer worked: 101 250 mm3/min, 8.44 kW."""
    removal = removal_rate(0.125 * 8 * 300.0, depth=3.0, width=0.75 * 150.0)
    assert removal == 101_250.0
    assert power_of(removal, specific=5000.0) / 1000.0 == pytest.approx(8.44, abs=0.005)


def test_drilling_magnesium() -> None:
    """Kalpakjian and Schmid, drilling example, from memory: 12 570 mm3/min, 105 W, 1.25 N m."""
    removal = math.pi * 10.0**2 / 4.0 * 0.2 * 800.0
    assert removal == pytest.approx(12_570.0, abs=10.0)
    power = power_of(removal, specific=500.0)
    assert power == pytest.approx(105.0, abs=0.5)
    assert torque_of(power, rpm=800.0) / 1000.0 == pytest.approx(1.25, abs=0.005)
    assert drill_torque(0.2, diameter=10.0, specific=500.0) / 1000.0 == pytest.approx(1.25, abs=0.005)


def test_peripheral_milling() -> None:
    """Groover, Fundamentals of Modern Manufacturing, from memory: 279 rpm, 348 mm/min, 104 400 mm3/min."""
    rpm = spindle_speed(70.0, diameter=80.0)
    assert rpm == pytest.approx(279.0, abs=0.6)
    feed = 0.25 * 5 * rpm
    assert feed == pytest.approx(348.0, abs=0.5)
    assert removal_rate(feed, depth=5.0, width=60.0) == pytest.approx(104_400.0, rel=1e-3)


def test_a_tenth_of_the_diameter_thins_the_chip() -> None:
    """Worked from Martellotti 1941, El-Hofy section 6.3.1 and Altintas: 36.87 degrees, 0.0300, 0.01554 mm; the square
    root rule of cutter catalogues gives 0.0158 mm."""
    assert math.degrees(engagement(10.0, width=1.0)) == pytest.approx(36.87, abs=0.005)
    assert thickest_chip(0.05, diameter=10.0, width=1.0) == pytest.approx(0.0300, abs=5e-5)
    assert mean_chip(0.05, diameter=10.0, width=1.0) == pytest.approx(0.01554, abs=5e-6)
    assert mean_chip(0.05, diameter=10.0, width=1.0) == pytest.approx(0.05 * math.sqrt(0.1), rel=0.02)
    assert thinned(0.03, diameter=10.0, width=1.0) == pytest.approx(0.05)


def test_the_mean_chip_of_a_slot() -> None:
    """Worked, 2 fz / pi: 0.03183 mm."""
    assert mean_chip(0.05, diameter=6.0, width=6.0) == pytest.approx(0.03183, abs=5e-6)


@pytest.mark.parametrize(("thickness", "expected"), [(0.01554, 2266.0), (0.03183, 1894.0)])
def test_specific_force_grows_as_the_chip_thins(thickness: float, expected: float) -> None:
    """Worked from Kienzle 1952 as in Klocke; constants VDI3323."""
    assert specific_force(thickness, kc11=800.0, mc=0.25) == pytest.approx(expected, abs=0.5)


def test_the_power_of_a_side_cut_in_6082() -> None:
    """Worked from Kienzle: phi 60 degrees, hm 0.0191, kc 2152, 232 W, 41 N, 0.123 N m; the exact integral over the arc
    is 224 W, 3.6 % less."""
    assert math.degrees(engagement(6.0, width=1.5)) == pytest.approx(60.0)
    chip = mean_chip(0.04, diameter=6.0, width=1.5)
    assert chip == pytest.approx(0.0191, abs=5e-5)
    assert specific_force(chip, kc11=800.0, mc=0.25) == pytest.approx(2152.0, abs=1.0)
    power = cutting_power(0.04, kc11=800.0, mc=0.25, diameter=6.0, depth=3.0, width=1.5, teeth=2, rpm=18_000.0)
    assert power == pytest.approx(232.0, abs=0.5)
    assert torque_of(power, rpm=18_000.0) / 1000.0 == pytest.approx(0.123, abs=5e-4)
    assert mean_force_of(power, surface_speed=surface_speed(18_000.0, diameter=6.0)) == pytest.approx(41.0, abs=0.1)
    phi = np.linspace(0.0, math.pi / 3.0, 200_001)
    force = 800.0 * 3.0 * (0.04 * np.sin(phi)) ** 0.75
    torque = 2 / (2.0 * math.pi) * 3.0 * float(np.trapezoid(force, phi))
    exact = torque / 1000.0 * 2.0 * math.pi * 18_000.0 / 60.0
    assert exact == pytest.approx(224.0, abs=0.5)
    assert power / exact - 1.0 == pytest.approx(0.036, abs=0.002)


def test_slot_forces_with_edge_forces_in_6082() -> None:
    """Worked from Altintas, Manufacturing Automation, ch. 2, with coefficients printed in Chinese J. Mech. Eng. 2021,
    table 5: -15.70, 35.48, 16.03 N, 150.3 N mm, 236 W, 1.31 W s/mm3."""
    coefficients = ForceCoefficients(ktc=631.0, kte=13.0, krc=99.0, kre=10.0, kac=273.0, kae=2.8, source="CJME-2021")
    forces = slot_forces(coefficients, chip=0.03, depth=2.0, diameter=6.0, teeth=2)
    assert forces.along == pytest.approx(-15.70, abs=0.005)
    assert forces.across == pytest.approx(35.48, abs=0.005)
    assert forces.axial == pytest.approx(16.03, abs=0.005)
    assert forces.torque == pytest.approx(150.3, abs=0.05)
    power = forces.torque / 1000.0 * 2.0 * math.pi * 15_000.0 / 60.0
    assert power == pytest.approx(236.0, abs=0.5)
    removal_mm3_s = removal_rate(0.03 * 2 * 15_000.0, depth=2.0, width=6.0) / 60.0
    assert power / removal_mm3_s == pytest.approx(1.31, abs=0.005)


@pytest.mark.parametrize(("energy", "expected"), [(0.9, 97.0), (1.6, 173.0), (2.7, 292.0)])
def test_power_from_specific_energy(energy: float, expected: float) -> None:
    """Worked with the constants printed in MEDH p. 192 (aluminium, brass, mild steel; W s/mm3): 97, 173, 292 W."""
    assert power_of(6480.0, specific=1000.0 * energy) == pytest.approx(expected, abs=0.5)


def even_bar(diameter: float, length: float) -> tuple[Piece, ...]:
    return (Piece(start=0.0, end=length, diameter_start=diameter, diameter_end=diameter),)


def test_a_carbide_bar_bends_and_a_fluted_one_more() -> None:
    """Worked from beam theory: 3.49 um; with De = 0.8 D (Kops and Vo 1990, printed) 8.53 um, 2.441 times."""
    solid = 50.0 * compliance(even_bar(6.0, 20.0), elasticity=600_000.0)
    fluted = 50.0 * compliance(even_bar(FLUTED * 6.0, 20.0), elasticity=600_000.0)
    assert 1000.0 * solid == pytest.approx(3.49, abs=0.005)
    assert 1000.0 * fluted == pytest.approx(8.53, abs=0.01)
    assert fluted / solid == pytest.approx(2.441, abs=5e-4)


def test_twice_the_overhang_bends_eight_times_as_far() -> None:
    """A cutter maker's training course on end mills, printed: 0.2 becomes 1.6 mm."""
    short, long = (compliance(even_bar(6.0, length), elasticity=600_000.0) for length in (20.0, 40.0))
    assert 0.2 * long / short == pytest.approx(1.6)


def test_a_cutter_of_two_diameters() -> None:
    """Worked by Castigliano for carbide of 580 GPa: 4.85 um under 10 N, 2.06 N/um (4.69 um at 600 GPa)."""
    pieces = (
        Piece(start=0.0, end=10.0, diameter_start=2.4, diameter_end=2.4),
        Piece(start=10.0, end=25.0, diameter_start=6.0, diameter_end=6.0),
    )
    inertia_1, inertia_2 = (math.pi * d**4 / 64.0 for d in (2.4, 6.0))
    printed = (10.0**3 / inertia_1 + (25.0**3 - 10.0**3) / inertia_2) / (3.0 * 580_000.0)
    bends = compliance(pieces, elasticity=580_000.0)
    assert bends == pytest.approx(printed, rel=1e-12)
    assert 10.0 * 1000.0 * bends == pytest.approx(4.85, abs=0.005)
    assert 10.0 * 1000.0 * compliance(pieces, elasticity=600_000.0) == pytest.approx(4.69, abs=0.005)
    assert 1.0 / (1000.0 * bends) == pytest.approx(2.06, abs=0.005)


def test_ridges_of_a_ball() -> None:
    """Worked from plane geometry: 0.01043 mm, s^2/8R = 0.01042; 0.346 mm for ridges of 0.005 mm."""
    assert scallop(3.0, step_over=0.5) == pytest.approx(0.01043, abs=5e-6)
    assert scallop(3.0, step_over=0.5) == pytest.approx(0.25 / 24.0, rel=2e-3)
    assert step_for_scallop(3.0, height=0.005) == pytest.approx(0.346, abs=5e-4)
    assert scallop(3.0, step_over=step_for_scallop(3.0, height=0.005)) == pytest.approx(0.005)


def test_a_helix_into_a_hole() -> None:
    """Worked from plane geometry: 4.55 degrees, 12.606 mm a turn, 600 mm/min at the edge is 240 at the centre."""
    angle = helix_angle(1.0, hole=10.0, cutter=6.0)
    assert math.degrees(angle) == pytest.approx(4.55, abs=0.005)
    assert 1.0 / math.sin(angle) == pytest.approx(12.606, abs=5e-4)
    assert centre_feed(600.0, hole=10.0, cutter=6.0) == pytest.approx(240.0)
