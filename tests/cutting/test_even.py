"""Cutting data for clearing by fronts: nearly all moments within every limit, single ones without breaking the cutter.

Forces are worked out by slices, apart from the code under test (`test_most_removed.peak`).
"""

import importlib.util
import math
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting.bending import BEARABLE, ELASTICITY, beam, compliance, highest_stress
from camplan.cutting.data import capped_data
from camplan.cutting.limits import power_at
from camplan.cutting.records import CutKind, CuttingData


def module(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(found)
    return found


SLICES = module("test_most_removed")


def even(
    cutter: Cutter, *, material: Material, machine: Machine, share: float, depth: float, level: float
) -> CuttingData:
    return capped_data(
        cutter,
        material=material,
        machine=machine,
        kind=CutKind.EVEN,
        depth=depth,
        width=share * cutter.diameter,
        deepest=level,
    )


def width(cutter: Cutter, *, arc: float) -> float:
    return cutter.diameter * (1.0 - math.cos(min(arc, math.pi))) / 2.0


@settings(max_examples=30, deadline=None)
@given(
    share=st.floats(0.05, 0.45),
    depth=st.floats(1.0, 10.0),
    levels=st.integers(1, 4),
    name=st.sampled_from(["slot-2", "slot-3", "slot-4", "slot-6"]),
    of=st.sampled_from(["aluminium-6082", "mild-steel", "brass"]),
    mill=st.sampled_from(["bench-mill", "rigid-mill", "gantry-router"]),
)
def test_a_front_is_within_every_limit_at_its_usual_arc_and_breaks_nothing_at_its_highest(
    shelf: dict[str, Cutter],
    materials: dict[str, Material],
    machines: dict[str, Machine],
    share: float,
    depth: float,
    levels: int,
    name: str,
    of: str,
    mill: str,
) -> None:
    cutter, material, machine = shelf[name], materials[of], machines[mill]
    data = even(cutter, material=material, machine=machine, share=share, depth=depth, level=depth / levels)
    if data.findings:
        return
    arc = math.acos(1.0 - 2.0 * share)
    usual, highest = width(cutter, arc=arc + math.radians(5.0)), width(cutter, arc=arc + math.radians(25.0))
    pieces = beam(cutter, overhang=max(cutter.stick_out, depth))
    gives = compliance(pieces, elasticity=ELASTICITY[cutter.tool_material]) + 1.0 / (1000.0 * machine.stiffness)

    def force(wide: float) -> float:
        found: float = SLICES.peak(cutter, material=material, chip=data.chip, depth=data.step_down, width=wide)
        return found

    assert force(usual) * gives <= 1.1 * min(0.05, material.finish_wall / 2.0)
    assert material.mc is not None
    uneven = (min(data.chip + machine.run_out, cutter.teeth * data.chip) / data.chip) ** (1.0 - material.mc)
    assert force(highest) * uneven * highest_stress(pieces) <= 1.1 * BEARABLE[cutter.tool_material]
    assert data.power is not None
    assert data.power <= power_at(machine, rpm=data.rpm) + 1e-6
    assert data.step_down <= min(cutter.flute_length, depth / levels) + 1e-9
    assert data.feed <= machine.feed_max


def test_narrower_fronts_are_fed_faster_as_their_chips_thin(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    """hmax = fz sin(phi) below half width (Martellotti 1941): the feed rises by what the arc thins the chip."""
    cutter, material, machine = shelf["slot-6"], materials["aluminium-6082"], machines["rigid-mill"]
    wide, narrow = (
        even(cutter, material=material, machine=machine, share=share, depth=1.0, level=0.5) for share in (0.3, 0.12)
    )
    ratio = math.sin(math.acos(0.4) + math.radians(5.0)) / math.sin(math.acos(0.76) + math.radians(5.0))
    assert narrow.chip / wide.chip == pytest.approx(ratio, rel=0.02)


def test_fronts_may_be_deeper_the_narrower_they_are(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    cutter, material, machine = shelf["slot-6"], materials["aluminium-6082"], machines["bench-mill"]
    narrow, wide = (
        even(cutter, material=material, machine=machine, share=share, depth=12.0, level=12.0) for share in (0.1, 0.4)
    )
    assert narrow.step_down == 12.0
    assert wide.step_down < 6.0
