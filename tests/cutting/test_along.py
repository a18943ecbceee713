"""Force, power and bending along a path are those of the same cut beside a free side."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting.along import Moments, borne
from camplan.cutting.strength import Bend, engaged, hold, loads


@settings(max_examples=40, deadline=None)
@given(arc=st.floats(0.1, math.pi), deep=st.floats(0.2, 6.0), feed=st.floats(100.0, 2500.0))
def test_a_moment_bears_what_the_cut_of_its_width_bears(
    shelf: dict[str, Cutter],
    materials: dict[str, Material],
    machines: dict[str, Machine],
    arc: float,
    deep: float,
    feed: float,
) -> None:
    cutter, material, machine = shelf["slot-6"], materials["aluminium-6082"], machines["bench-mill"]
    moments = Moments(arc=np.array([arc]), deep=np.array([deep]), feed=np.array([feed]))
    found = borne(moments, cutter=cutter, material=material, machine=machine, rpm=13_700.0, depth=8.0)
    assert found is not None
    width = cutter.diameter * (1.0 - math.cos(arc)) / 2.0
    case = engaged(
        cutter, material=material, diameter=6.0, width=width, share=1.0, depths=np.linspace(deep / 30.0, deep, 30)
    )
    assert case is not None
    held = hold(cutter, machine=machine, diameter=6.0, overhang=20.0, load_height=0.0)
    # `loads` takes the chip by its thickness: of a wide cut that is the chip as it is fed
    chip = feed / (cutter.teeth * 13_700.0)
    thickest = chip if width >= 3.0 else chip * 2.0 * math.sqrt(width * (6.0 - width)) / 6.0
    if chip > 2.0 * thickest:
        return
    asked = loads(
        case,
        depth=deep,
        thickest=thickest,
        rpm=13_700.0,
        run_out=0.0,
        held=held,
        bend=Bend(most=1.0, square_to_wall=False, edge=1.3),
    )
    assert found.force[0] == pytest.approx(asked.force, rel=0.08, abs=1.0)
    assert found.power[0] == pytest.approx(asked.power, rel=0.08, abs=1.0)
    assert found.bending[0] == pytest.approx(asked.bending, rel=0.08, abs=2e-4)


def test_an_edge_that_meets_nothing_bears_nothing(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    none = Moments(arc=np.zeros(3), deep=np.zeros(3), feed=np.full(3, 1000.0))
    found = borne(
        none,
        cutter=shelf["slot-6"],
        material=materials["brass"],
        machine=machines["bench-mill"],
        rpm=10_000.0,
        depth=4.0,
    )
    assert found is not None
    assert not found.force.any()
    assert not found.power.any()
    assert not found.bending.any()


def test_without_a_specific_force_nothing_is_said(
    shelf: dict[str, Cutter], materials: dict[str, Material], machines: dict[str, Machine]
) -> None:
    some = Moments(arc=np.ones(1), deep=np.ones(1), feed=np.full(1, 1000.0))
    unknown = next(one for one in materials.values() if one.kc11 is None)
    found = borne(
        some, cutter=shelf["slot-6"], material=unknown, machine=machines["bench-mill"], rpm=10_000.0, depth=4.0
    )
    assert found is None
