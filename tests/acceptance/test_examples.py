"""Every example is planned and proven, and its plan says what it should."""

import math
import re
from collections.abc import Callable
from typing import Any

import pytest

PURPOSES = {"rough", "finish", "corners", "drill", "bore", "groove", "mark", "edge", "face"}
# NISTIR 6556 section 3.3: a line is at most 256 characters; Grbl 1.1h takes 80 with the terminator.
LONGEST_LINE = {"rs274ngc": 256, "grbl": 79}


def test_an_example_is_planned_and_proven(example: Any) -> None:
    assert (example.ran.code, example.ran.err) == (0, ""), example.ran.out
    proof = example.document["proof"]
    assert proof["passed"] is True
    assert proof["gouge_um"] <= 2.0 + 0.05
    assert proof["wall_error_um"] <= 5.0
    assert (proof["rapids_in_stock"], proof["clamp_hits"], proof["outside_travel"]) == (0, 0, 0)


def test_the_plan_holds_the_keys_that_others_read(example: Any) -> None:
    document = example.document
    assert document["schema"] == "camplan.plan/1"
    assert document["units"] == "mm"
    assert document["title"] in example.job.read_text(encoding="utf-8")
    assert {"thickness_mm", "zero", "bounds_mm"} <= document["plate"].keys()
    for cutter in document["cutters"].values():
        assert {
            "kind",
            "diameter_mm",
            "tip_diameter_mm",
            "half_angle_deg",
            "corner_radius_mm",
            "point_angle_deg",
            "flute_length_mm",
            "reach_mm",
            "shank_diameter_mm",
            "teeth",
        } <= cutter.keys()
    for feature in document["features"]:
        assert {
            "name",
            "kind",
            "top_mm",
            "depth_mm",
            "draft_deg",
            "allowance_mm",
            "smallest_inner_radius_mm",
            "left",
        } <= feature.keys()
        for left in feature["left"]:
            assert {"depth_mm", "area_mm2", "deepest_mm", "cause"} <= left.keys()
    for section in document["proof"]["sections"]:
        assert {"z_mm", "gouge_um", "left_area_mm2"} <= section.keys()
    for finding in document["findings"]:
        assert {"severity", "code", "message", "where"} <= finding.keys()
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", finding["code"])


def test_every_feature_is_cut_by_operations_within_the_plate(example: Any) -> None:
    document = example.document
    thickness = document["plate"]["thickness_mm"]
    operations = [operation for program in document["programs"] for operation in program["operations"]]
    assert {operation["feature"] for operation in operations} == {one["name"] for one in document["features"]}
    for operation in operations:
        assert operation["purpose"] in PURPOSES
        assert operation["levels_mm"] == sorted(operation["levels_mm"], reverse=True)
        assert all(-thickness - 4.0 <= level < 0.0 for level in operation["levels_mm"])
        assert operation["rpm"] > 0
        assert 0 < operation["plunge_mm_min"] <= operation["feed_mm_min"]
        assert operation["reasons"]
        assert all(reason["sentence"] for reason in operation["reasons"])


def test_programs_stand_beside_the_plan_with_the_lines_that_it_names(example: Any) -> None:
    document = example.document
    named = {program["file"] for program in document["programs"]}
    there = {item.name for item in example.folder.iterdir() if not item.name.startswith(".")}
    # Beside the programs stands one for each setting that goes round the work in the air and cuts nothing.
    assert there >= named | {"plan.json", "sheet.html"}
    traces = there - named - {"plan.json", "sheet.html"}
    assert all(re.fullmatch(r"[a-z]?00-trace\.(ngc|nc)", name) for name in traces)
    post = document["post"]
    for program in document["programs"]:
        text = (example.folder / program["file"]).read_bytes().decode("ascii")
        lines = text.splitlines()
        assert max(map(len, lines)) <= LONGEST_LINE[post]
        last = 0
        for operation in program["operations"]:
            assert last < operation["first_line"] <= operation["last_line"] <= len(lines)
            last = operation["last_line"]
        assert program["cutter"] in document["cutters"]
        assert any(f"cutter: {program['cutter']}" in line for line in lines)
        assert program["rpm_max"] == max(operation["rpm"] for operation in program["operations"])


def test_cautions_stand_where_the_work_can_hurt(example: Any) -> None:
    sheet = (example.folder / "sheet.html").read_text(encoding="utf-8").lower()
    for word in ("eye protection", "clamp", "stop button", "alone"):
        assert word in sheet, word
    for program in example.programs:
        head = program.read_text(encoding="ascii").lower().splitlines()[:8]
        assert any("eye protection" in line for line in head)


def test_no_figure_of_the_plan_is_endless(example: Any) -> None:
    def figures(value: object) -> list[float]:
        match value:
            case bool() | str() | None:
                return []
            case int() | float():
                return [float(value)]
            case list():
                return [figure for one in value for figure in figures(one)]
            case dict():
                return [figure for one in value.values() for figure in figures(one)]
            case _:
                raise TypeError(type(value))

    found = figures(example.document)
    assert len(found) > 100
    assert all(map(math.isfinite, found))


def test_programs_of_a_plan_pass_the_check_once_more(example: Any, run: Callable[..., Any]) -> None:
    ran = run("check", *example.programs, "--job", example.job)
    assert (ran.code, ran.err) == (0, ""), ran.out


def test_a_check_misses_what_a_left_out_program_would_have_cut(
    planned: Callable[[str], Any], run: Callable[..., Any]
) -> None:
    first = planned("first")
    kept = [program for program in first.programs if "drill" not in program.name or "spot" in program.name]
    assert len(kept) == len(first.programs) - 1
    ran = run("check", *kept, "--job", first.job)
    assert ran.code == 1
    assert "screws" in ran.out


@pytest.mark.parametrize(("name", "feature", "radius"), [("first", "disc", 2.0), ("nest", "nests", 1.1)])
def test_the_smallest_inner_radius_is_the_drawn_one(
    planned: Callable[[str], Any], name: str, feature: str, radius: float
) -> None:
    found = next(one for one in planned(name).document["features"] if one["name"] == feature)
    assert found["smallest_inner_radius_mm"] == pytest.approx(radius, abs=1e-3)
