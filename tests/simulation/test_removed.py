"""The removed section worked upwards is the one that sweeping everything gives at each height."""

import itertools
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from camplan.moves.table import Kind
from camplan.simulation import solids
from camplan.simulation.bands import widest
from camplan.simulation.removed import removed_upwards
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in, cutting, track_of

HEIGHTS = (-6.0, -4.5, -3.001, -2.999, -1.5, -0.5, -0.001)
HAIR = 1.5 * solids.SAGITTA
"""Round edges are chords at most `SAGITTA` inside; where they begin depends on what was swept in one go."""

_places = st.tuples(st.integers(0, 3), st.integers(0, 3), st.sampled_from((2.0, 0.0, -1.0, -3.0, -5.0)))


def all_swept(track: Track, *, z: float) -> Any:
    """Every cutting chord, nothing left out."""
    found = []
    for number in range(len(track.cutters)):
        rows = np.flatnonzero(cutting(track) & (track.cutter == number))
        chords = chords_in(track, rows=rows)
        found += pieces(chords, bands=track.bands[number], z=z).shapes.tolist()
    return shapely.union_all(found)


def same(one: Any, other: Any) -> bool:
    """Whether neither figure stands out of the other by more than a hair."""
    return all(solids.less(a, solids.grown(b, by=HAIR)).area < 1e-9 for a, b in ((one, other), (other, one)))


def upwards(track: Track) -> list[Any]:
    return list(removed_upwards(track, rows=np.flatnonzero(cutting(track)), heights=HEIGHTS))


def wandering(shop: ModuleType, places: list[tuple[int, int, float]]) -> Any:
    """Straight ways, plunges and lifts; every fourth move between two different places is half a circle."""
    tape = shop.Tape()
    tape.at = (0.0, 0.0, 2.0)
    for number, (x, y, z) in enumerate(places):
        to = (5.0 * x, 5.0 * y)
        if number % 4 == 3 and to != tape.at[:2]:
            middle = ((to[0] + tape.at[0]) / 2.0, (to[1] + tape.at[1]) / 2.0)
            tape.move(*to, z, kind=Kind.CLOCKWISE if number % 8 == 3 else Kind.COUNTER_CLOCKWISE, centre=middle)
        else:
            tape.move(*to, z)
    return tape


@pytest.mark.parametrize("kind", ["straight", "short flutes", "round", "tapered"])
@example(first=[(0, 0, 2.0)], second=[(0, 0, 2.0), (3, 3, -1.0), (2, 0, -3.0), (0, 1, 2.0)])
@given(first=st.lists(_places, min_size=1, max_size=9), second=st.lists(_places, min_size=1, max_size=5))
@settings(max_examples=5, deadline=None)
def test_nothing_is_lost_on_the_way_up(shop: ModuleType, kind: str, first: list[Any], second: list[Any]) -> None:
    cutter = {
        "straight": shop.slot_drill(3.0),
        "short flutes": shop.slot_drill(3.0, flute_length=2.5),
        "round": shop.ball(4.0),
        "tapered": shop.taper(0.5, half_angle_deg=15.0),
    }[kind]
    programs = [
        shop.program(wandering(shop, first), cutter),
        shop.program(wandering(shop, second), shop.slot_drill(2.0), file="02-disc.ngc"),
    ]
    track = track_of(programs)
    below: Any = solids.NOTHING
    for z, found in zip(HEIGHTS, upwards(track), strict=True):
        wanted = all_swept(track, z=z)
        assert same(found.solid, wanted)
        changed = shapely.union_all(list(found.changed))
        assert found.solid.symmetric_difference(below).difference(changed.buffer(1e-6)).area < 1e-6
        below = found.solid


def test_where_nothing_is_new_the_same_figure_comes_again(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.rapid(10.0, 10.0, 1.0)
    tape.ring([(10.0, 10.0), (30.0, 10.0), (30.0, 20.0)], z=-2.0)
    tape.ring([(10.0, 10.0), (30.0, 10.0), (30.0, 20.0)], z=-5.0)
    found = upwards(track_of([shop.program(tape, shop.slot_drill(3.0))]))
    assert found[0].solid.is_empty
    assert len({id(one.solid) for one in found[1:]}) == 1
    assert [bool(one.changed) for one in found] == [False, True, *([False] * 5)]


def test_a_ring_taken_the_other_way_round_is_the_same_way(shop: ModuleType) -> None:
    """Chords of one key lie on each other."""
    tape = shop.Tape()
    tape.at = (10.0, 0.0, -1.0)
    tape.move(0.0, 10.0, -1.0, kind=Kind.COUNTER_CLOCKWISE, centre=(0.0, 0.0))
    tape.move(10.0, 0.0, -2.0, kind=Kind.CLOCKWISE, centre=(0.0, 0.0))
    tape.move(0.0, 0.0, -2.0)
    tape.move(10.0, 0.0, -3.0)
    track = track_of([shop.program(tape, shop.slot_drill(3.0))])
    chords = track.chords
    assert len(np.unique(chords.key)) == len(chords) / 2
    for key in np.unique(chords.key).tolist():
        one, other = np.flatnonzero(chords.key == key).tolist()
        assert chords.start[one, :2] == pytest.approx(chords.end[other, :2], abs=1e-9)
        assert chords.end[one, :2] == pytest.approx(chords.start[other, :2], abs=1e-9)


def test_the_longer_and_the_shorter_arc_between_two_places_are_different_ways(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.at = (10.0, 0.0, -1.0)
    tape.move(0.0, 10.0, -1.0, kind=Kind.COUNTER_CLOCKWISE, centre=(0.0, 0.0))
    tape.move(10.0, 0.0, -1.0, kind=Kind.COUNTER_CLOCKWISE, centre=(0.0, 0.0))
    track = track_of([shop.program(tape, shop.slot_drill(3.0))])
    assert len(np.unique(track.chords.key)) == len(track.chords)
    assert upwards(track)[-1].solid.area == pytest.approx(np.pi * (11.5**2 - 8.5**2), rel=1e-3)


@pytest.mark.parametrize(("z", "radius"), [(-2.5, 0.5), (-1.0, 2.0), (-0.1, 2.0)])
def test_a_round_cutter_that_only_goes_down_shows_its_widest_disc(shop: ModuleType, z: float, radius: float) -> None:
    """A ball of radius 2 down to 3 mm: at h above the tip sqrt(2 * 2 h - h^2), at most 2 from h = 2 on."""
    tape = shop.Tape()
    tape.at = (10.0, 10.0, 1.0)
    tape.move(10.0, 10.0, -3.0)
    track = track_of([shop.program(tape, shop.ball(4.0))])
    (found,) = removed_upwards(track, rows=np.array([0]), heights=[z])
    height = z + 3.0
    expected = np.sqrt(4.0 * height - height**2) if height < 2.0 else 2.0
    assert expected == pytest.approx(radius, abs=0.9)
    assert widest(track.bands[0]) == 2.0
    x0, _, x1, _ = found.solid.bounds
    assert (x1 - x0) / 2.0 == pytest.approx(expected, abs=6e-4)


def test_levels_of_a_pocket_come_to_the_union_of_their_ways(shop: ModuleType) -> None:
    tape = shop.cleared(shop.Tape(), shapely.box(10, 10, 30, 25), radius=1.5, levels=(-2.0, -4.0))
    track = track_of([shop.program(tape, shop.slot_drill(3.0))])
    for (low, high), z in zip(itertools.pairwise(upwards(track)), HEIGHTS[1:], strict=True):
        assert same(high.solid, all_swept(track, z=z))
        assert low.solid.is_empty or high.solid.buffer(1e-6).covers(low.solid), "straight cutters only widen upwards"
