"""What the planner takes as cleared."""

import numpy as np

from camplan.geometry.clipper import Area
from camplan.passes.ground import Ground, over, with_hollow


def square(x: float, *, size: float) -> Area:
    return (np.array([(x, 0.0), (x + size, 0.0), (x + size, size), (x, size)]),)


def test_only_what_was_cleared_all_the_way_between_two_heights_is_over_them() -> None:
    ground = Ground(plate=square(0.0, size=100.0), bars=(), holder_radius=20.0, hollows=(), swept={})
    for name, top, bottom in (("whole", 0.0, -6.0), ("shallow", 0.0, -2.0), ("deep", -4.0, -8.0)):
        ground = with_hollow(ground, area=square(10.0, size=20.0), top=top, bottom=bottom, feature=name)
    assert [one.feature for one in over(ground, top=0.0, bottom=-2.0)] == ["whole", "shallow"]
    assert [one.feature for one in over(ground, top=-1.0, bottom=-5.0)] == ["whole"]
    assert [one.feature for one in over(ground, top=-4.0, bottom=-6.0)] == ["whole", "deep"]
    assert over(ground, top=0.0, bottom=-7.0) == ()
