"""Engraving comes down fast to a stated height."""

from camplan.geometry.chains import chain
from camplan.linking.way import Air, Feeds, linked
from camplan.moves.records import Line, Rapid
from camplan.passes.lines import MARK_CLEAR, mark_passes


def test_an_engraver_comes_down_by_rapid_to_its_stated_clearance_and_plunges_from_there() -> None:
    one = mark_passes(chain([(0, 0), (5, 0)]), top=-1.0, levels=(-1.15,))
    feeds = Feeds(radius=0.1, skin=0.0, corner=200.0, cut=200.0, slot=190.0, ramp=90.0, plunge=50.0, free=400.0)
    moves, _ = linked([one], feeds=feeds, air=Air(low=3.0, high=10.0, clamps=(), berth=5.0), here=(9.0, 9.0, 10.0))
    lowest = min(move.to[2] for move in moves if isinstance(move, Rapid))
    first = next(move for move in moves if isinstance(move, Line))
    assert lowest == -1.0 + MARK_CLEAR
    assert (first.to, first.feed) == ((0.0, 0.0, -1.15), 50.0)
