"""Loose pieces become chains, whatever order and direction they were drawn in."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.drawing.joining import joined
from camplan.geometry.chains import arcs, backwards, chain, circle, length, signed_area

WITHIN = 0.010


def join(*pieces, closed=()):
    return joined(list(pieces), closed=list(closed), layer="DISC", within=WITHIN)


def loop_of(corners, bulges):
    """A closed chain and its segments as pieces."""
    whole = chain(corners, bulges=bulges, closed=True)
    ahead = np.roll(whole.points, -1, axis=0)
    return whole, [chain([a, b], bulges=[bulge]) for a, b, bulge in zip(whole.points, ahead, whole.bulges, strict=True)]


def canonical(path):
    """Vertices and bulges from the lowest leftmost vertex, counter-clockwise."""
    path = path if signed_area(path) > 0 else backwards(path)
    rounded = np.round(path.points, 6) + 0.0
    first = min(range(len(rounded)), key=lambda k: tuple(rounded[k]))
    return np.roll(rounded, -first, axis=0).tolist(), np.round(np.roll(path.bulges, -first), 9).tolist()


@st.composite
def scattered_loops(draw):
    wholes, pieces = [], []
    for number in range(draw(st.integers(1, 4))):
        count = draw(st.integers(3, 9))
        radii = draw(st.lists(st.floats(4.0, 9.0), min_size=count, max_size=count))
        bulges = draw(st.lists(st.sampled_from([0.0, 0.2, -0.15, 0.5]), min_size=count, max_size=count))
        angles = 2.0 * math.pi * np.arange(count) / count
        corners = np.column_stack((np.cos(angles), np.sin(angles))) * np.array(radii)[:, None] + (40.0 * number, 3.0)
        whole, parts = loop_of(corners, bulges)
        wholes.append(whole)
        pieces.extend(parts)
    order = draw(st.permutations(range(len(pieces))))
    turned = draw(st.lists(st.booleans(), min_size=len(pieces), max_size=len(pieces)))
    return wholes, [backwards(pieces[k]) if turn else pieces[k] for k, turn in zip(order, turned, strict=True)]


@settings(max_examples=60, deadline=None)
@given(scattered_loops())
def test_shuffled_and_turned_pieces_give_the_same_loops(case):
    wholes, pieces = case
    result = join(*pieces)
    assert not result.open and not result.findings
    assert sorted(map(canonical, result.closed)) == sorted(map(canonical, wholes))


@settings(max_examples=40, deadline=None)
@given(scattered_loops(), st.integers(0, 2**32 - 1))
def test_ends_off_by_two_microns_give_the_same_loops_with_radii_off_by_no_more(case, seed):
    wholes, pieces = case
    noise = np.random.default_rng(seed)
    shaken = [chain(piece.points + noise.uniform(-0.002, 0.002, (2, 2)), bulges=piece.bulges) for piece in pieces]
    result = join(*shaken)
    assert not result.open and len(result.closed) == len(wholes)
    wanted = sorted(abs(signed_area(path)) for path in wholes)
    for path, area in zip(sorted(result.closed, key=lambda path: abs(signed_area(path))), wanted, strict=True):
        assert abs(signed_area(path)) == pytest.approx(area, abs=0.006 * length(path))
    drawn = sorted(np.concatenate([arcs(path).radii[path.bulges != 0.0] for path in shaken]))
    found = sorted(np.concatenate([arcs(path).radii[path.bulges != 0.0] for path in result.closed]))
    assert np.abs(np.array(drawn) - found).max(initial=0.0) <= 0.006


def test_a_short_flat_arc_keeps_its_radius_when_its_end_is_snapped():
    """Closed form: 1 mm of an R50 arc whose end moves 4 um; kept bulge would make it R50.2."""
    sweep = 0.02
    arc = chain([(50, 0), (50 * math.cos(sweep), 50 * math.sin(sweep))], bulges=[math.tan(sweep / 4)])
    beside = np.array([50 * math.cos(sweep), 50 * math.sin(sweep) + 0.008])
    result = join(arc, chain([beside, (40, 5)]))
    assert len(result.open) == 1
    assert arcs(result.open[0]).radii[0] == pytest.approx(50.0, abs=1e-6)


def test_a_half_circle_keeps_its_radius_within_the_snap():
    half = chain([(10, 0), (-10, 0)], bulges=[1.0])
    result = join(half, chain([(-10.006, 0), (10.006, 0)]))
    assert len(result.closed) == 1
    assert arcs(result.closed[0]).radii[0] == pytest.approx(10.0, abs=0.004)


def test_ends_farther_apart_than_the_tolerance_stay_open():
    assert len(join(chain([(0, 0), (5, 0)]), chain([(5.009, 0), (9, 4)])).open) == 1
    assert len(join(chain([(0, 0), (5, 0)]), chain([(5.011, 0), (9, 4)])).open) == 2


def test_a_chain_runs_as_the_first_of_its_pieces_was_drawn():
    result = join(chain([(5, 0), (9, 0)]), chain([(5, 0), (0, 0)]), chain([(20, 0), (9, 0)]))
    assert result.open[0].points.tolist() == [[0, 0], [5, 0], [9, 0], [20, 0]]


def test_pieces_shorter_than_the_tolerance_are_not_swallowed():
    t = np.linspace(0, math.pi / 2, 400)
    points = np.column_stack((np.cos(t), np.sin(t)))
    assert np.hypot(*np.diff(points, axis=0).T).max() < WITHIN
    result = join(*[chain(points[k : k + 2]) for k in range(399)])
    assert len(result.open) == 1 and len(result.open[0].points) == 400 and not result.findings


def test_pieces_without_length_are_dropped_and_said():
    result = join(chain([(0, 0), (5, 0)]), chain([(3, 3), (3, 3)]))
    assert len(result.open) == 1
    (finding,) = result.findings
    assert finding.code == "zero-length" and '"DISC"' in finding.message and "(3.000, 3.000)" in finding.message


def test_closed_chains_and_circles_stay_as_they_are():
    disc, square = circle((0, 0), radius=5), chain([(20, 0), (30, 0), (30, 10), (20, 10)], closed=True)
    result = join(chain([(50, 0), (60, 0)]), closed=[disc, square])
    assert result.closed == (disc, square)


def test_an_open_polyline_whose_ends_meet_closes():
    result = join(chain([(0, 0), (9, 0), (9, 9), (0.004, 0.003)]))
    assert len(result.closed) == 1 and len(result.closed[0].points) == 3


def test_thousands_of_ends_in_one_place_are_one_vertex():
    angles = np.linspace(0.0, 2.0 * math.pi, 3000, endpoint=False)
    result = join(*[chain([(0, 0), (30 * math.cos(a), 30 * math.sin(a))]) for a in angles])
    assert len(result.open) == 3000 and [finding.code for finding in result.findings] == ["branch"]
