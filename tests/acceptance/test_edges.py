"""Edges broken and rounded: what the written text removes, height by height, against figures worked out by hand.

The sweep is worked out here from the text alone: a spotting drill of 90 degrees is h wide a side at a height h above
its tip, a ball of radius b sqrt(b2 - (b - h)2) (plane geometry).
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
ROUND = [(18.0, 25.0, 1.0), (42.0, 25.0, 1.0)]  # two half circles: a disc of radius 12
PART = [(12, 10), (48, 10), (48, 25), (30, 40), (12, 40)]
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "spot-90-6", "ball-3", "drill-5.0"]

[plate]
thickness_mm = 8
outline = "PLATE"
"""
POCKET = '[[feature]]\nname = "disc"\nkind = "pocket"\nlayer = "DISC"\ndepth_mm = 4\n'
PARTED = '[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\n'
EDGE = '[[feature]]\nname = "rim"\nkind = "edge"\nlayer = "{layer}"\n{keys}\n'


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, text: str) -> Any:
    closed = [("PLATE", PLATE), ("DISC", ROUND), ("PART", PART)]
    plates.drawn(folder / "plate.dxf", closed=closed, circles=[("PINS", 52.0, 44.0, 5.0)])
    return run("plan", plates.job(folder, HEAD + text))


def document(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def radius(cutter: dict[str, Any], *, above: float) -> float:
    """Of a cutter at a height above its tip."""
    wide = float(cutter["diameter_mm"]) / 2.0
    if cutter["kind"] == "ball":
        return wide if above >= wide else math.sqrt(wide**2 - (wide - above) ** 2)
    if cutter["kind"] == "spot-drill":
        return min(above, wide)
    return wide


def removed(folder: Path, *, depth: float) -> Any:
    """What all programs remove at a depth."""
    said = document(folder)
    shapes = []
    for program in said["programs"]:
        cutter = said["cutters"][program["cutter"]]
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        found, broken = shadow.steps(lines)
        assert broken == []
        for step in found:
            low, high = float(step.path[:, 2].min()), float(step.path[:, 2].max())
            if step.mode == 0 or low > -depth or high - low > 1e-9:
                continue
            wide = radius(cutter, above=-depth - low)
            shapes.append(shapely.LineString(step.path[:, :2]).buffer(wide, quad_segs=128))
    return shapely.union_all(shapes)


def disc(by: float) -> Any:
    return shapely.Point(30.0, 25.0).buffer(12.0 + by, quad_segs=512)


def test_a_chamfer_takes_the_ring_of_a_triangle(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """Pappus: the triangle's area W2/2 times the way of its centre, 2 pi (R + W/3); Simpson is exact for a cone."""
    wide = 0.8
    ran = planned(tmp_path, plates, run, text=POCKET + EDGE.format(layer="DISC", keys=f"chamfer_mm = {wide}"))
    assert ran.code == 0, ran.out + ran.err
    gone = [removed(tmp_path, depth=depth).area - math.pi * 144.0 for depth in (0.0, wide / 2.0, wide)]
    ring = wide / 6.0 * (gone[0] + 4.0 * gone[1] + gone[2])
    assert ring == pytest.approx(wide**2 / 2.0 * 2.0 * math.pi * (12.0 + wide / 3.0), rel=2e-3)
    for number in range(10):
        depth = wide * (number + 0.5) / 10.0
        found, asked = removed(tmp_path, depth=depth), disc(wide - depth)
        assert found.difference(asked.buffer(0.003)).is_empty
        assert asked.buffer(-0.003).difference(found).is_empty


def test_a_rounded_edge_keeps_its_circle_and_its_cusps(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """Nothing inside the quarter circle goes, and nothing stands more than 10 um out of it, square to it."""
    keys = "radius_mm = 1.0\ncusp_um = 10"
    ran = planned(tmp_path, plates, run, text=POCKET + EDGE.format(layer="DISC", keys=keys))
    assert ran.code == 0, ran.out + ran.err
    for number in range(10):
        depth = (number + 0.5) / 10.0
        true = 1.0 - math.sqrt(1.0 - (1.0 - depth) ** 2)
        cusped = 1.0 - math.sqrt(1.010**2 - (1.0 - depth) ** 2)
        found = removed(tmp_path, depth=depth)
        assert found.difference(disc(true + 0.003)).is_empty
        assert disc(max(cusped, 0.0) - 0.003).difference(found).is_empty
    steps = [one for program in document(tmp_path)["programs"] for one in program["operations"]]
    rounded = next(one for one in steps if one["purpose"] == "edge")
    count = len(rounded["levels_mm"])

    def cusp(passes: int) -> float:
        """Two balls of 1.5 mm on a circle of 2.5 mm meet; how far from the round of 1 mm."""
        half = math.pi / 4.0 / passes
        return 2.5 * math.cos(half) - math.sqrt(1.5**2 - (2.5 * math.sin(half)) ** 2) - 1.0

    assert cusp(count) <= 0.010 < cusp(count - 1)


def test_a_parts_edge_is_broken_after_it_is_parted(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    text = PARTED + EDGE.format(layer="PART", keys="chamfer_mm = 0.6")
    ran = planned(tmp_path, plates, run, text=text)
    assert ran.code == 0, ran.out + ran.err
    order = [one["feature"] for program in document(tmp_path)["programs"] for one in program["operations"]]
    assert order == ["part", "part", "rim"]
    part = shapely.Polygon(PART)
    for depth in (0.05, 0.3, 0.55):
        found = removed(tmp_path, depth=depth)
        stays = part.buffer(depth - 0.6, quad_segs=64, join_style="mitre")
        assert found.intersection(stays.buffer(-0.003)).area == 0.0
        assert part.difference(stays.buffer(0.003, join_style="mitre")).difference(found).area < 1e-6


def test_an_edge_round_a_hole_and_the_plate_is_broken_too(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    hole = '[[feature]]\nname = "pins"\nkind = "hole"\nlayer = "PINS"\ndepth_mm = 5\nspot = false\n'
    rims = EDGE.format(layer="PINS", keys="chamfer_mm = 0.5")
    around = EDGE.replace('"rim"', '"around"').format(layer="PLATE", keys="chamfer_mm = 0.5")
    ran = planned(tmp_path, plates, run, text=hole + rims + around)
    assert ran.code == 0, ran.out + ran.err
    features = {one["name"]: one for one in document(tmp_path)["features"]}
    assert (features["rim"]["kind"], features["rim"]["depth_mm"]) == ("edge", 0.5)
    found = removed(tmp_path, depth=0.2)
    hole_there = shapely.Point(52.0, 44.0).buffer(2.8, quad_segs=256)
    assert hole_there.buffer(-0.003).difference(found).is_empty
    frame = shapely.Polygon(PLATE).difference(shapely.Polygon(PLATE).buffer(-0.3, join_style="mitre"))
    assert frame.buffer(-0.003).difference(found).is_empty


@pytest.mark.parametrize("keys", ["chamfer_mm = 0.8", "radius_mm = 1.0"])
def test_an_edge_cut_two_hundredths_too_deep_is_a_gouge(
    plates: Any, run: Callable[..., Any], tmp_path: Path, keys: str
) -> None:
    ran = planned(tmp_path, plates, run, text=POCKET + EDGE.format(layer="DISC", keys=keys))
    assert ran.code == 0, ran.out + ran.err
    programs = [program["file"] for program in document(tmp_path)["programs"]]
    file = tmp_path / "plate-out" / programs[-1]
    lines = file.read_text(encoding="utf-8").splitlines()
    deep = [one for one in shadow.moved(lines, axis="Z", by=-0.02) if dict(shadow.words(one.was))["Z"] < 0.0]
    edit = deep[len(deep) // 2]
    file.write_text("\n".join(edit.lines) + "\n", encoding="utf-8")
    checked = run("check", *(tmp_path / "plate-out" / name for name in programs), "--job", tmp_path / "plate.toml")
    assert checked.code == 3, checked.out
    assert "gouge" in checked.out


def test_an_edge_that_is_not_cut_is_told(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(tmp_path, plates, run, text=POCKET + EDGE.format(layer="DISC", keys="chamfer_mm = 0.8"))
    assert ran.code == 0, ran.out + ran.err
    first = document(tmp_path)["programs"][0]["file"]
    checked = run("check", tmp_path / "plate-out" / first, "--job", tmp_path / "plate.toml")
    assert checked.code == 1, checked.out
    assert "rim" in checked.out
    assert "left-uncut" in checked.out


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("chamfer_mm = 0.5\nangle_deg = 30", "no cutter on the shelf has a side that falls by 30 degrees"),
        ('radius_mm = 0.5\ncutters = ["spot-90-6"]', "no ball on the shelf rounds it"),
        ("radius_mm = 3.5", "the smallest ball, ball-3, does not get round it"),
        ("chamfer_mm = 3.5", "a chamfer 3.5 mm wide and 3.500 mm deep is more than spot-90-6 cuts here"),
    ],
)
def test_an_edge_that_no_cutter_makes_is_refused(
    plates: Any, run: Callable[..., Any], tmp_path: Path, keys: str, said: str
) -> None:
    ran = planned(tmp_path, plates, run, text=POCKET + EDGE.format(layer="DISC", keys=keys))
    assert ran.code == 2, ran.out
    assert said in " ".join(ran.err.split())
    assert not (tmp_path / "plate-out").exists()


CORNERED = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "ball-4", "ball-3", "ball-2", "ball-1"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "kite"
kind = "pocket"
layer = "KITE"
depth_mm = 4

[[feature]]
name = "rim"
kind = "edge"
layer = "KITE"
radius_mm = 0.5
cusp_um = 20
"""
KITE = [(10, 25), (28, 12), (50, 25), (28, 38)]


def rounded(folder: Path, plates: Any, run: Callable[..., Any], *, keys: str = "") -> tuple[int, dict[str, Any]]:
    """The exit code and the plan of a pocket with four corners that a cutter of 3 mm leaves round, its edge rounded."""
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", PLATE), ("KITE", KITE)], circles=[])
    code = run("plan", plates.job(folder, CORNERED + keys)).code
    return code, document(folder)


def test_a_ball_too_wide_for_the_corners_of_a_round_is_told(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    code, plan = rounded(tmp_path, plates, run, keys='cutters = ["ball-4"]\n')
    assert code == 1
    assert ("left-uncut", "rim") in [(one["code"], one["where"]) for one in plan["findings"]]


def test_a_round_is_cut_by_the_widest_ball_that_gets_into_its_corners(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    code, plan = rounded(tmp_path, plates, run)
    assert code == 0
    assert [
        program["cutter"]
        for program in plan["programs"]
        if any(one["feature"] == "rim" for one in program["operations"])
    ] == ["ball-3"]
