"""Outlines as a newcomer draws them: inner corners, narrow places, windows, parts side by side."""

import json
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

PLATE = [(0, 0), (120, 0), (120, 80), (0, 80)]
BRACKET = [(15, 15), (100, 15), (100, 30), (40, 30), (40, 60), (15, 60)]
FORK = [(15, 15), (100, 15), (100, 60), (60, 60), (60, 30), (56, 30), (56, 60), (15, 60)]
WAVY = [
    (
        60 + 30 * math.cos(step * math.pi / 100) + 2 * math.cos(step * math.pi * 0.09),
        40 + 25 * math.sin(step * math.pi / 100),
    )
    for step in range(200)
]
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "slot-2"]

[plate]
thickness_mm = 6
outline = "PLATE"
"""


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def outline(layer: str, *, more: str = "") -> str:
    name = layer.lower()
    return f'\n[[feature]]\nname = "{name}"\nkind = "outline"\nlayer = "{layer}"\ndepth = "through"\n{more}'


def planned(
    folder: Path,
    plates: Any,
    run: Callable[..., Any],
    *,
    drawn: Sequence[tuple[str, Sequence[Sequence[float]]]],
    text: str,
) -> Any:
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", PLATE), *drawn])
    return run("plan", plates.job(folder, text))


def spoken(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


@pytest.mark.parametrize(
    ("drawn", "more"),
    [
        ([("PART", BRACKET)], ""),
        ([("PART", FORK)], ""),
        ([("PART", box(20, 20, 80, 60))], 'side = "inside"\n'),
        ([("PART", box(20, 20, 80, 60)), ("PART", box(30, 30, 35, 35)), ("PART", box(45, 30, 70, 50))], ""),
        ([("PART", box(15, 15, 50, 60)), ("PART", box(54, 15, 100, 60))], ""),
        ([("PART", box(15, 15, 50, 60)), ("PART", box(53, 15, 100, 60))], ""),
        ([("PART", box(15, 15, 50, 60)), ("PART", box(56, 15, 100, 60))], ""),
        ([("PART", WAVY)], ""),
        ([("PART", BRACKET)], "allowance_mm = 0.2\n"),
        ([("PART", BRACKET)], 'hold = "none"\nfinish_mm = 0\n'),
    ],
    ids=[
        "bracket",
        "fork with a narrow slot",
        "window",
        "part with two windows",
        "side by side",
        "as far apart as the finer cutter is wide",
        "as far apart as the wide cutter is",
        "wavy",
        "allowance",
        "free",
    ],
)
def test_what_the_wide_cutter_does_not_enter_a_finer_one_clears(
    drawn: Any, more: str, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    ran = planned(tmp_path, plates, run, drawn=drawn, text=HEAD + outline("PART", more=more))
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert spoken(tmp_path)["proof"]["passed"] is True


def test_granted_corners_ask_for_no_finer_cutter(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    text = HEAD + outline("PART", more="corner_mm = 3\n")
    ran = planned(tmp_path, plates, run, drawn=[("PART", BRACKET)], text=text)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert {one["cutter"] for one in spoken(tmp_path)["programs"]} - {None} == {"slot-6"}


def test_a_granted_corner_smaller_than_the_widest_cutter_is_cut_by_one_that_holds_it(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = HEAD + outline("PART", more="corner_mm = 1.5\n")
    ran = planned(tmp_path, plates, run, drawn=[("PART", BRACKET)], text=text)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "slot-2" not in {one["cutter"] for one in spoken(tmp_path)["programs"]}


def test_outlines_on_two_layers_side_by_side_get_a_cutter_that_fits_between(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    drawn = [("ONE", box(15, 15, 50, 60)), ("TWO", box(54, 15, 100, 60))]
    ran = planned(tmp_path, plates, run, drawn=drawn, text=HEAD + outline("ONE") + outline("TWO"))
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert {one["cutter"] for one in spoken(tmp_path)["programs"]} - {None} == {"slot-3"}


def test_outlines_too_close_for_every_cutter_are_refused(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    drawn = [("ONE", box(15, 15, 50, 60)), ("TWO", box(51.5, 15, 100, 60))]
    ran = planned(tmp_path, plates, run, drawn=drawn, text=HEAD + outline("ONE") + outline("TWO"))
    assert ran.code == 2
    assert "only 1.500 mm" in ran.err and "slot-2" in ran.err


@pytest.mark.parametrize("kind", ["outline", "pocket"])
def test_a_contour_without_area_is_refused_with_its_layer_and_place(
    kind: str, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = HEAD + outline("PART").replace("outline", kind)
    ran = planned(tmp_path, plates, run, drawn=[("PART", [(10, 10), (50, 10), (30, 10)])], text=text)
    assert ran.code == 2
    assert 'layer "PART"' in ran.err and "(10.000, 10.000)" in ran.err and "no area" in ran.err
    assert "too wide" not in ran.err


HOLES = """
[[feature]]
name = "pins"
kind = "hole"
layer = "PINS"
depth = "through"
"""


@pytest.mark.parametrize(("also", "code"), [([("PINS", 90, 20, 4.2)], 1), ([], 2)], ids=["one of two", "all"])
def test_hole_sizes_that_nothing_makes_are_named(
    also: Any, code: int, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    small = [("PINS", 20, 20, 1.0), ("PINS", 50, 20, 1.0)]
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", PLATE)], circles=[*small, *also])
    ran = run("plan", plates.job(tmp_path, HEAD.replace('"slot-2"', '"slot-2", "drill-4.2"') + HOLES))
    assert ran.code == code
    said = " ".join((ran.err + ran.out).split())
    assert "2 holes of 1.000 mm" in said
    assert "X20.000 Y20.000, X50.000 Y20.000" in said
    assert "a drill of 1 mm, or a slot drill or end mill of at most 0.85 mm" in said


BULL = HEAD.replace('"slot-6", "slot-3", "slot-2"', '"bull-6-r0.5"')


@pytest.mark.parametrize("kind", ["outline", "pocket"])
def test_a_bull_nose_cuts_through_where_its_round_ends_below_the_plate(
    kind: str, tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = BULL.replace("thickness_mm = 6", "thickness_mm = 6\nbreak_through_mm = 0.5") + outline("PART")
    drawn = [("PART", plates.rounded(20, 20, 80, 60, radius=5))]
    ran = planned(tmp_path, plates, run, drawn=drawn, text=text.replace('outline"\nlayer', f'{kind}"\nlayer'))
    assert (ran.code, ran.err) == (0, ""), ran.out


def test_a_bull_nose_that_would_leave_its_round_at_the_underside_of_an_outline_is_refused(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    ran = planned(tmp_path, plates, run, drawn=[("PART", box(20, 20, 80, 60))], text=BULL + outline("PART"))
    assert ran.code == 2
    assert "corner radius of 0.5 mm" in ran.err and "break_through_mm" in ran.err


def test_a_bull_nose_alone_leaves_its_radius_along_a_pockets_floor_and_that_is_said(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """At height h a corner radius r stands w = r - sqrt(2 r h - h^2) thick along the wall; a band of that width inside
    a rounded rectangle has the area P w - pi w^2 (Steiner's formula).  The proof looks 5 um above a floor."""
    text = BULL + outline("PART").replace("outline", "pocket").replace('depth = "through"', "depth_mm = 3")
    ran = planned(tmp_path, plates, run, drawn=[("PART", plates.rounded(20, 20, 80, 60, radius=5))], text=text)
    assert (ran.code, ran.err) == (1, ""), ran.out
    assert "corner radius of 0.5 mm along the floor's edge" in " ".join(ran.out.split())
    document = spoken(tmp_path)
    assert document["proof"]["passed"] is True
    around = 2 * (50.0 + 30.0) + 2 * math.pi * 5.0
    left = sum(one["area_mm2"] for one in document["features"][0]["left"])
    wide = 0.5 - math.sqrt(2.0 * 0.5 * 0.005 - 0.005**2)
    assert left == pytest.approx(around * wide - math.pi * wide**2, rel=0.01)


SETTING = """
[[setting]]
name = "NAME"
features = ["part"]
clamps = [{ x_mm = 0, y_mm = AT, width_mm = 18, length_mm = 12, height_mm = 15 }]
"""


def test_round_windows_keep_their_bridges_and_slugs(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", PLATE)],
        circles=[("PART", 40, 40, 5.0), ("PART", 80, 40, 20.0), ("PART", 20, 20, 2.5)],
    )
    ran = run("plan", plates.job(tmp_path, HEAD + outline("PART", more='side = "inside"\n')))
    assert (ran.code, ran.err) == (0, ""), ran.out


def test_a_clamp_over_an_outline_is_kept_clear_of_and_named(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = HEAD + outline("PART") + SETTING.replace("NAME", "one").replace("AT", "34")
    ran = planned(tmp_path, plates, run, drawn=[("PART", box(20, 10, 90, 70))], text=text)
    assert (ran.code, ran.err) == (1, ""), ran.out
    document = spoken(tmp_path)
    assert document["proof"]["passed"] is True and document["proof"]["clamp_hits"] == 0
    assert "clamp-in-the-way" in {one["code"] for one in document["findings"]}


def test_what_a_clamp_keeps_of_an_outline_is_cut_once_the_clamp_has_moved(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    settings = [SETTING.replace("NAME", name).replace("AT", at) for name, at in (("one", "2"), ("two", "66"))]
    drawn = [("PART", box(20, 10, 90, 70))]
    ran = planned(tmp_path, plates, run, drawn=drawn, text=HEAD + outline("PART") + "".join(settings))
    assert (ran.code, ran.err) == (0, ""), ran.out
