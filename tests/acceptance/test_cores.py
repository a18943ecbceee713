"""Outlines whose walls lean: what the written text removes, height by height, against figures worked out by hand.

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
CORE = [(16, 14), (44, 14), (44, 36), (30, 30), (16, 36)]
ROUND = [(20.0, 25.0, 1.0), (40.0, 25.0, 1.0)]  # two half circles: a disc of radius 10
LEAN = math.tan(math.radians(2.0))
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = [{cutters}]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "core"
kind = "outline"
layer = "CORE"
draft_deg = {draft}
{more}
"""
USUAL = '"slot-6", "taper-2deg-3"'


def planned(
    folder: Path,
    plates: Any,
    run: Callable[..., Any],
    *,
    more: str,
    draft: float = 2.0,
    cutters: str = USUAL,
    core: Any = CORE,
) -> Any:
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", PLATE), ("CORE", core)])
    return run("plan", plates.job(folder, HEAD.format(cutters=cutters, draft=draft, more=more)))


def document(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def removed(folder: Path, *, depth: float) -> Any:
    """What all programs remove at a depth."""
    said = document(folder)
    shapes = []
    for program in said["programs"]:
        cutter = said["cutters"][program["cutter"]]
        found, broken = shadow.steps((folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines())
        assert broken == []
        for step in found:
            low, high = float(step.path[:, 2].min()), float(step.path[:, 2].max())
            if step.mode == 0 or low > -depth or high - low > 1e-9:
                continue
            lean = math.tan(math.radians(cutter["half_angle_deg"] or 0.0))
            wide = cutter["tip_diameter_mm"] / 2.0 + (-depth - low) * lean
            shapes.append(shapely.LineString(step.path[:, :2]).buffer(wide, quad_segs=128))
    return shapely.union_all(shapes)


@pytest.mark.parametrize("nominal", ["top", "floor"])
def test_a_core_is_narrower_at_its_top_than_at_its_foot(
    plates: Any, run: Callable[..., Any], tmp_path: Path, nominal: str
) -> None:
    ran = planned(tmp_path, plates, run, more=f'depth_mm = 5\nnominal = "{nominal}"')
    assert ran.code == 0, ran.out + ran.err
    for number in range(10):
        depth = 5.0 * (number + 0.5) / 10.0
        stands = shapely.Polygon(CORE).buffer((depth - (0.0 if nominal == "top" else 5.0)) * LEAN, quad_segs=128)
        gone = removed(tmp_path, depth=depth)
        assert gone.intersection(stands.buffer(-0.003)).area < 1e-6
        wide = 1.5 + (5.0 - depth) * LEAN
        left = stands.buffer(wide, quad_segs=128).buffer(-wide, quad_segs=128)  # less than this the taper cannot leave
        assert left.buffer(0.1).difference(left.buffer(0.003)).difference(gone).area < 1e-6
    sheet = (tmp_path / "plate-out" / "sheet.html").read_text(encoding="utf-8")
    assert "at the top" in sheet
    assert "at the foot" in sheet
    (said,) = document(tmp_path)["features"]
    asked = {(one["what"], one["remark"]): one["expected"] for one in said["measures"]}
    rise = 2.0 * 5.0 * LEAN
    wide = 28.0 if nominal == "top" else 28.0 - rise
    assert float(asked["part across X, widest", "at the top"]) == pytest.approx(wide, abs=6e-4)
    assert float(asked["part across X, widest", "at the foot"]) == pytest.approx(wide + rise, abs=6e-4)


def test_a_windows_wall_opens_upward(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(tmp_path, plates, run, more='depth_mm = 5\nside = "inside"\nnominal = "floor"', core=ROUND)
    assert ran.code == 0, ran.out + ran.err
    for number in range(10):
        depth = 5.0 * (number + 0.5) / 10.0
        window = shapely.Point(30.0, 25.0).buffer(10.0 + (5.0 - depth) * LEAN, quad_segs=512)
        gone = removed(tmp_path, depth=depth)
        assert gone.difference(window.buffer(0.003)).is_empty
        assert window.buffer(-0.003).difference(window.buffer(-0.1)).difference(gone).area < 1e-6


def test_a_round_core_holds_the_volume_of_its_frustum(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """Closed form pi h (R2 + R r + r2) / 3; prismoidal formula, exact for a frustum: h (A0 + 4 Am + A1) / 6."""
    ran = planned(tmp_path, plates, run, more="depth_mm = 5", core=ROUND)
    assert ran.code == 0, ran.out + ran.err
    areas = []
    for depth in (1e-6, 2.5, 5.0):
        gone = removed(tmp_path, depth=depth)
        areas.append(shapely.Polygon(gone.interiors[0]).area)
    foot = 10.0 + 5.0 * LEAN
    whole = math.pi * 5.0 * (10.0**2 + 10.0 * foot + foot**2) / 3.0
    assert 5.0 * (areas[0] + 4.0 * areas[1] + areas[2]) / 6.0 == pytest.approx(whole, rel=2e-4)


def test_a_part_cut_through_with_leaning_walls_hangs_on_its_bridges(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, more='depth = "through"')
    assert ran.code == 0, ran.out + ran.err
    said = next(one for one in document(tmp_path)["features"] if one["name"] == "core")
    assert (said["draft_deg"], said["through"]) == (2.0, True)
    above, below = removed(tmp_path, depth=6.0), removed(tmp_path, depth=7.9)
    assert len(above.interiors) == 1  # a ring all round
    assert below.geom_type == "MultiPolygon"  # bridges between its pieces
    stands = shapely.Polygon(CORE).buffer(7.9 * LEAN, quad_segs=128)
    assert below.intersection(stands.buffer(-0.003)).area < 1e-6


def test_a_straight_cutter_leaves_steps_no_higher_than_the_tolerance(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """A step dz on a wall that leans by a stands dz sin a high, square to it (plane geometry)."""
    more = "depth_mm = 5\ntolerance_um = 25"
    ran = planned(tmp_path, plates, run, more=more, cutters='"slot-6"', draft=3.0, core=ROUND)
    assert ran.code == 0, ran.out + ran.err
    steps = [one for program in document(tmp_path)["programs"] for one in program["operations"]]
    wall = next(one for one in steps if one["purpose"] == "finish")
    down = 5.0 / len(wall["levels_mm"])
    assert down * math.sin(math.radians(3.0)) <= 0.025 < down * 1.2 * math.sin(math.radians(3.0))
    for depth in (0.4, 1.7, 3.3, 4.9):
        true = 10.0 + depth * math.tan(math.radians(3.0))
        gone = removed(tmp_path, depth=depth)
        assert not gone.intersects(shapely.Point(30.0, 25.0).buffer(true - 0.003, quad_segs=512))
        stands = shapely.Polygon(gone.interiors[0])
        assert stands.difference(shapely.Point(30.0, 25.0).buffer(true + 0.0285, quad_segs=512)).is_empty


@pytest.mark.parametrize(
    ("cutters", "draft", "said"),
    [
        ('"slot-6", "taper-5deg-1"', 2.0, None),
        ('"taper-2deg-3"', 2.0, "no flat cutter on the shelf opens a slot beside the foot of its wall"),
        (
            '"slot-3", "taper-2deg-3"',
            2.0,
            "taper-2deg-3 is 3.21 mm wide at the plate's top, and the kerf is only 3.20 mm",
        ),
    ],
)
def test_what_no_cutter_of_the_angle_reaches_is_stepped_or_refused(
    plates: Any, run: Callable[..., Any], tmp_path: Path, cutters: str, draft: float, said: str | None
) -> None:
    ran = planned(tmp_path, plates, run, more="depth_mm = 3", cutters=cutters, draft=draft, core=ROUND)
    if said is None:
        assert ran.code == 0, ran.out + ran.err
        reasons = [
            reason["sentence"]
            for program in document(tmp_path)["programs"]
            for one in program["operations"]
            for reason in one["reasons"]
        ]
        assert any("it leans less than the wall's 2 degrees" in reason for reason in reasons)
    else:
        assert ran.code == 2
        assert said in " ".join(ran.err.split())


def test_a_leaning_wall_cut_too_deep_is_a_gouge(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = planned(tmp_path, plates, run, more="depth_mm = 5")
    assert ran.code == 0, ran.out + ran.err
    programs = [program["file"] for program in document(tmp_path)["programs"]]
    file = tmp_path / "plate-out" / programs[-1]
    lines = file.read_text(encoding="utf-8").splitlines()
    deep = [one for one in shadow.moved(lines, axis="Z", by=-0.02) if dict(shadow.words(one.was))["Z"] < -4.999]
    file.write_text("\n".join(deep[-1].lines) + "\n", encoding="utf-8")
    checked = run("check", *(tmp_path / "plate-out" / name for name in programs), "--job", tmp_path / "plate.toml")
    assert checked.code == 3, checked.out
    assert "gouge" in checked.out


def test_a_core_that_comes_to_a_point_is_refused(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """A strip 0.5 mm wide loses 5 tan 10 = 0.882 mm a side (plane geometry)."""
    thin = [(20, 20), (40, 20), (40, 20.5), (20, 20.5)]
    ran = planned(tmp_path, plates, run, more='depth_mm = 5\nnominal = "floor"', draft=10.0, core=thin)
    assert ran.code == 2
    assert "nothing is left at its top of the one" in " ".join(ran.err.split())
    assert "draft takes 0.882 mm a side" in " ".join(ran.err.split())
