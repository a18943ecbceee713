"""More that cannot be used: drawings without a unit, names given twice, and much that is wrong at once."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest


def refused(job: Path, *, run: Callable[..., Any]) -> list[str]:
    """The problems of a job that cannot be planned, a line each; nothing is written."""
    before = {path: path.read_bytes() for path in job.parent.iterdir()}
    ran = run("plan", job)
    assert (ran.code, ran.out) == (2, ""), (ran.out, ran.err)
    assert "Traceback" not in ran.err
    assert {path: path.read_bytes() for path in job.parent.iterdir()} == before
    lines: list[str] = ran.err.splitlines()
    assert lines
    assert all(line.startswith("camplan: ") for line in lines), lines
    assert len(lines) == len(set(lines)), lines
    return lines


def test_a_drawing_that_does_not_say_its_unit_is_asked_for_it(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    job = plates.plain(tmp_path)
    drawing = ezdxf.readfile(tmp_path / "plate.dxf")
    drawing.header["$INSUNITS"] = 0
    drawing.saveas(tmp_path / "plate.dxf")
    (line,) = refused(job, run=run)
    assert "plate.dxf" in line
    assert "does not say its unit" in line
    assert "mm or inch" in line
    said = plates.job(tmp_path, 'drawing_units = "mm"\n' + plates.HEAD + plates.POCKET)
    assert run("plan", said).code == 0


def test_a_drawing_in_inches_is_cut_in_mm(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    """An inch is 25.4 mm."""
    job = plates.plain(tmp_path)
    inch = 1 / 25.4
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60 * inch, 0), (60 * inch, 40 * inch), (0, 40 * inch)]),
            ("POCKET", [(15 * inch, 8 * inch), (45 * inch, 8 * inch), (45 * inch, 32 * inch), (15 * inch, 32 * inch)]),
        ],
    )
    drawing = ezdxf.readfile(tmp_path / "plate.dxf")
    drawing.header["$INSUNITS"] = 1
    drawing.saveas(tmp_path / "plate.dxf")
    ran = run("plan", job)
    assert (ran.code, ran.err) == (0, ""), ran.out
    program = (tmp_path / "plate-out" / "01-slot-6.ngc").read_text(encoding="ascii")
    xs = [float(value) for value in re.findall(r"X(-?[0-9.]+)", program)]
    # slot-6 keeps its radius from the walls at 15 and 45.
    assert (min(xs), max(xs)) == (pytest.approx(18.0, abs=0.002), pytest.approx(42.0, abs=0.002))


def test_a_name_given_twice_is_told(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.plain(tmp_path)
    lines = refused(plates.job(tmp_path, plates.HEAD + plates.POCKET + plates.POCKET), run=run)
    assert any("plate.toml" in line and "feature[2].name" in line and "'pocket'" in line for line in lines), lines


def test_each_of_many_problems_is_a_line_with_its_key(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.plain(tmp_path)
    text = plates.HEAD.replace("thickness_mm = 8", "thickness_mm = 0").replace('"slot-6", ', "")
    text = text.replace('drawing = "plate.dxf"', 'drawing = "../plate.dxf"')
    text += plates.POCKET.replace("depth_mm = 3", "depth_mm = nan\nspeed = 4")
    text += plates.POCKET.replace('kind = "pocket"', 'kind = "hollow"')
    lines = refused(plates.job(tmp_path, text), run=run)
    for key in ("drawing", "plate.thickness_mm", "feature[1].depth_mm", "feature[1].speed", "feature[2].kind"):
        (line,) = [line for line in lines if f" {key}: " in line]
        assert "plate.toml" in line
    assert len(lines) == 5


def test_layers_and_contours_are_told_together(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    """Three features, each with a trouble of its own in the drawing: all three are told, each with its layer."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]),
            ("CROSSED", [(15, 8), (45, 32), (45, 8), (15, 32)]),
        ],
        open_=[("OPEN", [(15, 8), (45, 8), (45, 32), (15, 32), (15, 9)])],
    )
    features = "".join(
        plates.POCKET.replace('"pocket"\nkind', f'"{layer.lower()}"\nkind').replace('"POCKET"', f'"{layer}"')
        for layer in ("CROSSED", "OPEN", "ABSENT")
    )
    lines = refused(plates.job(tmp_path, plates.HEAD + features), run=run)
    assert any("CROSSED" in line and "(30.000, 20.000)" in line for line in lines), lines
    assert any("OPEN" in line and "(15.000, 9.000)" in line for line in lines), lines
    assert any("ABSENT" in line for line in lines), lines


@pytest.mark.parametrize("command", ["plan", "cutters"])
def test_commands_on_the_same_bad_job_say_the_same(
    command: str, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    plates.plain(tmp_path)
    job = plates.job(tmp_path, plates.HEAD.replace("thickness_mm = 8", "thickness_mm = -8") + plates.POCKET)
    ran = run(command, job)
    assert (ran.code, ran.out) == (2, "")
    assert "plate.thickness_mm" in ran.err
