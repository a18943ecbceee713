"""The example plates: drawn anew they are the same bytes, read they are what their script says, and each can be cut."""

import math
import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from camplan.drawing.reading import read_drawing
from camplan.features.build import build
from camplan.features.records import Built
from camplan.job import Job, read_job
from camplan.pipeline.bench import load_bench, shop_of
from camplan.pipeline.faces import picked_faces
from camplan.regions import area

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NAMES = ("first", "cavity", "back", "nest", "scale")

# What each drawing says of its own version, group $ACADVER.  Codes as the DXF reference prints them under HEADER.
VERSIONS = {"first": "AC1009", "cavity": "AC1024", "back": "AC1015", "nest": "AC1032", "scale": "AC1027"}


@cache
def job_of(name: str) -> Job:
    return read_job(EXAMPLES / name / f"{name}.toml")


@cache
def built(name: str) -> Built:
    job = job_of(name)
    return build(job.features, plate=job.plate, drawing=read_drawing(job.drawing, unit=job.unit))


def feature_of(example: str, name: str) -> Any:
    return next(feature for feature in built(example).features if feature.spec.name == name)


@pytest.mark.parametrize("seed", ["1", "2"])
def test_the_script_draws_the_same_bytes_whatever_the_order_of_sets(tmp_path: Path, seed: str) -> None:
    script = tmp_path / "draw_examples.py"
    shutil.copy(EXAMPLES / "draw_examples.py", script)
    subprocess.run([sys.executable, script], check=True, env={**os.environ, "PYTHONHASHSEED": seed})
    drawn = {path.stem: path.read_bytes() for path in tmp_path.glob("*/*.dxf")}
    assert drawn.keys() == set(NAMES)
    for name, text in drawn.items():
        assert text == (EXAMPLES / name / f"{name}.dxf").read_bytes(), name


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_is_whole_and_in_its_version(name: str) -> None:
    """Held against ezdxf's own audit of structure, tables and handles."""
    path = EXAMPLES / name / f"{name}.dxf"
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[lines.index("$ACADVER") + 2] == VERSIONS[name]
    found = ezdxf.readfile(path).audit()
    assert (found.errors, found.fixes) == ([], [])


def test_the_drawings_hold_every_kind_of_line_and_the_jobs_every_kind_of_feature() -> None:
    entities = {
        entity.dxftype() for name in NAMES for entity in ezdxf.readfile(EXAMPLES / name / f"{name}.dxf").modelspace()
    }
    assert entities == {"ARC", "CIRCLE", "ELLIPSE", "LINE", "LWPOLYLINE", "POINT", "POLYLINE", "SPLINE"}
    kinds = {type(feature).__name__ for name in NAMES for feature in job_of(name).features}
    assert kinds == {"EdgeSpec", "FaceSpec", "GrooveSpec", "HoleSpec", "MarkSpec", "OutlineSpec", "PocketSpec"}


@pytest.mark.parametrize("name", NAMES)
def test_a_job_reads_and_builds_with_nothing_to_find_but_what_is_tapped_by_hand(name: str) -> None:
    made = built(name)
    assert [feature.spec.name for feature in made.features] == [spec.name for spec in job_of(name).features]
    assert {finding.code for finding in made.findings} <= {"tap-by-hand"}
    assert read_drawing(job_of(name).drawing, unit=job_of(name).unit).findings == ()


@pytest.mark.parametrize("name", NAMES)
def test_every_feature_can_be_cut_with_the_cutters_on_the_shelf(name: str) -> None:
    bench = load_bench(EXAMPLES / name / f"{name}.toml")
    faces = picked_faces(bench, shop=shop_of(bench))
    assert [problem for picked in faces for problem in picked.problems] == []
    operations = [one for picked in faces for one in picked.operations]
    assert {one.feature.spec.name for one in operations} == {spec.name for spec in bench.job.features}
    on_the_shelf = set(bench.job.cutters or ())
    assert {one.cutter.name for one in operations} <= on_the_shelf
    in_settings = {feature for setting in bench.job.settings for feature in setting.features}
    assert in_settings == {spec.name for spec in bench.job.features}


def rounded(width: float, height: float, *, radius: float) -> float:
    return width * height - (4.0 - math.pi) * radius**2


def window(*, inner: float, outer: float, sweep: float, gap: float) -> float:
    """Area of a ring's sector less half a gap along each flank: the integral of r (sweep - 2 asin(gap / 2r)) dr."""

    def upto(radius: float) -> float:
        half = gap / 2.0
        lost = radius**2 * math.asin(half / radius) + half * math.sqrt(radius**2 - half**2)
        return sweep * radius**2 / 2.0 - lost

    return upto(outer) - upto(inner)


@pytest.mark.parametrize(
    ("example", "name", "wanted"),
    [
        ("first", "disc", rounded(38, 30, radius=2)),
        (
            "cavity",
            "disc",
            math.pi * 28**2 - 6 * window(inner=9, outer=20, sweep=math.pi / 3, gap=3.0),
        ),
        ("cavity", "hub", math.pi * 5**2),
        ("back", "seat", math.pi * (15**2 - 6**2)),
        ("nest", "nests", 2 * (rounded(30, 34, radius=1.1) - 2 * math.pi * 2.1**2)),
        ("nest", "relieved nest", 30 * 34 - 4 * 1.8**2 + 2 * math.pi * 1.8**2 - math.pi * 3**2),
        ("scale", "slots", 2 * (4 * 4.4 + math.pi * 2.2**2)),
        ("scale", "edge", rounded(172, 36, radius=6)),
    ],
)
def test_a_figure_has_the_area_of_its_closed_form(example: str, name: str, wanted: float) -> None:
    """Plane geometry, worked out by hand from the dimensions in the drawing script."""
    found = sum(area(region) for region in feature_of(example, name).regions)
    assert found == pytest.approx(wanted, abs=1e-4)


@pytest.mark.parametrize(
    ("example", "name", "diameters"),
    [
        ("first", "screws", [4.2] * 2),
        ("cavity", "dowels", [5.006] * 3),
        ("cavity", "screws", [4.2] * 4),
        ("back", "dowels", [5.010] * 3),
        ("back", "sprue", [5.0]),
        ("back", "screws", [5.5, 10.0] * 4),
        ("nest", "magnets", [5.1] * 2),
        ("nest", "clearance", [5.0] * 6),
    ],
)
def test_holes_have_the_drawn_sizes_or_those_of_what_they_hold(example: str, name: str, diameters: list[float]) -> None:
    """5 H7 and G7 in the middle of their limits (ISO 286-2), M5 drilled for a tap (DIN 336), its clearance hole (ISO
    273, medium) and its head (DIN 974-1, from memory)."""
    assert [circle[2] for circle in feature_of(example, name).circles] == pytest.approx(diameters)


def test_each_sunk_head_stands_over_its_screw() -> None:
    circles = feature_of("back", "screws").circles
    heads = {(x, y) for x, y, diameter in circles if diameter == 10.0}
    screws = {(x, y) for x, y, diameter in circles if diameter == 5.5}
    assert heads == screws
    assert len(heads) == 4


@pytest.mark.parametrize(("example", "name"), [("back", "grips"), ("back", "keys"), ("nest", "notch")])
def test_a_contour_over_the_edge_is_open_there(example: str, name: str) -> None:
    assert feature_of(example, name).open_edges


def test_a_point_becomes_a_cross_of_the_size_that_was_asked_for() -> None:
    """The point stands at X 11 Y 50 of the drawing, whose zero is the plate's."""
    ends = sorted(
        tuple(round(float(x), 6) for x in point)
        for line in feature_of("first", "cross").lines
        for point in (line.points[0], line.points[-1])
    )
    assert ends == [(8.5, 50.0), (11.0, 47.5), (11.0, 52.5), (13.5, 50.0)]
