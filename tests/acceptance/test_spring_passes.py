"""A wall that one pass would leave off its size is walked again, in the text."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-10"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "disc"
kind = "pocket"
layer = "DISC"
depth_mm = 6
finish_mm = 0.2
tolerance_um = {tolerance}
"""


def walks(folder: Path) -> tuple[float, str]:
    """How far the tool goes along the finished wall's long sides, in mm, and what is said of its size."""
    document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    program = next(one for one in document["programs"] if one["cutter"])
    wall = [one for one in program["operations"] if one["purpose"] == "finish"][-1]
    lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
    own = lines[wall["first_line"] - 1 : wall["last_line"]]
    size = next(reason["sentence"] for reason in wall["reasons"] if reason["figure"] == "size_error")
    way, here = 0.0, 0.0
    for line in own:
        said = re.search(r"X(-?[0-9.]+)", line)
        there = float(said[1]) if said else here
        way += abs(there - here) if re.match(r"(G1 )?X", line) and "Y" not in line else 0.0
        here = there
    return way, size


def test_a_tight_wall_is_walked_twice_and_an_easy_one_once(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    found = {}
    for name, tolerance in (("tight", 8), ("easy", 30)):
        folder = tmp_path / name
        folder.mkdir()
        plates.drawn(
            folder / "plate.dxf",
            closed=[
                ("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]),
                ("DISC", plates.rounded(10, 10, 80, 50, radius=8)),
            ],
        )
        ran = run("plan", plates.job(folder, JOB.format(tolerance=tolerance)))
        assert ran.code == 0, ran.out + ran.err
        found[name] = walks(folder)
    assert "spring pass" in found["tight"][1]
    assert "with one pass" in found["easy"][1]
    once = found["easy"][0]
    assert 2.0 * once <= found["tight"][0] + 1e-6 < 3.0 * once
