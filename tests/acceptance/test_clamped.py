"""Clamps over holes, bores, grooves and marks: what they bar is left and named, the rest is cut."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "spot-90-6", "drill-4.2", "engrave-60-0.2"]

[plate]
thickness_mm = 6
outline = "PLATE"

[[setting]]
name = "one"
features = ["work"]
clamps = [{ x_mm = 0, y_mm = 30, width_mm = 22, length_mm = 20, height_mm = 15 }]
"""
MOVED = """
[[setting]]
name = "two"
features = ["work"]
clamps = [{ x_mm = 90, y_mm = 0, width_mm = 30, length_mm = 20, height_mm = 15 }]
"""
PLATE = [("PLATE", [(0, 0), (120, 0), (120, 80), (0, 80)])]
LINE = [("WORK", [(10, 40), (80, 40)])]
DRILLED = [("WORK", 10, 40, 4.2), ("WORK", 60, 40, 4.2)]
BORED = [("WORK", 10, 40, 10.0), ("WORK", 60, 60, 8.0)]


def work(kind: str, more: str) -> str:
    return f'\n[[feature]]\nname = "work"\nkind = "{kind}"\nlayer = "WORK"\n{more}\n'


CASES = pytest.mark.parametrize(
    ("feature", "circles", "lines"),
    [
        (work("hole", 'depth = "through"'), DRILLED, []),
        (work("hole", 'depth = "through"'), BORED, []),
        (work("groove", "depth_mm = 2\nwidth_mm = 3"), [], LINE),
        (work("mark", "depth_mm = 0.2"), [], LINE),
    ],
    ids=["drilled", "bored", "groove", "mark"],
)


@CASES
def test_what_a_clamp_bars_is_left_and_named_and_the_rest_is_cut(
    feature: str, circles: Any, lines: Any, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    plates.drawn(tmp_path / "plate.dxf", closed=PLATE, circles=circles, open_=lines)
    ran = run("plan", plates.job(tmp_path, HEAD + feature))
    assert (ran.code, ran.err) == (1, ""), ran.out
    document: dict[str, Any] = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert document["proof"]["passed"] is True and document["proof"]["clamp_hits"] == 0
    said = [one for one in document["findings"] if one["code"] == "clamp-in-the-way"]
    assert len(said) == 1 and said[0]["where"] == "work"
    assert [one for one in document["programs"] if one["operations"]]


@CASES
def test_it_is_cut_in_a_setting_without_that_clamp(
    feature: str, circles: Any, lines: Any, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    plates.drawn(tmp_path / "plate.dxf", closed=PLATE, circles=circles, open_=lines)
    ran = run("plan", plates.job(tmp_path, HEAD + MOVED + feature))
    assert (ran.code, ran.err) == (0, ""), ran.out
