"""Gates that narrow, grooves that cross or run into wells: nothing stays in the middle, nothing is entered twice."""

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
cutters = ["slot-6", "slot-4", "slot-2", "slot-1.5"]

[plate]
thickness_mm = 10
outline = "PLATE"
"""


def groove(name: str, *, width: str = "4", depth: str = "2", more: str = "") -> str:
    head = f'\n[[feature]]\nname = "{name}"\nkind = "groove"\nlayer = "{name.upper()}"\n'
    return f"{head}width_mm = {width}\ndepth_mm = {depth}\n{more}"


def pocket(name: str, *, depth: float) -> str:
    return f'\n[[feature]]\nname = "{name}"\nkind = "pocket"\nlayer = "{name.upper()}"\ndepth_mm = {depth}\n'


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, text: str, **drawn: Any) -> Any:
    closed = [("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]), *drawn.pop("closed", [])]
    plates.drawn(folder / "plate.dxf", closed=closed, **drawn)
    return run("plan", plates.job(folder, HEAD + text))


def document(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def program_of(folder: Path, *, feature: str) -> list[str]:
    """The lines of the operations that cut a groove."""
    found: list[str] = []
    for program in document(folder)["programs"]:
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        for one in program["operations"]:
            if one["feature"] == feature:
                found += lines[one["first_line"] - 1 : one["last_line"]]
    return found


def entries(lines: list[str]) -> int:
    """How often the cutter comes down from the air."""
    return sum(bool(re.match(r"(G0 )?Z0\.5$", line)) for line in lines)


@pytest.mark.parametrize("widths", ["[4, 2]", "[2, 4]"])
def test_a_gate_narrows_into_its_cavity(widths: str, plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=pocket("disc", depth=4) + groove("gate", width=widths, depth="1"),
        closed=[("DISC", plates.rounded(60, 10, 85, 50, radius=4))],
        open_=[("GATE", [(40, 30), (62, 30)])],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    found = document(tmp_path)
    assert found["proof"]["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
    cutters = [(program["cutter"], one["feature"]) for program in found["programs"] for one in program["operations"]]
    assert {cutter for cutter, feature in cutters if feature == "gate"} == {"slot-2"}


def test_a_gate_too_narrow_for_every_cutter_is_refused_at_its_end(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, text=groove("gate", width="[4, 1]"), open_=[("GATE", [(40, 30), (62, 30)])])
    said = " ".join(ran.err.split())
    assert ran.code == 2
    assert "its narrow end of 1 mm at X62.000 Y30.000" in said
    assert "a slot drill or end mill of at most 1 mm" in said


def test_a_closed_line_has_no_ends_to_narrow_between(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ring = [("GATE", [(10, 10), (30, 10), (30, 30), (10, 30)])]
    ran = planned(tmp_path, plates, run, text=groove("gate", width="[4, 2]"), closed=ring)
    assert ran.code == 2
    assert "the closed line through (10.000, 10.000) has no ends" in " ".join(ran.err.split())


@pytest.mark.parametrize("depths", [("2", "2"), ("2", "3"), ("[2.5, 2]", "2"), ("[2.5, 1.5]", "[1.5, 2.5]")])
def test_two_runners_cross_clean(depths: tuple[str, str], plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=groove("along", depth=depths[0]) + groove("across", depth=depths[1]),
        open_=[("ALONG", [(10, 30), (60, 30)]), ("ACROSS", [(35, 10), (35, 50)])],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    proof = document(tmp_path)["proof"]
    assert proof["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
    assert proof["gouge_um"] <= 2.0
    for name in ("along", "across"):
        assert entries(program_of(tmp_path, feature=name)) == 1


@pytest.mark.parametrize("depth", ["2", "[2.5, 2]"])
def test_runners_of_one_layer_that_cross_are_entered_once_each(
    depth: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    lines = [("RUNNER", [(10, 30), (60, 30)]), ("RUNNER", [(35, 10), (35, 50)])]
    ran = planned(tmp_path, plates, run, text=groove("runner", depth=depth), open_=lines)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert document(tmp_path)["proof"]["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
    assert entries(program_of(tmp_path, feature="runner")) == 2


def test_a_runner_from_a_well_into_a_gate_leaves_nothing(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(
        tmp_path,
        plates,
        run,
        text=pocket("well", depth=4)
        + groove("runner", depth="[2.5, 2]", more="deepest_at = [10, 30]\n")
        + groove("gate", width="[4, 2]", depth="1")
        + pocket("disc", depth=4),
        closed=[("DISC", plates.rounded(60, 10, 85, 50, radius=4))],
        open_=[("RUNNER", [(10, 30), (48, 30)]), ("GATE", [(48, 30), (62, 30)])],
        circles=[("WELL", 10, 30, 10)],
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert document(tmp_path)["proof"]["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
