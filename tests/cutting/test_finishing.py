"""A finished wall: bending and the mill's own error within the tolerance, by spring passes if need be."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting import CutKind, CuttingData, cutting_data
from camplan.cutting.bending import ELASTICITY, beam, compliance
from camplan.cutting.finishing import FIRST_MOST, SPRING_SHARE, allowed_bending, own_error
from camplan.findings import Severity


def wall(cutter: Cutter, *, material: Material, machine: Machine, depth: float, tolerance: float | None) -> CuttingData:
    return cutting_data(
        cutter, material=material, machine=machine, kind=CutKind.WALL, depth=depth, width=0.2, tolerance=tolerance
    )


def size_reason(data: CuttingData) -> str:
    return next(reason.sentence for reason in data.reasons if reason.figure == "size_error")


def test_the_mills_own_error_is_half_its_run_out_and_a_step(machines: dict[str, Machine]) -> None:
    """8 um of run-out turn the cutter 4 um about the spindle's axis (plane geometry); 1.25 um a step."""
    assert own_error(machines["bench-mill"]) == pytest.approx(0.00525)


def test_a_short_stout_cutter_needs_one_pass(library: Any) -> None:
    data = wall(
        library.shelf["slot-6"],
        material=library.materials["aluminium-6082"],
        machine=library.machines["bench-mill"],
        depth=4.0,
        tolerance=0.02,
    )
    assert (data.spring_passes, data.step_down) == (0, 4.0)
    assert data.size_error is not None
    assert data.size_error <= 0.02
    assert "with one pass" in size_reason(data)
    assert "20 um are allowed" in size_reason(data)


def test_a_wall_of_a_tight_tolerance_is_walked_twice(library: Any) -> None:
    data = wall(
        library.shelf["end-10"],
        material=library.materials["aluminium-6082"],
        machine=library.machines["bench-mill"],
        depth=6.0,
        tolerance=0.008,
    )
    assert data.spring_passes >= 1
    assert data.step_down == 6.0
    assert data.size_error is not None
    assert data.size_error <= 0.008
    assert "spring pass" in size_reason(data)


def test_a_deep_wall_of_a_slender_cutter_takes_levels_that_its_corners_bear(library: Any) -> None:
    data = wall(
        library.shelf["slot-3"],
        material=library.materials["aluminium-6082"],
        machine=library.machines["bench-mill"],
        depth=9.0,
        tolerance=0.015,
    )
    assert data.step_down < 9.0
    assert data.corner_feed is not None
    assert data.corner_feed > 0.05 * data.feed
    assert data.size_error is not None
    assert data.size_error <= 0.015


def test_what_a_mill_cannot_hold_is_said_with_the_error_to_expect(library: Any) -> None:
    data = wall(
        library.shelf["slot-6"],
        material=library.materials["aluminium-6082"],
        machine=library.machines["belt-mill"],
        depth=4.0,
        tolerance=0.02,
    )
    assert data.size_error is not None
    assert data.size_error > 0.02
    assert [(found.severity, found.code) for found in data.findings if found.code == "tolerance-not-held"] == [
        (Severity.UNMET, "tolerance-not-held")
    ]


def test_without_force_data_no_size_error_is_claimed(library: Any) -> None:
    data = wall(
        library.shelf["slot-6"],
        material=library.materials["acetal"],
        machine=library.machines["bench-mill"],
        depth=4.0,
        tolerance=0.02,
    )
    assert (data.size_error, data.spring_passes) == (None, 0)


def normal_force(cutter: Cutter, *, material: Material, chip: float, depth: float, width: float) -> float:
    """Highest force of a sharp edge square to the wall over a turn, by slices; apart from the code under test."""
    assert material.kc11 is not None
    assert material.mc is not None
    entry = math.pi - math.acos(1.0 - 2.0 * width / cutter.diameter)
    z = (np.arange(600) + 0.5) * depth / 600
    places = np.arange(180)[:, None, None] / 180
    teeth = np.arange(cutter.teeth)[None, :, None] / cutter.teeth
    phi = np.mod(2.0 * math.pi * (places + teeth) - 2.0 * z * math.tan(cutter.helix) / cutter.diameter, 2.0 * math.pi)
    h = np.where((phi >= entry) & (phi <= math.pi), chip * np.maximum(np.sin(phi), 0.0), 0.0)
    force = material.kc11 * h ** (1.0 - material.mc) * depth / 600
    return float(np.max(np.abs(np.sum(force * (np.sin(phi) - 0.4 * np.cos(phi)), axis=(1, 2)))))


@settings(max_examples=20, deadline=None)
@given(
    name=st.sampled_from(["slot-6", "slot-4", "slot-3", "slot-3-long", "end-6-long", "end-8"]),
    material=st.sampled_from(["brass", "mild-steel", "bronze", "grey-iron"]),
    machine=st.sampled_from(["bench-mill", "rigid-mill", "plate-router", "gantry-router"]),
    depth=st.floats(1.0, 20.0),
    tolerance=st.floats(0.012, 0.05),
)
def test_predicted_bending_and_the_mills_own_error_stay_within_the_tolerance_or_it_is_said(
    library: Any, name: str, material: str, machine: str, depth: float, tolerance: float
) -> None:
    cutter, stuff, mill = library.shelf[name], library.materials[material], library.machines[machine]
    data = wall(cutter, material=stuff, machine=mill, depth=depth, tolerance=tolerance)
    assert data.size_error is not None
    assert data.bending is not None
    not_held = any(found.code in ("tolerance-not-held", "cutter-too-weak") for found in data.findings)
    assert not_held or data.size_error <= tolerance * 1.0001
    assert data.bending <= FIRST_MOST * allowed_bending(mill, tolerance=tolerance) * 1.001 or not_held
    # the force model by slices and the beam by Castigliano, once more
    gives = compliance(
        beam(cutter, overhang=max(cutter.stick_out, depth)), elasticity=ELASTICITY[cutter.tool_material]
    ) + 1.0 / (1000.0 * mill.stiffness)
    bends = left = gives * normal_force(cutter, material=stuff, chip=data.chip, depth=data.step_down, width=0.2)
    assert bends <= data.bending * 1.05
    for _ in range(data.spring_passes):
        again = gives * normal_force(cutter, material=stuff, chip=data.chip, depth=data.step_down, width=left)
        left = max(again, SPRING_SHARE * left)
    assert left + mill.run_out / 2.0 + mill.step <= data.size_error * 1.05
