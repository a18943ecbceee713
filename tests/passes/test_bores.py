"""Points that walk round the mouths of holes."""

import itertools

import numpy as np
import pytest

from camplan.geometry.chains import tessellated
from camplan.passes.bores import mouth_pass
from camplan.passes.records import Feed


def test_a_point_comes_down_in_the_middle_and_goes_once_round_at_every_level() -> None:
    found = mouth_pass((10.0, 20.0), radius=2.4, top=-1.0, levels=(-1.5, -1.85))
    assert found.free == -1.0
    assert tuple(found.strokes[0].path.points[0]) == (10.0, 20.0)
    assert [stroke.feed for stroke in found.strokes] == [
        *(Feed.CUT, Feed.CUT, Feed.FREE),
        Feed.FREE,
        *(Feed.CUT, Feed.CUT, Feed.FREE),
    ]
    for number, z in ((1, -1.5), (5, -1.85)):
        ring = found.strokes[number]
        assert set(ring.z.tolist()) == {z}
        away = np.hypot(*(tessellated(ring.path, chord=1e-4) - (10.0, 20.0)).T)
        assert away == pytest.approx(2.4, abs=1e-9)


def test_no_stroke_leaves_the_circle_and_each_starts_where_the_one_before_ends() -> None:
    strokes = mouth_pass((0.0, 0.0), radius=3.0, top=0.0, levels=(-0.5, -1.0, -1.2)).strokes
    for one, after in itertools.pairwise(strokes):
        assert one.path.points[-1] == pytest.approx(after.path.points[0])
        assert one.z[-1] == after.z[0]
    for stroke in strokes:
        points = tessellated(stroke.path, chord=1e-4)
        assert np.hypot(*points.T).max() <= 3.0 + 1e-9
