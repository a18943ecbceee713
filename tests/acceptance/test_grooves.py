"""Grooves as a newcomer draws them: wider than the cutter, and off the plate's edge."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-3"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "runner"
kind = "groove"
layer = "RUNNER"
width_mm = 7
depth_mm = 3
"""


@pytest.mark.parametrize("begin", [-8.0, 0.0, 15.0], ids=["off the plate", "at the edge", "inside"])
def test_a_groove_wider_than_the_cutter_gets_its_walls_wherever_it_begins(
    begin: float, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (80, 0), (80, 60), (0, 60)])],
        open_=[("RUNNER", [(begin, 30.0), (50.0, 30.0)])],
    )
    ran = run("plan", plates.job(tmp_path, HEAD))
    assert (ran.code, ran.err) == (0, ""), ran.out
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert document["proof"]["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
    purposes = [one["purpose"] for program in document["programs"] for one in program["operations"]]
    assert "finish" in purposes
