"""Feeds along a path: slower where a wall wraps round the cutter."""

import math

import numpy as np
import pytest

from camplan.geometry.chains import chain
from camplan.linking.way import Air, Feeds, inside_feed, linked
from camplan.moves.records import Arc, Line, Move
from camplan.passes.records import Feed, Pass, Stroke, level_stroke

FEEDS = Feeds(radius=3.0, skin=0.0, corner=120.0, cut=600.0, slot=500.0, ramp=300.0, plunge=150.0, free=1200.0)
AIR = Air(low=3.0, high=10.0, clamps=(), berth=2.0)
QUARTER = math.tan(math.pi / 8.0)


def cut(stroke: Stroke, *, feeds: Feeds = FEEDS) -> list[Move]:
    """The moves of one stroke, without the way to it and from it."""
    down = Stroke(path=chain([stroke.path.points[0]] * 2), z=np.array([0.0, -2.0]), feed=Feed.PLUNGE)
    moves, _ = linked([Pass(strokes=(down, stroke), free=0.0)], feeds=feeds, air=AIR, here=(0.0, 0.0, 3.0))
    return [move for move in moves if isinstance(move, Line | Arc) and move.to[:2] != tuple(stroke.path.points[0])]


def test_the_centre_is_slower_than_the_edge_in_a_hole() -> None:
    """600 mm/min at the edge of a 10 mm hole is 240 at the centre of a 6 mm cutter: v (Dh - D)/Dh, plane geometry."""
    assert inside_feed(FEEDS, feed=600.0, arc=2.0) == pytest.approx(240.0)


def test_an_inside_arc_is_cut_at_the_centres_feed_and_an_outside_arc_at_the_whole() -> None:
    left = cut(level_stroke(chain([(0.0, 0.0), (12.0, 12.0)], bulges=[QUARTER]), z=-2.0, feed=Feed.CUT))
    right = cut(level_stroke(chain([(0.0, 0.0), (12.0, -12.0)], bulges=[-QUARTER]), z=-2.0, feed=Feed.CUT))
    assert [move.feed for move in left if isinstance(move, Arc)] == [pytest.approx(480.0)]
    assert [move.feed for move in right if isinstance(move, Arc)] == [600.0]


def test_a_straight_way_into_an_inside_corner_ends_slowly() -> None:
    path = chain([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)])
    moves = cut(level_stroke(path, z=-2.0, feed=Feed.CUT))
    said = [(round(move.to[0], 3), round(move.to[1], 3), move.feed) for move in moves if isinstance(move, Line)]
    assert said == [(19.1, 0.0, 600.0), (20.0, 0.0, 120.0), (20.0, 20.0, 600.0)]


def test_a_wall_walked_again_is_not_slowed_into_corners_but_on_inside_arcs() -> None:
    """What bent away before is all that is left: no second wall is met in a corner."""
    path = chain([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)])
    moves = cut(level_stroke(path, z=-2.0, feed=Feed.SPRING))
    assert [move.feed for move in moves if isinstance(move, Line)] == [600.0, 600.0]
    left = cut(level_stroke(chain([(0.0, 0.0), (12.0, 12.0)], bulges=[QUARTER]), z=-2.0, feed=Feed.SPRING))
    assert [move.feed for move in left if isinstance(move, Arc)] == [pytest.approx(480.0)]


def test_an_outside_corner_is_taken_at_the_whole_feed() -> None:
    path = chain([(0.0, 0.0), (20.0, 0.0), (20.0, -20.0)])
    moves = cut(level_stroke(path, z=-2.0, feed=Feed.CUT))
    assert [move.feed for move in moves if isinstance(move, Line)] == [600.0, 600.0]


def test_an_arc_that_ends_in_a_corner_is_divided_where_it_slows() -> None:
    path = chain([(0.0, 0.0), (12.0, -12.0), (24.0, -12.0)], bulges=[-QUARTER, 0.0])
    arcs = [move for move in cut(level_stroke(path, z=-2.0, feed=Feed.CUT)) if isinstance(move, Arc)]
    assert [move.feed for move in arcs] == [600.0, 120.0]
    assert math.hypot(arcs[0].to[0] - arcs[0].centre[0], arcs[0].to[1] - arcs[0].centre[1]) == pytest.approx(12.0)
    assert math.dist(arcs[0].to[:2], arcs[1].to[:2]) == pytest.approx(0.9, abs=0.01)


def test_a_stroke_whose_load_was_measured_runs_at_the_feed_that_follows_from_it() -> None:
    """What bends and corners add to the load is in it already."""
    corner = chain([(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)])
    assert [move.feed for move in cut(level_stroke(corner, z=-2.0, feed=Feed.CUT, pace=555.0))] == [555.0, 555.0]
    bend = chain([(0.0, 0.0), (12.0, 12.0)], bulges=[QUARTER])
    assert [move.feed for move in cut(level_stroke(bend, z=-2.0, feed=Feed.SLOT, pace=444.0))] == [444.0]
