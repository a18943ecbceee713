"""Clearing by fronts: the edge meets about the same arc everywhere; nothing is left, nothing beyond is touched.

Engagement is measured by `engaged`, areas with shapely (GEOS): neither is the planner's own geometry.
"""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from passes import sweeping
from passes.engaged import measured
from passes.pockets import NAMED, Pocket, box, circle, islands, rectangle

from camplan.geometry import chains, clipper
from camplan.passes.front_links import tangent_way
from camplan.passes.layout import Room
from camplan.passes.records import Feed
from camplan.passes.swept import SweptLayout, swept_by_fronts

SKIN = 0.02
"""Corners are left round to 15 um, and fronts end 4 um before the wall."""
WITHIN = 0.0011
"""`WALL_SIDE` and the rounding of coordinates."""


@pytest.fixture(scope="module")
def laid() -> dict[str, SweptLayout]:
    return {name: swept_by_fronts(make().room(), both_ways=True) for name, make in NAMED.items() if name in SMALL}


SMALL = ("corner_open", "dumbbell", "starred", "circle", "rectangle", "slot")


@pytest.mark.parametrize("step", [0.2, 0.6, 1.0])
def test_the_measure_finds_the_angle_of_a_straight_cut(step: float) -> None:
    """acos(1 - s / r), from the geometry of a circle cut by a line."""
    line = np.column_stack((np.arange(-20.0, 20.01, 0.1), np.zeros(401)))
    found = measured([line - (0.0, step)], radius=3.0, cleared=[line])
    middle = found.degrees[50:-50]
    assert np.abs(middle - math.degrees(math.acos(1.0 - step / 3.0))).max() < 2.0


def test_the_measure_finds_the_angle_inside_a_bend() -> None:
    """Two circles that cross: cos of the angle is (R^2 - d^2 - r^2) / (2 d r), the law of cosines."""
    turns = np.linspace(0.0, math.tau, 2000)
    round_ = np.column_stack((np.cos(turns), np.sin(turns)))
    found = measured([5.0 * round_], radius=3.0, cleared=[4.6 * round_])
    expected = math.degrees(math.acos((7.6**2 - 5.0**2 - 9.0) / (2.0 * 5.0 * 3.0)))
    # before a lap is closed its beginning is cut from both sides, and nothing is met at its end
    assert abs(float(np.median(found.degrees)) - expected) < 2.0


@pytest.mark.parametrize("name", SMALL)
def test_the_path_stays_where_the_tools_centre_may_be(laid: dict[str, SweptLayout], name: str) -> None:
    assert sweeping.outside(laid[name]) < WITHIN


@pytest.mark.parametrize("name", SMALL)
def test_nothing_that_the_cutter_can_reach_is_left(laid: dict[str, SweptLayout], name: str) -> None:
    assert sweeping.left(laid[name], within=SKIN if name != "starred" else 2.0 * SKIN) < 1e-3


@pytest.mark.parametrize(
    ("name", "p99", "most"),
    [
        ("circle", 6.0, 8.0),
        ("rectangle", 12.0, 30.0),
        ("corner_open", 12.0, 34.0),
        ("dumbbell", 18.0, 32.0),
        ("starred", 16.0, 60.0),
        ("slot", 22.0, 40.0),
    ],
)
def test_the_edge_meets_little_more_than_in_a_straight_cut(
    laid: dict[str, SweptLayout], name: str, p99: float, most: float
) -> None:
    """In degrees more than acos(1 - s / r); contour inside contour meets 180 in the same pockets.

    The most is met in skins thinner than a cell of the measure, in the last tenths of a mm before a sharp corner.
    """
    found = sweeping.figures(laid[name])
    assert found.p99 < found.limit + p99
    assert found.most < found.limit + most


@pytest.mark.parametrize(("name", "ratio"), [("circle", 1.3), ("rectangle", 1.4), ("corner_open", 1.4)])
def test_the_way_is_not_much_longer_than_contour_inside_contour(
    laid: dict[str, SweptLayout], name: str, ratio: float
) -> None:
    assert sweeping.figures(laid[name]).ratio < ratio


def test_sweeps_hang_together(laid: dict[str, SweptLayout]) -> None:
    for layout in laid.values():
        for group in layout.groups:
            for before, after in zip(group.sweeps, group.sweeps[1:], strict=False):
                if after.link is not None:
                    assert np.hypot(*(after.link.points[0] - before.path.points[-1])) < 1e-6
                    assert np.hypot(*(after.path.points[0] - after.link.points[-1])) < 1e-6


def test_links_meet_no_material(laid: dict[str, SweptLayout]) -> None:
    """A link may touch where it leaves and where it arrives, and nowhere between."""
    layout = laid["rectangle"]
    (group,) = layout.groups
    met = sweeping.met_by_links(group, layout)
    assert met.size > 100
    assert float(np.quantile(met, 0.95)) <= 3.0


def test_a_room_swept_twice_is_swept_alike() -> None:
    one, other = (swept_by_fronts(rectangle().room(), both_ways=True) for _ in range(2))
    for a, b in zip(one.groups[0].sweeps, other.groups[0].sweeps, strict=True):
        assert np.array_equal(a.path.points, b.path.points) and np.array_equal(a.path.bulges, b.path.bulges)


def test_material_lies_to_the_right_if_not_both_ways() -> None:
    """Climb milling with a clockwise spindle: the area swept so far lies to the left of every cut."""
    layout = swept_by_fronts(circle().room(), both_ways=False)
    turning = [float(np.sum(4.0 * np.arctan(sweep.path.bulges))) for group in layout.groups for sweep in group.sweeps]
    assert min(turning) > 0.0


def test_open_ground_needs_no_helix(laid: dict[str, SweptLayout]) -> None:
    (group,) = laid["corner_open"].groups
    assert group.open and group.spot is None and group.sweeps[0].link is None


def test_a_slot_without_room_for_a_helix_begins_with_a_ramp_marked_as_a_slot(laid: dict[str, SweptLayout]) -> None:
    (group,) = laid["slot"].groups
    assert group.spot is None and not group.open
    assert group.sweeps[0].feed is Feed.SLOT
    slots = sum(chains.length(sweep.path) for sweep in group.sweeps if sweep.feed is Feed.SLOT)
    assert slots < 3.0 * 6.0 + 20.0


def test_a_slot_as_wide_as_the_cutter_is_cut_as_one() -> None:
    room = Room(work=(box(0, 0, 20, 0.02),), radius=3.0, step_over=0.6)
    layout = swept_by_fronts(room, both_ways=True)
    assert {sweep.feed for group in layout.groups for sweep in group.sweeps} == {Feed.SLOT}
    assert sweeping.left(layout, within=SKIN) < 1e-3


def test_fronts_come_back_as_arcs() -> None:
    """At most a tenth of the moves that chords within 2 um would take."""
    layout = swept_by_fronts(circle().room(), both_ways=True)
    moves = sweeping.figures(layout).moves
    chords = sum(len(chains.tessellated(sweep.path, chord=0.002)) for group in layout.groups for sweep in group.sweeps)
    assert moves < 0.1 * chords


@given(x=st.floats(-20, 20), y=st.floats(-20, 20), arrives=st.floats(-3, 3), turns=st.sampled_from([1.0, -1.0]))
def test_a_tangent_way_leaves_and_arrives_in_the_headings_asked(
    x: float, y: float, arrives: float, turns: float
) -> None:
    way = tangent_way(np.zeros(2), heading=0.5, side=1.0, to=np.array([x, y]), arrives=arrives, turns=turns, radius=1.5)
    if way is None or chains.length(way) < 1e-3:
        return
    line = chains.tessellated(way, chord=1e-6)
    first, last = line[1] - line[0], line[-1] - line[-2]
    assert np.hypot(*(line[-1] - (x, y))) < 1e-6
    for step, heading in ((first, 0.5), (last, arrives)):
        off = (math.atan2(step[1], step[0]) - heading + math.pi) % math.tau - math.pi
        assert abs(off) < 0.01


@st.composite
def rooms(draw: st.DrawFn) -> Pocket:
    """Small pockets: stars of random radii, or a room with a bay of any width."""
    if draw(st.booleans()):
        count = draw(st.integers(4, 7))
        turns = np.arange(count) * math.tau / count
        radii = np.array([draw(st.floats(7.0, 14.0)) for _ in range(count)])
        walls = np.column_stack((radii * np.cos(turns), radii * np.sin(turns)))
    else:
        width, bay, depth = draw(st.floats(8.0, 20.0)), draw(st.floats(4.5, 8.0)), draw(st.floats(2.0, 10.0))
        walls = np.array([(0, 0), (width, 0), (width, 10), (bay, 10), (bay, 10 + depth), (0, 10 + depth)])
    return Pocket(walls=(walls,), air=(), radius=2.0, step=draw(st.floats(0.3, 0.7)))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(pocket=rooms(), both_ways=st.booleans())
def test_any_small_pocket_is_cleared_within_its_walls_and_its_load(pocket: Pocket, both_ways: bool) -> None:
    room = pocket.room()
    if clipper.surface(room.work) < 4.0:
        return
    layout = swept_by_fronts(room, both_ways=both_ways)
    assert sweeping.outside(layout) < WITHIN
    assert sweeping.left(layout, within=3.0 * SKIN) < 1e-2
    found = sweeping.figures(layout)
    assert found.p99 < found.limit + 35.0


def test_the_pocket_with_islands_holds_its_figures() -> None:
    """The most is met where sharp corners end; 1 % of the path is where fronts leave a wall."""
    layout = swept_by_fronts(islands().room(), both_ways=True)
    found = sweeping.figures(layout)
    assert found.ratio < 1.35
    assert found.p99 < found.limit + 12.0
    assert found.most < found.limit + 30.0
    assert sweeping.outside(layout) < WITHIN
    assert sweeping.left(layout, within=SKIN) < 1e-3
