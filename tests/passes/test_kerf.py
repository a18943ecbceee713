"""Walls between bridges: on and off them on tangents where there is room along the wall."""

import math

import numpy as np
import pytest

from camplan.geometry.along import Place, direction
from camplan.geometry.chains import chain
from camplan.geometry.fitting import NO_CIRCLES, Band
from camplan.passes.entry import Descent
from camplan.passes.kerf import Kerf, kerf_wall_passes
from camplan.passes.records import Pass

ROOM = 0.25


def between(*, gap: float) -> tuple[tuple[Pass, ...], bool]:
    """The wall below two bridges on the long side of 60 x 30, barred up to ``gap`` apart about its middle."""
    boxes = tuple(
        np.array([(x0, -2.0), (x1, -2.0), (x1, 2.0), (x0, 2.0)])
        for x0, x1 in ((25.0 - gap / 2.0, 30.0 - gap / 2.0), (30.0 + gap / 2.0, 35.0 + gap / 2.0))
    )
    job = Kerf(
        path=chain([(0, 0), (60, 0), (60, 30), (0, 30)], closed=True),
        blocked=boxes,
        shut=(),
        bridge_top=-3.0,
        top=0.0,
        levels=(-4.0,),
        diameter=3.0,
        descent=Descent(diameter=3.0, angle=math.radians(4.0), pitch=0.5, plunges=True),
        room=ROOM,
        band=Band(left=0.002, right=0.0005),
        known=NO_CIRCLES,
    )
    return kerf_wall_passes(job, work=(), opened=())


def test_a_wall_between_bridges_is_met_and_left_on_tangents() -> None:
    passes, tangent = between(gap=12.0)
    assert tangent
    for one in passes:
        path = one.strokes[-1].path
        last = len(path.bulges) - 1
        on, along = (
            direction(path, place=Place(segment=segment, part=part, point=(0.0, 0.0), distance=0.0))
            for segment, part in ((0, 1.0), (1, 0.0))
        )
        before, off = (
            direction(path, place=Place(segment=segment, part=part, point=(0.0, 0.0), distance=0.0))
            for segment, part in ((last - 1, 1.0), (last, 0.0))
        )
        assert on == pytest.approx(along, abs=1e-6) and before == pytest.approx(off, abs=1e-6)


def test_its_ways_on_and_off_reach_no_nearer_to_a_bridge_than_the_wall_does() -> None:
    passes, _ = between(gap=12.0)
    short = min((one.strokes[-1].path.points for one in passes), key=lambda points: float(np.ptp(points[:, 0])))
    assert short[:, 0].min() >= 24.0 - 1e-6 and short[:, 0].max() <= 36.0 + 1e-6
    assert short[[0, -1], 1] == pytest.approx(ROOM, abs=1e-6)


def test_a_wall_too_short_for_arcs_is_met_by_a_square_step_and_that_is_said() -> None:
    passes, tangent = between(gap=1.5)
    assert not tangent
    short = min((one.strokes[-1].path.points for one in passes), key=lambda points: float(np.ptp(points[:, 0])))
    assert short[0] == pytest.approx(short[1] + (0.0, ROOM), abs=1e-6)
