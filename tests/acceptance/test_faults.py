"""Faults planted into the text of proven programs are caught, each at its line."""

import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

FRAME = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "frame"
kind = "pocket"
layer = "FRAME"
depth_mm = 3

[[feature]]
name = "holes"
kind = "hole"
layer = "HOLES"
depth = "through"

[[setting]]
name = "one clamp"
features = ["frame", "holes"]
clamps = [{ x_mm = 82, y_mm = 24, width_mm = 20, length_mm = 12, height_mm = 15 }]
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A planned plate: a pocket with an island, another pocket, two holes with a clamp between them."""

    job: Path
    folder: Path
    files: tuple[str, ...]

    def program(self, part: str) -> list[str]:
        return (self.folder / self._file(part)).read_text(encoding="ascii").splitlines()

    def with_program(self, part: str, lines: list[str], *, place: Path) -> list[Path]:
        """All programs in ``place``, in order, with other lines in the one that has ``part`` in its name."""
        for name in self.files:
            shutil.copy(self.folder / name, place / name)
        (place / self._file(part)).write_text("\n".join(lines) + "\n", encoding="ascii")
        return [place / name for name in self.files]

    def _file(self, part: str) -> str:
        return next(name for name in self.files if part in name)


@pytest.fixture(scope="module")
def frame(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Callable[..., Any]) -> Frame:
    place = tmp_path_factory.mktemp("frame")
    plates.drawn(
        place / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (90, 0), (90, 60), (0, 60)]),
            ("FRAME", plates.rounded(8, 10, 52, 50, radius=5)),
            ("FRAME", plates.rounded(22, 24, 38, 36, radius=2)),
            ("FRAME", plates.rounded(60, 20, 80, 40, radius=4)),
        ],
        circles=[("HOLES", 85, 8, 4.2), ("HOLES", 85, 52, 4.2)],
    )
    job = plates.job(place, FRAME)
    ran = run("plan", job)
    assert (ran.code, ran.err) == (0, ""), ran.out
    folder = place / "plate-out"
    return Frame(job=job, folder=folder, files=tuple(sorted(path.name for path in folder.glob("*.ngc"))))


def found(lines: list[str], pattern: str, *, after: str = "", last: bool = False) -> int:
    """Index of the first (or the last) line that matches ``pattern`` whole, behind the last line with ``after``."""
    begin = max((place for place, line in enumerate(lines) if after and after in line), default=0)
    matches = [place for place in range(begin, len(lines)) if re.fullmatch(pattern, lines[place])]
    assert matches, pattern
    return matches[-1 if last else 0]


def caught(ran: Any, *, code: str, line: int) -> bool:
    """Whether an unsafe finding with ``code`` names the 1-based ``line``."""
    said = " ".join(ran.out.split())
    unsafe = re.findall(r"unsafe (.*?)\[([a-z-]+)\]", said)
    return any(kind == code and f"line {line}:" in message for message, kind in unsafe)


WALL = "(frame: finish, slot-6)"


def test_what_was_planned_passes(frame: Frame, run: Callable[..., Any]) -> None:
    ran = run("check", *(frame.folder / name for name in frame.files), "--job", frame.job)
    assert (ran.code, ran.err) == (0, ""), ran.out


def test_a_depth_too_deep_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"Z-3", after=WALL)
    lines[place] = "Z-3.2"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="gouge", line=place + 1), ran.out


def test_a_floor_only_ten_micrometres_too_deep_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"Z-3", after=WALL)
    lines[place] = "Z-3.01"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="gouge", line=place + 1), ran.out


def test_a_depth_too_shallow_is_reported_as_left(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = [re.sub(r"Z-3(?![.0-9])", "Z-2.9", line) for line in frame.program("slot-6")]
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 1
    assert "left-uncut" in ran.out


def test_a_coordinate_out_of_place_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"X[0-9.]+( F[0-9.]+)?", after=WALL)
    lines[place] = "Y10.5"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="gouge", line=place + 1), ran.out


def test_a_hole_in_another_place_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("drill")
    place = found(lines, r".*G81 X85 Y8 .*")
    lines[place] = lines[place].replace("X85", "X83")
    ran = run("check", *frame.with_program("drill", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="gouge", line=place + 1), ran.out
    assert "left-uncut" in ran.out


def test_an_arc_that_turns_the_other_way_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    # Round the island's corners the cutter goes clockwise; the other way it takes the long way, over the island.
    place = found(lines, r"G2 X[0-9.]+ Y[0-9.]+ I\S+ J\S+( F\S+)?", after=WALL)
    lines[place] = lines[place].replace("G2", "G3")
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="gouge", line=place + 1), ran.out


def test_a_missing_lift_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    # From one pocket to the other: the way up stops below the plate's top, the rapid across stays.
    lift = found(lines, r"G0 Z3", after="(frame: rough, slot-6)")
    lines[lift : lift + 2] = ["G0 Z-2"]
    assert re.fullmatch(r"X[0-9.]+ Y[0-9.]+", lines[lift + 1])
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="rapid-in-stock", line=lift + 2), ran.out


def test_a_rapid_down_into_the_stock_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"G1 Z0\.2 F\d+")
    lines[place] = "G0 Z-1"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="rapid-in-stock", line=place + 1), ran.out


def test_a_way_through_a_clamp_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("drill")
    across = found(lines, r"Y52")
    height = found(lines[:across], r"Z20", last=True)
    lines[height] = "Z5"
    ran = run("check", *frame.with_program("drill", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="clamp-hit", line=across + 1), ran.out


def test_a_lost_decimal_point_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"X46\.1")
    lines[place] = "X461"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert caught(ran, code="outside-travel", line=place + 1), ran.out


def test_a_word_that_is_no_number_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    place = found(lines, r"X46\.1")
    lines[place] = "X46..1"
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert ran.code == 3
    assert f"line {place + 1}:" in ran.out


def test_a_spindle_that_never_starts_is_caught(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    kept = [line for line in lines if not line.startswith("M3")]
    assert len(kept) < len(lines)
    ran = run("check", *frame.with_program("slot-6", kept, place=tmp_path), "--job", frame.job)
    assert ran.code == 3, ran.out


def test_a_speed_above_the_spindle_is_told(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    # bench-mill turns at 18,000 a minute at most.
    lines = [re.sub(r"S\d+", "S40000", line) for line in frame.program("slot-6")]
    ran = run("check", *frame.with_program("slot-6", lines, place=tmp_path), "--job", frame.job)
    assert "40000" in ran.out.replace(",", ""), ran.out


def test_a_program_that_is_cut_short_is_told(frame: Frame, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = frame.program("slot-6")
    ran = run("check", *frame.with_program("slot-6", lines[: len(lines) // 2], place=tmp_path), "--job", frame.job)
    assert ran.code in (1, 3)
    assert "left-uncut" in ran.out
