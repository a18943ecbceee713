"""The other commands, as a newcomer tries them."""

import json
import math
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("name", ["first", "cavity", "back", "nest", "scale"])
def test_a_first_job_is_written_once_from_a_drawing(tmp_path: Path, run: Callable[..., Any], name: str) -> None:
    drawing = tmp_path / f"{name}.dxf"
    shutil.copy(ROOT / "examples" / name / f"{name}.dxf", drawing)
    # Only the drawing in the oldest version of DXF cannot say its unit.
    arguments = ["start", drawing, *(["--unit", "mm"] if name == "first" else [])]
    ran = run(*arguments)
    assert (ran.code, ran.err) == (0, "")
    job = tmp_path / f"{name}.toml"
    text = job.read_text(encoding="utf-8")
    written = tomllib.loads(text)
    assert written["drawing"] == f"{name}.dxf"
    assert written["plate"]["outline"] == "PLATE"
    assert written["feature"]
    assert "guess" in text.lower()
    again = run(*arguments)
    assert again.code == 2
    assert job.read_text(encoding="utf-8") == text


def test_a_first_job_can_be_planned_as_it_stands(tmp_path: Path, run: Callable[..., Any]) -> None:
    shutil.copy(ROOT / "examples" / "back" / "back.dxf", tmp_path / "back.dxf")
    assert run("start", tmp_path / "back.dxf").code == 0
    ran = run("plan", tmp_path / "back.toml")
    assert ran.code in (0, 1), ran.out + ran.err
    document = json.loads((tmp_path / "back-out" / "plan.json").read_text(encoding="utf-8"))
    assert document["proof"]["passed"] is True


def test_cutters_are_compared_for_a_job(planned: Callable[[str], Any], run: Callable[..., Any]) -> None:
    job = planned("first").job
    ran = run("cutters", job)
    assert (ran.code, ran.err) == (0, "")
    assert "slot-6" in ran.out
    assert "slot-3" in ran.out
    one = run("cutters", job, "disc")
    assert one.code == 0
    assert "disc" in one.out
    other = run("cutters", job, "disk")
    assert other.code == 2
    assert "disc" in other.err


def test_speeds_follow_from_the_cutting_speed(run: Callable[..., Any]) -> None:
    """n = 1000 v / (pi d) and f = n z c, as every handbook has them, with the cutting speed that is named as reason."""
    ran = run("speeds", "--cutter", "slot-6", "--material", "aluminium-6082", "--depth", "1", "--width", "3")
    assert (ran.code, ran.err) == (0, ""), ran.out
    speed = float(re.search(r"spindle: .*? rpm: (\d+) m/min", ran.out)[1])
    turns = float(re.search(r"spindle +([0-9.]+) 1/min", ran.out)[1])
    chip = float(re.search(r"chip a tooth +([0-9.]+) mm", ran.out)[1])
    feed = float(re.search(r"feed +([0-9.]+) mm/min", ran.out)[1])
    assert turns == pytest.approx(1000.0 * speed / (math.pi * 6.0), rel=0.01)
    assert turns <= 18_000  # bench-mill, which is the mill if none is named
    assert feed == pytest.approx(turns * 2 * chip, rel=0.02)


def test_the_module_is_the_command(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "camplan", "--help"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0
    for command in ("start", "plan", "check", "cutters", "mould", "speeds"):
        assert command in done.stdout


@pytest.mark.parametrize("command", ["start", "plan", "check", "cutters", "mould", "speeds", "time"])
def test_help_of_each_command_shows_an_example(run: Callable[..., Any], command: str) -> None:
    ran = run(command, "--help")
    assert ran.code == 0
    assert f"camplan {command} " in ran.out.split("example", 1)[1]
