"""Feeds by the engaged arc: what is borne at the step over is borne at every other arc."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting import CutKind, CuttingData, cutting_data
from camplan.cutting.along import Moments, borne
from camplan.cutting.chip import engagement, table_chip
from camplan.cutting.custom import working_diameter
from camplan.cutting.limits import power_at, rough_bending
from camplan.errors import InputError

MARGIN = 1.1
"""Two ways to the same integrals, one of them between tabulated places, agree within a tenth."""
STRAIGHT = (CutterKind.SLOT_DRILL, CutterKind.END_MILL)

Roughed = Callable[..., CuttingData]


@pytest.fixture
def roughed(shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]) -> Roughed:
    def found(cutter: str, *, material: str = "aluminium-6082", machine: str = "bench-mill") -> CuttingData:
        return cutting_data(
            shelf[cutter], material=materials[material], machine=machines[machine], kind=CutKind.ROUGH, depth=6.0
        )

    return found


@settings(max_examples=40, deadline=None)
@given(picked=st.data())
def test_no_arc_asks_more_than_the_cut_was_chosen_for(library: Any, picked: st.DataObject) -> None:
    cutter = picked.draw(st.sampled_from([one for _, one in sorted(library.shelf.items()) if one.kind in STRAIGHT]))
    material = picked.draw(st.sampled_from([one for _, one in sorted(library.materials.items())]))
    machine = picked.draw(st.sampled_from([one for _, one in sorted(library.machines.items())]))
    depth = picked.draw(st.floats(0.5, 12.0))
    try:
        data = cutting_data(cutter, material=material, machine=machine, kind=CutKind.ROUGH, depth=depth)
    except InputError:
        assume(False)
    found = data.by_load
    assert found is not None
    row = next(row for row in material.rows if row.tool_material == cutter.tool_material)
    diameter = working_diameter(cutter, kind=CutKind.ROUGH, depth=depth)
    chips = np.array(found.feeds) / (cutter.teeth * data.rpm)
    most = max(table_chip(row, diameter=diameter).most, data.chip)
    assert chips.max() <= most * 1.002
    assert max(found.feeds) <= machine.feed_max
    if any(finding.code == "cutter-too-weak" for finding in data.findings):
        return
    # the highest force need not be that of the deepest cut: teeth come in where others go out
    deep = data.step_down * np.arange(1, 9) / 8.0
    loads = [
        borne(
            Moments(arc=np.full(8, arc), deep=deep, feed=np.full(8, feed)),
            cutter=cutter,
            material=material,
            machine=machine,
            rpm=data.rpm,
            depth=depth,
        )
        for arc, feed in zip(found.arcs, found.feeds, strict=True)
    ]
    known = [one for one in loads if one is not None]
    if known and data.bending is not None and data.power is not None:
        bending = np.array([one.bending.max() for one in known])
        own = int(np.argmin(np.abs(np.array(found.arcs) - engagement(diameter, width=data.step_over))))
        assert bending.max() <= MARGIN * max(rough_bending(material), data.bending)
        assert bending.max() <= MARGIN * bending[own]
        assert max(one.power.max() for one in known) <= MARGIN * max(power_at(machine, rpm=data.rpm), data.power)


@pytest.mark.parametrize("cutter", ["slot-6", "slot-3", "slot-2"])
@pytest.mark.parametrize("material", ["aluminium-6082", "brass", "acetal"])
def test_the_feed_falls_as_more_is_engaged_from_the_step_overs_to_the_slots(
    roughed: Roughed, shelf: dict[str, Cutter], cutter: str, material: str
) -> None:
    data = roughed(cutter, material=material)
    found = data.by_load
    assert found is not None
    assert list(found.arcs) == sorted(found.arcs)
    assert found.arcs[-1] == pytest.approx(math.pi)
    assert list(found.feeds) == sorted(found.feeds, reverse=True)
    assert found.feeds[-1] <= data.slot_feed
    own = engagement(shelf[cutter].diameter, width=data.step_over)
    place = int(np.argmin(np.abs(np.array(found.arcs) - own)))
    assert found.arcs[place] == pytest.approx(own)
    assert found.feeds[place] == pytest.approx(data.feed, rel=0.01)
    assert found.feeds[0] >= data.feed


def test_a_narrow_cut_is_fed_as_its_chip_thins(roughed: Roughed) -> None:
    """h = fz sin(phi) below half width (Martellotti 1941): up to the table's most, the thickest chip stays."""
    data = roughed("slot-3")
    found = data.by_load
    assert found is not None
    place = int(np.argmin(np.abs(np.array(found.arcs) - math.radians(60.0))))
    assert found.feeds[place] * math.sin(found.arcs[place]) == pytest.approx(data.feed, rel=0.01)


def test_the_mill_changes_from_the_fastest_to_the_slowest_on_the_way_that_is_said(
    roughed: Roughed, machines: dict[str, Machine]
) -> None:
    """v1^2 - v2^2 = 2 a s."""
    found = roughed("slot-3").by_load
    assert found is not None
    fast, slow = found.feeds[0] / 60.0, found.feeds[-1] / 60.0
    acceleration = min(machines["bench-mill"].acceleration[:2])
    assert found.settle == pytest.approx((fast**2 - slow**2) / (2.0 * acceleration))


@pytest.mark.parametrize("kind", [CutKind.SLOT, CutKind.SIDE, CutKind.CORNERS, CutKind.WALL, CutKind.FLOOR])
def test_only_cuts_that_clear_by_rings_follow_the_load(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine], kind: CutKind
) -> None:
    data = cutting_data(
        shelf["slot-6"], material=materials["aluminium-6082"], machine=machines["bench-mill"], kind=kind, depth=6.0
    )
    assert data.by_load is None
    assert all(reason.figure != "feed_by_load" for reason in data.reasons)
