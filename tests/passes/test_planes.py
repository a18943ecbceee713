"""Over a plane that falls no part of a flat tip is below it, on lines, arcs and laps of walls."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from camplan.features.inclines import depth_under
from camplan.features.slopes import reached
from camplan.features.specs import Incline
from camplan.geometry.along import at_length, opened_at
from camplan.geometry.chains import Chain, chain, circle, tessellated
from camplan.passes.entry import Descent
from camplan.passes.planes import Plane, capped, floor_passes, on_plane, wall_pass
from camplan.passes.records import Stroke

DESCENT = Descent(diameter=4.0, angle=math.radians(4.0), pitch=0.5, plunges=True)


def plane(**changes: object) -> Plane:
    incline = Incline(start=(10.0, 20.0), end=(50.0, 20.0), first=1.5, last=2.5)
    return Plane(**{"incline": incline, "radius": 2.0, "top": -1.4, "descent": DESCENT, **changes})  # type: ignore[arg-type]


def below(stroke: Stroke, *, of: Plane) -> float:
    """How far the tip goes below the plane anywhere along a stroke, heights even along its arcs."""
    worst = -math.inf
    for number in range(len(stroke.path.bulges)):
        one = Chain(
            points=stroke.path.points[number : number + 2], bulges=stroke.path.bulges[number : number + 1], closed=False
        )
        places = tessellated(one, chord=1e-6)
        places = np.vstack([places[:1] + (places[1:2] - places[:1]) * np.linspace(0, 1, 9)[:, None], places])
        share = np.hypot(*(places - one.points[0]).T)
        if abs(one.bulges[0]) < 1e-9:
            share = share / max(share.max(), 1e-12)
        else:
            share = np.concatenate((np.linspace(0, 1.0 / (len(places) - 10), 9), np.linspace(0, 1, len(places) - 9)))
        deep = -(stroke.z[number] + share * (stroke.z[number + 1] - stroke.z[number]))
        worst = max(worst, float((deep - depth_under(of.incline, places=places, radius=of.radius)).max()))
    return worst


@settings(max_examples=30, deadline=None)
@example(turn=0.0, run=5.0, fall=2.0, radius=2.5)
@given(turn=st.floats(0.0, 6.28), run=st.floats(5.0, 40.0), fall=st.floats(0.1, 2.0), radius=st.floats(0.5, 4.0))
def test_no_lap_round_a_circle_is_below_a_plane_however_it_falls(
    turn: float, run: float, fall: float, radius: float
) -> None:
    end = (30.0 + run * math.cos(turn), 20.0 + run * math.sin(turn))
    falling = plane(incline=Incline(start=(30.0, 20.0), end=end, first=1.0, last=1.0 + fall), radius=radius, top=-0.5)
    ring = circle((30.0, 20.0), radius=12.0)
    lap = opened_at(ring, place=at_length(ring, length=3.0))
    for one in wall_pass(falling, lap=lap, levels=(-1.0, -1.0 - fall), clear=True):
        assert max(below(stroke, of=falling) for stroke in one.strokes[1:]) < 0.0015


def test_paths_run_down_the_fall_no_farther_apart_than_asked() -> None:
    work = (np.array([(12.0, 12.0), (48.0, 12.0), (48.0, 28.0), (12.0, 28.0)]),)
    found = floor_passes(plane(), work=work, step=3.0)
    rows = sorted(float(one.strokes[-1].path.points[0, 1]) for one in found)
    assert len(rows) == 6
    assert max(np.diff(rows)) <= 3.0
    assert rows[0] - 12.0 <= 1.5
    last = found[0].strokes[-1]
    # from 12 to 48, the tip's upper edge from 10 to 46: 36 of the 40 mm of the fall
    assert (last.z[0], last.z[-1]) == pytest.approx((-1.5, -2.4))
    assert all(below(stroke, of=plane()) < 1e-6 for one in found for stroke in one.strokes)


def test_a_path_is_split_where_the_fall_begins_and_ends() -> None:
    slope = on_plane(plane(), path=chain([(0, 20), (70, 20)]))
    assert slope.path.points[:, 0].tolist() == pytest.approx([0, 12, 52, 70])
    assert slope.depths.tolist() == pytest.approx([1.5, 1.5, 2.5, 2.5])


def test_a_level_caps_a_slope() -> None:
    slope = capped(on_plane(plane(), path=chain([(12, 20), (52, 20)])), depth=2.0)
    assert reached(slope.path).tolist() == pytest.approx([0, 20, 40])
    assert slope.depths.tolist() == pytest.approx([1.5, 2.0, 2.0])
