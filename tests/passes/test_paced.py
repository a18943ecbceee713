"""Feeds along rings against engagements known from plane geometry, and from shapely (GEOS) on whole pockets."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from camplan.cutting.records import LoadFeeds
from camplan.geometry import chains, clipper
from camplan.geometry.along import at_lengths
from camplan.geometry.chains import Chain, Points, chain
from camplan.geometry.clipper import Area
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.entry import Descent
from camplan.passes.layout import Room, laid_out
from camplan.passes.paced import Leg, Pacing, engaged_along, paced
from camplan.passes.records import Feed, Stroke

RADIUS = 3.0
FEEDS = LoadFeeds(
    arcs=tuple(math.radians(arc) for arc in range(20, 181, 8)),
    feeds=tuple(1400.0 - 4.0 * arc for arc in range(20, 181, 8)),
    settle=0.3,
)
FASTEST, SLOWEST = FEEDS.feeds[0], FEEDS.feeds[-1]
BLOCK: Area = (np.array([(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)]),)
DESCENT = Descent(diameter=6.0, angle=math.radians(3), pitch=0.6, plunges=True)
UNSURE = math.radians(6.5)
"""Two to three pixels of a fortieth of the radius, and the samples of this file."""
TAKEN_LESS = math.radians(4.1)
"""What an arc is taken for less, so that a ring counts as its own step over."""
UNSEEN = 0.06
"""Stock that is met less deep may not be seen: less than a pixel."""


def pacing(stands: Area = BLOCK) -> Pacing:
    return Pacing(radius=RADIUS, feeds=FEEDS, stands=stands)


def line(*ends: tuple[float, float]) -> Chain:
    return chain(list(ends))


def middle_arc(path: Chain, *, before: tuple[Chain, ...] = (), stands: Area = BLOCK) -> float:
    (found,) = engaged_along([path], before=before, pacing=pacing(stands))
    return float(np.median(found.arc))


def test_a_full_slot_engages_half_of_the_edge_and_air_none() -> None:
    assert middle_arc(line((-20.0, 0.0), (20.0, 0.0))) == pytest.approx(math.pi, abs=UNSURE)
    assert middle_arc(line((-20.0, 50.0), (20.0, 50.0))) == 0.0


@pytest.mark.parametrize("width", [0.5, 1.0, 2.0, 2.7, 3.5, 5.0])
def test_a_straight_pass_beside_a_slot_engages_what_its_width_says(width: float) -> None:
    """phi = arccos(1 - 2 ae / D), El-Hofy, Fundamentals of Machining Processes, section 6.3.1."""
    slot = line((-25.0, 0.0), (25.0, 0.0))
    found = middle_arc(line((-15.0, -width), (15.0, -width)), before=(slot,))
    assert found == pytest.approx(math.acos(1.0 - 2.0 * width / 6.0), abs=UNSURE)


@pytest.mark.parametrize("width", [1.0, 2.0, 2.7])
def test_a_ring_round_a_cleared_disc_engages_more_than_a_straight_pass(width: float) -> None:
    """Where the cutter's circle and that of the cleared disc meet: the triangle of both radii and the ring's."""
    inner = 6.0
    cleared_ = chains.circle((0.0, 0.0), radius=inner)
    first = Chain(points=np.vstack((cleared_.points, cleared_.points[:1])), bulges=cleared_.bulges, closed=False)
    ring = chain([(inner + width, 0.0), (-inner - width, 0.0), (inner + width, 0.0)], bulges=[1.0, 1.0])
    edge, at = inner + RADIUS, inner + width
    cosine = (at**2 + RADIUS**2 - edge**2) / (2.0 * at * RADIUS)
    # counted from the outside of the ring, where the stock is
    expected = math.pi - math.acos(cosine)
    found = middle_arc(ring, before=(first,), stands=BLOCK)
    assert found == pytest.approx(expected, abs=UNSURE)
    assert found > math.acos(1.0 - 2.0 * width / 6.0)


def test_a_ridge_met_by_the_front_counts_as_its_chip_is_thick() -> None:
    """h = fz sin(phi) (Martellotti 1941): a thin ridge straight ahead makes as thick a chip as half the edge."""
    ridge = (np.array([(-30.0, -0.4), (30.0, -0.4), (30.0, 0.4), (-30.0, 0.4)]),)
    assert middle_arc(line((-20.0, 0.0), (20.0, 0.0)), stands=ridge) == pytest.approx(math.pi / 2.0, abs=UNSURE)


def test_a_leg_is_faster_in_air_and_slower_in_a_slot_and_each_stretch_at_the_feed_of_its_arc() -> None:
    path = line((-60.0, 0.0), (60.0, 0.0))
    ((*found,),) = paced([(Leg(path=path, feed=Feed.CUT),)], before=(), pacing=pacing())
    paces = [leg.pace for leg in found]
    slot = paces.index(SLOWEST)
    assert paces[0] == paces[-1] == FASTEST
    assert paces[: slot + 1] == sorted(paces[: slot + 1], key=lambda pace: -(pace or 0.0))
    assert -43.6 < found[0].path.points[-1, 0] < -43.0
    assert -43.0 < found[slot].path.points[0, 0] < -40.0
    # the whole leading half leaves the block with its middle, the front before
    assert 36.9 < found[slot].path.points[-1, 0] < 40.5


def planned(area: Area, *, levels: tuple[float, ...], step_over: float = 2.7) -> Cleared:
    layout = laid_out(Room(work=clipper.offset(area, by=-RADIUS), radius=RADIUS, step_over=step_over))
    return cleared(Clearing(layout=layout, top=0.0, levels=levels, descent=DESCENT, pacing=pacing(area)))


def level_strokes(found: Cleared, *, z: float) -> list[Stroke]:
    return [
        stroke
        for one in found.passes
        for stroke in one.strokes
        if stroke.feed is not Feed.FREE and np.all(np.abs(stroke.z - z) < 1e-9)
    ]


def engaged_arc(stock: BaseGeometry, *, at: Points, heading: float) -> float:
    """How much of the leading half of the edge lies in stock, or what makes as thick a chip if that is more."""
    off = np.radians(np.arange(-89.75, 90.0, 0.5))
    x, y = at[0] + 0.999 * RADIUS * np.cos(heading + off), at[1] + 0.999 * RADIUS * np.sin(heading + off)
    met = shapely.contains_xy(stock, x, y)
    if not met.any():
        return 0.0
    return max(float(met.sum()) * math.radians(0.5), math.pi / 2.0 - float(np.abs(off[met]).min()))


def allowed(arc: float) -> float:
    """The feed of the table at an arc."""
    return FEEDS.feeds[int(np.searchsorted(FEEDS.arcs, min(arc, math.pi)))]


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10_000))
def test_nowhere_in_a_pocket_is_the_cutter_faster_than_its_engagement_allows(seed: int) -> None:
    random = np.random.default_rng(seed)
    angle = np.linspace(0.0, 2.0 * math.pi, 5, endpoint=False)
    reach = random.uniform(20.0, 28.0, 5)
    area = (np.column_stack((reach * np.cos(angle), reach * np.sin(angle))),)
    found = planned(area, levels=(-1.0,))
    stock: BaseGeometry = Polygon(area[0])
    slower = 0
    for stroke in level_strokes(found, z=-1.0):
        whole = chains.length(stroke.path)
        dense = LineString(chains.tessellated(stroke.path, chord=0.001)) if whole > 1e-6 else None
        if stroke.pace is not None and dense is not None:
            at = np.linspace(0.05, 0.95, 5) * whole
            places = at_lengths(stroke.path, lengths=at)
            seen = stock.buffer(-UNSEEN)
            for number, length in enumerate(at.tolist()):
                done = substring(dense, 0.0, max(length - 0.02, 0.0)).buffer(RADIUS, quad_segs=64)
                arc = engaged_arc(seen.difference(done), at=places.points[number], heading=places.heading[number])
                assert stroke.pace <= allowed(arc - UNSURE - TAKEN_LESS)
                slower += stroke.pace < allowed(math.radians(80.0))
        if dense is not None:
            stock = stock.difference(dense.buffer(RADIUS, quad_segs=64))
    assert slower > 0


def test_a_pocket_is_cut_on_the_same_path_at_all_levels_whatever_the_feeds() -> None:
    levels = (-1.0, -2.0, -3.0)
    found = planned(BLOCK, levels=levels)
    layout = laid_out(Room(work=clipper.offset(BLOCK, by=-RADIUS), radius=RADIUS, step_over=2.7))
    plain = cleared(Clearing(layout=layout, top=0.0, levels=levels, descent=DESCENT))
    assert found.ways == plain.ways
    for z in levels:
        paths = [
            np.vstack([chains.tessellated(stroke.path, chord=0.001) for stroke in level_strokes(one, z=z)])
            for one in (found, plain)
        ]
        assert LineString(paths[0]).hausdorff_distance(LineString(paths[1])) < 1e-9
        lengths = [sum(chains.length(stroke.path) for stroke in level_strokes(one, z=z)) for one in (found, plain)]
        assert lengths[0] == pytest.approx(lengths[1])
    first, *others = [[stroke.pace for stroke in level_strokes(found, z=z) if stroke.pace] for z in levels]
    assert all(other == first for other in others)
    assert {stroke.pace for stroke in level_strokes(plain, z=-1.0)} == {None}


def test_feeds_add_few_moves_and_no_stretch_that_is_too_short_to_matter() -> None:
    angle = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    reach = 20.0 + 2.0 * np.sin(3 * angle) + np.sin(5 * angle)
    area = (np.column_stack((reach * np.cos(angle), reach * np.sin(angle))),)
    room = Room(work=clipper.offset(area, by=-RADIUS), radius=RADIUS, step_over=2.0)
    legs = [(Leg(path=step.path, feed=step.feed),) for group in laid_out(room).groups for step in group.steps]
    found = paced(legs, before=(), pacing=pacing(area))
    moves = sum(len(leg.path.bulges) for step in legs for leg in step)
    assert sum(len(leg.path.bulges) for step in found for leg in step) <= moves + max(moves / 3.0, 4 * len(legs))
    assert len({leg.pace for step in found for leg in step}) > 1
    for step in found:
        assert len(step) == 1 or all(chains.length(leg.path) > 0.999 for leg in step)
        assert {leg.pace for leg in step} <= set(FEEDS.feeds)


def test_the_same_pocket_is_fed_the_same_again() -> None:
    first, again = (
        [(stroke.pace, stroke.path.points.tobytes()) for one in planned(BLOCK, levels=(-1.0,)).passes
         for stroke in one.strokes]
        for _ in range(2)
    )  # fmt: skip
    assert first == again
