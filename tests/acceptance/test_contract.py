"""``plan.json`` and programs of one plate with every kind of feature, key by key and line by line."""

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

JOB = """\
title = "Hive entrance disc, every kind"
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
post = "{post}"
cutters = ["slot-6", "slot-4", "slot-3", "spot-90-6", "drill-4.2", "engrave-60-0.2"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "square"
kind = "pocket"
layer = "SQUARE"
depth_mm = 3

[[feature]]
name = "runner"
kind = "groove"
layer = "RUNNER"
width_mm = 4
depth_mm = 1.5

[[feature]]
name = "pins"
kind = "hole"
layer = "PINS"
depth = "through"

[[feature]]
name = "bore"
kind = "hole"
layer = "BORE"
depth_mm = 5

[[feature]]
name = "mark"
kind = "mark"
layer = "MARK"

[[feature]]
name = "disc"
kind = "outline"
layer = "DISC"
depth = "through"
"""

NUMBER = (int, float)
MAYBE = (int, float, type(None))

# The keys that are promised, each with its type: numbers are never true or false.
TOP = {"schema": str, "title": str, "units": str, "plate": dict, "cutters": dict, "programs": list, "features": list}
TOP |= {"proof": dict, "findings": list}
PLATE = {"thickness_mm": NUMBER, "zero": str, "bounds_mm": list}
CUTTER = {"kind": str, "diameter_mm": NUMBER, "tip_diameter_mm": MAYBE, "half_angle_deg": MAYBE}
CUTTER |= {"corner_radius_mm": MAYBE, "point_angle_deg": MAYBE, "flute_length_mm": NUMBER, "reach_mm": NUMBER}
CUTTER |= {"shank_diameter_mm": NUMBER, "teeth": int}
PROGRAM = {"file": str, "setting": str, "cutter": str, "rpm_max": NUMBER, "seconds": NUMBER, "operations": list}
OPERATION = {"feature": str, "purpose": str, "first_line": int, "last_line": int, "rpm": NUMBER, "feed_mm_min": NUMBER}
OPERATION |= {"plunge_mm_min": NUMBER, "step_down_mm": MAYBE, "step_over_mm": MAYBE, "levels_mm": list}
OPERATION |= {"seconds": NUMBER, "reasons": list}
FEATURE = {"name": str, "kind": str, "top_mm": NUMBER, "depth_mm": NUMBER, "draft_deg": MAYBE, "allowance_mm": MAYBE}
FEATURE |= {"smallest_inner_radius_mm": MAYBE, "left": list}
LEFT = {"depth_mm": NUMBER, "area_mm2": NUMBER, "deepest_mm": NUMBER, "cause": str}
PROOF = {"passed": bool, "gouge_um": NUMBER, "wall_error_um": NUMBER, "left_area_mm2": NUMBER, "rapids_in_stock": int}
PROOF |= {"clamp_hits": int, "outside_travel": int, "sections": list}
SECTION = {"z_mm": NUMBER, "gouge_um": NUMBER, "left_area_mm2": NUMBER}
FINDING = {"severity": str, "code": str, "message": str, "where": str}

SQUARE = (12.0, 10.0, 42.0, 34.0)


def assert_types(value: dict[str, Any], kinds: dict[str, Any]) -> None:
    assert kinds.keys() <= value.keys()
    for key, kind in kinds.items():
        assert isinstance(value[key], kind), (key, value[key])
        assert isinstance(value[key], bool) == (kind is bool), (key, value[key])


def drawn(folder: Path, plates: Any, *, post: str) -> Path:
    x0, y0, x1, y1 = SQUARE
    plates.drawn(
        folder / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (110, 0), (110, 60), (0, 60)]),
            ("SQUARE", [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]),
            ("DISC", plates.rounded(70, 10, 100, 40, radius=8)),
        ],
        open_=[("RUNNER", [(12, 46), (52, 46)])],
        circles=[("PINS", 80, 52, 4.2), ("PINS", 96, 52, 4.2), ("BORE", 55, 20, 9)],
    )
    _points(folder / "plate.dxf", "MARK", [(6, 54)])
    found: Path = plates.job(folder, JOB.format(post=post))
    return found


def _points(path: Path, layer: str, places: list[tuple[float, float]]) -> None:
    drawing = ezdxf.readfile(path)
    for place in places:
        drawing.modelspace().add_point(place, dxfattribs={"layer": layer})
    drawing.saveas(path)


@pytest.fixture(scope="module", params=["rs274ngc", "grbl", "iso6983"])
def plate(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Callable[..., Any]
) -> tuple[Path, dict[str, Any]]:
    """The folder that was written, and its plan, for each post."""
    place = tmp_path_factory.mktemp(request.param)
    ran = run("plan", drawn(place, plates, post=request.param))
    assert (ran.code, ran.err) == (0, ""), ran.out
    folder = place / "plate-out"
    return folder, json.loads((folder / "plan.json").read_text(encoding="utf-8"))


def test_every_promised_key_has_its_type(plate: tuple[Path, dict[str, Any]]) -> None:
    _, document = plate
    assert_types(document, TOP)
    assert (document["schema"], document["units"]) == ("camplan.plan/1", "mm")
    assert_types(document["plate"], PLATE)
    assert document["plate"]["bounds_mm"] == [0, 0, 110, 60]
    assert set(document["cutters"]) == {program["cutter"] for program in document["programs"]}
    for cutter in document["cutters"].values():
        assert_types(cutter, CUTTER)
    for program in document["programs"]:
        assert_types(program, PROGRAM)
        assert program["operations"]
        for operation in program["operations"]:
            assert_types(operation, OPERATION)
            assert operation["levels_mm"]
            assert operation["reasons"]
    assert [one["kind"] for one in document["features"]] == ["pocket", "groove", "hole", "hole", "mark", "outline"]
    for feature in document["features"]:
        assert_types(feature, FEATURE)
        for left in feature["left"]:
            assert_types(left, LEFT)
    assert_types(document["proof"], PROOF)
    for section in document["proof"]["sections"]:
        assert_types(section, SECTION)
    for finding in document["findings"]:
        assert_types(finding, FINDING)


def test_the_proof_of_every_post_passes(plate: tuple[Path, dict[str, Any]]) -> None:
    proof = plate[1]["proof"]
    assert proof["passed"] is True
    assert proof["gouge_um"] <= 2.0 + 0.05
    assert proof["wall_error_um"] <= 5.0
    assert (proof["rapids_in_stock"], proof["clamp_hits"], proof["outside_travel"]) == (0, 0, 0)
    heights = [section["z_mm"] for section in proof["sections"]]
    assert len(heights) == len(set(heights)) >= 4


def test_one_program_holds_one_cutter_and_takes_time(plate: tuple[Path, dict[str, Any]]) -> None:
    _, document = plate
    for program in document["programs"]:
        assert program["seconds"] > 0.0
        assert all(operation["seconds"] > 0.0 for operation in program["operations"])
        # Between operations lie ways in the air; the operations are a part of the whole.
        assert sum(operation["seconds"] for operation in program["operations"]) <= program["seconds"] + 1.0
    files = [program["file"] for program in document["programs"]]
    assert files == sorted(set(files))


def test_a_square_pocket_keeps_in_each_corner_what_a_circle_leaves_of_it(plate: tuple[Path, dict[str, Any]]) -> None:
    """(1 - pi/4) r^2 stays between a right angle and a circle of radius r (plane geometry)."""
    _, document = plate
    square = next(one for one in document["features"] if one["name"] == "square")
    cutting = {
        document["cutters"][program["cutter"]]["diameter_mm"] / 2.0
        for program in document["programs"]
        for operation in program["operations"]
        if operation["feature"] == "square"
    }
    corner = (1.0 - math.pi / 4.0) * min(cutting) ** 2
    assert len(square["left"]) == 4
    for left in square["left"]:
        assert left["area_mm2"] == pytest.approx(corner, rel=0.01)
        assert left["deepest_mm"] == pytest.approx((math.sqrt(2.0) - 1.0) * min(cutting), rel=0.01)
    assert square["smallest_inner_radius_mm"] == 0.0


LIMITS = {
    # Longest line, without its terminator; characters; what may stand before the words.
    "rs274ngc": (256, r"[ -~]*"),  # NISTIR 6556 section 3.3
    "grbl": (79, r"[ -~]*"),  # Grbl 1.1h: a line buffer of 80
    "iso6983": (80, r"%|[ -~]*"),
}


def test_programs_keep_to_the_rules_of_their_post(plate: tuple[Path, dict[str, Any]]) -> None:
    folder, document = plate
    longest, characters = LIMITS[document["post"]]
    for program in document["programs"]:
        content = (folder / program["file"]).read_bytes()
        assert content.endswith(b"\n")
        lines = content.decode("ascii").removesuffix("\n").split("\n")
        for line in lines:
            assert len(line) <= longest, line
            assert re.fullmatch(characters, line), line
            assert re.fullmatch(r"[^()]*(\([^()]*\)[^()]*)*", line), line  # comments never nest
        code = [re.sub(r"\(.*?\)", "", line) for line in lines]
        words = [word for line in code for word in re.findall(r"[A-Z]-?[0-9.]+", line)]
        if document["post"] == "grbl":
            # Grbl 1.1h knows no cycles, no tool change and no percent lines.
            assert not {"G81", "G82", "G83", "G73", "M6"} & set(words)
            assert "%" not in "".join(lines)
        if document["post"] == "iso6983":
            assert lines[0] == lines[-1] == "%"
            numbers = [int(found[1]) for line in lines if (found := re.match(r"N(\d+)", line))]
            assert numbers == sorted(set(numbers))
            assert numbers
        said = [word for word in words if word[0] == "F"]
        assert all(float(word[1:]) > 0.0 for word in said)
        assert said
        # The spindle turns before the first feed and rests at the end.
        text = "\n".join(code)
        feeds = [place.start() for place in re.finditer(r"\bG[123]\b|\bG8[123]\b", text)]
        assert text.index("M3") < min(feeds)
        assert text.rindex("M5") > max(place.start() for place in re.finditer(r"[XYZ]-?\d", text))


def test_operations_name_the_lines_that_are_theirs(plate: tuple[Path, dict[str, Any]]) -> None:
    """The first line of an operation stands behind a comment with its feature and cutter."""
    folder, document = plate
    for program in document["programs"]:
        lines = (folder / program["file"]).read_text(encoding="ascii").splitlines()
        for operation in program["operations"]:
            head = "\n".join(lines[max(0, operation["first_line"] - 4) : operation["first_line"]])
            assert f"({operation['feature']}: {operation['purpose']}" in head, head


def test_a_slot_is_as_wide_and_as_long_as_drawn(plate: tuple[Path, dict[str, Any]]) -> None:
    """A groove of 40 x 4 mm with the round ends of its cutter covers 40 * 4 + pi 2^2 mm2 and is one pass wide:
    on the floor the cutter's centre goes from (12, 46) to (52, 46) and leaves the line by nothing."""
    folder, document = plate
    program, operation = next(
        (program, operation)
        for program in document["programs"]
        for operation in program["operations"]
        if operation["feature"] == "runner"
    )
    lines = (folder / program["file"]).read_text(encoding="ascii").splitlines()
    body = lines[operation["first_line"] - 1 : operation["last_line"]]
    width = document["cutters"][program["cutter"]]["diameter_mm"]
    xs = {float(found[1]) for line in body if (found := re.search(r"X(-?[0-9.]+)", line))}
    ys = {float(found[1]) for line in body if (found := re.search(r"Y(-?[0-9.]+)", line))}
    assert {min(xs), max(xs)} == {12.0, 52.0}
    assert ys == {46.0}
    area = (max(xs) - min(xs)) * width + math.pi * (width / 2.0) ** 2
    assert area == pytest.approx(40.0 * 4.0 + math.pi * 2.0**2)
    depths = [float(found[1]) for line in body if (found := re.search(r"Z(-?[0-9.]+)", line))]
    assert min(depths) == -1.5


def test_a_plan_whose_proof_fails_writes_no_program_and_leaves_none(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """bench-mill travels 320 x 200 mm: two pockets 500 mm apart cannot be cut in one clamping."""
    job = plates.plain(tmp_path)
    assert run("plan", job).code == 0
    out = tmp_path / "plate-out"
    assert list(out.glob("*.ngc"))
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (600, 0), (600, 60), (0, 60)]),
            ("POCKET", [(20, 10), (50, 10), (50, 40), (20, 40)]),
            ("POCKET", [(520, 10), (550, 10), (550, 40), (520, 40)]),
        ],
    )
    ran = run("plan", job)
    assert (ran.code, ran.err) == (3, "")
    assert "PROOF FAILED" in ran.out
    assert "No program was written" in ran.out
    assert sorted(path.name for path in out.iterdir() if path.name[0] != ".") == ["plan.json", "sheet.html"]
    document = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert document["proof"]["passed"] is False
    assert document["proof"]["outside_travel"] > 0
    unsafe = [finding for finding in document["findings"] if finding["severity"] == "unsafe"]
    assert {finding["code"] for finding in unsafe} == {"outside-travel"}
    assert all("line " in finding["where"] for finding in unsafe)


def test_the_time_is_held_against_rates_that_stand_in_the_plan(example: Any) -> None:
    document = example.document
    time = document["time"]
    operations = [one for program in document["programs"] for one in program["operations"]]
    taking = [one for one in operations if one["purpose"] in ("rough", "face", "groove")]
    best = max(one["step_over_mm"] * one["step_down_mm"] * one["feed_mm_min"] for one in taking)
    assert time["removal_mm3_min"] == pytest.approx(best, rel=2e-3)
    assert time["seconds"] == document["seconds"]
    removing = time["volume_mm3"] / time["removal_mm3_min"]
    finishing = time["walls_mm"] / time["finish_feed_mm_min"]
    assert time["bound_seconds"] == pytest.approx(60.0 * max(removing, finishing) + time["drilling_seconds"], abs=0.2)
    assert time["over_bound"] == pytest.approx(time["seconds"] / time["bound_seconds"], rel=5e-3)
    assert time["over_bound"] > 1.0
    assert f"{time['over_bound']:.1f} times the" in example.ran.out
