"""Blocks inside blocks, mirrored and scaled, against a transform worked out by hand."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.drawing.curves import Conic
from camplan.drawing.placing import Placed, Placement, Tilted, Track, placed
from camplan.geometry.chains import arcs, signed_area, tessellated

INNER = {"insert": (30, 5), "xscale": -1.0, "yscale": 1.0, "rotation": 25.0}
OUTER = {"insert": (-20, 40), "xscale": 2.0, "yscale": -2.0, "rotation": -70.0, "extrusion": (0, 0, -1)}


def by_hand(point, *, insert, xscale, yscale, rotation, extrusion=(0, 0, 1), base=(0.0, 0.0)):
    """Scaled about the base, turned, moved; then, for an axis that points down, X turns its sign (DXF reference,
    arbitrary axis algorithm: Ax = Wy x N = (-1, 0, 0) for N = (0, 0, -1))."""
    x, y = (point[0] - base[0]) * xscale, (point[1] - base[1]) * yscale
    a = math.radians(rotation)
    x, y = x * math.cos(a) - y * math.sin(a) + insert[0], x * math.sin(a) + y * math.cos(a) + insert[1]
    return (-x, y) if extrusion[2] < 0 else (x, y)


def through_both(point):
    return by_hand(by_hand(point, base=(1.0, 2.0), **INNER), **OUTER)


def nested(document, fill, outer=OUTER):
    inside = document.blocks.new("INSIDE", base_point=(1, 2))
    fill(inside)
    around = document.blocks.new("AROUND")
    around.add_blockref("INSIDE", INNER["insert"], dxfattribs={k: v for k, v in INNER.items() if k != "insert"})
    document.modelspace().add_blockref(
        "AROUND", outer["insert"], dxfattribs={k: v for k, v in outer.items() if k != "insert"}
    )


def test_nested_mirrored_blocks_place_lines_as_worked_out_by_hand(drawn):
    corners = [(0, 0), (12, 0), (12, 7)]
    layer = drawn(lambda document: nested(document, lambda block: block.add_lwpolyline(corners))).layers["0"]
    assert np.allclose(layer.open[0].points, [through_both(corner) for corner in corners], atol=1e-9)


def test_nested_mirrored_blocks_keep_bulges_on_the_right_side(drawn):
    points = [(0, 0, 0.3), (12, 0, -0.5), (12, 7, 0.0)]
    fill = lambda block: block.add_lwpolyline(points, format="xyb", close=True)  # noqa: E731
    path = drawn(lambda document: nested(document, fill)).layers["0"].closed[0]
    # closed form: the middle of an arc from A to B lies bulge/2 of the chord to its right
    for (x0, y0, bulge), (x1, y1, _), top in zip(
        points, [*points[1:], points[0]], tops(path.points, bulges=path.bulges), strict=True
    ):
        middle = ((x0 + x1) / 2 + bulge / 2 * (y1 - y0), (y0 + y1) / 2 - bulge / 2 * (x1 - x0))
        assert np.allclose(top, through_both(middle), atol=1e-9)


def test_nested_mirrored_blocks_keep_arcs_exact(drawn):
    layer = drawn(lambda document: nested(document, lambda block: block.add_arc((3, 4), 50, 10, 130))).layers["0"]
    (path,) = layer.open
    for angle in (10, 70, 130):
        at = (3 + 50 * math.cos(math.radians(angle)), 4 + 50 * math.sin(math.radians(angle)))
        assert np.hypot(*(tessellated(path, chord=1e-4) - through_both(at)).T).min() <= 0.5
    assert np.allclose(arcs(path).centres, through_both((3, 4)), atol=1e-9)
    assert np.allclose(arcs(path).radii, 100.0, atol=1e-9)
    assert {tuple(np.round(end, 6)) for end in path.points[[0, -1]]} == {
        tuple(np.round(through_both((3 + 50 * math.cos(math.radians(a)), 4 + 50 * math.sin(math.radians(a)))), 6))
        for a in (10, 130)
    }


@pytest.mark.parametrize("kind", ["circle", "bulges", "ellipse"])
def test_a_circle_in_an_unevenly_scaled_block_becomes_an_ellipse_within_a_micron(drawn, kind):
    def fill(block):
        if kind == "circle":
            block.add_circle((3, 4), 10)
        elif kind == "bulges":
            block.add_lwpolyline([(13, 4, 1), (-7, 4, 1)], format="xyb", close=True)
        else:
            block.add_ellipse((3, 4), (0, 10), 1.0)

    uneven = {**OUTER, "xscale": 3.0, "yscale": -1.5}
    path = drawn(lambda document: nested(document, fill, outer=uneven)).layers["0"].closed[0]
    points = tessellated(path, chord=1e-5)
    # outside check: undo the placing by hand and measure from the circle; 3 is the most that it stretches
    back = [undone(point, outer=uneven) for point in points]
    off = np.abs(np.hypot(*(np.array(back) - (3.0, 4.0)).T) - 10.0)
    assert off.max() * 3.0 <= 0.001 * 3.0 / 1.5
    assert abs(signed_area(path)) == pytest.approx(math.pi * 100.0 * 4.5, rel=1e-5)  # closed form: area times scales


def undone(point, *, outer):
    x, y = (-point[0], point[1]) if outer["extrusion"][2] < 0 else point
    for place, base in ((outer, (0.0, 0.0)), (INNER, (1.0, 2.0))):
        a = -math.radians(place["rotation"])
        x, y = x - place["insert"][0], y - place["insert"][1]
        x, y = x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)
        x, y = x / place["xscale"] + base[0], y / place["yscale"] + base[1]
    return x, y


def test_rows_and_columns_of_a_block_are_turned_with_it(drawn):
    def draw(document):
        document.blocks.new("PIN").add_point((0, 0))
        how = {"row_count": 2, "column_count": 3, "row_spacing": 5, "column_spacing": 10, "rotation": 90, "xscale": 4}
        document.modelspace().add_blockref("PIN", (100, 0), dxfattribs=how)

    points = drawn(draw).layers["0"].points
    wanted = [(100 - 5 * row, 10 * column) for row in range(2) for column in range(3)]
    assert sorted(map(tuple, np.round(points, 9).tolist())) == sorted(wanted)


def test_layer_nought_in_a_block_is_the_layer_of_its_insert(drawn):
    def draw(document):
        document.layers.add("Disc")
        block = document.blocks.new("MIXED")
        block.add_line((0, 0), (1, 0))
        block.add_line((0, 5), (1, 5), dxfattribs={"layer": "RUNNER"})
        document.modelspace().add_blockref("MIXED", (0, 0), dxfattribs={"layer": "DISC"})

    assert list(drawn(draw).layers) == ["Disc", "RUNNER"]


def test_an_arc_whose_axis_leans_is_reported_with_layer_and_place(drawn):
    def draw(document):
        space = document.modelspace()
        space.add_line((0, 0), (1, 0))
        space.add_arc((20, 30), 5, 0, 90, dxfattribs={"layer": "LEAN", "extrusion": (0, 0.5, 1)})
        space.add_line((1, 2, 3), (4, 5, 6), dxfattribs={"layer": "RISE"})

    layers = drawn(draw).layers
    for name, at in (("LEAN", "20.000"), ("RISE", "(1.000, 2.000) from z 3.000 to 6.000")):
        (finding,) = layers[name].findings
        assert finding.code == "not-flat" and name in finding.message and at in finding.message
        assert not layers[name].open


def test_curves_drawn_at_a_height_are_read_as_flat_and_said(drawn):
    layer = drawn(lambda document: document.modelspace().add_line((0, 0, 7.5), (9, 0, 7.5))).layers["0"]
    assert layer.open[0].points.tolist() == [[0.0, 0.0], [9.0, 0.0]]
    assert [finding.code for finding in layer.findings] == ["drawn-at-height"]
    assert "7.500" in layer.findings[0].message


def tops(points, *, bulges):
    chord = np.roll(points, -1, axis=0)[: len(bulges)] - points[: len(bulges)]
    return points[: len(bulges)] + chord / 2 + bulges[:, None] / 2 * np.column_stack((chord[:, 1], -chord[:, 0]))


@settings(max_examples=40, deadline=None)
@given(
    turn=st.floats(-3.1, 3.1),
    size=st.floats(0.01, 20.0),
    mirrored=st.booleans(),
    bulge=st.floats(-3.0, 3.0).filter(lambda value: abs(value) > 0.01),
)
def test_turning_scaling_and_mirroring_take_an_arc_to_an_arc(turn, size, mirrored, bulge):
    flip = -1.0 if mirrored else 1.0
    linear = size * np.array(
        [[math.cos(turn), -flip * math.sin(turn), 0], [math.sin(turn), flip * math.cos(turn), 0], [0, 0, 1]]
    )
    place = Placement(linear=linear, origin=np.array([5.0, -3.0, 0.0]))
    own = np.array([[0.0, 0.0, 0.0], [10.0, 4.0, 0.0]])
    found = placed(Track(points=own, bulges=np.array([bulge]), closed=False), by=place)
    assert isinstance(found, Placed)
    top = tops(own[:, :2], bulges=np.array([bulge]))[0]
    moved = (linear @ [*top, 0.0] + place.origin)[:2]
    assert np.allclose(tops(found.path.points, bulges=found.path.bulges)[0], moved, atol=1e-9 * max(size, 1.0))


def test_a_circle_seen_from_its_side_does_not_lie_flat():
    conic = Conic(
        centre=np.zeros(3), u=np.array([5.0, 0.0, 0.0]), v=np.array([0.0, 0.0, 5.0]), start=0.0, sweep=2 * math.pi
    )
    found = placed(conic, by=Placement(linear=np.eye(3), origin=np.zeros(3)))
    assert isinstance(found, Tilted) and found.high - found.low == pytest.approx(10.0)


def test_arcs_and_polylines_whose_axis_points_down_are_mirrored_in_x(drawn):
    def draw(document):
        down = {"extrusion": (0, 0, -1)}
        document.modelspace().add_arc((3, 4), 5, 0, 90, dxfattribs={**down, "layer": "ARC"})
        bulged = [(0, 0, 1.0), (10, 0, 0.0), (10, 6, 0.0)]
        document.modelspace().add_lwpolyline(bulged, format="xyb", dxfattribs={**down, "layer": "POLY"})

    layers = drawn(draw).layers
    # closed form: X changes its sign, and with it the side to which arcs turn
    assert layers["ARC"].open[0].points == pytest.approx(np.array([[-8.0, 4.0], [-3.0, 9.0]]))
    assert layers["ARC"].open[0].bulges[0] == pytest.approx(-math.tan(math.radians(90) / 4))
    assert layers["POLY"].open[0].points.tolist() == [[0, 0], [-10, 0], [-10, 6]]
    assert layers["POLY"].open[0].bulges.tolist() == [-1.0, 0.0]


def test_a_closed_spline_closes(drawn):
    def draw(document):
        document.modelspace().add_spline().set_closed([(0, 0, 0), (20, 0, 0), (30, 15, 0), (10, 25, 0), (-5, 12, 0)])

    layer = drawn(draw).layers["0"]
    assert len(layer.closed) == 1 and not layer.open
