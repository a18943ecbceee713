"""An area is cleared by rings or by fronts, whichever is quicker within the same limits, and both are said."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue import load_machine, load_material, load_shelf
from camplan.cutting.records import CutKind
from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.operations import pace
from camplan.operations.evenly import NEAR, quicker
from camplan.operations.fits import filled, fit
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose, Way
from camplan.operations.shop import Shop, furnished, why
from camplan.units import Mm

NOWHERE = Path("/nowhere")
SHELF = load_shelf(("slot-6", "slot-3"), beside=NOWHERE).cutters
MACHINE = load_machine("bench-mill", beside=NOWHERE).machine


def shop(material: str, *, both_ways: bool = True) -> Shop:
    stuff = load_material(material, beside=NOWHERE).material
    return furnished(tuple(SHELF.values()), material=stuff, machine=MACHINE, both_ways=both_ways)


def chosen(depth: Mm, *, shop: Shop, cutter: str = "slot-6", size: Mm = 40.0) -> tuple[Operation, float]:
    """What is taken for a square pocket, and the seconds that rings take."""
    square = ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    tool = SHELF[cutter]
    data = shop.data_for(tool, CutKind.ROUGH, depth, None)
    one = fit(tool, filled=filled(tool.diameter, want=[(np.array(square),)]), step_over=data.step_over)
    assert one is not None
    spec = PocketSpec(
        name="well",
        layer="W",
        top=0.0,
        depth=depth,
        draft=0.0,
        nominal="top",
        allowance=0.0,
        finish=None,
        corner=None,
        tolerance=0.03,
        cutters=(),
    )
    rings = Operation(
        feature=Feature(spec=spec, top=0.0, bottom=depth, through=False, break_through=0.0),
        purpose=Purpose.ROUGH,
        part=Part.AREA,
        cutter=tool,
        data=data,
        levels=even_levels(0.0, bottom=-depth, step_down=data.step_down),
        stay=0.2,
        reasons=(why("cutter", "clears it from the full"), *data.reasons),
    )
    seconds = pace.area_seconds(one, data=data, levels=rings.levels, top=0.0, machine=MACHINE)
    return quicker(rings, one=one, top=0.0, seconds=seconds, shop=shop), seconds


def test_a_deep_pocket_is_cleared_deep_and_narrow() -> None:
    found, seconds = chosen(12.0, shop=shop("aluminium-6082"))
    assert found.way is Way.FRONTS_BOTH_WAYS
    assert found.levels == (-12.0,)
    assert found.data.step_over < 0.2 * 6.0
    assert found.expected <= NEAR * seconds
    assert found.instead is not None
    assert found.instead.way is Way.RINGS


def test_a_shallow_one_is_cleared_ring_by_ring() -> None:
    found, seconds = chosen(2.0, shop=shop("aluminium-6082"))
    assert found.way is Way.RINGS
    assert found.expected == seconds


@pytest.mark.parametrize("depth", [2.0, 12.0])
def test_what_is_not_taken_is_said_with_its_time(depth: Mm) -> None:
    found, seconds = chosen(depth, shop=shop("aluminium-6082"))
    (said,) = [reason.sentence for reason in found.reasons if reason.figure == "way"]
    assert "fronts of" in said
    assert "rings of" in said
    assert f"take {seconds:.0f} s" in said
    first, second = said.split("; ")
    assert first.startswith("rings") == (found.way is Way.RINGS)
    assert second.startswith("rings") != first.startswith("rings")


def test_where_no_force_is_known_nothing_is_held_against_the_rings() -> None:
    found, _ = chosen(12.0, shop=shop("acetal"))
    assert found.way is Way.RINGS
    assert not [reason for reason in found.reasons if reason.figure == "way"]


def test_climbing_alone_takes_longer_than_both_ways() -> None:
    alone, _ = chosen(12.0, shop=shop("aluminium-6082", both_ways=False))
    both, _ = chosen(12.0, shop=shop("aluminium-6082"))
    assert alone.way is not Way.FRONTS_BOTH_WAYS
    if alone.way is Way.FRONTS:
        assert both.expected < alone.expected


@settings(max_examples=15, deadline=None)
@given(depth=st.floats(1.0, 13.0), cutter=st.sampled_from(["slot-6", "slot-3"]), size=st.floats(15.0, 80.0))
def test_what_is_taken_never_takes_longer_and_goes_down_all_the_way(depth: float, cutter: str, size: float) -> None:
    deep = min(depth, SHELF[cutter].reach)
    found, seconds = chosen(deep, shop=shop("aluminium-6082"), cutter=cutter, size=size)
    assert found.expected <= NEAR * seconds
    assert math.isclose(found.levels[-1], -deep)
    if found.way is not Way.RINGS:
        assert max(-b + a for a, b in zip((0.0, *found.levels), found.levels, strict=False)) <= (
            found.data.step_down + 0.011
        )
        assert not found.data.findings


def test_rings_keep_all_else_that_they_were_given() -> None:
    found, seconds = chosen(2.0, shop=shop("aluminium-6082"))
    again = replace(found, expected=0.0)
    assert again.stay == 0.2
    assert again.purpose is Purpose.ROUGH
    assert seconds > 0.0
