"""Holes: pecks, feeds and torque."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting import CutKind, cutting_data
from camplan.cutting.drilling import chip_thickness, peck_depths
from camplan.cutting.limits import power_at
from camplan.errors import InputError


@given(depth=st.floats(0.1, 80.0), diameter=st.floats(0.8, 12.0))
def test_pecks_make_the_whole_depth_and_never_grow(depth: float, diameter: float) -> None:
    free = 3.0 * diameter
    pecks = peck_depths(depth, diameter=diameter, free=free)
    if depth <= free:
        assert pecks == ()
        return
    assert sum(pecks) == pytest.approx(depth, abs=1e-4)
    assert all(earlier >= later for earlier, later in itertools.pairwise(pecks))
    assert pecks[0] == pytest.approx(2.0 * diameter if diameter >= 2.0 else 0.5 * diameter, abs=1e-6)


def test_a_hole_of_three_diameters_needs_no_peck_and_a_deeper_one_does(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    """2 to 3 D without pecks: a drill maker's notes, confirmed."""

    def at(depth: float) -> tuple[float | None, float]:
        data = cutting_data(
            shelf["drill-4.2"],
            material=materials["aluminium-6082"],
            machine=machines["bench-mill"],
            kind=CutKind.DRILL,
            depth=depth,
        )
        return data.peck, data.rpm

    shallow, fast = at(12.6)
    deep, slow = at(12.7)
    assert shallow is None
    assert deep == pytest.approx(8.4)
    assert slow == pytest.approx(fast / 2.0, rel=0.01)


def test_a_spotting_drill_turns_at_a_quarter_of_the_speed(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    """25 % of drill speed for countersinks: University of Florida, speeds and feeds notes, confirmed."""
    data = cutting_data(
        shelf["spot-90-6"],
        material=materials["aluminium-6082"],
        machine=machines["bench-mill"],
        kind=CutKind.DRILL,
        depth=1.0,
    )
    assert data.rpm == pytest.approx(0.25 * 259_000.0 / (math.pi * 6.0), rel=0.02)


def test_a_cutter_without_centre_teeth_cannot_drill(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    with pytest.raises(InputError, match="centre"):
        cutting_data(
            shelf["end-6"],
            material=materials["brass"],
            machine=machines["bench-mill"],
            kind=CutKind.DRILL,
            depth=3.0,
        )


def test_flutes_buried_in_a_deep_hole_are_found(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    data = cutting_data(
        shelf["drill-4.2"],
        material=materials["brass"],
        machine=machines["bench-mill"],
        kind=CutKind.DRILL,
        depth=23.0,
    )
    assert "flutes-buried" in {finding.code for finding in data.findings}


@settings(max_examples=60, deadline=None)
@given(data=st.data(), depth=st.floats(0.5, 60.0))
def test_a_drill_asks_no_more_torque_than_the_spindle_has(
    shelf: dict[str, Cutter],
    materials: dict[str, Material],
    machines: dict[str, Machine],
    data: st.DataObject,
    depth: float,
) -> None:
    drill = shelf[data.draw(st.sampled_from([name for name in sorted(shelf) if name.startswith(("drill", "spot"))]))]
    material = materials[data.draw(st.sampled_from(sorted(set(materials) - {"titanium"})))]
    machine = machines[data.draw(st.sampled_from(sorted(machines)))]
    found = cutting_data(drill, material=material, machine=machine, kind=CutKind.DRILL, depth=depth)
    assert machine.rpm_min <= found.rpm <= machine.rpm_max
    assert found.feed <= machine.feed_max
    assert found.chip * drill.teeth <= material.drill_feed_ratio * drill.diameter + 1e-9
    if material.kc11 is None or material.mc is None or drill.point_angle is None:
        assert found.power is None
        return
    thickness = chip_thickness(found.chip * drill.teeth, lips=drill.teeth, point_angle=drill.point_angle)
    torque = 1.3 * material.kc11 * thickness**-material.mc * found.chip * drill.teeth * drill.diameter**2 / 8.0
    power = torque / 1000.0 * 2.0 * math.pi * found.rpm / 60.0
    assert power <= power_at(machine, rpm=found.rpm) * 1.001
