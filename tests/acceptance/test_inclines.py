"""Pockets whose floors fall: the text read by a second reader, the volume of the prism, and faults refused."""

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from acceptance import shadow

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-4"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "basin"
kind = "pocket"
layer = "BASIN"
depth_mm = [1.5, 2.5]
slope_from_mm = [10, 25]
slope_to_mm = [50, 25]
"""


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, text: str = JOB) -> Any:
    plates.drawn(
        folder / "plate.dxf",
        closed=[("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]), ("BASIN", plates.rounded(10, 10, 50, 40, radius=4))],
    )
    return run("plan", plates.job(folder, text))


def floor_of(folder: Path, *, step: float = 0.25) -> tuple[Any, Any]:
    """The lowest tip over each place of a grid, from the text alone: a flat cutter leaves under itself a disc."""
    document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    x, y = np.arange(8.0 + step / 2.0, 52.0, step), np.arange(8.0 + step / 2.0, 42.0, step)
    depth = np.zeros((len(x), len(y)))
    for program in document["programs"]:
        cutter = document["cutters"].get(program["cutter"])
        if cutter is None:
            continue
        radius = cutter["diameter_mm"] / 2.0
        motions, broken = shadow.steps((folder / "plate-out" / program["file"]).read_text().splitlines())
        assert broken == []
        for motion in motions:
            for px, py, pz in motion.path[motion.path[:, 2] < 0.0]:
                near_x = np.flatnonzero(np.abs(x - px) <= radius)
                near_y = np.flatnonzero(np.abs(y - py) <= radius)
                if not len(near_x) or not len(near_y):
                    continue
                inside = (x[near_x, None] - px) ** 2 + (y[None, near_y] - py) ** 2 <= radius**2
                part = depth[np.ix_(near_x, near_y)]
                depth[np.ix_(near_x, near_y)] = np.where(inside, np.maximum(part, -pz), part)
    return np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1), depth


def test_the_floor_lies_on_its_plane_within_its_tolerance(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(tmp_path, plates, run)
    assert (ran.code, ran.err) == (0, ""), ran.out
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert document["features"][0]["floors_mm"] == [[[10.0, 25.0, 1.5], [50.0, 25.0, 2.5]]]
    sheet = (tmp_path / "plate-out" / "sheet.html").read_text(encoding="utf-8")
    assert "falling from 1.5 to 2.5 deep" in sheet
    assert "it falls evenly between and is level beyond" in sheet
    places, depth = floor_of(tmp_path)
    wanted = 1.5 + (places[..., 0] - 10.0) / 40.0
    assert (depth[depth > 0.0] <= wanted[depth > 0.0] + 1e-3).all()
    x, y = places[..., 0], places[..., 1]
    middle = (x > 14.5) & (x < 45.5) & (y > 14.5) & (y < 35.5)
    assert np.abs(depth - wanted)[middle].max() <= 0.020 + 1e-3
    # at the foot of the lower wall 2 r tan a stay, a twenty-fifth of a tip's width
    foot = (x > 49.75) & (x < 50.0) & (y > 20.0) & (y < 30.0)
    assert (wanted - depth)[foot].max() == pytest.approx(4.0 / 40.0, abs=0.01)


def test_a_pocket_holds_the_volume_of_its_prism(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """A prism cut obliquely holds its area times the depth under its centre (solid geometry): here 2 mm, less what
    stands at the foot of the walls, not more than r tan a over strips as wide as the tip."""
    assert planned(tmp_path, plates, run).code == 0
    _, depth = floor_of(tmp_path)
    area = 40.0 * 30.0 - (4.0 - math.pi) * 16.0
    assert float(depth.sum()) * 0.25**2 == pytest.approx(area * 2.0, rel=0.005)


@pytest.mark.parametrize("purpose", ["floor", "wall"])
def test_twenty_micrometres_too_deep_are_refused(
    purpose: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    assert planned(tmp_path, plates, run, text=JOB.replace('"slot-6", ', "")).code == 0
    (program,) = (tmp_path / "plate-out").glob("01-*.ngc")
    assert run("check", program, "--job", tmp_path / "plate.toml").code == 0
    lines = program.read_text().splitlines()
    finish = [number for number, line in enumerate(lines) if "basin: finish" in line]
    begin, end = (finish[0], finish[1]) if purpose == "floor" else (finish[1], len(lines))
    at = [number for number in range(begin, end) if re.search(r"^(G1 )?X.*Z-2\.[1-4]", lines[number])]
    edited = list(lines)
    edited[at[-1]] = re.sub(r"Z-([0-9.]+)", lambda found: f"Z-{float(found[1]) + 0.02:.4f}", edited[at[-1]])
    other = tmp_path / "edited.ngc"
    other.write_text("\n".join(edited) + "\n")
    checked = run("check", other, "--job", tmp_path / "plate.toml")
    assert checked.code == 3, checked.out
    assert "[gouge]" in checked.out


def test_a_path_left_out_is_not_met(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    assert planned(tmp_path, plates, run, text=JOB.replace('"slot-6", ', "")).code == 0
    (program,) = (tmp_path / "plate-out").glob("01-*.ngc")
    lines = program.read_text().splitlines()
    begin, end = (number for number, line in enumerate(lines) if "basin: finish" in line)
    lifts = [number for number in range(begin, end) if lines[number].startswith("G0 Z")]
    other = tmp_path / "edited.ngc"
    middle = len(lifts) // 2
    other.write_text("\n".join([*lines[: lifts[middle]], *lines[lifts[middle + 1] :]]) + "\n")
    checked = run("check", other, "--job", tmp_path / "plate.toml")
    assert checked.code == 1, checked.out
    assert "[left-uncut]" in checked.out


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("slope_to_mm = [50, 25]\n", "", "slope_to_mm: is missing"),
        ("[50, 25]", "[10, 25]", "is the place of slope_from_mm too"),
        ("[1.5, 2.5]", "2", "slope_from_mm: has no use with one depth"),
        ("[1.5, 2.5]", "[2, 2]", "both depths are 2: nothing falls"),
        ("[1.5, 2.5]", "[1.5, 10]", "cannot be as deep as the plate"),
        ("[1.5, 2.5]", "[1.5, 12]", "12 is below the plate"),
        ("[50, 25]", "[5, 25]", "the floor does not fall anywhere in the contours"),
        ("[50, 25]", "[50, 25]\ndraft_deg = 2", "a floor that falls has upright walls"),
        ("[50, 25]", "[50, 25, 1]", "must be two numbers"),
    ],
)
def test_what_cannot_fall_is_refused(
    old: str, new: str, says: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    assert JOB.count(old) == 1
    ran = planned(tmp_path, plates, run, text=JOB.replace(old, new))
    assert ran.code == 2
    assert says in " ".join(ran.err.split())
    assert not (tmp_path / "plate-out").exists()


def test_a_fine_cutter_only_follows_where_the_wide_one_leaves_something(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    text = JOB.replace('"slot-6", "slot-4"', '"slot-6", "slot-2"')
    ran = planned(tmp_path, plates, run, text=text)
    assert (ran.code, ran.err) == (0, ""), ran.out
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    by_cutter = {
        program["cutter"]: [one["purpose"] for one in program["operations"]] for program in document["programs"]
    }
    assert by_cutter["slot-6"] == ["rough", "finish"]
    assert "rough" not in by_cutter["slot-2"]
    places, depth = floor_of(tmp_path)
    x, y = places[..., 0], places[..., 1]
    wanted = 1.5 + (x - 10.0) / 40.0
    foot = (x > 49.75) & (x < 50.0) & (y > 20.0) & (y < 30.0)
    # 2 r tan a of the narrow cutter, not of the wide one
    assert (wanted - depth)[foot].max() == pytest.approx(2.0 / 40.0, abs=0.01)


def test_sharp_corners_are_cleared_down_to_the_floor(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]),
            ("BASIN", [(10, 10), (50, 10), (50, 40), (10, 40)]),
            ("BASIN", [(26, 22), (34, 22), (34, 28), (26, 28)]),
        ],
    )
    ran = run("plan", plates.job(tmp_path, JOB))
    assert (ran.code, ran.err) == (0, ""), ran.out
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert "corners" in [one["purpose"] for program in document["programs"] for one in program["operations"]]


@pytest.mark.parametrize(
    ("fall", "more"),
    [
        ("depth_mm = [1, 2.5]\nslope_from_mm = [20, 10]\nslope_to_mm = [45, 40]", "allowance_mm = 0.1\ncorner_mm = 2"),
        ("depth_mm = [5, 0.5]\nslope_from_mm = [45, 25]\nslope_to_mm = [15, 25]", "corner_mm = 2"),
        ("top_mm = 0.4\ndepth_mm = [3, 1.5]\nslope_from_mm = [10, 25]\nslope_to_mm = [70, 25]", "corner_mm = 3"),
    ],
    ids=["askew round an island, with an allowance", "steep, rising", "from a ledge"],
)
def test_floors_fall_every_way(fall: str, more: str, plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]),
            ("BASIN", plates.rounded(10, 8, 60, 50, radius=4)),
            ("BASIN", plates.rounded(25, 20, 35, 30, radius=2)),
            ("ABOVE", plates.rounded(8, 6, 62, 52, radius=4)),
        ],
    )
    head, _, _ = JOB.partition("depth_mm")
    ledge = '\n\n[[feature]]\nname = "above"\nkind = "pocket"\nlayer = "ABOVE"\ndepth_mm = 0.4\ncorner_mm = 3\n'
    above = ledge if "top_mm" in fall else ""
    text = head.replace('"slot-4"', '"slot-2"') + f"{fall}\n{more}{above}\n"
    ran = run("plan", plates.job(tmp_path, text))
    assert (ran.code, ran.err) == (0, ""), ran.out
    proof = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))["proof"]
    assert proof["gouge_um"] <= 2.0
    assert proof["wall_error_um"] <= 5.0


def test_a_floor_left_higher_than_its_tolerance_is_not_met(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    assert planned(tmp_path, plates, run, text=JOB.replace('"slot-6", ', "")).code == 0
    (program,) = (tmp_path / "plate-out").glob("01-*.ngc")
    lines = program.read_text().splitlines()
    begin = next(number for number, line in enumerate(lines) if "basin: finish" in line)
    raised = [
        line if number < begin else re.sub(r"Z-([0-9.]+)", lambda found: f"Z-{float(found[1]) - 0.04:.4f}", line)
        for number, line in enumerate(lines)
    ]
    other = tmp_path / "edited.ngc"
    other.write_text("\n".join(raised) + "\n")
    checked = run("check", other, "--job", tmp_path / "plate.toml")
    assert checked.code == 1, checked.out
    assert "[left-uncut]" in checked.out
