"""A plate of holes that hold things, from the drawing to the text: how wide the text really cuts each of them, and what
is said of a text in which one is wider.

The width is worked out here from the text alone: the farthest that the middle of a cutter comes from the hole's, and
the cutter's radius (plane geometry).
"""

import json
import math
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from acceptance import shadow
from ezdxf import units

THICK = 10.0
JOB = """\
title = "Hive entrance disc, holding plate"
drawing = "plate.dxf"
machine = "rigid-mill"
material = "aluminium-6082"

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "guide pins"
kind = "hole"
layer = "PINS"
depth = "through"
fit = "H7"

[[feature]]
name = "bushes"
kind = "hole"
layer = "BUSH"
depth_mm = 6
fit = "H8"

[[feature]]
name = "press pins"
kind = "hole"
layer = "PRESS"
depth_mm = 7
dowel = "press"

[[feature]]
name = "slip pins"
kind = "hole"
layer = "SLIP"
depth = "through"
dowel = "slip"

[[feature]]
name = "taps"
kind = "hole"
layer = "TAPS"
depth = "through"
thread = "M5"

[[feature]]
name = "blind taps"
kind = "hole"
layer = "BLIND"
thread_depth_mm = 4
thread = "M4"

[[feature]]
name = "wide tap"
kind = "hole"
layer = "WIDE"
depth = "through"
thread = "M10"

[[feature]]
name = "cap screws"
kind = "hole"
layer = "SCREWS"
counterbore = "M5"

[[feature]]
name = "plain screws"
kind = "hole"
layer = "PLAIN"
clearance_for = "M4"
clearance = "fine"

[[feature]]
name = "magnets"
kind = "hole"
layer = "MAGNETS"
magnet = "glue"
depth_mm = 3
"""

CIRCLES = [
    ("PINS", 10, 10, 6),
    ("PINS", 90, 50, 6),
    ("BUSH", 20, 30, 12),
    ("PRESS", 70, 50, 5),
    ("SLIP", 10, 50, 7),
    ("TAPS", 30, 10, 5),
    ("TAPS", 30, 50, 4.2),
    ("WIDE", 88, 28, 10),
    ("SCREWS", 50, 10, 5),
    ("SCREWS", 50, 50, 5.5),
    ("PLAIN", 65, 10, 4),
    ("MAGNETS", 70, 30, 8),
]

# Feature, middle, depth to look at, width: H7 and H8 by ISO 286-2, G7 by it from memory; M5 and M4 by DIN 336;
# clearance by ISO 273; the head's bore by DIN 974-1, from memory; the magnet's gap by common practice, no source.
WIDTHS = [
    ("guide pins", (10, 10), 5.0, 6.006),
    ("guide pins", (90, 50), THICK, 6.006),
    ("bushes", (20, 30), 5.99, 12.0135),
    ("press pins", (70, 50), 6.99, 5.006),
    ("slip pins", (10, 50), THICK, 7.0125),
    ("taps", (30, 50), 5.0, 4.2),
    ("blind taps", (40, 10), 4.0, 3.3),
    ("cap screws", (50, 10), 5.39, 10.0),
    ("cap screws", (50, 10), THICK, 5.5),
    ("cap screws", (50, 50), 5.41, 5.5),
    ("plain screws", (65, 10), THICK, 4.3),
    ("magnets", (70, 30), 2.99, 8.1),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The plate planned: its job, its folder, how the command ended and what plan.json says."""

    job: Path
    folder: Path
    ran: Any
    document: dict[str, Any]

    def feature(self, name: str) -> dict[str, Any]:
        found: dict[str, Any] = next(one for one in self.document["features"] if one["name"] == name)
        return found

    def operations(self, name: str) -> list[tuple[dict[str, Any], dict[str, Any]]]:
        """Programs and operations of a feature."""
        return [
            (program, one)
            for program in self.document["programs"]
            for one in program["operations"]
            if one["feature"] == name
        ]


@pytest.fixture(scope="module")
def plate(tmp_path_factory: pytest.TempPathFactory, run: Callable[..., Any]) -> Plate:
    place = tmp_path_factory.mktemp("holding")
    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True, dxfattribs={"layer": "PLATE"})
    for layer, x, y, diameter in CIRCLES:
        space.add_circle((x, y), diameter / 2.0, dxfattribs={"layer": layer})
    space.add_point((40, 10), dxfattribs={"layer": "BLIND"})
    drawing.saveas(place / "plate.dxf")
    job = place / "plate.toml"
    job.write_text(JOB, encoding="utf-8")
    ran = run("plan", job)
    document = json.loads((place / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return Plate(job=job, folder=place / "plate-out", ran=ran, document=document)


def read(path: Path) -> list[Any]:
    """The motions of a program; each drilling cycle as a way down and up again (NISTIR 6556 section 3.5.16)."""
    lines: list[str] = []
    cycle: dict[str, float] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        said = dict(shadow.words(line))
        if "G81" in line or "G83" in line:
            cycle = said
        elif "G80" in line:
            cycle = {}
        if cycle and {"X", "Y"} & said.keys():
            place = f"X{said['X']:.4f} Y{said['Y']:.4f}"
            lines += [f"G0 {place}", f"G1 Z{cycle['Z']:.4f}", f"G1 Z{cycle['R']:.4f}"]
        else:
            lines.append("" if "G80" in line else line)
    steps, broken = shadow.steps(lines)
    assert broken == []
    return list(steps)


def reaches(plate: Plate, *, at: tuple[float, float], depth: float) -> Any:
    """How far each place of every program cuts from a hole's middle at a depth, its direction, and how far off the
    middle the cutter stands: (n, 3)."""
    found = []
    for program in plate.document["programs"]:
        cutter = plate.document["cutters"][program["cutter"]]
        lean = math.tan(math.radians((cutter["point_angle_deg"] or 0.0) / 2.0))
        for step in read(plate.folder / program["file"]):
            if step.mode == 0:
                continue
            above = -depth - step.path[:, 2]
            full, tip = cutter["diameter_mm"] / 2.0, cutter["tip_diameter_mm"] / 2.0
            radius = np.minimum(full, tip + above * lean) if lean else np.full(len(above), full)
            away = step.path[:, :2] - at
            near = (above >= -1e-9) & (np.hypot(*away.T) < 8.0)
            angle = np.arctan2(away[near, 1], away[near, 0])
            found.append(np.column_stack((np.hypot(*away[near].T) + radius[near], angle, np.hypot(*away[near].T))))
    return np.vstack(found)


def test_the_plate_is_planned_and_proven(plate: Plate) -> None:
    assert plate.ran.code == 0, plate.ran.out + plate.ran.err
    assert plate.document["proof"]["passed"]
    assert plate.document["proof"]["wall_error_um"] <= 3.0


@pytest.mark.parametrize(("name", "at", "depth", "width"), WIDTHS)
def test_each_hole_is_as_wide_as_what_it_holds_asks_for(
    plate: Plate, name: str, at: tuple[float, float], depth: float, width: float
) -> None:
    del name
    reach = reaches(plate, at=at, depth=depth)
    assert 2.0 * reach[:, 0].max() == pytest.approx(width, abs=0.003)
    widest = reach[reach[:, 0] > width / 2.0 - 0.0015]
    if widest[:, 2].max() > 0.001:  # no drill that stands in the middle: it has to go all the way round
        turned = np.sort(widest[:, 1])
        assert np.diff(turned, append=turned[0] + math.tau).max() < 0.3


def test_a_hole_is_no_deeper_than_it_should_be(plate: Plate) -> None:
    for at, depth in (((20, 30), 6.0), ((70, 50), 7.0), ((70, 30), 3.0)):
        assert not len(reaches(plate, at=at, depth=depth + 0.002))


def test_a_mouth_is_chamfered_a_little_wider_than_its_thread(plate: Plate) -> None:
    """1.05 times M5 and M4 at the top, at a right angle (common practice, no source)."""
    for at, nominal in (((30, 10), 5.0), ((40, 10), 4.0), ((88, 28), 10.0)):
        for depth in (0.0, 0.2):
            reach = reaches(plate, at=at, depth=depth)
            assert 2.0 * reach[:, 0].max() == pytest.approx(1.05 * nominal - 2.0 * depth, abs=0.003)


def test_a_mouth_wider_than_any_spotting_drill_is_walked_round_after_the_hole_is_drilled(plate: Plate) -> None:
    assert [one["purpose"] for _, one in plate.operations("wide tap")] == ["drill", "drill", "edge"]
    assert "mouth-left-sharp" not in [finding["code"] for finding in plate.document["findings"]]


def test_a_reamer_of_the_size_is_taken_after_a_drill_and_comes_out_as_it_went_in(plate: Plate) -> None:
    cutters = [program["cutter"] for program, _ in plate.operations("guide pins")]
    assert cutters[-2:] == ["drill-5.8", "ream-6-h7"]
    (program, _) = plate.operations("guide pins")[-1]
    steps = read(plate.folder / program["file"])
    ups = [step for step in steps if step.path[0, 2] < -THICK]
    assert len(ups) == 2
    assert all(step.mode == 1 for step in ups)


def test_a_bored_fit_is_drilled_undersize_and_its_wall_walked_again(plate: Plate) -> None:
    work = plate.operations("slip pins")
    assert [one["purpose"] for _, one in work] == ["drill", "drill", "bore", "bore"]
    program, wall = work[-1]
    assert any("walked 2 times" in reason["sentence"] for reason in wall["reasons"])
    lines = (plate.folder / program["file"]).read_text(encoding="utf-8").splitlines()
    steps, _ = shadow.steps(lines[: wall["last_line"]])
    mine = [step for step in steps if step.line >= wall["first_line"] and step.mode in (2, 3)]
    radius = (7.0125 - plate.document["cutters"][program["cutter"]]["diameter_mm"]) / 2.0
    turned = 0.0
    for step in mine:
        away = step.path[:, :2] - (10, 50)
        if np.abs(np.hypot(*away.T) - radius).max() < 0.002:
            turned += float(np.abs(np.diff(np.unwrap(np.arctan2(away[:, 1], away[:, 0])))).sum())
    assert turned >= 2.0 * math.tau * len(wall["levels_mm"]) - 0.01


def test_what_is_gauged_and_what_is_left_to_the_hand_stand_in_the_plan_and_on_the_sheet(plate: Plate) -> None:
    sheet = (plate.folder / "sheet.html").read_text(encoding="utf-8")
    pins = plate.feature("guide pins")["holds"]
    (gauge,) = pins["gauges"]
    assert gauge["says"] == "6 H7: 6.000 to 6.012, aim 6.006, go 6.000 / no-go 6.012"
    assert gauge["says"] in sheet
    assert (gauge["least_mm"], gauge["most_mm"], gauge["aim_mm"]) == (6.0, 6.012, 6.006)
    (tap,) = plate.feature("taps")["holds"]["by_hand"]
    assert "tap 2 holes M5 x 0.8 by hand, through" in tap
    assert tap in sheet
    assert plate.feature("cap screws")["holds"]["heads"] == [{"diameter_mm": 10.0, "depth_mm": 5.4}]
    assert "ISO-273" in sheet and "ISO-4762" in sheet and "DIN-336" in sheet


def edited(plate: Plate, folder: Path, *, feature: str, at: tuple[float, float], by: float) -> list[Path]:
    """The programs, in that of a feature's last operation all about its hole wider by ``by`` in the diameter."""
    program, wall = plate.operations(feature)[-1]
    paths = []
    for each in plate.document["programs"]:
        path = Path(shutil.copy(plate.folder / each["file"], folder / each["file"]))
        paths.append(path)
        if each["file"] != program["file"]:
            continue
        diameter = plate.document["cutters"][program["cutter"]]["diameter_mm"]
        radius = max(
            float(np.hypot(*(step.path[:, :2] - at).T).max())
            for step in shadow.steps(path.read_text(encoding="utf-8").splitlines())[0]
            if wall["first_line"] <= step.line <= wall["last_line"] and step.mode in (2, 3)
        )
        assert radius + diameter / 2.0 < 8.0
        share = (radius + by / 2.0) / radius
        lines = path.read_text(encoding="utf-8").splitlines()
        for number in range(wall["first_line"] - 1, wall["last_line"]):
            lines[number] = scaled(lines[number], at=at, share=share)
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return paths


def scaled(line: str, *, at: tuple[float, float], share: float) -> str:
    """A line with its places drawn away from a middle."""
    if line.startswith("("):
        return line
    middles = {"X": at[0], "Y": at[1], "I": 0.0, "J": 0.0}

    def drawn(word: str) -> str:
        middle = middles.get(word[:1])
        return word if middle is None else f"{word[0]}{middle + share * (float(word[1:]) - middle):.4f}"

    return " ".join(drawn(word) for word in line.split(" "))


HOLES = [("slip pins", (10, 50)), ("bushes", (20, 30)), ("magnets", (70, 30))]


@pytest.mark.parametrize(("feature", "at"), HOLES)
def test_a_hole_20_um_wider_is_refused(
    plate: Plate, run: Callable[..., Any], tmp_path: Path, feature: str, at: tuple[float, float]
) -> None:
    ran = run("check", *edited(plate, tmp_path, feature=feature, at=at, by=0.02), "--job", plate.job)
    assert ran.code == 3, ran.out
    assert "[gouge]" in " ".join(ran.out.split())


@pytest.mark.parametrize(("feature", "at"), HOLES[:2])
def test_a_fit_20_um_narrower_is_not_met(
    plate: Plate, run: Callable[..., Any], tmp_path: Path, feature: str, at: tuple[float, float]
) -> None:
    ran = run("check", *edited(plate, tmp_path, feature=feature, at=at, by=-0.02), "--job", plate.job)
    assert ran.code == 1, ran.out
    assert "[left-uncut]" in " ".join(ran.out.split())


def test_the_programs_as_written_are_passed(plate: Plate, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = run("check", *edited(plate, tmp_path, feature="slip pins", at=(10, 50), by=0.0), "--job", plate.job)
    assert ran.code == 0, ran.out


def test_a_head_bored_deeper_than_asked_is_refused(plate: Plate, run: Callable[..., Any], tmp_path: Path) -> None:
    program, bored = plate.operations("cap screws")[-1]
    paths = [
        Path(shutil.copy(plate.folder / one["file"], tmp_path / one["file"])) for one in plate.document["programs"]
    ]
    path = tmp_path / program["file"]
    lines = path.read_text(encoding="utf-8").splitlines()
    span = range(bored["first_line"] - 1, bored["last_line"])
    assert any("Z-5.4" in lines[number] for number in span)
    for number in span:
        lines[number] = lines[number].replace("Z-5.4", "Z-5.5")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    ran = run("check", *paths, "--job", plate.job)
    assert ran.code == 3, ran.out
    assert "[gouge]" in " ".join(ran.out.split())


def test_a_spot_that_chamfers_too_wide_is_refused(plate: Plate, run: Callable[..., Any], tmp_path: Path) -> None:
    program, spot = plate.operations("taps")[0]
    paths = [
        Path(shutil.copy(plate.folder / one["file"], tmp_path / one["file"])) for one in plate.document["programs"]
    ]
    path = tmp_path / program["file"]
    lines = path.read_text(encoding="utf-8").splitlines()
    for number in range(spot["first_line"] - 1, spot["last_line"]):
        lines[number] = lines[number].replace("Z-2.625", "Z-2.725")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    ran = run("check", *paths, "--job", plate.job)
    assert ran.code == 3, ran.out
    assert "[gouge]" in " ".join(ran.out.split())
