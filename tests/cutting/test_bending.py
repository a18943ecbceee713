"""Bending and stress against a beam integrated step by step."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import radius
from camplan.cutting.bending import FLUTED, Piece, beam, compliance, highest_stress, slenderness


def tip_way(diameter_at: np.ndarray, x: np.ndarray, *, elasticity: float) -> float:
    """Way of the tip a newton: curvature M/EI summed twice from the collet, by trapezoids (no energy theorem)."""
    curvature = x / (elasticity * math.pi * diameter_at**4 / 64.0)
    from_collet, bends = (x[-1] - x)[::-1], curvature[::-1]
    slope = np.concatenate([[0.0], np.cumsum((bends[1:] + bends[:-1]) / 2.0 * np.diff(from_collet))])
    return float(np.trapezoid(slope, from_collet))


@settings(max_examples=25, deadline=None)
@given(fluted=st.floats(1.0, 12.0), length=st.floats(2.0, 25.0), shank=st.floats(3.0, 12.0), more=st.floats(2.0, 30.0))
def test_two_diameters_bend_as_the_beam_integrated_twice(
    fluted: float, length: float, shank: float, more: float
) -> None:
    pieces = (
        Piece(start=0.0, end=length, diameter_start=fluted, diameter_end=fluted),
        Piece(start=length, end=length + more, diameter_start=shank, diameter_end=shank),
    )
    x = np.concatenate([np.linspace(0.0, length, 4001), np.linspace(length, length + more, 4001)])
    wide = np.concatenate([np.full(4001, fluted), np.full(4001, shank)])
    found = compliance(pieces, elasticity=600_000.0)
    assert found == pytest.approx(tip_way(wide, x, elasticity=600_000.0), rel=1e-4)


def test_a_taper_bends_as_its_own_cone_integrated_twice(shelf: dict[str, Cutter]) -> None:
    taper = shelf["taper-3deg-2"]
    x = np.concatenate([np.linspace(0.0, taper.flute_length, 20_001), np.linspace(taper.flute_length, 20.0, 2001)])
    wide = np.concatenate([2.0 * FLUTED * radius(taper, height=x[:20_001]), np.full(2001, taper.shank_diameter)])
    found = compliance(beam(taper, overhang=20.0), elasticity=580_000.0)
    assert found == pytest.approx(tip_way(wide, x, elasticity=580_000.0), rel=1e-4)


def test_the_root_of_an_even_bar_bears_the_printed_stress() -> None:
    """sigma = 32 F L / (pi d^3), beam theory: 6 mm, 20 mm, 50 N gives 47.2 N/mm2."""
    bar = (Piece(start=0.0, end=20.0, diameter_start=6.0, diameter_end=6.0),)
    assert 50.0 * highest_stress(bar) == pytest.approx(32.0 * 50.0 * 20.0 / (math.pi * 6.0**3))
    assert 50.0 * highest_stress(bar) == pytest.approx(47.2, abs=0.05)


def test_the_weakest_place_of_a_small_cutter_is_where_its_flutes_end(shelf: dict[str, Cutter]) -> None:
    small = shelf["slot-2"]
    at_flutes = 32.0 * small.flute_length / (math.pi * (FLUTED * 2.0) ** 3)
    at_neck = 32.0 * small.reach / (math.pi * 1.9**3)
    assert highest_stress(beam(small, overhang=18.0)) == pytest.approx(max(at_flutes, at_neck))


def test_slenderness_of_an_even_fluted_bar_is_its_length_in_diameters() -> None:
    bar = (Piece(start=0.0, end=24.0, diameter_start=FLUTED * 6.0, diameter_end=FLUTED * 6.0),)
    bends = compliance(bar, elasticity=580_000.0)
    assert slenderness(bends, diameter=6.0, elasticity=580_000.0) == pytest.approx(4.0)


def test_a_thick_shank_makes_a_small_cutter_less_slender_than_its_stick_out(shelf: dict[str, Cutter]) -> None:
    small = shelf["slot-2"]
    bends = compliance(beam(small, overhang=small.stick_out), elasticity=580_000.0)
    assert small.reach / 2.0 > slenderness(bends, diameter=2.0, elasticity=580_000.0) > small.flute_length / 2.0


@settings(max_examples=40, deadline=None)
@given(data=st.data(), more=st.floats(0.1, 40.0))
def test_a_longer_overhang_bends_and_stresses_no_less(
    shelf: dict[str, Cutter], data: st.DataObject, more: float
) -> None:
    cutter = shelf[data.draw(st.sampled_from(sorted(shelf)))]
    load = 0.1 if cutter.tip_diameter == 0.0 or cutter.tip_diameter < 0.5 else 0.0
    near = beam(cutter, overhang=cutter.stick_out, load_height=load)
    far = beam(replace(cutter, stick_out=cutter.stick_out + more), overhang=cutter.stick_out + more, load_height=load)
    assert compliance(far, elasticity=1.0) > compliance(near, elasticity=1.0) > 0.0
    assert highest_stress(far) >= highest_stress(near) > 0.0
