"""Outlines whose walls lean, against figures worked out by hand."""

import math
from typing import Any

import pytest
import shapely

from camplan.features.leaning import stands_out
from camplan.features.sections import curved_between, may, must
from camplan.regions import Region

LEAN = math.radians(3.0)


def outline(make: Any, **changes: Any) -> Any:
    spec = make.outline(depth=6.0, hold="none", draft=LEAN, **changes)
    return make.feature(spec, regions=(Region(outer=make.rectangle(10.0, 10.0, 40.0, 30.0)),), kerf=6.0)


def test_a_wall_stands_farther_out_the_deeper_it_is(make: Any) -> None:
    top, floor = outline(make), outline(make, nominal="floor")
    assert stands_out(top, spec=top.spec, depth=6.0) == pytest.approx(6.0 * math.tan(LEAN))
    assert stands_out(floor, spec=floor.spec, depth=0.0) == pytest.approx(-6.0 * math.tan(LEAN))
    assert stands_out(floor, spec=floor.spec, depth=6.0) == 0.0
    assert curved_between(top) == ((0.0, -6.0),)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_the_kerf_lies_between_the_wall_and_an_upright_far_side(make: Any, side: str) -> None:
    sign = 1.0 if side == "outside" else -1.0
    drawn = shapely.box(10.0, 10.0, 40.0, 30.0)
    feature = outline(make, side=side, allowance=0.1)
    for depth in (1.0, 4.0):
        near, far = depth * math.tan(LEAN), 6.0 * math.tan(LEAN) + 0.1 + 6.0
        edges = [drawn.buffer(sign * by, quad_segs=256) for by in (near, far)]
        asked = edges[0].symmetric_difference(edges[1])
        assert make.figure(may(feature, z=-depth)).symmetric_difference(asked).area < 2e-3
        band = make.figure(must(feature, z=-depth))
        assert band.area == pytest.approx(0.1 * drawn.buffer(sign * (near + 0.15), quad_segs=64).length, rel=1e-3)
