"""An asymmetrical plate cut from both faces: everything lands where the drawing shows it through the plate.

Programs are read by the second reader of `shadow.py`; what they cut is turned back by GEOS's own reflection and held
against the drawing.
"""

import json
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import shapely
import shapely.affinity
from acceptance import shadow

THICK = 10.0
EDGE = [(5, 3), (105, 3), (105, 63), (30, 73), (5, 73)]
TOP = (18, 16, 45, 35)
BACK = [(60, 16), (90, 16), (90, 30), (75, 30), (75, 50), (60, 50)]
WINDOW = (20, 45, 50, 60)
PART = [(14, 12), (96, 12), (96, 54), (29, 63), (14, 63)]
PINS = [(55, 20), (88, 46)]
JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 10
outline = "PLATE"
zero = "{zero}"

[[feature]]
name = "top pocket"
kind = "pocket"
layer = "TOP"
depth_mm = {top}

[[feature]]
name = "back pocket"
kind = "pocket"
layer = "BACK"
depth_mm = 4
corner_mm = 3.2

[[feature]]
name = "window"
kind = "pocket"
layer = "WINDOW"
depth = "through"

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

[[setting]]
name = "top"
features = ["top pocket", "window", "pins", "part"]

[[setting]]
name = "turned"
face = "back"
features = ["back pocket", "window", "pins", "part"]
{more}
"""


def draw(folder: Path, *, plates: Any, back: Any = BACK) -> None:
    plates.drawn(
        folder / "plate.dxf",
        closed=[
            ("PLATE", EDGE),
            ("TOP", plates.rounded(*TOP, radius=4)),
            ("BACK", back),
            ("WINDOW", plates.rounded(*WINDOW, radius=4)),
            ("PART", PART),
        ],
        circles=[("PINS", x, y, 4.2) for x, y in PINS],
    )


def job(folder: Path, *, plates: Any, zero: str = "front-left", top: float = 3, more: str = "") -> Path:
    found: Path = plates.job(folder, JOB.format(zero=zero, top=top, more=more))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """A plan with the plate turned over; ``to_drawing`` takes a figure of the back setting to the drawing's place."""

    code: int
    folder: Path
    document: dict[str, Any]
    steps: dict[str, list[Any]]
    about: str
    origins: dict[str, tuple[float, float]]

    def to_drawing(self, figure: shapely.Geometry, *, setting: str) -> shapely.Geometry:
        if setting == "turned":
            sx, sy = (-1.0, 1.0) if self.about == "y" else (1.0, -1.0)
            figure = shapely.affinity.scale(figure, xfact=sx, yfact=sy, origin=(0.0, 0.0))
        return shapely.affinity.translate(figure, *self.origins[setting])

    def swept(self, feature: str, *, setting: str, below: float, radius: float) -> shapely.Geometry:
        """What a feature's level cuts at or below a depth clear, where the drawing shows it."""
        paths = [
            step.path
            for program in self.document["programs"]
            if program["setting"] == setting
            for work in program["operations"]
            if work["feature"] == feature
            for step in self.steps[program["file"]]
            if work["first_line"] <= step.line <= work["last_line"] and step.mode and step.path[:, 2].max() <= below
        ]
        assert paths
        lines = [shapely.LineString(path[:, :2]).buffer(radius, quad_segs=64) for path in paths]
        return self.to_drawing(shapely.union_all(lines), setting=setting)


# axis, zero of the top, where the zero is in the drawing from the top and from the back, keys of the back
CASES = [
    ("y", "front-left", (5.0, 3.0), (5.0, 3.0), ""),
    ("x", "front-left", (5.0, 3.0), (5.0, 3.0), 'about = "x"'),
    ("y", "back-right", (105.0, 73.0), (105.0, 3.0), 'about = "y"\nzero = "front-left"'),
    ("x", "centre", (55.0, 38.0), (55.0, 38.0), 'about = "x"'),
]


@pytest.fixture(scope="module", params=CASES, ids=["y", "x", "y with a zero of its own", "x from the centre"])
def turned(
    request: pytest.FixtureRequest,
    tmp_path_factory: pytest.TempPathFactory,
    plates: Any,
    run: Callable[..., Any],
) -> Turned:
    about, zero, top, back, more = request.param
    place = tmp_path_factory.mktemp("turned")
    draw(place, plates=plates)
    ran = run("plan", job(place, plates=plates, zero=zero, more=more))
    folder = place / "plate-out"
    document = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    files = [program["file"] for program in document["programs"]]
    steps = {file: shadow.steps((folder / file).read_text(encoding="utf-8").splitlines())[0] for file in files}
    return Turned(
        code=ran.code, folder=folder, document=document, steps=steps, about=about, origins={"top": top, "turned": back}
    )


def test_both_faces_are_proven(turned: Turned) -> None:
    proof = turned.document["proof"]
    assert turned.code == 0
    assert proof["passed"] and proof["gouge_um"] < 2 and proof["wall_error_um"] < 5
    assert {section["face"] for section in proof["sections"]} == {"top", "back"}


def test_a_pocket_of_the_back_lands_where_the_drawing_shows_it_through_the_plate(turned: Turned) -> None:
    want = shapely.Polygon(BACK)
    swept = turned.swept("back pocket", setting="turned", below=-4.0 + 1e-6, radius=3.0)
    assert swept.difference(want.buffer(0.004)).area < 1e-3
    opened = want.buffer(-3.0).buffer(3.0, quad_segs=64)
    assert opened.difference(swept.buffer(0.01)).area < 1e-3


def test_depths_count_from_the_face_that_is_up(turned: Turned) -> None:
    for program in turned.document["programs"]:
        for work in program["operations"]:
            deepest = min(work["levels_mm"])
            if work["feature"] == "back pocket":
                assert deepest >= -4.0
            if work["feature"] == "top pocket":
                assert deepest >= -3.0
            if work["feature"] in ("window", "part"):
                assert deepest >= -(THICK + 0.5) / 2.0 - 1e-9


def test_a_window_cut_half_from_either_face_meets_itself(turned: Turned) -> None:
    x0, y0, x1, y1 = WINDOW
    want = shapely.box(x0 + 4, y0 + 4, x1 - 4, y1 - 4).buffer(4.0, quad_segs=256)
    for setting in ("top", "turned"):
        swept = turned.swept("window", setting=setting, below=-(THICK + 0.5) / 2.0 + 1e-6, radius=3.0)
        assert swept.symmetric_difference(want).buffer(-0.006).area < 1e-3


def test_the_outline_of_both_faces_is_the_same(turned: Turned) -> None:
    part = shapely.Polygon(PART)
    for setting in ("top", "turned"):
        swept = turned.swept("part", setting=setting, below=-1.0, radius=3.0)
        assert swept.intersection(part.buffer(-0.004)).area < 1e-3
        assert part.boundary.buffer(0.006).difference(swept.buffer(0.006)).area < 0.2


def test_what_is_cut_from_the_back_is_climb_milled_too(turned: Turned) -> None:
    """Round a pocket counter-clockwise, the spindle turning clockwise (common practice, no source)."""
    (finish,) = [
        (program["file"], work)
        for program in turned.document["programs"]
        for work in program["operations"]
        if work["feature"] == "window" and work["purpose"] == "finish" and program["setting"] == "turned"
    ]
    path = [
        place[:2]
        for step in turned.steps[finish[0]]
        if finish[1]["first_line"] <= step.line <= finish[1]["last_line"] and step.mode and step.path[:, 2].max() < -5.2
        for place in step.path
    ]
    assert shapely.LinearRing(path).is_ccw


def test_the_head_of_each_program_says_how_the_plate_lies(turned: Turned) -> None:
    for program in turned.document["programs"]:
        head = (turned.folder / program["file"]).read_text(encoding="utf-8").split("G17")[0]
        if program["setting"] == "turned":
            assert f"PLATE TURNED OVER about its {turned.about.upper()} axis" in head and "touch off Z again" in head
        else:
            assert "TURNED" not in head
    (setting,) = [one for one in turned.document["settings"] if one["name"] == "turned"]
    assert (setting["face"], setting["about"]) == ("back", turned.about)
    assert [one for one in turned.document["findings"] if one["code"] == "turned-over"]
    sheet = (turned.folder / "sheet.html").read_text(encoding="utf-8")
    assert f"Turn the plate over about its {turned.about.upper()} axis" in sheet


def test_the_programs_of_both_faces_pass_the_check(turned: Turned, run: Callable[..., Any]) -> None:
    files = [turned.folder / program["file"] for program in turned.document["programs"]]
    ran = run("check", *files, "--job", turned.folder.parent / "plate.toml")
    assert (ran.code, ran.err) == (0, "")


def _first_of_the_back(turned: Turned) -> Path:
    return next(
        turned.folder / program["file"]
        for program in turned.document["programs"]
        if program["setting"] == "turned" and program["cutter"] == "slot-6"
    )


def _ends(turned: Turned) -> tuple[float, float]:
    """Where the plate begins and ends along the axis that is mirrored, as it lies turned."""
    x0, y0 = turned.origins["turned"]
    return (x0 - 105.0, x0 - 5.0) if turned.about == "y" else (y0 - 73.0, y0 - 3.0)


def test_a_program_that_was_not_mirrored_is_refused(turned: Turned, run: Callable[..., Any], tmp_path: Path) -> None:
    """On the plate, but left for right (or front for back), arcs and all: as if the plate had not been turned over."""
    axis, offset = ("X", "I") if turned.about == "y" else ("Y", "J")
    source, both = _first_of_the_back(turned), sum(_ends(turned))
    file = tmp_path / source.name
    lines = source.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join(_mirrored(line, axis=axis, offset=offset, both=both) for line in lines), encoding="utf-8")
    ran = run("check", file, "--job", turned.folder.parent / "plate.toml")
    assert ran.code == 3 and "gouge" in ran.out


def _mirrored(line: str, *, axis: str, offset: str, both: float) -> str:
    if line.startswith("("):
        return line
    turned = {"G2": "G3", "G3": "G2"}

    def other(word: str) -> str:
        if word[0] == axis:
            return f"{axis}{both - float(word[1:]):.4f}"
        return f"{offset}{-float(word[1:]):.4f}" if word[0] == offset else turned.get(word, word)

    return " ".join(other(word) for word in line.split())


def test_floors_of_two_faces_that_meet_are_told_with_a_place(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    over = [(35, 20), (90, 20), (90, 30), (35, 30)]
    for top, code, said in ((6.0, 1, "faces-meet"), (5.5, 0, "thin-between-faces"), (4.5, 0, None)):
        draw(tmp_path, plates=plates, back=over)
        ran = run("plan", job(tmp_path, plates=plates, top=top))
        document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
        found = [one for one in document["findings"] if one["code"] in ("faces-meet", "thin-between-faces")]
        assert ran.code == code, ran.out
        assert [one["code"] for one in found] == ([said] if said else [])
        if said:
            # 35 to 45 and 20 to 30 in the drawing: the middle of a square of 10, less the plate's corner
            assert "near X35.000 Y22.000" in found[0]["message"] and "over 100.00 mm2" in found[0]["message"]
        if said == "thin-between-faces":
            assert "0.500 mm are left" in found[0]["message"]


def test_a_floor_over_a_pocket_of_the_other_face_gives_as_thick_as_it_is_there(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """4 mm from the back and 5.7 from the top leave 0.3 where they lie over each other, 10 mm wide."""
    draw(tmp_path, plates=plates, back=[(28, 18), (90, 18), (90, 33), (28, 33)])
    run("plan", job(tmp_path, plates=plates, top=5.7))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    said = {one["where"]: one["message"] for one in document["findings"] if one["code"] == "floor-gives"}
    # 28 to 45 and 18 to 33 in the drawing: 15 mm across
    assert "a floor 0.3 mm thick and 15 mm wide" in said["top pocket"]
    assert "a floor 0.3 mm thick and 15 mm wide" in said["back pocket"]
    assert "near X-" in said["back pocket"]


def test_clamps_of_a_back_setting_are_where_the_plate_lies_then(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    """Over the back pocket, which lies from X-85 to X-55 as the plate lies turned about Y."""
    draw(tmp_path, plates=plates)
    clamp = "clamps = [{{ x_mm = {x}, y_mm = 20, width_mm = 15, length_mm = 10, height_mm = 12 }}]"
    ran = run("plan", job(tmp_path, plates=plates, more=clamp.format(x=-75)))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    said = [one for one in document["findings"] if one["code"] == "clamp-in-the-way" and one["where"] == "back pocket"]
    assert ran.code == 1 and said and said[0]["severity"] == "unmet"
    assert document["proof"]["passed"] and document["proof"]["clamp_hits"] == 0
    ran = run("plan", job(tmp_path, plates=plates, more=clamp.format(x=60)))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert ran.code == 0, ran.out
    assert [one for one in document["findings"] if one["code"] == "clamp-beside-plate"]


def test_a_pocket_of_the_back_is_cut_on_in_a_second_setting_of_the_back(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    draw(tmp_path, plates=plates)
    clamp = "clamps = [{ x_mm = -75, y_mm = 20, width_mm = 15, length_mm = 10, height_mm = 12 }]"
    again = '\n[[setting]]\nname = "again"\nface = "back"\nfeatures = ["back pocket"]\n'
    ran = run("plan", job(tmp_path, plates=plates, more=clamp + again))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert ran.code == 0, ran.out
    assert document["proof"]["wall_error_um"] < 5
    cut = {
        setting: sum(
            work["seconds"]
            for program in document["programs"]
            if program["setting"] == setting
            for work in program["operations"]
            if work["feature"] == "back pocket"
        )
        for setting in ("turned", "again")
    }
    assert 0.0 < cut["again"] < cut["turned"]


def test_a_plate_may_be_cut_from_its_back_alone(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> None:
    draw(tmp_path, plates=plates)
    text = JOB.format(zero="front-left", top=3, more="")
    head, _, _ = text.partition("[[setting]]")
    every = '"top pocket", "back pocket", "window", "pins", "part"'
    file = plates.job(tmp_path, f'{head}[[setting]]\nname = "turned"\nface = "back"\nfeatures = [{every}]\n')
    assert run("plan", file).code == 0
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert all(feature["faces"] == ["back"] for feature in document["features"])
    assert run("cutters", file).code == 0


DEEP = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 30
outline = "PLATE"

[[feature]]
name = "pins"
kind = "hole"
layer = "PINS"
depth = "through"
"""
FROM_BOTH = """
[[setting]]
name = "top"
features = ["pins"]

[[setting]]
name = "turned"
face = "back"
features = ["pins"]
"""


def test_holes_too_deep_for_the_drill_are_drilled_from_both_faces(
    tmp_path: Path, plates: Any, run: Callable[..., Any]
) -> None:
    draw(tmp_path, plates=plates)
    ran = run("plan", plates.job(tmp_path, DEEP))
    assert ran.code == 2 and "30.30 mm long" in ran.err
    ran = run("plan", plates.job(tmp_path, DEEP + FROM_BOTH))
    document = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    assert ran.code == 0, ran.out
    drilled = {
        program["setting"]: program["file"] for program in document["programs"] if program["cutter"] == "drill-4.2"
    }
    places = {}
    for setting, file in drilled.items():
        text = (tmp_path / "plate-out" / file).read_text(encoding="utf-8")
        found = re.findall(r"(?m)^(?:G99 )?(?:G8[123] )?X(-?[0-9.]+) Y(-?[0-9.]+)(?: Z(-?[0-9.]+))?", text)
        places[setting] = {(float(x), float(y)) for x, y, _ in found}
        # 15.25 mm at the full width, and the drill's point
        deepest = min(float(z) for _, _, z in found if z)
        point = 2.1 / math.tan(math.radians(_point_angle(document) / 2.0))
        assert deepest == pytest.approx(-15.25 - point, abs=1e-3)
    assert places["turned"] == {(-x, y) for x, y in places["top"]}
    assert places["top"] == {(x - 5.0, y - 3.0) for x, y in PINS}


def _point_angle(document: dict[str, Any]) -> float:
    return float(document["cutters"]["drill-4.2"]["point_angle_deg"])
