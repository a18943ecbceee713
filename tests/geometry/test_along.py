"""Places along chains."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry import along, chains

PATH = chains.chain(
    [(5, 0), (35, 0), (40, 5), (40, 30), (0, 30), (0, 5)],
    bulges=[0, math.tan(math.pi / 8), 0, 0.3, 0, math.tan(math.pi / 8)],
    closed=True,
)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 0.9999))
def test_a_place_found_by_length_is_found_again_by_nearness(share: float) -> None:
    length = share * chains.length(PATH)
    place = along.at_length(PATH, length=length)
    again = along.nearest(PATH, to=place.point)
    assert again.distance < 1e-9
    assert along.length_at(PATH, place=place) == pytest.approx(length, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.floats(-10, 50), st.floats(-10, 50))
def test_nearest_is_no_farther_than_any_tessellated_point(x: float, y: float) -> None:
    points = chains.tessellated(PATH, chord=0.001)
    place = along.nearest(PATH, to=(x, y))
    assert place.distance <= np.min(np.hypot(*(points - (x, y)).T)) + 1e-9
    assert math.hypot(place.point[0] - x, place.point[1] - y) == pytest.approx(place.distance)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 1.0))
def test_a_closed_chain_opened_anywhere_keeps_its_length(share: float) -> None:
    place = along.at_length(PATH, length=share * chains.length(PATH))
    run = along.opened_at(PATH, place=place)
    assert not run.closed
    assert chains.length(run) == pytest.approx(chains.length(PATH))
    assert run.points[0] == pytest.approx(run.points[-1])
    assert run.points[0] == pytest.approx(place.point, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 1.0), st.floats(0.01, 0.99))
def test_a_stretch_has_the_length_asked_for(start: float, share: float) -> None:
    total = chains.length(PATH)
    part = along.stretch(PATH, start=start * total, end=(start + share) * total)
    assert chains.length(part) == pytest.approx(share * total, abs=1e-6)


def test_the_direction_turns_along_an_arc() -> None:
    path = chains.circle((0.0, 0.0), radius=2.0)
    assert along.direction(path, place=along.at_length(path, length=0.0)) == pytest.approx((0.0, 1.0))
    quarter = along.at_length(path, length=math.pi)
    assert along.direction(path, place=quarter) == pytest.approx((-1.0, 0.0))


RUN = along.opened_at(PATH, place=along.at_length(PATH, length=12.0))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=12))
def test_places_at_many_lengths_are_those_at_each(shares: list[float]) -> None:
    lengths = np.array(shares) * chains.length(RUN)
    found = along.at_lengths(RUN, lengths=lengths)
    for number, length in enumerate(lengths.tolist()):
        place = along.at_length(RUN, length=length)
        assert found.points[number] == pytest.approx(place.point, abs=1e-9)
        ahead = along.direction(RUN, place=place)
        assert (math.cos(found.heading[number]), math.sin(found.heading[number])) == pytest.approx(ahead, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.001, 0.999), max_size=9, unique_by=lambda share: round(share, 3)), st.booleans())
def test_a_chain_in_pieces_is_the_chain(shares: list[float], at_vertices: bool) -> None:
    total = chains.length(RUN)
    cuts = np.sort(np.array(shares)) * total
    if at_vertices:
        cuts = np.cumsum(chains.segment_lengths(RUN))[:-1]
    pieces = along.parted(RUN, at=cuts)
    assert len(pieces) == len(cuts) + 1
    assert [chains.length(piece) for piece in pieces] == pytest.approx(np.diff([0.0, *cuts, total]).tolist(), abs=1e-6)
    for before, after in pairwise(pieces):
        assert np.array_equal(before.points[-1], after.points[0])
    assert np.array_equal(pieces[0].points[0], RUN.points[0])
    assert np.array_equal(pieces[-1].points[-1], RUN.points[-1])
    whole = along.connected(list(pieces))
    assert chains.length(whole) == pytest.approx(total)
    dense = chains.tessellated(whole, chord=0.001)
    assert max(along.nearest(RUN, to=(x, y)).distance for x, y in dense.tolist()) < 1e-9
    if at_vertices:
        assert np.array_equal(whole.points, RUN.points)
        assert np.array_equal(whole.bulges, RUN.bulges)
