"""What is left out of a drawing, or read with a grain of salt, is said by layer."""

import pytest

from camplan.drawing import collecting
from camplan.drawing.reading import read_drawing
from camplan.errors import InputError


def codes(layer):
    return [finding.code for finding in layer.findings]


def test_entities_that_hold_no_lines_are_counted_by_kind_and_layer(drawn):
    def draw(document):
        space = document.modelspace()
        space.add_line((0, 0), (1, 0))
        for _ in range(3):
            space.add_text("17", dxfattribs={"layer": "NOTES"})
        space.add_mtext("back", dxfattribs={"layer": "NOTES"})
        space.add_hatch(dxfattribs={"layer": "SHADE"}).paths.add_polyline_path([(0, 0), (1, 0), (1, 1)])
        space.add_linear_dim(base=(0, 2), p1=(0, 0), p2=(3, 0), dxfattribs={"layer": "SIZES"}).render()

    layers = drawn(draw).layers
    assert "1 MTEXT, 3 TEXT" in layers["NOTES"].findings[0].message
    assert "1 HATCH" in layers["SHADE"].findings[0].message
    assert "1 DIMENSION" in layers["SIZES"].findings[0].message
    assert codes(layers["0"]) == []


def test_frozen_and_dark_layers_are_read_and_said(drawn):
    def draw(document):
        document.layers.add("COLD").freeze()
        document.layers.add("DARK").off()
        for name in ("COLD", "DARK", "PLAIN"):
            document.modelspace().add_circle((0, 0), 3, dxfattribs={"layer": name})

    layers = drawn(draw).layers
    assert codes(layers["COLD"]) == ["layer-hidden"] and "frozen" in layers["COLD"].findings[0].message
    assert codes(layers["DARK"]) == ["layer-hidden"] and "switched off" in layers["DARK"].findings[0].message
    assert codes(layers["PLAIN"]) == []
    assert all(len(layer.circles) == 1 for layer in layers.values())


def test_invisible_entities_are_left_out_and_said(drawn):
    def draw(document):
        document.modelspace().add_circle((0, 0), 3)
        document.modelspace().add_circle((9, 9), 3, dxfattribs={"invisible": 1})

    layer = drawn(draw).layers["0"]
    assert len(layer.circles) == 1 and codes(layer) == ["entity-hidden"]


def test_paper_sheets_are_not_read_and_said(drawn):
    def draw(document):
        document.modelspace().add_circle((0, 0), 3)
        document.paperspace().add_line((0, 0), (200, 0))

    drawing = drawn(draw)
    assert [finding.code for finding in drawing.findings] == ["paper-omitted"]
    assert not drawing.layers["0"].open


def test_lines_with_a_width_are_read_by_their_middle(drawn):
    def draw(document):
        document.modelspace().add_lwpolyline([(0, 0, 2, 2), (10, 0, 2, 2)], format="xyse")

    layer = drawn(draw).layers["0"]
    assert layer.open[0].points.tolist() == [[0.0, 0.0], [10.0, 0.0]]
    assert codes(layer) == ["entity-remark"] and "width" in layer.findings[0].message


def test_a_spline_by_points_alone_is_read_with_a_remark(drawn):
    layer = drawn(lambda document: document.modelspace().add_spline([(0, 0), (10, 5), (20, 0)])).layers["0"]
    assert codes(layer) == ["entity-remark"]
    assert layer.open[0].points[-1] == pytest.approx((20.0, 0.0))


def test_a_circle_without_a_radius_is_left_out_and_said(saved):
    def draw(document):
        document.modelspace().add_line((0, 0), (1, 0))
        document.modelspace().add_circle((0, 0), 3)

    path = saved(draw)
    path.write_text(path.read_text().replace("\n 40\n3.0\n", "\n 40\n0.0\n"))
    layer = read_drawing(path).layers["0"]
    assert not layer.circles and codes(layer) == ["entity-unreadable"] and "radius 0" in layer.findings[0].message


def test_blocks_that_multiply_without_end_are_refused(saved, monkeypatch):
    monkeypatch.setattr(collecting, "MOST_PIECES", 500)

    def draw(document):
        document.blocks.new("B0").add_point((0, 0))
        for level in range(1, 6):
            block = document.blocks.new(f"B{level}")
            for copy in range(10):
                block.add_blockref(f"B{level - 1}", (copy, 0))
        document.modelspace().add_blockref("B5", (0, 0))

    with pytest.raises(InputError, match="more than 500 entities"):
        read_drawing(saved(draw))


def test_a_closed_polyline_that_repeats_its_first_point_has_no_empty_segment(drawn):
    def draw(document):
        document.modelspace().add_lwpolyline([(0, 0), (4, 0), (4, 0), (4, 3), (0, 0)], close=True)

    assert drawn(draw).layers["0"].closed[0].points.tolist() == [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]]
