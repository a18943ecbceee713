"""A cavity cut larger than drawn: what the written text removes, against 1 / (1 - S) worked out by hand."""

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

WORD = re.compile(r"([XY])(-?[0-9.]+)")

PLATE = [(0, 0), (90, 0), (90, 70), (0, 70)]
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "slot-3", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 10
outline = "PLATE"

[[feature]]
name = "disc"
kind = "pocket"
layer = "DISC"
depth_mm = 3

[[feature]]
name = "dowels"
kind = "hole"
layer = "DOWELS"
depth_mm = 6
"""


def written(
    folder: Path, plates: Any, run: Callable[..., Any], *, more: str = "", features: str = HEAD
) -> tuple[Any, dict[str, Any]]:
    plates.drawn(
        folder / "plate.dxf",
        closed=[("PLATE", PLATE), ("DISC", plates.rounded(20, 15, 70, 55, radius=5))],
        circles=[("DOWELS", 8, 35, 4.2), ("DOWELS", 82, 35, 4.2)],
    )
    ran = run("plan", plates.job(folder, features + more))
    plan = folder / "plate-out" / "plan.json"
    return ran, json.loads(plan.read_text(encoding="utf-8")) if plan.exists() else {}


def reach(folder: Path, document: dict[str, Any], *, feature: str) -> tuple[float, float, float, float]:
    """The outermost places of what a feature's cutters remove: x0, y0, x1, y1, from the text and their radius."""
    xs, ys = [], []
    for program in document["programs"]:
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        radius = document["cutters"][program["cutter"]]["diameter_mm"] / 2.0
        for operation in program["operations"]:
            if operation["feature"] != feature:
                continue
            for line in lines[operation["first_line"] - 1 : operation["last_line"]]:
                for axis, value in WORD.findall(line):
                    (xs if axis == "X" else ys).extend((float(value) - radius, float(value) + radius))
    return min(xs), min(ys), max(xs), max(ys)


def test_the_written_text_is_larger_by_1_over_1_less_s(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """The plate's middle is (45, 35); 50 x 40 mm at 1.6 % are 50.813 x 40.650."""
    ran, document = written(
        tmp_path, plates, run, more='\n[shrinkage]\npercent = 1.6\nplastic = "pp"\nfeatures = ["disc"]\n'
    )
    assert ran.code == 0, ran.out + ran.err
    assert document["proof"]["passed"]
    assert document["proof"]["left_area_mm2"] < 0.01
    half = (25.0 / 0.984, 20.0 / 0.984)
    wanted = (45.0 - half[0], 35.0 - half[1], 45.0 + half[0], 35.0 + half[1])
    assert reach(tmp_path, document, feature="disc") == pytest.approx(wanted, abs=0.003)
    sizes = {size["what"]: size for size in document["shrinkage"]["sizes"]}
    assert (sizes["across X"]["cut_mm"], sizes["across X"]["moulded_mm"]) == (50.813, 50.0)
    assert "cut-larger" in ran.out


def test_dowels_stay_where_they_are_drawn(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    _, document = written(tmp_path, plates, run, more='\n[shrinkage]\npercent = 1.6\nfeatures = ["disc"]\n')
    for program in document["programs"]:
        text = (tmp_path / "plate-out" / program["file"]).read_text(encoding="utf-8")
        if program["cutter"] == "drill-4.2":
            assert sorted(re.findall(r"G8[13] X(\S+) Y(\S+)", text)) == [("8", "35"), ("82", "35")]
            break
    else:
        pytest.fail("no drill")


def test_sizes_of_a_first_moulding_set_the_next_cut(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """Exact sizes of 1.4 % along X and 1.8 % along Y come back as cavities of 50 / 0.986 and 40 / 0.982."""
    ran, document = written(
        tmp_path,
        plates,
        run,
        more="\n[shrinkage]\nsizes_x_mm = [[50, 49.3], [30, 29.58]]\nsizes_y_mm = [[40, 39.28], [20, 19.64]]\n"
        'features = ["disc"]\n',
    )
    assert ran.code == 0, ran.out + ran.err
    x0, y0, x1, y1 = reach(tmp_path, document, feature="disc")
    assert (x1 - x0, y1 - y0) == pytest.approx((50.0 / 0.986, 40.0 / 0.982), abs=0.006)
    assert document["proof"]["wall_error_um"] < 5.0
    assert document["shrinkage"]["x"]["percent"] == 1.4


def test_a_program_for_the_drawn_size_is_told_from_one_for_the_cavity(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """The cavity's program gouges the plate of the drawn size, and the drawn one leaves the cavity too small."""
    made = {}
    for name, more in (("drawn", ""), ("cavity", '\n[shrinkage]\npercent = 1.6\nfeatures = ["disc"]\n')):
        folder = tmp_path / name
        folder.mkdir()
        ran, document = written(folder, plates, run, more=more)
        assert ran.code == 0, ran.out + ran.err
        made[name] = [folder / "plate-out" / program["file"] for program in document["programs"]]
    jobs = {name: tmp_path / name / "plate.toml" for name in made}
    assert run("check", *made["cavity"], "--job", jobs["cavity"]).code == 0
    gouged = run("check", *made["cavity"], "--job", jobs["drawn"])
    assert gouged.code == 3
    assert "gouge" in gouged.out
    small = run("check", *made["drawn"], "--job", jobs["cavity"])
    assert small.code != 0, small.out


def test_a_core_hole_is_bored_wider_and_where_the_scale_puts_it(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran, document = written(
        tmp_path, plates, run, more='\n[shrinkage]\npercent = 2\nfeatures = ["disc", "dowels"]\ndepths = true\n'
    )
    assert ran.code == 0, ran.out + ran.err
    depths = {feature["name"]: feature["depth_mm"] for feature in document["features"]}
    assert depths == pytest.approx({"disc": 3.0 / 0.98, "dowels": 6.0 / 0.98}, abs=1e-4)
    x0, _, x1, _ = reach(tmp_path, document, feature="dowels")
    far = 37.0 / 0.98 + 2.1 / 0.98
    assert (x0, x1) == pytest.approx((45.0 - far, 45.0 + far), abs=0.01)
    sizes = [size for size in document["shrinkage"]["sizes"] if size["feature"] == "dowels"]
    assert {size["what"] for size in sizes} == {"diameter", "depth"}
    assert sizes[0]["cut_mm"] == round(4.2 / 0.98, 4)


@pytest.mark.parametrize(
    ("table", "code", "words"),
    [
        ('percent = 3.5\nplastic = "pp"', "shrinkage-outside-range", "outside what is printed for polypropylene"),
        ('plastic = "pp"', "shrinkage-uncertain", "between"),
        ("sizes_mm = [[50, 49.2]]", "shrinkage-uncertain", "one measured pair"),
        ("sizes_mm = [[50, 49.2], [40, 39.4]]", "shrinkage-uncertain", "±"),
        ("percent = 1.6", "shrinkage-not-measured", "metal can still be taken away"),
    ],
)
def test_what_is_not_sure_is_said(
    plates: Any, run: Callable[..., Any], tmp_path: Path, table: str, code: str, words: str
) -> None:
    ran, document = written(tmp_path, plates, run, more=f'\n[shrinkage]\n{table}\nfeatures = ["disc"]\n')
    assert ran.code == 0, ran.out + ran.err
    (found,) = [finding for finding in document["findings"] if finding["code"] == code]
    assert found["severity"] == "caution"
    assert words in found["message"]


def test_the_uncertainty_of_the_largest_size_is_that_of_the_fit(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Two pairs: one degree of freedom, t = 12.706 (any table).  c = 50, 40; m = 49.2, 39.4."""
    _, document = written(
        tmp_path, plates, run, more='\n[shrinkage]\nsizes_mm = [[50, 49.2], [40, 39.4]]\nfeatures = ["disc"]\n'
    )
    squares = 50.0**2 + 40.0**2
    slope = (50.0 * 49.2 + 40.0 * 39.4) / squares
    scatter = (49.2 - 50.0 * slope) ** 2 + (39.4 - 40.0 * slope) ** 2
    half = 12.7062 * math.sqrt(scatter / squares)
    across = next(size for size in document["shrinkage"]["sizes"] if size["what"] == "across X")
    low, high = across["between_mm"]
    assert (high - low) / 2.0 == pytest.approx(half * 50.0 / slope, abs=2e-4)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('plastic = "ppp"\nfeatures = ["disc"]', "there is no 'ppp' in tooling/plastics"),
        ('percent = 12\nfeatures = ["disc"]', "shrinkage.percent: 12 is impossible"),
        ('sizes_mm = [[49.2, 50]]\nfeatures = ["disc"]', "shrinkage.sizes_mm[1]: the moulding of 50 is larger"),
        ("percent = 1.6", "shrinkage.features: is missing"),
        ('x_percent = 1\ny_percent = 2\nfeatures = ["dowels"]', "a hole is round"),
        ('percent = 9\nfeatures = ["disc"]\ndepths = true\nabout = [-4000, 0]', "lies outside the plate"),
    ],
)
def test_what_cannot_be_scaled_is_refused_and_nothing_is_written(
    plates: Any, run: Callable[..., Any], tmp_path: Path, table: str, words: str
) -> None:
    ran, document = written(tmp_path, plates, run, more=f"\n[shrinkage]\n{table}\n")
    assert ran.code == 2
    assert words in ran.err
    assert document == {}
