"""What was asked for and cannot be had: exit code 1, safe programs all the same, and the plan says what is left."""

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


def spoken(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def square(tmp_path: Path, plates: Any, *, more: str) -> Path:
    """A pocket of 30 x 24 with sharp corners; slot-6 (radius 3) is the only flat cutter."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]),
            ("POCKET", [(15, 8), (45, 8), (45, 32), (15, 32)]),
        ],
    )
    job: Path = plates.job(tmp_path, plates.HEAD + plates.POCKET + more)
    return job


def test_corners_rounder_than_asked_are_not_met(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    ran = run("plan", square(tmp_path, plates, more="corner_mm = 1.5\n"))
    assert (ran.code, ran.err) == (1, ""), ran.out
    document = spoken(tmp_path)
    assert document["proof"]["passed"] is True
    assert [one for one in document["findings"] if one["severity"] == "unmet"]
    assert all((tmp_path / "plate-out" / one["file"]).exists() for one in document["programs"])


def test_what_stays_in_a_sharp_corner_is_its_area(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    """Between a right angle and a circle of radius r that touches both sides stay (1 - pi/4) r^2 (plane geometry)."""
    ran = run("plan", square(tmp_path, plates, more="corner_mm = 1.5\n"))
    assert ran.code == 1
    feature = spoken(tmp_path)["features"][0]
    at_floor = [one for one in feature["left"] if one["depth_mm"] == pytest.approx(3.0, abs=0.01)]
    # A corner radius of 1.5 mm is granted, and its area may be told apart from the rest of the same corner.
    corner = (1.0 - math.pi / 4.0) * 3.0**2
    assert sum(one["area_mm2"] for one in at_floor) == pytest.approx(4.0 * corner, rel=0.03)
    assert feature["smallest_inner_radius_mm"] == 0.0


def test_corners_as_round_as_granted_are_met(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    ran = run("plan", square(tmp_path, plates, more="corner_mm = 3\n"))
    assert (ran.code, ran.err) == (0, ""), ran.out


def test_a_smaller_cutter_is_taken_until_the_corner_holds(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    job = square(tmp_path, plates, more="corner_mm = 1.5\n")
    text = job.read_text(encoding="utf-8").replace('"slot-6",', '"slot-6", "slot-3", "slot-1",')
    ran = run("plan", plates.job(tmp_path, text))
    assert (ran.code, ran.err) == (0, ""), ran.out
    used = {program["cutter"] for program in spoken(tmp_path)["programs"]}
    assert used == {"slot-6", "slot-3"}


def test_a_pocket_between_walls_too_narrow_in_part_is_cut_where_it_can_be(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """A room of 24 x 24 with a slot of 4 mm at its side: slot-6 clears the room and leaves the slot."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (70, 0), (70, 40), (0, 40)]),
            ("POCKET", [(10, 8), (34, 8), (34, 18), (54, 18), (54, 22), (34, 22), (34, 32), (10, 32)]),
        ],
    )
    ran = run("plan", plates.job(tmp_path, plates.HEAD + plates.POCKET))
    assert (ran.code, ran.err) == (1, ""), ran.out
    document = spoken(tmp_path)
    assert document["proof"]["passed"] is True
    largest = max(document["features"][0]["left"], key=lambda one: one["area_mm2"])
    # 20 x 4, less the bulge that the cutter's round side makes into the slot's mouth.
    assert 70.0 < largest["area_mm2"] <= 80.0 + 0.5
    assert "slot-6" in largest["cause"] or "neck" in largest["cause"]


def test_a_clamp_over_a_pocket_is_told_once_and_by_its_place(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    setting = """
[[setting]]
name = "at the left"
features = ["pocket"]
clamps = [{ x_mm = 0, y_mm = 15, width_mm = 25, length_mm = 10, height_mm = 8 }]
"""
    ran = run("plan", square(tmp_path, plates, more=setting))
    assert (ran.code, ran.err) == (1, ""), ran.out
    document = spoken(tmp_path)
    told = [(one["severity"], one["where"]) for one in document["findings"] if one["code"] == "clamp-in-the-way"]
    assert told == [("unmet", "pocket")]
    causes = [one["cause"] for one in document["features"][0]["left"]]
    assert any("clamp 1 of 'at the left' at X0 Y15" in cause for cause in causes)
    assert not any("within reach" in cause for cause in causes)
    assert all((tmp_path / "plate-out" / one["file"]).exists() for one in document["programs"])
