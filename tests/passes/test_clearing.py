"""Clearing: nothing reachable is left, nothing beyond is touched; checked with shapely (GEOS), not our own kernel."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from camplan.geometry import chains, clipper
from camplan.geometry.clipper import Area
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.entry import Descent
from camplan.passes.layout import Room, laid_out, same_room
from camplan.passes.records import Feed

BLOCK = np.array([(0, 0), (100, 0), (100, 60), (60, 60), (60, 35), (50, 35), (50, 60), (0, 60)], dtype=float)
ISLAND = chains.tessellated(chains.circle((25, 30), radius=6, clockwise=True), chord=0.0005)
DESCENT = Descent(diameter=6.0, angle=math.radians(3), pitch=0.6, plunges=True)


def shape(area: Area) -> BaseGeometry:
    figure: BaseGeometry = Polygon()
    for ring in area:
        figure = figure.symmetric_difference(Polygon(ring))
    return figure


def planned(area: Area, *, radius: float, step_over: float, levels: tuple[float, ...] = (-1.0,)) -> Cleared:
    return cleared(
        Clearing(
            layout=laid_out(Room(work=clipper.offset(area, by=-radius), radius=radius, step_over=step_over)),
            top=0.0,
            levels=levels,
            descent=DESCENT,
        )
    )


def swept(found: Cleared, *, radius: float, at: float) -> BaseGeometry:
    lines = [
        LineString(chains.tessellated(stroke.path, chord=0.0005)).buffer(radius, quad_segs=48)
        for one in found.passes
        for stroke in one.strokes
        if stroke.z.max() <= at + 1e-9 and chains.length(stroke.path) > 1e-9
    ]
    return union_all(lines)


@pytest.mark.parametrize("ratio", [0.1, 0.25, 0.5, 0.6, 0.75, 0.9, 0.95])
def test_nothing_reachable_is_left_at_any_step_over(ratio: float) -> None:
    area, radius = (BLOCK, ISLAND), 3.0
    found = planned(area, radius=radius, step_over=2 * radius * ratio)
    done = swept(found, radius=radius, at=-1.0)
    reachable = shape(area).buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)
    assert reachable.difference(done.buffer(0.0105)).area < 1e-3
    assert reachable.buffer(-0.02).difference(done).area < 1e-3
    assert done.difference(shape(area).buffer(0.002)).area < 1e-6


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.2, 0.45, 0.8, 0.95]))
def test_random_regions_with_islands_are_cleared_without_a_gouge(seed: int, ratio: float) -> None:
    random = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, 40, endpoint=False)
    reach = random.uniform(14.0, 30.0, 40)
    outer = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
    island = chains.tessellated(chains.circle((random.uniform(-6, 6), 2.0), radius=4.0, clockwise=True), chord=0.0005)
    radius = float(random.choice([1.0, 2.0, 3.0]))
    found = planned((outer, island), radius=radius, step_over=2 * radius * ratio)
    done = swept(found, radius=radius, at=-1.0)
    figure = shape((outer, island))
    reachable = figure.buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)
    assert done.difference(figure.buffer(0.002)).area < 1e-6
    # a roughing path may stay 10 um away from the wall
    assert reachable.difference(done.buffer(0.0105)).area < 2e-3


def test_the_path_is_hardly_longer_than_area_over_step_over_plus_half_the_edge() -> None:
    # L = A/s + P/2, the length of contour-parallel paths
    radius, step = 3.0, 2.7
    found = planned((BLOCK, ISLAND), radius=radius, step_over=step)
    work = clipper.offset((BLOCK, ISLAND), by=-radius)
    total = sum(chains.length(stroke.path) for one in found.passes for stroke in one.strokes)
    assert total <= 1.15 * (clipper.surface(work) / step + clipper.perimeter(work) / 2.0)


def test_strokes_of_a_pass_are_connected() -> None:
    found = planned((BLOCK, ISLAND), radius=3.0, step_over=2.0, levels=(-1.0, -2.0, -3.0))
    for one in found.passes:
        for before, after in zip(one.strokes, one.strokes[1:], strict=False):
            assert np.hypot(*(before.path.points[-1] - after.path.points[0])) < 1e-6
            assert before.z[-1] == pytest.approx(after.z[0])


def test_rings_run_climb_with_the_material_to_their_right() -> None:
    square = (np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)]),)
    found = planned(square, radius=3.0, step_over=2.0)
    rings = [
        stroke.path
        for one in found.passes
        for stroke in one.strokes
        if stroke.feed in (Feed.CUT, Feed.SLOT) and chains.length(stroke.path) > 20.0
    ]
    assert rings
    assert all(clipper.ring_area(chains.tessellated(ring, chord=0.01)) > 0.0 for ring in rings)


def test_a_roomy_pocket_is_entered_by_a_helix_no_steeper_than_allowed() -> None:
    found = planned((BLOCK,), radius=3.0, step_over=2.0)
    assert found.ways == ("enters by a helix",)
    turns = found.passes[0].strokes[0]
    assert turns.feed is Feed.RAMP
    slope = (turns.z[0] - turns.z[-1]) / chains.length(turns.path)
    assert slope <= math.tan(DESCENT.angle) + 1e-9


def test_a_narrow_pocket_is_entered_by_a_ramp() -> None:
    slot = (np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 6.4), (0.0, 6.4)]),)
    found = planned(slot, radius=3.0, step_over=2.0)
    assert "ramp" in found.ways[0]
    assert all(stroke.feed is not Feed.PLUNGE for one in found.passes for stroke in one.strokes)


def test_a_pit_is_plunged_only_by_a_cutter_that_cuts_at_its_centre() -> None:
    pit = (np.array([(0.0, 0.0), (6.2, 0.0), (6.2, 6.2), (0.0, 6.2)]),)
    work = clipper.offset(pit, by=-3.0)
    layout = laid_out(Room(work=work, radius=3.0, step_over=2.0))
    job = Clearing(layout=layout, top=0.0, levels=(-1.0,), descent=DESCENT)
    assert "plunges" in cleared(job).ways[0]
    blunt = Clearing(
        layout=layout,
        top=0.0,
        levels=(-1.0,),
        descent=Descent(diameter=6.0, angle=0.05, pitch=0.6, plunges=False),
    )
    assert cleared(blunt).passes == ()
    assert len(cleared(blunt).shut) == 1


def test_no_way_leads_over_material_from_one_part_of_the_work_to_another() -> None:
    """Both ends of such a way lie on edges, so that it crosses none: it must be seen to lie outside."""
    angle = np.linspace(0, 2 * math.pi, 40, endpoint=False)
    random = np.random.default_rng(2168)
    reach = random.uniform(14.0, 30.0, 40)
    outer = np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))
    centre = (float(random.uniform(-6, 6)), 2.0)
    island = chains.tessellated(chains.circle(centre, radius=4.0, clockwise=True), chord=0.0005)
    radius = float(random.choice([1.0, 2.0, 3.0]))
    found = planned((outer, island), radius=radius, step_over=0.9 * radius)
    figure = shape((outer, island))
    assert swept(found, radius=radius, at=-1.0).difference(figure.buffer(0.002)).area < 1e-6


def test_a_small_pocket_is_entered_along_its_innermost_ring() -> None:
    """A circle there, and then the ring, would cut the same ground twice."""
    pit = (np.array([(0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (0.0, 12.0)]),)
    found = planned(pit, radius=3.0, step_over=2.5, levels=(-0.5, -1.0))
    assert found.ways == ("enters by a helix along its innermost ring: shorter than a circle and the ring after it",)
    ramps = [stroke for one in found.passes for stroke in one.strokes if stroke.feed is Feed.RAMP]
    assert ramps
    for ramp in ramps:
        slope = float(ramp.z[0] - ramp.z[-1]) / chains.length(ramp.path)
        assert 0.0 < slope <= math.tan(DESCENT.angle) + 1e-9


def test_a_roughing_path_lies_between_the_wall_and_ten_micrometres_off_it() -> None:
    angle = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    reach = 20.0 + 2.0 * np.sin(3 * angle) + np.sin(5 * angle)
    room = Room(work=(np.column_stack((reach * np.cos(angle), reach * np.sin(angle))),), radius=3.0, step_over=60.0)
    run = laid_out(room).groups[0].steps[0].path
    exact = Polygon(room.work[0])
    dense = chains.tessellated(run, chord=0.0001)
    assert exact.exterior.hausdorff_distance(LineString(dense)) < 0.0105
    assert Polygon(dense).difference(exact.buffer(0.002)).is_empty
    assert len(run.bulges) < 60


def test_an_area_is_laid_out_anew_only_if_it_is_another() -> None:
    room = Room(work=(BLOCK,), radius=3.0, step_over=2.0)
    assert same_room(room, replace(room, work=(BLOCK.copy(),)))
    assert not same_room(room, replace(room, work=(BLOCK + 0.1,)))
    assert not same_room(room, replace(room, step_over=1.0))
