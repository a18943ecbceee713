"""A plate clamped twice: the second setting cuts exactly what the clamps of the first kept out.

Programs are read by the second reader of `shadow.py` and held against figures drawn with GEOS alone.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from acceptance import shadow

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "pocket"
kind = "pocket"
layer = "POCKET"
depth_mm = 3

[[feature]]
name = "groove"
kind = "groove"
layer = "GROOVE"
width_mm = 3
depth_mm = 1.5

[[feature]]
name = "pins"
kind = "hole"
layer = "PINS"
depth = "through"

[[feature]]
name = "part"
kind = "outline"
layer = "PART"
depth = "through"
"""
SETTING = """
[[setting]]
name = "{name}"
features = [{features}]
clamps = [{clamps}]
"""
ALL = '"pocket", "groove", "pins", "part"'
LEFT_CLAMP = (-10, 40, 40, 25)
RIGHT_CLAMP = (112, 45, 58, 25)
CLAMPS = [LEFT_CLAMP, RIGHT_CLAMP]
MOVED = [(50, 85, 20, 30), (60, -10, 20, 30)]
POCKET = (20, 20, 100, 90)
PINS = [(16, 55), (106, 20), (106, 80)]
RADIUS = 3.0
ABOUT = {"pocket": 8.0, "groove": 8.0, "part": 22.0}
"""How far from a clamp it is felt: the cutter's radius, the holder's where that comes down so far, a berth and a
way on or off a wall."""


def clamps(boxes: list[tuple[float, float, float, float]]) -> str:
    return ", ".join(
        f"{{ x_mm = {x}, y_mm = {y}, width_mm = {w}, length_mm = {d}, height_mm = 15 }}" for x, y, w, d in boxes
    )


def setting(name: str, *, features: str = ALL, boxes: list[tuple[float, float, float, float]] | None = None) -> str:
    return SETTING.format(name=name, features=features, clamps=clamps(boxes or []))


def boxed(x: float, y: float, wide: float, deep: float) -> shapely.Polygon:
    return shapely.box(x, y, x + wide, y + deep)


@dataclass(frozen=True, slots=True, kw_only=True)
class Twice:
    """The plan of a plate clamped twice, and the motions of its programs by file."""

    code: int
    document: dict[str, Any]
    lines: dict[str, list[str]]
    steps: dict[str, list[Any]]

    def cuts(self, feature: str, *, begins: str, purpose: str | None = None) -> list[Any]:
        """Paths below the plate's top of one feature in the setting whose files begin so."""
        return [
            step.path
            for program in self.document["programs"]
            if program["file"].startswith(begins)
            for work in program["operations"]
            if work["feature"] == feature and (purpose is None or work["purpose"] == purpose)
            for step in self.steps[program["file"]]
            if work["first_line"] <= step.line <= work["last_line"] and step.mode and step.path[:, 2].min() < 0
        ]


@pytest.fixture(scope="module")
def twice(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Callable[..., Any]) -> Twice:
    place = tmp_path_factory.mktemp("twice")
    plates.drawn(
        place / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (130, 0), (130, 110), (0, 110)]),
            ("POCKET", plates.rounded(*POCKET, radius=6)),
            ("PART", plates.rounded(9, 9, 120, 101, radius=5)),
        ],
        open_=[("GROOVE", [(112, 25), (112, 85)])],
        circles=[("PINS", x, y, 4.2) for x, y in PINS],
    )
    text = HEAD + setting("one", boxes=CLAMPS) + setting("two", boxes=MOVED)
    ran = run("plan", plates.job(place, text))
    document = json.loads((place / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    files = [program["file"] for program in document["programs"]]
    lines = {file: (place / "plate-out" / file).read_text(encoding="utf-8").splitlines() for file in files}
    steps = {file: shadow.steps(text)[0] for file, text in lines.items()}
    return Twice(code=ran.code, document=document, lines=lines, steps=steps)


def drilled(lines: list[str]) -> list[tuple[float, float]]:
    """The places of drilling cycles, G81 to G83 (NISTIR 6556 section 3.5.16)."""
    found = []
    cycle = False
    for line in lines:
        code = line.partition("(")[0]
        cycle = (cycle or any(word in code.split() for word in ("G81", "G82", "G83"))) and "G80" not in code.split()
        said = dict(re.findall(r"([XY])(-?[0-9.]+)", code))
        if cycle and len(said) == 2:
            found.append((float(said["X"]), float(said["Y"])))
    return found


def test_both_settings_together_cut_everything(twice: Twice) -> None:
    assert twice.code == 0
    proof = twice.document["proof"]
    assert proof["passed"] and proof["gouge_um"] < 2 and proof["wall_error_um"] < 5
    assert not [one for one in twice.document["findings"] if one["code"] in ("clamp-in-the-way", "left-uncut")]
    (said,) = [one for one in twice.document["findings"] if one["code"] == "cut-on"]
    assert (said["severity"], said["where"]) == ("note", "two") and "0.5 mm over the seam" in said["message"]


def test_each_hole_is_made_once(twice: Twice) -> None:
    made = [place for program in twice.document["programs"] for place in drilled(twice.lines[program["file"]])]
    drills = [program for program in twice.document["programs"] if program["cutter"] == "drill-4.2"]
    assert [program["setting"] for program in drills] == ["one", "two"]
    # spotted once and drilled once
    assert sorted(made) == sorted([*PINS, *PINS])


def test_the_floor_is_cut_whole_without_a_rib_between_the_settings(twice: Twice) -> None:
    floor = [
        path
        for begins in ("a", "b")
        for path in twice.cuts("pocket", begins=begins)
        if abs(path[:, 2].max() + 3.0) < 1e-6 and abs(path[:, 2].min() + 3.0) < 1e-6
    ]
    swept = shapely.union_all([shapely.LineString(path[:, :2]).buffer(RADIUS, quad_segs=64) for path in floor])
    x0, y0, x1, y1 = POCKET
    want = shapely.box(x0 + 6, y0 + 6, x1 - 6, y1 - 6).buffer(6.0, quad_segs=256)
    missing = want.difference(swept).buffer(-0.004)
    assert missing.area < 1e-3
    assert swept.difference(want.buffer(0.004)).area < 1e-3


def test_the_second_setting_cuts_nothing_but_what_the_clamps_of_the_first_kept_out(twice: Twice) -> None:
    boxes = shapely.union_all([boxed(*clamp) for clamp in CLAMPS])
    for feature, about in ABOUT.items():
        under = boxes.buffer(about)
        paths = twice.cuts(feature, begins="b")
        assert paths, feature
        for path in paths:
            assert under.contains(shapely.MultiPoint(path[:, :2])), (feature, path[0], path[-1])


def test_the_second_setting_is_far_shorter_than_the_first(twice: Twice) -> None:
    def total(begins: str) -> float:
        paths = [path for feature in ("pocket", "groove", "part") for path in twice.cuts(feature, begins=begins)]
        return sum(float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum()) for path in paths)

    assert total("b") < 0.4 * total("a")


def test_a_groove_goes_on_by_half_a_millimetre_over_its_first_end(twice: Twice) -> None:
    first = shapely.union_all([shapely.LineString(path[:, :2]) for path in twice.cuts("groove", begins="a")])
    second = shapely.union_all([shapely.LineString(path[:, :2]) for path in twice.cuts("groove", begins="b")])
    both = first.buffer(0.003).intersection(second.buffer(0.003))
    lengths = sorted(part.area / 0.006 for part in shapely.get_parts(both))
    assert lengths and all(length == pytest.approx(0.5, abs=0.02) for length in lengths)


def test_a_setting_in_which_nothing_is_left_is_said(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (130, 0), (130, 110), (0, 110)]), ("POCKET", plates.rounded(*POCKET, radius=6))],
    )
    head = HEAD[: HEAD.index('[[feature]]\nname = "groove"')]
    text = head + setting("one", features='"pocket"') + setting("two", features='"pocket"')
    ran = run("plan", plates.job(tmp_path, text))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert ran.code == 0
    assert {program["setting"] for program in document["programs"]} == {"one"}
    said = [one for one in document["findings"] if one["code"] == "nothing-to-cut"]
    assert [one["where"] for one in said] == ["two"]


POCKET_ALONE = HEAD[: HEAD.index('[[feature]]\nname = "groove"')]


def planned(folder: Path, *, text: str, plates: Any, run: Callable[..., Any], pocket: Any = None) -> tuple[int, Any]:
    region = pocket or plates.rounded(*POCKET, radius=6)
    edge = [(0, 0), (130, 0), (130, 110), (0, 110)]
    plates.drawn(
        folder / "plate.dxf",
        closed=[("PLATE", edge), ("POCKET", region), ("OTHER", plates.rounded(105, 20, 125, 90, radius=6))],
    )
    ran = run("plan", plates.job(folder, text))
    return ran.code, json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))


OTHER = '\n[[feature]]\nname = "other"\nkind = "pocket"\nlayer = "OTHER"\ndepth_mm = 2\n'


def test_what_clamps_keep_out_of_all_settings_is_named_with_place_area_clamp_and_what_would_work(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = POCKET_ALONE + OTHER + setting("one", features='"pocket"', boxes=[LEFT_CLAMP])
    text += setting("two", features='"other"', boxes=[(50, 95, 20, 20)])
    code, document = planned(tmp_path, text=text, plates=plates, run=run)
    (said,) = [one for one in document["findings"] if one["code"] == "clamp-in-the-way"]
    assert (code, said["severity"], said["where"]) == (1, "unmet", "pocket")
    # the clamp's 10 mm in the pocket and a berth of half a millimetre; the cutter's middle 3.5 mm away leaves fillets
    area = float(said["message"].split()[0])
    left = (
        shapely.box(20, 20, 100, 90).buffer(-RADIUS).difference(boxed(*LEFT_CLAMP).buffer(RADIUS + 0.5)).buffer(RADIUS)
    )
    assert area == pytest.approx(shapely.box(20, 30, 50, 75).difference(left).area, abs=0.2)
    for words in (
        "near X",
        "clamp 1 of 'one' at X-10 Y40",
        "move or lower it",
        "name the feature in setting 'two' too",
    ):
        assert words in said["message"]


def test_a_clamp_over_the_only_way_in_is_named(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    narrow = [(20, 40), (60, 40), (60, 47), (20, 47)]
    head = POCKET_ALONE.replace('["slot-6", "slot-3", "spot-90-6", "drill-4.2"]', '["end-6"]')
    free = tmp_path / "free"
    free.mkdir()
    code, document = planned(free, text=head, plates=plates, run=run, pocket=narrow)
    assert not [one for one in document["findings"] if one["code"] == "no-way-in"]
    barred = [(26.9, 30, 80, 30)]
    held = head + setting("one", features='"pocket"', boxes=barred)
    code, document = planned(tmp_path, text=held, plates=plates, run=run, pocket=narrow)
    said = [one for one in document["findings"] if one["code"] == "no-way-in"]
    assert code == 1 and said
    assert "clamp 1 of 'one' at X26.9 Y30 stands over the only one" in said[0]["message"]
    assert said[0]["where"].startswith("x 2")
    both = held + setting("two", features='"pocket"', boxes=[(100, 95, 20, 20)])
    code, document = planned(tmp_path, text=both, plates=plates, run=run, pocket=narrow)
    assert document["proof"]["passed"]
    assert not [one for one in document["features"][0]["left"] if "within reach" in one["cause"]]


def test_a_clamp_beside_the_plate_is_said_and_kept_clear_of(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    text = POCKET_ALONE + setting("one", features='"pocket"', boxes=[(140, 10, 20, 20), (110, 95, 20, 20)])
    code, document = planned(tmp_path, text=text, plates=plates, run=run)
    assert code == 0 and document["proof"]["clamp_hits"] == 0
    (said,) = [one for one in document["findings"] if one["code"] == "clamp-beside-plate"]
    assert "clamp 1 of 'one', from X140 Y10 to X160 Y30" in said["message"]


HARDER = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "slot-2", "taper-2deg-3"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "leaning"
kind = "pocket"
layer = "LEANING"
depth_mm = 3
draft_deg = 2

[[feature]]
name = "mouth"
kind = "pocket"
layer = "MOUTH"
depth_mm = 2

[[feature]]
name = "bore"
kind = "hole"
layer = "BORE"
depth = "through"
"""


@pytest.fixture(scope="module")
def harder(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Callable[..., Any]) -> tuple[Path, Any]:
    """A leaning pocket, one open at the plate's edge and bores, a clamp across each in the first setting."""
    place = tmp_path_factory.mktemp("harder")
    plates.drawn(
        place / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (130, 0), (130, 110), (0, 110)]),
            ("LEANING", plates.rounded(20, 50, 70, 95, radius=6)),
            ("MOUTH", [(90, 30), (140, 30), (140, 80), (90, 80)]),
        ],
        circles=[("BORE", 30, 20, 8.0), ("BORE", 60, 20, 8.0)],
    )
    features = '"leaning", "mouth", "bore"'
    first = [(-10, 60, 50, 15), (105, 45, 35, 15), (20, -5, 15, 20)]
    text = HARDER + setting("one", features=features, boxes=first)
    text += setting("two", features=features, boxes=[(70, 95, 30, 20), (75, 0, 12, 12)])
    ran = run("plan", plates.job(place, text))
    document = json.loads((place / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return place, (ran.code, document)


def test_leaning_walls_open_pockets_and_bores_are_cut_on_too(harder: tuple[Path, Any]) -> None:
    code, document = harder[1]
    proof = document["proof"]
    assert code == 0 and proof["passed"] and proof["gouge_um"] < 2 and proof["wall_error_um"] < 5
    for name in ("leaning", "mouth", "bore"):
        seconds = {
            begins: sum(
                work["seconds"]
                for program in document["programs"]
                if program["file"].startswith(begins)
                for work in program["operations"]
                if work["feature"] == name
            )
            for begins in ("a", "b")
        }
        assert seconds["b"] > 0.0, name
        assert name == "bore" or seconds["b"] < 0.6 * seconds["a"], (name, seconds)


def test_the_second_setting_alone_leaves_what_the_first_cuts(harder: tuple[Path, Any], run: Callable[..., Any]) -> None:
    place, (_, document) = harder
    files = [place / "plate-out" / one["file"] for one in document["programs"] if one["file"].startswith("b")]
    ran = run("check", *files, "--job", place / "plate.toml")
    assert ran.code == 1 and "left-uncut" in ran.out


def test_the_second_setting_moved_aside_is_refused(
    harder: tuple[Path, Any], run: Callable[..., Any], tmp_path: Path
) -> None:
    place, (_, document) = harder
    files = []
    for one in document["programs"]:
        text = (place / "plate-out" / one["file"]).read_text(encoding="utf-8")
        if one["file"].startswith("b") and one["cutter"] == "slot-6":
            text = re.sub(r"Y(-?[0-9.]+)", lambda word: f"Y{float(word[1]) + 0.5:.4f}", text)
        files.append(tmp_path / one["file"])
        files[-1].write_text(text, encoding="utf-8")
    ran = run("check", *files, "--job", place / "plate.toml")
    assert ran.code == 3 and "gouge" in ran.out


def test_a_bore_whose_edge_alone_is_barred_is_laid_at_the_clamps_door(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """The middle of the bore is free of the clamp, the way of the cutter's middle round it is not."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", [(0, 0), (130, 0), (130, 110), (0, 110)])],
        circles=[("BORE", 60, 50, 12.0)],
    )
    head = HARDER[: HARDER.index('[[feature]]\nname = "leaning"')].replace('"slot-6", "slot-3", "slot-2"', '"slot-6"')
    bore = '[[feature]]\nname = "bore"\nkind = "hole"\nlayer = "BORE"\ndepth_mm = 2\n'
    # the cutter's middle keeps 3.5 mm off: to X64.5, and goes round the bore's middle as far as X63
    for x, code in ((66, 1), (66.6, 0)):
        text = head + bore + setting("one", features='"bore"', boxes=[(x, 40, 20, 20)])
        assert run("plan", plates.job(tmp_path, text)).code == code
    text = head + bore + setting("one", features='"bore"', boxes=[(66, 40, 20, 20)])
    ran = run("plan", plates.job(tmp_path, text))
    assert "clamp 1 of 'one' at X66 Y40" in " ".join(ran.out.split()) and "within reach" not in ran.out


def test_an_edge_is_broken_in_the_second_setting_only_where_the_clamps_of_the_first_stood(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    edge = '\n[[feature]]\nname = "edge"\nkind = "edge"\nlayer = "PLATE"\nside = "inside"\nchamfer_mm = 0.5\n'
    text = POCKET_ALONE + edge
    text += setting("one", features='"pocket", "edge"', boxes=[LEFT_CLAMP])
    text += setting("two", features='"pocket", "edge"', boxes=[(50, 95, 20, 20)])
    code, document = planned(tmp_path, text=text, plates=plates, run=run)
    assert (code, document["proof"]["passed"]) == (0, True)
    assert not [one for one in document["findings"] if one["code"] in ("left-uncut", "clamp-in-the-way")]
    (second, work) = next(
        (program, work)
        for program in document["programs"]
        for work in program["operations"]
        if program["setting"] == "two" and work["feature"] == "edge"
    )
    steps, _ = shadow.steps(next(tmp_path.rglob(second["file"])).read_text(encoding="utf-8").splitlines())
    mine = [step for step in steps if work["first_line"] <= step.line <= work["last_line"] and step.mode]
    along = np.vstack([step.path for step in mine if step.path[:, 2].min() < 0])
    x, y, wide, deep = LEFT_CLAMP
    assert along[:, 0].max() < x + wide
    # the clamp, half the holder beside it, and the overlap of half a millimetre
    assert y - 16.0 < along[:, 1].min() < y
    assert y + deep < along[:, 1].max() < y + deep + 16.0


def test_floors_that_fall_are_cut_on_only_where_the_clamps_of_the_first_stood(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (130, 0), (130, 110), (0, 110)]),
            ("POCKET", plates.rounded(20, 20, 100, 50, radius=6)),
        ],
        open_=[("RUNNER", [(20, 75), (110, 75)])],
    )
    text = HEAD[: HEAD.index('[[feature]]\nname = "pocket"')].replace('"slot-3"', '"slot-3", "ball-4"')
    text += '[[feature]]\nname = "runner"\nkind = "groove"\nlayer = "RUNNER"\nwidth_mm = 4\nsection = "round"\n'
    text += 'depth_mm = [3, 2]\n[[feature]]\nname = "pocket"\nkind = "pocket"\nlayer = "POCKET"\ndepth_mm = [1, 3]\n'
    text += "slope_from_mm = [20, 35]\nslope_to_mm = [100, 35]\n"
    both = '"runner", "pocket"'
    text += setting("one", features=both, boxes=[(-10, 15, 40, 75)]) + setting(
        "two", features=both, boxes=[(118, 30, 20, 40)]
    )
    ran = run("plan", plates.job(tmp_path, text))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert (ran.code, document["proof"]["passed"]) == (0, True)
    floors = [
        (program, work)
        for program in document["programs"]
        for work in program["operations"]
        if program["setting"] == "two" and (work["feature"] == "runner" or work["purpose"] == "rough")
    ]
    assert {work["feature"] for _, work in floors} == {"runner", "pocket"}
    for program, work in floors:
        lines = (tmp_path / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        steps, _ = shadow.steps(lines)
        mine = [step.path for step in steps if work["first_line"] <= step.line <= work["last_line"] and step.mode]
        deep = np.vstack([path for path in mine if path[:, 2].min() < -0.5])
        # the clamp ends at 30; half the holder beside it, the cutter's way in, and the overlap
        assert deep[:, 0].max() < 30.0 + 24.0
