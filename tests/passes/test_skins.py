"""A lap along a wall is fed as in a slot only where it is one."""

import numpy as np
import pytest

from camplan.geometry import clipper
from camplan.geometry.chains import chain
from camplan.passes.records import Feed, Pass, level_stroke
from camplan.passes.skins import Skin, skimmed

WORK = (np.array([(0.0, 0.0), (30.0, 0.0), (30.0, 0.2), (0.0, 0.2)]),)
LAP = chain([*WORK[0], WORK[0][0]])
PASS = Pass(strokes=(level_stroke(LAP, z=-1.0, feed=Feed.RAMP), level_stroke(LAP, z=-2.0, feed=Feed.SLOT)), free=0.0)


def feeds(done: clipper.Area, *, most: float = 0.2) -> list[Feed]:
    (found,) = skimmed([PASS], skin=Skin(work=WORK, radius=3.0, done=done, most=most))
    return [stroke.feed for stroke in found.strokes]


def test_where_nothing_is_cleared_a_lap_is_a_slot() -> None:
    assert feeds(()) == [Feed.RAMP, Feed.SLOT]


@pytest.mark.parametrize(("left", "feed"), [(0.1, Feed.CUT), (0.2, Feed.CUT), (0.3, Feed.SLOT), (1.0, Feed.SLOT)])
def test_a_lap_that_cuts_a_skin_runs_at_the_feed_of_the_wall(left: float, feed: Feed) -> None:
    assert feeds(clipper.offset(WORK, by=3.0 - left)) == [Feed.RAMP, feed]


def test_a_place_that_earlier_cuts_did_not_reach_makes_it_a_slot() -> None:
    done = clipper.offset((np.array([(0.0, 0.0), (24.0, 0.0), (24.0, 0.2), (0.0, 0.2)]),), by=3.0)
    assert feeds(done) == [Feed.RAMP, Feed.SLOT]
