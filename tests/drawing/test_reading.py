"""Whole files: every kind of entity in every version, units, and circles that stay circles."""

import math
from pathlib import Path

import numpy as np
import pytest
from ezdxf.math import rational_bspline_from_arc
from scipy.spatial import cKDTree

from camplan.drawing.reading import read_drawing
from camplan.errors import InputError
from camplan.geometry.chains import arcs, length, signed_area, tessellated

VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


def curves(layer):
    return (*layer.closed, *layer.open)


def one_of_each(document):
    space = document.modelspace()
    old = document.dxfversion == "AC1009"
    space.add_line((0, 0), (30, 40), dxfattribs={"layer": "LINE"})
    space.add_arc((10, 5), 8, 30, 200, dxfattribs={"layer": "ARC"})
    space.add_circle((1, 2), 50, dxfattribs={"layer": "CIRCLE"})
    space.add_polyline2d([(0, 0, 0), (20, 0, 1), (20, 10, 0), (0, 10, 0)], format="xyb", close=True).dxf.layer = "POLY"
    space.add_polyline3d([(0, 0, 3), (5, 0, 3), (5, 5, 3)]).dxf.layer = "POLY3D"
    space.add_point((7, 8), dxfattribs={"layer": "POINT"})
    block = document.blocks.new("HOLE")
    block.add_circle((0, 0), 2.1)
    space.add_blockref("HOLE", (40, 50), dxfattribs={"layer": "INSERT"})
    if not old:
        space.add_lwpolyline([(0, 0, 1), (10, 0, 1)], format="xyb", close=True, dxfattribs={"layer": "LWPOLY"})
        space.add_ellipse((0, 0), (40, 0), 0.5, dxfattribs={"layer": "ELLIPSE"})
        spline = space.add_open_spline([(0, 0), (10, 20), (30, 20), (40, 0)], degree=3)
        spline.dxf.layer = "SPLINE"


@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_gives_every_kind_of_entity(drawn, version):
    layers = drawn(one_of_each, version=version, unit="mm").layers
    assert length(layers["LINE"].open[0]) == pytest.approx(50.0)  # closed form: 3-4-5 triangle
    assert length(layers["ARC"].open[0]) == pytest.approx(8.0 * math.radians(170.0))  # closed form: r times angle
    assert layers["CIRCLE"].circles[0].diameter == pytest.approx(100.0)
    # closed form: 20 by 10 with a half disc of radius 5 on its right side
    assert signed_area(layers["POLY"].closed[0]) == pytest.approx(200.0 + math.pi * 25.0 / 2.0)
    assert length(layers["POLY3D"].open[0]) == pytest.approx(10.0)
    assert layers["POINT"].points.tolist() == [[7.0, 8.0]]
    assert layers["INSERT"].circles[0].centre == pytest.approx((40.0, 50.0))
    assert layers["INSERT"].circles[0].diameter == pytest.approx(4.2)
    if version != "R12":
        assert layers["LWPOLY"].circles[0].diameter == pytest.approx(10.0)
        # closed form: pi a b; the arcs lie within 1 um of 194 mm of curve
        assert signed_area(layers["ELLIPSE"].closed[0]) == pytest.approx(math.pi * 40.0 * 20.0, abs=0.194)
        assert layers["SPLINE"].open[0].points[-1].tolist() == [40.0, 0.0]


def test_a_binary_file_reads_like_a_text_file(drawn):
    text, binary = drawn(one_of_each), drawn(one_of_each, fmt="bin", name="binary.dxf")
    assert list(text.layers) == list(binary.layers)
    for name, layer in text.layers.items():
        for one, other in zip(curves(layer), curves(binary.layers[name]), strict=True):
            assert np.allclose(one.points, other.points, atol=1e-9)


def as_circle(document, k=1.0):
    document.modelspace().add_circle((3 * k, -4 * k), 50 * k)


def as_two_arcs(document, k=1.0):
    for start in (20, 200):
        document.modelspace().add_arc((3 * k, -4 * k), 50 * k, start, start + 180)


def as_three_arcs(document, k=1.0):
    for start, end in ((0, 100), (100, 270), (270, 360)):
        document.modelspace().add_arc((3 * k, -4 * k), 50 * k, start, end)


def as_bulges(document, k=1.0):
    points = [(53 * k, -4 * k, 1.0), (-47 * k, -4 * k, 1.0)]
    document.modelspace().add_lwpolyline(points, format="xyb", close=True)


def as_clockwise_quarters(document, k=1.0):
    quarter = math.tan(math.radians(90) / 4)
    points = [(53 * k, -4 * k), (3 * k, -54 * k), (-47 * k, -4 * k), (3 * k, 46 * k)]
    document.modelspace().add_lwpolyline([(*p, -quarter) for p in points], format="xyb", close=True)


def as_scaled_block(document, k=1.0):
    block = document.blocks.new("DISC", base_point=(1, 1))
    block.add_circle((2, 1), 5)
    document.modelspace().add_blockref(
        "DISC", ((3 - 10) * k, -4 * k), dxfattribs={"xscale": 10 * k, "yscale": 10 * k, "zscale": 10 * k}
    )


def as_squeezed_ellipse(document, k=1.0):
    block = document.blocks.new("OVAL")
    block.add_ellipse((0, 0), (100, 0), 0.5)
    document.modelspace().add_blockref("OVAL", (3 * k, -4 * k), dxfattribs={"xscale": 0.5 * k, "yscale": k})


def as_rational_spline(document, k=1.0):
    for start, end in ((0, 180), (180, 360)):
        curve = rational_bspline_from_arc((3 * k, -4 * k), 50 * k, start, end)
        document.modelspace().add_spline().apply_construction_tool(curve)


def as_mirrored_ocs(document, k=1.0):
    document.modelspace().add_circle((-3 * k, -4 * k), 50 * k, dxfattribs={"extrusion": (0, 0, -1)})


WAYS = [
    as_circle,
    as_two_arcs,
    as_three_arcs,
    as_bulges,
    as_clockwise_quarters,
    as_scaled_block,
    as_squeezed_ellipse,
    as_rational_spline,
    as_mirrored_ocs,
]


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("units", "size"), [(4, 1.0), (1, 1 / 25.4), (5, 0.1), (6, 0.001)])
def test_a_circle_of_50_mm_radius_stays_within_half_a_micron_however_it_is_drawn(drawn, way, units, size):
    layer = drawn(lambda document: way(document, size), units=units).layers["0"]
    (path,) = layer.closed
    assert not layer.open
    off = np.hypot(*(tessellated(path, chord=1e-5) - (3.0, -4.0)).T) - 50.0
    assert np.abs(off).max() <= 0.0005  # closed form: distance from the centre
    assert np.abs(arcs(path).radii - 50.0).max() <= 0.0005
    assert layer.circles[0].diameter == pytest.approx(100.0, abs=0.001)


def test_an_unknown_unit_is_never_guessed(saved):
    path = saved(as_circle, units=0)
    with pytest.raises(InputError) as caught:
        read_drawing(path)
    assert "$INSUNITS" in str(caught.value) and "mm or inch" in str(caught.value)
    assert read_drawing(path, unit="mm").layers["0"].circles[0].diameter == pytest.approx(100.0)
    assert read_drawing(path, unit="inch").layers["0"].circles[0].diameter == pytest.approx(2540.0)


def test_the_jobs_unit_stands_above_the_header_and_says_so(drawn):
    drawing = drawn(as_circle, units=4, unit="inch")
    assert drawing.layers["0"].circles[0].diameter == pytest.approx(2540.0)
    (finding,) = [finding for finding in drawing.findings if finding.code == "drawing-unit-overruled"]
    assert "inch" in finding.message and "mm" in finding.message
    assert not drawn(as_circle, units=4, unit="mm").findings


def test_all_that_is_wrong_is_said_in_one_run(saved):
    def draw(document):
        document.modelspace().add_line((0, 0), (1e7, 0), dxfattribs={"layer": "FAR"})
        document.modelspace().add_line((0, 0), (-3e6, 0), dxfattribs={"layer": "AWAY"})

    with pytest.raises(InputError) as caught:
        read_drawing(saved(draw, units=0))
    said = str(caught.value)
    assert len(caught.value.problems) == 3
    assert "unit" in said and '"FAR"' in said and "1e+07" in said and '"AWAY"' in said


def test_a_drawing_without_anything_to_mill_says_what_it_holds(saved):
    with pytest.raises(InputError, match=r"nothing to mill.*1 TEXT"):
        read_drawing(saved(lambda document: document.modelspace().add_text("front")))
    with pytest.raises(InputError, match="nothing to mill"):
        read_drawing(saved(lambda document: None))


def test_the_same_file_reads_the_same(saved):
    path = saved(one_of_each)
    one, other = read_drawing(path), read_drawing(path)
    assert list(one.layers) == list(other.layers)
    for name, layer in one.layers.items():
        for a, b in zip(curves(layer), curves(other.layers[name]), strict=True):
            assert np.array_equal(a.points, b.points) and np.array_equal(a.bulges, b.bulges)


def test_39000_shuffled_lines_with_noisy_ends_close_into_all_their_loops(tmp_path: Path):
    noise = np.random.default_rng(7)
    t = np.arange(300) * 2.0 * np.pi / 300
    rings = [
        np.array([60.0 * (k % 13), 60.0 * (k // 13)])
        + (20.0 + 3.0 * np.sin(5.0 * t))[:, None] * np.column_stack((np.cos(t), np.sin(t)))
        for k in range(130)
    ]
    lines = np.concatenate([np.stack((ring, np.roll(ring, -1, axis=0)), axis=1) for ring in rings])
    turned = noise.random(len(lines)) < 0.5
    lines[turned] = lines[turned][:, ::-1]
    lines = (lines + noise.uniform(-0.002, 0.002, lines.shape))[noise.permutation(len(lines))]
    body = "".join(f"0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n" for (a, b), (c, d) in lines.tolist())
    text = f"0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n"
    (tmp_path / "lines.dxf").write_text(text)
    layer = read_drawing(tmp_path / "lines.dxf", unit="mm").layers["0"]
    assert len(lines) == 39000
    assert len(layer.closed) == 130 and not layer.open and not layer.findings
    assert {len(path.points) for path in layer.closed} == {300}
    off, _ = cKDTree(np.vstack(rings)).query(np.vstack([path.points for path in layer.closed]))
    assert off.max() <= 0.002 * math.sqrt(2.0)
