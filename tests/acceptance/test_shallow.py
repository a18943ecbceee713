"""Vents of a few hundredths: planned, proven, warned of, zeroed where they are cut; ledges that meet have one level."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-4", "slot-2"]

[plate]
thickness_mm = 10
outline = "PLATE"
"""


def feature(name: str, *, kind: str, depth: str, more: str = "") -> str:
    layer = name.upper()
    return f'\n[[feature]]\nname = "{name}"\nkind = "{kind}"\nlayer = "{layer}"\ndepth_mm = {depth}\n{more}'


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, text: str, head: str = HEAD, **drawn: Any) -> Any:
    closed = [("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]), *drawn.pop("closed", [])]
    plates.drawn(folder / "plate.dxf", closed=closed, **drawn)
    return run("plan", plates.job(folder, head + text))


def document(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def heights(folder: Path, *, name: str) -> set[str]:
    """The lowest Z word of each operation of a feature."""
    found = set()
    for program in document(folder)["programs"]:
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        for one in program["operations"]:
            if one["feature"] == name:
                text = "\n".join(lines[one["first_line"] - 1 : one["last_line"]])
                found.add(min(re.findall(r"Z(-[0-9.]+)", text), key=float))
    return found


@pytest.mark.parametrize("depth", [0.02, 0.05])
def test_vents_are_proven_and_have_a_program_of_their_own_with_their_place(
    depth: float, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=feature("disc", kind="pocket", depth="4")
        + feature("vent", kind="groove", depth=str(depth), more="width_mm = 4\n")
        + feature("relief", kind="pocket", depth="0.4", more="corner_mm = 2\n"),
        closed=[("RELIEF", [(66, 20), (80, 20), (80, 40), (66, 40)])],
        open_=[("VENT", [(54, 30), (68, 30)])],
        circles=[("DISC", 40, 30, 30)],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "[shallow-depth]" in ran.out
    own = [one for one in document(tmp_path)["programs"] if any(op["feature"] == "vent" for op in one["operations"])]
    (program,) = own
    assert {one["feature"] for one in program["operations"]} == {"vent"}
    ((x, y),) = program["touch_off_mm"]
    assert 55.0 < x < 66.0
    assert y == pytest.approx(30.0, abs=0.05)
    text = (tmp_path / "plate-out" / program["file"]).read_text(encoding="utf-8")
    assert f"(TOUCH OFF Z AT X{x:.3f} Y{y:.3f}: vent is {depth:g} mm deep)" in text.splitlines()[:8]
    sheet = (tmp_path / "plate-out" / "sheet.html").read_text(encoding="utf-8")
    assert "vent is only" in sheet
    assert "first zero Z on the plate&#x27;s top again" in sheet
    assert all(one["touch_off_mm"] == [] for one in document(tmp_path)["programs"] if one["file"] != program["file"])


def test_a_shallow_pocket_is_not_called_too_much_for_its_cutter(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=feature("vent", kind="pocket", depth="0.02", more="corner_mm = 2\n"),
        closed=[("VENT", [(30, 20), (42, 20), (42, 30), (30, 30)])],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "cutter-too-weak" not in ran.out


def test_where_two_cutters_follow_each_other_they_touch_beside(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        head=HEAD.replace('"slot-4", "slot-2"', '"slot-8", "slot-2"'),
        text=feature("vent", kind="pocket", depth="0.05", more="corner_mm = 1\n"),
        closed=[("VENT", [(10, 10), (80, 10), (80, 50), (10, 50)])],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    programs = [one for one in document(tmp_path)["programs"] if one["operations"]]
    assert len(programs) == 2
    for program in programs:
        (x, y), *_ = program["touch_off_mm"]
        assert x < 10.0 or x > 80.0 or y < 10.0 or y > 50.0
        assert 0.0 < x < 90.0
        assert 0.0 < y < 60.0


@pytest.mark.parametrize("depth", ["1.2345", "0.05", "2.00005"])
def test_pockets_and_grooves_that_meet_at_one_depth_are_cut_to_one_word(
    depth: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """A ledge between two features has no step: both name the same height."""
    ran = planned(
        tmp_path,
        plates,
        run,
        text=feature("left", kind="pocket", depth=depth, more="corner_mm = 2\n")
        + feature("right", kind="pocket", depth=depth, more="corner_mm = 2\n")
        + feature("runner", kind="groove", depth=depth, more="width_mm = 4\n"),
        closed=[
            ("LEFT", [(10, 10), (45, 10), (45, 30), (10, 30)]),
            ("RIGHT", [(40, 10), (70, 10), (70, 30), (40, 30)]),
        ],
        open_=[("RUNNER", [(30, 20), (60, 50)])],
    )
    assert ran.code == 0, ran.out
    deepest = {name: min(heights(tmp_path, name=name), key=float) for name in ("left", "right", "runner")}
    assert len(set(deepest.values())) == 1


def test_a_slope_ends_on_the_very_level_of_the_ledge_that_it_meets(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=feature("well", kind="pocket", depth="2.3457", more="corner_mm = 2\n")
        + feature("runner", kind="groove", depth="[2.3457, 1.5]", more="width_mm = 4\n"),
        closed=[("WELL", [(10, 10), (30, 10), (30, 30), (10, 30)])],
        open_=[("RUNNER", [(25, 20), (70, 20)])],
    )
    assert ran.code == 0, ran.out
    assert heights(tmp_path, name="runner") == {"-2.3457"}
    assert min(heights(tmp_path, name="well"), key=float) == "-2.3457"
