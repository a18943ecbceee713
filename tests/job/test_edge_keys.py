"""The keys of an edge."""

import math
from typing import Any

import pytest

from camplan.errors import Problem
from camplan.features.specs import EdgeSpec
from camplan.fields import Fields
from camplan.job.edge_keys import read_edge


def edge(**keys: Any) -> tuple[EdgeSpec, list[str]]:
    problems: list[Problem] = []
    fields = Fields({"name": "rim", "layer": "RIM", **keys}, file="job.toml", problems=problems)
    spec = read_edge(fields, unit=1.0, thickness=8.0, top=1.0, tolerance=0.02, cutters=())
    return spec, [f"{problem.key}: {problem.message}" for problem in problems]


def test_a_chamfer_falls_by_45_degrees_if_nothing_is_said() -> None:
    spec, problems = edge(chamfer_mm=0.5)
    assert problems == []
    assert (spec.chamfer, spec.radius, spec.side) == (0.5, None, None)
    assert spec.angle == pytest.approx(math.pi / 4.0)
    assert spec.depth == pytest.approx(1.5)


def test_a_chamfer_is_as_deep_as_its_width_and_angle_make_it() -> None:
    """W tan a: 0.5 mm at 60 degrees from the plate's top are 0.866 mm deep (plane geometry)."""
    spec, _ = edge(chamfer_mm=0.5, angle_deg=60.0)
    assert spec.depth - spec.top == pytest.approx(0.8660254)


def test_a_round_has_its_cusps_from_its_tolerance_or_its_own_key() -> None:
    assert edge(radius_mm=1.0)[0].tolerance == 0.02
    assert edge(radius_mm=1.0, cusp_um=5)[0].tolerance == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({}, "chamfer_mm: is missing: nothing says how much of the edge goes"),
        ({"chamfer_mm": 0.5, "radius_mm": 0.5}, "radius_mm: stands beside chamfer_mm"),
        ({"radius_mm": 0.5, "angle_deg": 45}, "angle_deg: has no use with radius_mm"),
        ({"chamfer_mm": 0.5, "cusp_um": 5}, "cusp_um: only a rounded edge has cusps"),
        ({"chamfer_mm": 0.5, "side": "left"}, "side: 'left' is unknown"),
        ({"chamfer_mm": 0.0}, "chamfer_mm: 0.0 is impossible"),
        ({"chamfer_mm": 0.5, "angle_deg": 90}, "angle_deg: 90 is impossible"),
        ({"radius_mm": 9.0}, "radius_mm: the edge would reach 10 deep, below the plate, which is 8 thick"),
    ],
)
def test_keys_that_do_not_go_together_are_refused(keys: dict[str, Any], said: str) -> None:
    _, problems = edge(**keys)
    assert any(said in problem for problem in problems), problems
