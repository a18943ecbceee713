"""Files that are damaged, empty, or no drawings at all."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from camplan.drawing.reading import read_drawing
from camplan.errors import InputError

ROOT = Path(__file__).parents[2]


def square_and_disc(document):
    space = document.modelspace()
    space.add_polyline2d([(0, 0), (80, 0), (80, 60), (0, 60)], close=True, dxfattribs={"layer": "PLATE"})
    space.add_circle((40, 30), 20, dxfattribs={"layer": "DISC"})


def test_a_missing_file_is_named(tmp_path: Path):
    with pytest.raises(InputError, match=r"none\.dxf: there is no such drawing"):
        read_drawing(tmp_path / "none.dxf")


def test_a_folder_is_no_drawing(tmp_path: Path):
    with pytest.raises(InputError, match="cannot be read"):
        read_drawing(tmp_path)


@pytest.mark.parametrize("content", [b"", b"  \r\n\r\n"])
def test_an_empty_file_is_named_as_such(tmp_path: Path, content):
    (tmp_path / "plate.dxf").write_bytes(content)
    with pytest.raises(InputError, match="empty"):
        read_drawing(tmp_path / "plate.dxf")


@pytest.mark.parametrize(
    "content", [b"%PDF-1.4 something", b"\x89PNG\r\n\x1a\n\0\0", b"title = 'a job'\n", bytes(range(256))]
)
def test_another_kind_of_file_is_refused_kindly(tmp_path: Path, content):
    (tmp_path / "plate.dxf").write_bytes(content)
    with pytest.raises(InputError, match="not a DXF drawing") as caught:
        read_drawing(tmp_path / "plate.dxf")
    assert "R12 to 2018" in caught.value.problems[0].accepted


def test_a_drawing_database_is_told_from_a_dxf(tmp_path: Path):
    (tmp_path / "plate.dxf").write_bytes(b"AC1032" + bytes(200))
    with pytest.raises(InputError, match="save the drawing as DXF"):
        read_drawing(tmp_path / "plate.dxf")


def test_a_file_that_stops_early_is_recovered_and_said_to_have_lost_something(saved):
    path = saved(square_and_disc)
    text = path.read_text()
    cut = text.index("CIRCLE", text.index("ENTITIES"))
    path.write_text(text[: text.index(" 40\n", cut)])
    drawing = read_drawing(path)
    assert [len(layer.closed) for layer in drawing.layers.values()] == [1]
    codes = [finding.code for finding in drawing.findings]
    assert codes[0] == "drawing-repaired" and "drawing-cut-short" in codes


def test_every_repair_is_a_finding(saved):
    """An INSERT of a block that is not there."""
    path = saved(lambda document: (square_and_disc(document), document.modelspace().add_blockref("GONE", (0, 0))))
    drawing = read_drawing(path)
    assert [len(layer.closed) for layer in drawing.layers.values() if layer.closed] == [1, 1]
    said = [
        finding.message
        for finding in (*drawing.findings, *(f for layer in drawing.layers.values() for f in layer.findings))
    ]
    assert any("GONE" in message for message in said), said


def test_a_file_without_tables_is_read_through_the_repair(saved):
    """Many small programs write nothing but the entities."""
    path = saved(square_and_disc, version="R12")
    text = path.read_text()
    entities = text[text.index("  2\nENTITIES") :]
    path.write_text("  0\nSECTION\n" + entities)
    drawing = read_drawing(path, unit="mm")
    assert drawing.layers["DISC"].circles[0].diameter == pytest.approx(40.0)


@pytest.mark.parametrize("figure", ["nan", "inf", "-inf", "1e300"])
def test_figures_that_are_no_coordinates_are_refused_with_the_layer(saved, figure):
    path = saved(square_and_disc)
    text = path.read_text()
    path.write_text(text.replace("\n 40\n20.0\n", f"\n 40\n{figure}\n"))
    with pytest.raises(InputError, match='layer "DISC"') as caught:
        read_drawing(path)
    assert "CIRCLE" in str(caught.value) and "within 100000 mm" in str(caught.value)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damage_ever_ends_in_anything_but_a_drawing_or_a_kind_message(saved, data):
    path = saved(square_and_disc, version=data.draw(st.sampled_from(["R12", "R2010"])))
    lines = path.read_bytes().split(b"\n")
    start = len(lines) // 4 * data.draw(st.sampled_from([0, 3]))
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(start, len(lines) - 1))
        junk = data.draw(
            st.sampled_from([b"", b"-1", b"999999", b"0", b"x", b"\xff\xfe", b"1e999", b"SECTION", b"ENDSEC"])
        )
        lines[place : place + data.draw(st.integers(0, 3))] = [junk]
    path.write_bytes(b"\n".join(lines))
    try:
        drawing = read_drawing(path, unit="mm")
    except InputError as error:
        assert error.problems and all(problem.message and problem.file for problem in error.problems)
    else:
        assert any(layer.closed or layer.open or len(layer.points) for layer in drawing.layers.values())


def test_reading_a_damaged_file_prints_nothing(saved):
    """In a process of its own: here the test runner takes log messages before they could be printed."""
    path = saved(square_and_disc)
    text = path.read_text()
    path.write_text(text[: text.index(" 40\n", text.index("CIRCLE", text.index("ENTITIES")))])
    code = "import sys, pathlib, camplan.drawing.reading as room; room.read_drawing(pathlib.Path(sys.argv[1]))"
    run = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, check=True, text=True, cwd=ROOT)
    assert (run.stdout, run.stderr) == ("", "")


@pytest.mark.parametrize("version", ["R12", "R2000", "R2018"])
def test_a_layer_name_in_another_encoding_does_not_lose_the_layer(saved, version):
    path = saved(square_and_disc, version=version)
    path.write_bytes(path.read_bytes().replace(b"DISC", b"R\xdcCKEN"))
    layers = read_drawing(path, unit="mm").layers
    (disc,) = [layer for layer in layers.values() if layer.circles]
    assert disc.name.startswith("R") and disc.name.endswith("CKEN") and disc.name.isprintable()
