"""The first job file: what the drawing says, and guesses marked as such."""

import tomllib
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.drawing.reading import read_drawing
from camplan.drawing.records import Drawing, Layer
from camplan.first_job import first_job
from camplan.geometry.chains import chain
from camplan.job import read_job


@pytest.fixture
def begun(tmp_path: Path):
    """The text of a first job for what a function draws."""

    def begin(draw, *, name="cavity.dxf"):
        document = ezdxf.new("R2010", units=4)
        draw(document.modelspace())
        document.saveas(tmp_path / name)
        return first_job(read_drawing(tmp_path / name), file=name)

    return begin


def cavity(space):
    """A plate with a disc that has an island, pins in two sizes, a runner, a scale, and a contour left open."""
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True, dxfattribs={"layer": "PLATE"})
    space.add_circle((60, 40), 30, dxfattribs={"layer": "DISC"})
    space.add_circle((60, 40), 6.5, dxfattribs={"layer": "DISC"})
    for x, y, d in ((10, 10, 5), (110, 10, 5), (10, 70, 5), (110, 70, 4.2)):
        space.add_circle((x, y), d / 2, dxfattribs={"layer": "PINS"})
    space.add_line((0, 40), (30, 40), dxfattribs={"layer": "RUNNER"})
    for k in range(5):
        space.add_line((20 + 4 * k, 2), (20 + 4 * k, 6), dxfattribs={"layer": "SCALE"})
    for a, b in (((90, 60), (100, 60)), ((100, 60.03), (100, 70)), ((100, 70), (90, 70)), ((90, 70), (90, 60))):
        space.add_line(a, b, dxfattribs={"layer": "NEST"})
    space.add_lwpolyline([(3, 20), (8, 20), (8, 30), (3, 30)], close=True, dxfattribs={"layer": "NEST"})
    space.add_text("front", dxfattribs={"layer": "NOTES"})


def test_the_job_reader_takes_it_as_it_is(begun, tmp_path: Path):
    (tmp_path / "cavity.toml").write_text(begun(cavity), encoding="utf-8")
    job = read_job(tmp_path / "cavity.toml")
    assert job.drawing == tmp_path / "cavity.dxf" and job.plate.outline == "PLATE"
    assert [type(spec).__name__ for spec in job.features] == [
        "PocketSpec",
        "HoleSpec",
        "GrooveSpec",
        "MarkSpec",
        "PocketSpec",
    ]


@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_a_unit_that_the_drawing_does_not_say_itself_is_said_in_the_job(tmp_path: Path, unit):
    document = ezdxf.new("R2010", units=0)
    document.modelspace().add_circle((0, 0), 2)
    document.saveas(tmp_path / "disc.dxf")
    text = first_job(read_drawing(tmp_path / "disc.dxf", unit=unit), file="disc.dxf")
    assert tomllib.loads(text)["drawing_units"] == unit
    (tmp_path / "disc.toml").write_text(text, encoding="utf-8")
    job = read_job(tmp_path / "disc.toml")
    again = read_drawing(job.drawing, unit=job.unit)
    assert again.layers["0"].circles[0].diameter == pytest.approx(4.0 if unit == "mm" else 101.6)


def features(text):
    return {feature["layer"]: feature for feature in tomllib.loads(text).get("feature", [])}


def test_each_layer_becomes_what_it_looks_like(begun):
    text = begun(cavity)
    job = tomllib.loads(text)
    assert job["drawing"] == "cavity.dxf" and job["title"] == "cavity"
    assert job["plate"]["outline"] == "PLATE"
    assert {layer: feature["kind"] for layer, feature in features(text).items()} == {
        "DISC": "pocket",
        "PINS": "hole",
        "RUNNER": "groove",
        "SCALE": "mark",
        "NEST": "pocket",
    }
    assert features(text)["PINS"]["depth"] == "through"
    assert features(text)["RUNNER"]["width_mm"] > 0 and features(text)["DISC"]["depth_mm"] > 0


def test_comments_tell_regions_sizes_open_ends_and_the_tightest_corner(begun):
    text = begun(cavity)
    said = " ".join(line.removeprefix("#").strip() for line in text.splitlines() if line.startswith("#"))
    assert 'Layer "DISC": closed regions: 1; of them with islands: 1' in said
    assert "1 x 4.200 mm, 3 x 5.000 mm" in said
    assert "smallest inner radius: 30.000 mm" in said
    assert "smallest inner radius: 0, a sharp corner, at (3.000, 20.000)" in said
    assert "open ends: (0.000, 40.000) and (30.000, 40.000)" in said
    assert "0.030 mm" in said and "(100.000, 60.030)" in said
    assert "1 TEXT" in said


def test_every_value_that_the_drawing_does_not_say_is_marked_as_a_guess(begun):
    known = ("title", "drawing", "name", "layer")
    for line in begun(cavity).splitlines():
        if "=" in line and not line.startswith("#") and line.split(" = ")[0] not in known:
            assert "# guess" in line, line


def test_large_circles_are_pockets_and_not_holes(begun):
    def draw(space):
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True, dxfattribs={"layer": "EDGE"})
        space.add_circle((60, 40), 25, dxfattribs={"layer": "RING"})

    assert features(begun(draw))["RING"]["kind"] == "pocket"


def test_points_become_marks(begun):
    def draw(space):
        space.add_circle((0, 0), 50, dxfattribs={"layer": "EDGE"})
        space.add_point((5, 5), dxfattribs={"layer": "CENTRES"})

    assert features(begun(draw))["CENTRES"]["kind"] == "mark"


def test_a_drawing_on_one_layer_gives_its_edge_and_its_holes(begun):
    def draw(space):
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
        space.add_circle((60, 40), 2.5)

    text = begun(draw)
    assert tomllib.loads(text)["plate"]["outline"] == "0"
    assert features(text)["0"]["kind"] == "hole"
    assert "layers of their own" in text


def test_a_drawing_of_an_edge_alone_is_parted_along_it(begun):
    text = begun(lambda space: space.add_circle((0, 0), 40))
    assert features(text)["0"]["kind"] == "outline"


def test_a_drawing_without_a_closed_contour_says_so_beside_the_outline(begun):
    text = begun(lambda space: space.add_line((0, 0), (40, 0)))
    assert "no layer has a closed contour" in text
    assert features(text)["0"]["kind"] == "mark"


def test_contours_that_cross_are_told_and_make_no_feature(begun):
    def draw(space):
        space.add_circle((0, 0), 90, dxfattribs={"layer": "EDGE"})
        space.add_circle((0, 0), 20, dxfattribs={"layer": "DISC"})
        space.add_circle((20, 0), 20, dxfattribs={"layer": "DISC"})

    text = begun(draw)
    assert "DISC" not in features(text) and "contours cross at (10.000," in text


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.text(min_size=1, max_size=12).filter(lambda s: s.isprintable() or "\n" in s), max_size=4, unique=True)
)
def test_any_layer_name_gives_a_file_that_reads_back(names):
    empty = read_names(names)
    text = first_job(empty, file='a "quoted"\\name.dxf')
    job = tomllib.loads(text)
    assert job["drawing"] == 'a "quoted"\\name.dxf'
    text.encode("utf-8")
    named = [feature["name"] for feature in job["feature"]]
    assert len(set(named)) == len(named)
    assert {feature["layer"] for feature in job["feature"]} <= {*names, "PLATE"}


def read_names(names):
    layers = {
        name: Layer(
            name=name,
            closed=(),
            open=(chain([(0, 0), (1 + place, 0)]),),
            circles=(),
            points=np.zeros((0, 2)),
            findings=(),
        )
        for place, name in enumerate(names)
    }
    return Drawing(file="a.dxf", layers=layers, findings=())


def test_the_same_drawing_gives_the_same_text(begun):
    assert begun(cavity) == begun(cavity)
