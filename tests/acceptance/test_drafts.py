"""Walls that lean: what the written text removes, height by height, against figures worked out by hand.

The sweep is worked out here from the text alone: a tapered cutter of tip radius r and angle a shows r + h tan a at a
height h above its tip (plane geometry).
"""

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import shapely
from acceptance import shadow

PLATE = [(0, 0), (60, 0), (60, 50), (0, 50)]
DEPTH = 6.0
HEIGHTS = [DEPTH * (number + 0.5) / 10.0 for number in range(10)]
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = [{cutters}]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "disc"
kind = "pocket"
layer = "DISC"
depth_mm = {depth}
draft_deg = {draft}
nominal = "{nominal}"
{more}
"""


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


OUTER, CORE = box(12, 10, 48, 40), box(26, 21, 34, 29)


def planned(
    folder: Path,
    plates: Any,
    run: Callable[..., Any],
    *,
    cutters: str,
    draft: float,
    nominal: str = "top",
    more: str = "",
    closed: tuple[tuple[str, list[tuple[float, float]]], ...] = (("DISC", OUTER), ("DISC", CORE)),
) -> Any:
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", PLATE), *closed])
    text = HEAD.format(cutters=cutters, depth=DEPTH, draft=draft, nominal=nominal, more=more)
    return run("plan", plates.job(folder, text))


def removed(folder: Path, *, depth: float) -> Any:
    """What all programs remove at a depth."""
    document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    shapes = []
    for program in document["programs"]:
        cutter = document["cutters"].get(program["cutter"])
        if cutter is None:
            continue
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        found, broken = shadow.steps(lines)
        assert broken == []
        for step in found:
            if step.mode == 0:
                continue
            low = float(step.path[:, 2].min())
            if low != step.path[:, 2].max() or low > -depth:
                continue
            lean = math.tan(math.radians(cutter["half_angle_deg"] or 0.0))
            radius = cutter["tip_diameter_mm"] / 2.0 + (-depth - low) * lean
            shapes.append(shapely.LineString(step.path[:, :2]).buffer(radius, quad_segs=64))
    return shapely.union_all(shapes)


def wanted(*, depth: float, draft: float, nominal: str) -> Any:
    """The section: the drawn contour drawn in by what lies between it and the depth."""
    level = 0.0 if nominal == "top" else DEPTH
    by = (level - depth) * math.tan(math.radians(draft))
    outer, core = shapely.Polygon(OUTER), shapely.Polygon(CORE)
    return outer.buffer(by, quad_segs=64).difference(core.buffer(-by, quad_segs=64))


@pytest.mark.parametrize("nominal", ["top", "floor"])
def test_a_taper_of_the_walls_angle_cuts_the_drawn_section_at_ten_heights(
    plates: Any, run: Callable[..., Any], tmp_path: Path, nominal: str
) -> None:
    ran = planned(tmp_path, plates, run, cutters='"slot-6", "taper-2deg-3"', draft=2.0, nominal=nominal)
    assert ran.code == 0, ran.out + ran.err
    for depth in HEIGHTS:
        gone, asked = removed(tmp_path, depth=depth), wanted(depth=depth, draft=2.0, nominal=nominal)
        assert gone.difference(asked.buffer(0.003)).is_empty
        radius = 1.5 + (DEPTH - depth) * math.tan(math.radians(2.0))
        reachable = asked.buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)
        assert reachable.buffer(-0.003).difference(gone).area < 1e-6


def test_a_round_pocket_holds_the_volume_of_its_cone(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """Prismoidal formula, exact for a frustum: h (A0 + 4 Am + A1) / 6; closed form pi h (R2 + R r + r2) / 3."""
    ring = [(30 + 12 * math.cos(k * math.pi / 180), 25 + 12 * math.sin(k * math.pi / 180)) for k in range(360)]
    ran = planned(tmp_path, plates, run, cutters='"slot-6", "taper-2deg-3"', draft=2.0, closed=(("DISC", ring),))
    assert ran.code == 0, ran.out + ran.err
    top, middle, floor = (removed(tmp_path, depth=depth).area for depth in (1e-6, DEPTH / 2.0, DEPTH))
    small = 12.0 - DEPTH * math.tan(math.radians(2.0))
    whole = math.pi * DEPTH * (12.0**2 + 12.0 * small + small**2) / 3.0
    assert DEPTH * (top + 4.0 * middle + floor) / 6.0 == pytest.approx(whole, rel=2e-4)


def test_a_straight_cutter_leaves_steps_no_higher_than_the_tolerance(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """A step dz on a wall that leans by a stands dz sin a high, square to it (plane geometry)."""
    ran = planned(tmp_path, plates, run, cutters='"slot-6"', draft=3.0, more="tolerance_um = 25")
    assert ran.code == 0, ran.out + ran.err
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    wall = next(
        one
        for program in document["programs"]
        for one in program["operations"]
        if one["purpose"] == "finish" and len(one["levels_mm"]) > 1
    )
    down = DEPTH / len(wall["levels_mm"])
    assert down * math.sin(math.radians(3.0)) <= 0.025 < (down * 1.2) * math.sin(math.radians(3.0))
    for depth in HEIGHTS:
        gone, asked = removed(tmp_path, depth=depth), wanted(depth=depth, draft=3.0, nominal="top")
        assert gone.difference(asked.buffer(0.003)).is_empty
        reachable = asked.buffer(-3.0, quad_segs=64).buffer(3.0, quad_segs=64)
        # in a right-angled corner steps stand root 2 times as high
        assert reachable.buffer(-0.025 * math.sqrt(2.0) - 0.003).difference(gone).area < 1e-3


def test_a_taper_that_leans_more_than_the_wall_is_refused_with_its_overcut(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """6 mm deep, 5 degrees on a wall of 2: 6 (tan 5 - tan 2) = 0.315 mm (plane geometry)."""
    ran = planned(tmp_path, plates, run, cutters='"taper-5deg-1"', draft=2.0)
    assert ran.code == 2
    said = " ".join(ran.err.split())
    assert "taper-5deg-1 leans by 5 degrees and the wall by 2: it would cut 0.315 mm into the wall" in said
    assert not (tmp_path / "plate-out").exists()


def test_an_allowance_on_leaning_walls_stands_at_every_height(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, cutters='"slot-6", "taper-2deg-3"', draft=2.0, more="allowance_mm = 0.15")
    assert ran.code == 0, ran.out + ran.err
    for depth in HEIGHTS[::3]:
        inside = wanted(depth=depth, draft=2.0, nominal="top").buffer(-0.15, quad_segs=64)
        assert removed(tmp_path, depth=depth).difference(inside.buffer(0.003)).is_empty
    sheet = (tmp_path / "plate-out" / "sheet.html").read_text(encoding="utf-8")
    assert "at the top" in sheet
    assert "at the floor" in sheet


def test_a_strongly_leaning_wall_is_cleared_level_by_level(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, cutters='"slot-6", "slot-2", "taper-5deg-1"', draft=5.0, nominal="floor")
    assert ran.code == 0, ran.out + ran.err
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    said = [
        reason["sentence"]
        for program in document["programs"]
        for one in program["operations"]
        for reason in one["reasons"]
        if reason["figure"] == "skin"
    ]
    assert len(said) == 1
    assert "stays on the leaning walls" in said[0]


def test_the_table_of_cutters_names_what_leaning_walls_take(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, cutters='"slot-6", "taper-2deg-3"', draft=2.0)
    assert ran.code == 0, ran.out + ran.err
    table = run("cutters", tmp_path / "plate.toml")
    assert table.code == 0, table.out + table.err
    assert "The leaning walls of disc take slot-6, taper-2deg-3." in " ".join(table.out.split())


def test_the_skin_left_for_a_slender_taper_is_as_thick_as_is_asked_for_or_as_is_fastest(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """A slender taper takes a thin skin in less time; one that is asked for stays."""
    seconds = {}
    for name, more in (("free", "tolerance_um = 15"), ("asked", "tolerance_um = 15\nfinish_mm = 0.2")):
        folder = tmp_path / name
        folder.mkdir()
        ran = planned(folder, plates, run, cutters='"slot-6", "taper-2deg-1.5"', draft=2.0, more=more)
        assert ran.code == 0, ran.out + ran.err
        document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
        last = document["programs"][-1]["operations"][-1]
        assert last["purpose"] == "finish"
        seconds[name] = last["seconds"]
    assert seconds["free"] < 0.9 * seconds["asked"]


MOUTH = box(20, 15, 60, 35)
"""A pocket whose right side lies on the plate's edge: there is no wall to lean."""


def wanted_open(*, depth: float, draft: float, nominal: str) -> Any:
    """Three walls drawn in (or out) by what lies between the contour and the depth; the mouth stays at the edge."""
    level = 0.0 if nominal == "top" else DEPTH
    by = (level - depth) * math.tan(math.radians(draft))
    far = shapely.Polygon(box(20, 15, 90, 35)).buffer(by, quad_segs=64)
    return far.intersection(shapely.Polygon(PLATE))


@pytest.mark.parametrize("nominal", ["top", "floor"])
def test_a_pocket_open_at_the_plates_edge_leans_where_it_has_walls(
    plates: Any, run: Callable[..., Any], tmp_path: Path, nominal: str
) -> None:
    cutters = '"slot-6", "taper-2deg-3"'
    ran = planned(tmp_path, plates, run, cutters=cutters, draft=2.0, nominal=nominal, closed=(("DISC", MOUTH),))
    assert ran.code == 0, ran.out + ran.err
    for depth in HEIGHTS:
        gone = removed(tmp_path, depth=depth).intersection(shapely.Polygon(PLATE))
        asked = wanted_open(depth=depth, draft=2.0, nominal=nominal)
        assert gone.difference(asked.buffer(0.003)).is_empty
        radius = 1.5 + (DEPTH - depth) * math.tan(math.radians(2.0))
        air = shapely.Polygon(box(60, -20, 100, 70))
        reachable = asked.union(air).buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)
        reachable = reachable.intersection(asked)
        assert reachable.buffer(-0.003).difference(gone).area < 1e-6


def test_a_leaning_wall_beside_a_mouth_cut_too_deep_is_a_gouge(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    cutters = '"slot-6", "taper-2deg-3"'
    ran = planned(tmp_path, plates, run, cutters=cutters, draft=2.0, closed=(("DISC", MOUTH),))
    assert ran.code == 0, ran.out + ran.err
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    programs = [program["file"] for program in document["programs"]]
    file = tmp_path / "plate-out" / programs[-1]
    lines = file.read_text(encoding="utf-8").splitlines()
    deep = [one for one in shadow.moved(lines, axis="Z", by=-0.02) if dict(shadow.words(one.was))["Z"] < -DEPTH + 0.001]
    file.write_text("\n".join(deep[-1].lines) + "\n", encoding="utf-8")
    checked = run("check", *(tmp_path / "plate-out" / name for name in programs), "--job", tmp_path / "plate.toml")
    assert checked.code == 3, checked.out
    assert "gouge" in checked.out
