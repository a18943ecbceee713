"""A plate that was taken off the mill and is found again by its marks."""

import json
import math
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from camplan.rs274.read import read

PLACE = (87.0, -41.0)


def marked(document: dict[str, Any], *, names: tuple[str, ...], turn_deg: float, off: float = 0.0) -> list[str]:
    """Where marks are found on a plate that lies turned and shifted; every second one ``off`` mm to the right."""
    turn = math.radians(turn_deg)
    places = {mark["name"]: (mark["x_mm"], mark["y_mm"]) for mark in document["marks"]}
    arguments: list[str] = []
    for number, name in enumerate(names):
        x, y = places[name]
        found = (
            math.cos(turn) * x - math.sin(turn) * y + PLACE[0] + off * (number % 2),
            math.sin(turn) * x + math.cos(turn) * y + PLACE[1],
        )
        arguments += ["--mark", name, f"{found[0]:.4f}", f"{found[1]:.4f}"]
    return arguments


THREE = ("marks 1", "marks 2", "dowels 1")


def located(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "place.json").read_text(encoding="utf-8"))
    return found


def test_programs_of_a_turned_plate_are_turned_and_proven(
    planned: Callable[[str], Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    plan = planned("cavity")
    out = tmp_path / "located"
    ran = run("locate", plan.folder, *marked(plan.document, names=THREE, turn_deg=0.8), "--job", plan.job, "-o", out)
    assert (ran.code, ran.err) == (0, "")
    assert "Proof passed" in ran.out
    place = located(out)
    assert place["turn_deg"] == pytest.approx(0.8, abs=1e-3)
    assert place["zero_machine_mm"] == pytest.approx(PLACE, abs=1e-3)
    # each end of a move, set on to the mill by the work offset, is where the plate's own move lies on the turned plate
    turn = math.radians(place["turn_deg"])
    onto = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    names = [program["file"] for program in plan.document["programs"]]
    assert {path.name for path in out.glob("*.ngc")} >= set(names)
    for name in names:
        before = read((plan.folder / name).read_text(encoding="utf-8"), file=name).motions.end
        after = read((out / name).read_text(encoding="utf-8"), file=name).motions.end
        straight, again = before[:, :2] @ onto, after[:, :2]
        for point in straight[np.isfinite(straight).all(axis=1)][::7]:
            assert np.hypot(*(again - point).T).min() < 0.0012


def test_the_work_offset_alone_is_written_where_the_turn_does_not_matter(
    planned: Callable[[str], Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    plan = planned("first")
    out = tmp_path / "located"
    names = tuple(mark["name"] for mark in plan.document["marks"][:3])
    ran = run("locate", plan.folder, *marked(plan.document, names=names, turn_deg=0.0), "--job", plan.job, "-o", out)
    assert (ran.code, ran.err) == (0, "")
    assert "programs stay as they are" in ran.out
    (offset,) = [path for path in out.iterdir() if path.name.startswith("00-offset")]
    text = offset.read_text(encoding="utf-8")
    assert re.search(r"^G10 L2 P1 X87(\.0+)? Y-41(\.0+)?$", text, flags=re.MULTILINE)
    assert sorted(path.name for path in out.iterdir() if path.suffix == offset.suffix) == [offset.name]
    # a reader of the standard's language finds no fault in it but the one it is for: the zero moves
    codes = {finding.code for finding in read(text, file=offset.name).findings}
    assert codes <= {"zero-moved"} or all("zero" in code for code in codes), codes


def swapped(words: list[str]) -> list[str]:
    words[1], words[5] = words[5], words[1]
    return words


def inches(words: list[str]) -> list[str]:
    return [f"{float(word) / 25.4:.5f}" if re.fullmatch(r"-?[\d.]+", word) else word for word in words]


def mirrored(words: list[str]) -> list[str]:
    for place in range(2, len(words), 4):
        words[place] = f"{200.0 - float(words[place]):.4f}"
    return words


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (swapped, "exchanged"),
        (inches, "inches"),
        (mirrored, "mirror"),
        (lambda words: words[:4], "one mark says where a plate is"),
        (lambda words: [*words, "--mark", "marks 9", "1", "1"], "there is no mark 'marks 9'"),
        (lambda words: [*words, "--mark", "marks 1", "1", "1"], "stands twice"),
        (lambda words: [*words, "--mark", "dowels 2", "one", "1"], "has no place"),
    ],
)
def test_marks_that_cannot_be_meant_are_refused_and_nothing_is_written(
    planned: Callable[[str], Any],
    run: Callable[..., Any],
    tmp_path: Path,
    change: Callable[[list[str]], list[str]],
    said: str,
) -> None:
    plan = planned("cavity")
    out = tmp_path / "located"
    words = change(marked(plan.document, names=THREE, turn_deg=0.8))
    ran = run("locate", plan.folder, *words, "--job", plan.job, "-o", out)
    assert ran.code == 2
    assert said in ran.err
    assert not out.exists()


def test_a_plan_that_no_longer_matches_its_job_is_refused(
    planned: Callable[[str], Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    plan = planned("cavity")
    for path in plan.job.parent.iterdir():
        if path.is_file():
            shutil.copy(path, tmp_path / path.name)
    job = tmp_path / plan.job.name
    job.write_text(
        job.read_text(encoding="utf-8").replace("allowance_mm = 0.15", "allowance_mm = 0.10"), encoding="utf-8"
    )
    ran = run("locate", plan.folder, *marked(plan.document, names=THREE, turn_deg=0.8), "--job", job)
    assert ran.code == 2
    assert "cavity.toml changed after that was planned" in ran.err


def test_a_program_that_was_changed_since_its_proof_is_refused(
    planned: Callable[[str], Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    plan = planned("cavity")
    folder = tmp_path / "cavity-out"
    shutil.copytree(plan.folder, folder)
    program = folder / plan.document["programs"][0]["file"]
    program.write_text(program.read_text(encoding="utf-8").replace("F", "F1", 1), encoding="utf-8")
    ran = run("locate", folder, *marked(plan.document, names=THREE, turn_deg=0.8), "--job", plan.job)
    assert ran.code == 2
    assert "is not the text that was proven" in ran.err


def test_a_plate_that_grew_is_said_to_be_warm(
    planned: Callable[[str], Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    plan = planned("cavity")
    words = marked(plan.document, names=THREE, turn_deg=0.8, off=0.06)
    ran = run("locate", plan.folder, *words, "--job", plan.job, "--sigma-um", "12", "-o", tmp_path / "located")
    assert ran.code == 0
    assert "scale-off" in ran.out
