"""Wall passes arrive and leave on tangents and never stop on the wall."""

import math

import numpy as np
import pytest

from camplan.geometry import chains, clipper
from camplan.geometry.along import Place, direction
from camplan.passes.entry import Descent
from camplan.passes.records import Feed
from camplan.passes.wall import Wall, led, wall_passes


def wall(width: float, height: float, *, radius: float, room: float = 99.0) -> Wall:
    path = chains.chain([(0, 0), (width, 0), (width, height), (0, height)], closed=True)
    return Wall(
        path=path,
        work=(path.points,),
        ground=(path.points,),
        diameter=2 * radius,
        top=0.0,
        levels=(-2.0, -4.0),
        room=room,
        descent=Descent(diameter=2 * radius, angle=math.radians(3), pitch=0.5, plunges=True),
    )


def test_leads_touch_the_wall_in_its_own_direction() -> None:
    leads = led(wall(30.0, 20.0, radius=3.0))
    assert leads.tangent
    on = direction(leads.lap, place=Place(segment=0, part=1.0, point=(0, 0), distance=0))
    lap = direction(leads.lap, place=Place(segment=1, part=0.0, point=(0, 0), distance=0))
    assert on == pytest.approx(lap, abs=1e-9)
    last = len(leads.lap.bulges) - 1
    off = direction(leads.lap, place=Place(segment=last, part=0.0, point=(0, 0), distance=0))
    before = direction(leads.lap, place=Place(segment=last - 1, part=1.0, point=(0, 0), distance=0))
    assert off == pytest.approx(before, abs=1e-9)


def test_the_lap_begins_in_the_middle_of_the_longest_side_and_overlaps() -> None:
    leads = led(wall(30.0, 20.0, radius=3.0))
    begin = leads.lap.points[1]
    assert begin[0] == pytest.approx(15.0)
    assert chains.length(leads.lap) > 100.0 + 2 * math.pi / 2 * 0.25 * 6.0


def test_leads_stay_where_the_centre_may_be() -> None:
    leads = led(wall(30.0, 2.0, radius=3.0))
    points = chains.tessellated(leads.lap, chord=0.001)
    assert points[:, 1].min() >= -1e-6
    assert points[:, 1].max() <= 2.0 + 1e-6


def test_in_a_kerf_the_lead_moves_sideways_no_more_than_its_room() -> None:
    leads = led(wall(30.0, 20.0, radius=3.0, room=0.2))
    far = leads.lap.points[0]
    edge = min(abs(far[0]), abs(far[1]), abs(30 - far[0]), abs(20 - far[1]))
    assert edge == pytest.approx(0.2, abs=1e-9)


def test_each_level_is_one_lap_joined_where_the_way_is_clear() -> None:
    passes, tangent = wall_passes(wall(30.0, 20.0, radius=3.0))
    assert tangent
    assert len(passes) == 1
    laps = [stroke for stroke in passes[0].strokes if stroke.feed is Feed.CUT]
    assert [float(lap.z[0]) for lap in laps] == [-2.0, -4.0]
    assert np.all(clipper.ring_area(laps[0].path.points) > 0)
