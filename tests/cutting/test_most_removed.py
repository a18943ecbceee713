"""Depth and width are those that remove most: no other that the same limits bear removes more."""

import itertools
import math
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting import CutKind, cutting_data
from camplan.cutting.bending import BEARABLE, ELASTICITY, beam, compliance, highest_stress
from camplan.cutting.limits import power_at

WORN = 1.3


def peak(cutter: Cutter, *, material: Material, chip: float, depth: float, width: float) -> float:
    """Highest force of a worn edge in the plane over a turn, by slices; apart from the code under test."""
    assert material.kc11 is not None
    assert material.mc is not None
    entry = math.pi - math.acos(max(1.0 - 2.0 * width / cutter.diameter, -1.0))
    z = (np.arange(60) + 0.5) * depth / 60
    places = np.arange(60)[:, None, None] / 60
    teeth = np.arange(cutter.teeth)[None, :, None] / cutter.teeth
    phi = np.mod(2.0 * math.pi * (places + teeth) - 2.0 * z * math.tan(cutter.helix) / cutter.diameter, 2.0 * math.pi)
    h = np.where((phi >= entry) & (phi <= math.pi), chip * np.maximum(np.sin(phi), 0.0), 0.0)
    force = material.kc11 * h ** (1.0 - material.mc) * depth / 60
    x = np.sum(force * (-np.cos(phi) - 0.4 * np.sin(phi)), axis=(1, 2))
    y = np.sum(force * (np.sin(phi) - 0.4 * np.cos(phi)), axis=(1, 2))
    return WORN * float(np.max(np.hypot(x, y)))


def borne(
    cutter: Cutter, *, material: Material, machine: Machine, rpm: float, chip: float, depth: float, width: float
) -> bool:
    """Whether bending, root stress and mean power of one cut are within what the cutter and the mill bear."""
    assert material.kc11 is not None
    assert material.mc is not None
    pieces = beam(cutter, overhang=max(cutter.stick_out, depth))
    gives = compliance(pieces, elasticity=ELASTICITY[cutter.tool_material]) + 1.0 / (1000.0 * machine.stiffness)
    force = peak(cutter, material=material, chip=chip, depth=depth, width=width)
    uneven = (min(chip + machine.run_out, cutter.teeth * chip) / chip) ** (1.0 - material.mc)
    arc = math.acos(max(1.0 - 2.0 * width / cutter.diameter, -1.0))
    phi = np.linspace(0.0, arc, 400)
    torque = np.trapezoid(material.kc11 * depth * (chip * np.sin(phi)) ** (1.0 - material.mc), phi)
    power = WORN * cutter.teeth * float(torque) * cutter.diameter / 2.0 / 1000.0 * rpm / 60.0
    return (
        force * gives <= min(0.05, material.finish_wall / 2.0)
        and force * uneven * highest_stress(pieces) <= BEARABLE[cutter.tool_material]
        and power <= power_at(machine, rpm=rpm)
    )


@settings(max_examples=12, deadline=None)
@given(
    name=st.sampled_from(["slot-2", "slot-3", "slot-6", "end-6", "end-10", "slot-12"]),
    material=st.sampled_from(["brass", "mild-steel", "bronze", "grey-iron", "stainless"]),
    machine=st.sampled_from(["bench-mill", "gantry-router", "rigid-mill"]),
    kind=st.sampled_from([CutKind.SLOT, CutKind.SIDE]),
)
def test_no_narrower_shallower_or_thinner_cut_removes_more(
    library: Any, name: str, material: str, machine: str, kind: CutKind
) -> None:
    cutter, stuff, mill = library.shelf[name], library.materials[material], library.machines[machine]
    found = cutting_data(cutter, material=stuff, machine=mill, kind=kind, depth=8.0)
    if found.findings:
        return
    chosen = found.step_down * found.step_over * found.feed
    custom = stuff.slot_depth_ratio if kind is CutKind.SLOT else stuff.side_depth_ratio
    deepest = min(custom * cutter.diameter, cutter.flute_length)
    widths = [found.step_over] if kind is CutKind.SLOT else [share * found.step_over for share in (1.0, 0.7, 0.4)]
    for width, thinner, deep in itertools.product(widths, (1.0, 0.8, 0.6), np.linspace(0.1, 1.0, 10).tolist()):
        raised = math.sqrt(found.step_over * (cutter.diameter - found.step_over))
        raised /= math.sqrt(max(width * (cutter.diameter - width), 1e-9))
        chip = found.chip * thinner * (1.0 if kind is CutKind.SLOT else raised)
        rate = deep * deepest * width * chip * cutter.teeth * found.rpm
        if rate > 1.06 * chosen and deep * deepest <= max(found.step_down, _customary(found)):
            assert not borne(
                cutter, material=stuff, machine=mill, rpm=found.rpm, chip=chip, depth=deep * deepest, width=width
            ), (width, chip, deep * deepest)


def _customary(found: Any) -> float:
    """The depth that custom, the overhang and the flutes allow: where one of them set it, what is planned."""
    reason = next(reason for reason in found.reasons if reason.figure == "step_down")
    return math.inf if reason.sentence.partition(": ")[2].startswith("deeper would") else float(found.step_down)


def test_a_deeper_slot_than_planned_would_bend_too_far(library: Any) -> None:
    cutter, stuff, mill = library.shelf["slot-6"], library.materials["mild-steel"], library.machines["gantry-router"]
    found = cutting_data(cutter, material=stuff, machine=mill, kind=CutKind.SLOT, depth=8.0)
    same = {"material": stuff, "machine": mill, "rpm": found.rpm, "chip": found.chip, "width": cutter.diameter}
    if _customary(found) is math.inf:
        assert not borne(cutter, depth=found.step_down * 1.1, **same)
    assert borne(cutter, depth=found.step_down * 0.97, **same)
