"""Sections of edges against figures worked out by hand."""

import math
from typing import Any

import pytest

from camplan.features.edges import strip_width
from camplan.features.sections import curved_between, heights, may, must
from camplan.features.specs import EdgeSpec
from camplan.regions import Region


def spec(**changes: Any) -> EdgeSpec:
    usual = {"name": "rim", "layer": "RIM", "top": 1.0, "side": "outside", "chamfer": 0.5, "angle": math.pi / 4.0}
    own = {**usual, "radius": None, "tolerance": 0.02, "cutters": (), **changes}
    high = own["radius"] if own["chamfer"] is None else own["chamfer"] * math.tan(own["angle"])
    return EdgeSpec(**{"depth": own["top"] + high, **own})


def test_a_chamfers_strip_narrows_evenly_to_nothing() -> None:
    assert strip_width(spec(), below=0.0) == pytest.approx(0.5)
    assert strip_width(spec(), below=0.25) == pytest.approx(0.25)
    assert strip_width(spec(), below=0.5) == 0.0
    assert strip_width(spec(angle=math.radians(60.0)), below=0.433) == pytest.approx(0.25, abs=1e-4)


def test_a_rounds_strip_follows_its_circle() -> None:
    """(r - x)2 + (r - h)2 = r2 at every height (plane geometry)."""
    rounded = spec(chamfer=None, radius=2.0)
    for below in (0.0, 0.3, 1.0, 1.9, 2.0):
        x = strip_width(rounded, below=below)
        assert (2.0 - x) ** 2 + (2.0 - below) ** 2 == pytest.approx(4.0)


def test_the_strip_lies_on_the_side_of_the_material(make: Any) -> None:
    """A square of 20: 4 sides of 20 x 0.3 and, outside, four quarters of a disc; inside, less four squares."""
    region = Region(outer=make.rectangle(0.0, 0.0, 20.0, 20.0))
    outside = make.feature(spec(), regions=(region,))
    inside = make.feature(spec(side="inside"), regions=(region,))
    assert make.figure(may(outside, z=-1.2)).area == pytest.approx(80 * 0.3 + math.pi * 0.09, rel=1e-4)
    assert make.figure(may(inside, z=-1.2)).area == pytest.approx(80 * 0.3 - 4 * 0.09, rel=1e-6)
    assert heights(outside) == (-1.0, -1.5)
    assert curved_between(outside) == ((-1.0, -1.5),)


def test_of_a_round_all_must_go_that_stands_more_than_its_tolerance_out_of_it(make: Any) -> None:
    """What must go ends on a circle of r + t about the same middle: x = r - sqrt((r + t)2 - (r - h)2)."""
    region = Region(outer=make.rectangle(0.0, 0.0, 20.0, 20.0))
    rounded = make.feature(spec(chamfer=None, radius=1.0), regions=(region,))
    x = 1.0 - math.sqrt(1.02**2 - 0.8**2)
    assert make.figure(must(rounded, z=-1.2)).area == pytest.approx(80 * x + math.pi * x * x, rel=1e-4)
    assert make.figure(must(rounded, z=-1.99)).is_empty
