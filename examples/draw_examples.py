"""Draws the example plates: ``python examples/draw_examples.py`` writes every DXF file beside its job.

With ``--pictures`` it also plans two of the jobs and draws their paths, for those who read without running anything.

A beekeeper moulds the round entrance discs of hives.  ``first`` is a small try, ``cavity`` and ``back`` are the two
plates of the mould, ``nest`` holds brass hinge leaves for drilling, ``scale`` is the acrylic scale of a honey gauge.
All dimensions are invented, in mm.

Each drawing is saved in another version of DXF and is drawn with other means, as drawings of different origin are:
polylines with bulges, loose lines and arcs in no order, circles, ellipses, splines, points.  The same script gives
the same bytes: times and identifiers of the files are fixed.
"""

import argparse
import logging
import math
from collections import OrderedDict
from collections.abc import Sequence
from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from camplan.pipeline import plan_job
from camplan.report.pictures import setting_picture

HERE = Path(__file__).parent
QUARTER = math.tan(math.radians(90.0) / 4.0)
"""Bulge of a quarter circle, counter-clockwise: the tangent of a quarter of its angle."""

HALF = 1.0
"""Bulge of a half circle."""

PICTURED = ("first", "cavity")
"""The examples whose paths are kept as a picture."""

Place = tuple[float, float]
Vertex = tuple[float, float, float]
"""x, y and the bulge of the edge that begins there."""

# Strokes on a grid 4 wide and 6 high, for engraved figures and letters.
STROKES: dict[str, tuple[tuple[Place, ...], ...]] = {
    "0": (((0, 1), (1, 0), (3, 0), (4, 1), (4, 5), (3, 6), (1, 6), (0, 5), (0, 1)),),
    "1": (((1, 4.5), (2.5, 6), (2.5, 0)),),
    "2": (((0, 5), (1, 6), (3, 6), (4, 5), (4, 4), (0, 0), (4, 0)),),
    "3": (((0, 6), (4, 6), (2, 3.6), (3, 3.6), (4, 2.6), (4, 1), (3, 0), (1, 0), (0, 1)),),
    "4": (((3, 0), (3, 6), (0, 2), (4, 2)),),
    "5": (((4, 6), (0, 6), (0, 3.6), (3, 3.6), (4, 2.6), (4, 1), (3, 0), (0, 0)),),
    "6": (((3.5, 6), (1, 5), (0, 3), (0, 1), (1, 0), (3, 0), (4, 1), (4, 2.4), (3, 3.4), (0, 3)),),
    "7": (((0, 6), (4, 6), (1.5, 0)),),
    "8": (
        (
            (0.5, 4.2),
            (0.5, 5),
            (1.5, 6),
            (2.5, 6),
            (3.5, 5),
            (3.5, 4.2),
            (0, 2.2),
            (0, 1),
            (1, 0),
            (3, 0),
            (4, 1),
            (4, 2.2),
            (0.5, 4.2),
        ),
    ),
    "9": (((0.5, 0), (3, 1), (4, 3), (4, 5), (3, 6), (1, 6), (0, 5), (0, 3.6), (1, 2.6), (4, 3)),),
    "A": (((0, 0), (2, 6), (4, 0)), ((0.7, 2), (3.3, 2))),
    "B": (
        ((0, 0), (0, 6), (3, 6), (4, 5.2), (4, 4), (3, 3.2), (4, 2.4), (4, 0.8), (3, 0), (0, 0)),
        ((0, 3.2), (2.2, 3.2)),
    ),
    "E": (((4, 6), (0, 6), (0, 0), (4, 0)), ((0, 3.2), (3, 3.2))),
    "H": (((0, 0), (0, 6)), ((4, 0), (4, 6)), ((0, 3), (4, 3))),
    "I": (((2, 0), (2, 6)),),
    "K": (((0, 0), (0, 6)), ((4, 6), (0, 2.6)), ((1.3, 3.7), (4, 0))),
    "V": (((0, 6), (2, 0), (4, 6)),),
    "g": (((4, 3), (3, 4), (1, 4), (0, 3), (0, 1.4), (1, 0.4), (4, 0.4)), ((4, 4), (4, -1), (3, -2), (0.6, -2))),
    "k": (((0, 0), (0, 6)), ((3.4, 4), (0, 1.6)), ((1.2, 2.4), (3.6, 0))),
    " ": (),
}


def main(folder: Path = HERE) -> None:
    """Draw every example into a folder of its name in ``folder``."""
    logging.getLogger("ezdxf").setLevel(logging.ERROR)  # that R12 knows no unit is meant
    # The one switch of the library that keeps times and random identifiers out of the files.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    for name, drawing in (
        ("first", first()),
        ("cavity", cavity()),
        ("back", back()),
        ("nest", nest()),
        ("scale", scale()),
    ):
        (folder / name).mkdir(exist_ok=True)
        ordered(drawing).saveas(folder / name / f"{name}.dxf")


def pictures(folder: Path = HERE) -> None:
    """Plan the jobs of ``PICTURED`` and draw their first setting beside them, as the setup sheet shows it."""
    for name in PICTURED:
        plan = plan_job(folder / name / f"{name}.toml")
        drawn = setting_picture(plan, setting=plan.settings[0].name)
        sized = drawn.replace("<svg ", '<svg width="900" ', 1)
        (folder / name / f"{name}.svg").write_text(sized, encoding="utf-8")


def ordered(drawing: Drawing) -> Drawing:
    """The drawing with its table of classes in a fixed order, which the library fills from a set."""
    drawing.classes.add_required_classes(drawing.dxfversion)
    drawing.classes.classes = OrderedDict(sorted(drawing.classes.classes.items()))
    return drawing


def first() -> Drawing:
    """A plate with one pocket, two holes and a cross: R12, which knows no unit and only the old polylines."""
    drawing, space = sheet("R12", layers=("PLATE", "DISC", "SCREWS", "MARKS"))
    polyline(space, layer="PLATE", vertices=rounded(0, 0, 80, 60, radius=4))
    polyline(space, layer="DISC", vertices=rounded(21, 15, 59, 45, radius=2))
    for x in (11.0, 69.0):
        space.add_circle((x, 30), radius=2.1, dxfattribs={"layer": "SCREWS"})
    space.add_point((11, 50), dxfattribs={"layer": "MARKS"})
    return drawing


def cavity() -> Drawing:
    """The plate in which the disc is moulded: DXF R2010, polylines with bulges, circles, points."""
    names = ("PLATE", "DISC", "RIM", "HUB", "WELL", "RUNNER", "GATES", "VENTS", "RELIEF")
    names += ("DOWELS", "SCREWS", "MARKS")
    drawing, space = sheet("R2010", layers=names)
    middle = (60.0, 41.0)
    polyline(space, layer="PLATE", vertices=rounded(0, 0, 120, 100, radius=5))

    # The disc: six windows stay as islands, the spokes between them are slots 3 wide.
    ring(space, layer="DISC", centre=middle, radius=28)
    for number in range(6):
        window = sector(middle, inner=9, outer=20, start=60.0 * number, sweep=60.0, gap=3.0)
        polyline(space, layer="DISC", vertices=window)
    # Its rim is thicker than the disc and has four lugs outwards: a ledge inside the pocket.
    polyline(space, layer="RIM", vertices=lugged(middle, radius=27.2, lug_width=6.0, lug_radius=26.2, lugs=4))
    ring(space, layer="RIM", centre=middle, radius=22)
    ring(space, layer="HUB", centre=middle, radius=5)

    # Two runners go from the sprue's well to the gates at the rim.
    sprue = (60.0, 82.0)
    ring(space, layer="WELL", centre=sprue, radius=3.5)
    ends = [on_circle(middle, radius=33, at=angle) for angle in (60.0, 120.0)]
    space.add_lwpolyline([ends[0], sprue, ends[1]], dxfattribs={"layer": "RUNNER"})
    for end, angle in zip(ends, (60.0, 120.0), strict=True):
        line(space, layer="GATES", start=end, end=on_circle(middle, radius=26.5, at=angle))

    # Air leaves on the side away from the gates, through short vents and the relief behind them, to the plate's edge.
    for angle in (225.0, 270.0, 315.0):
        land = on_circle(middle, radius=31.5, at=angle)
        line(space, layer="VENTS", start=on_circle(middle, radius=26.5, at=angle), end=land)
        bend = on_circle(middle, radius=34, at=angle)
        if angle != 270.0:
            line(space, layer="RELIEF", start=land, end=bend)
        line(space, layer="RELIEF", start=land if angle == 270.0 else bend, end=(bend[0], -3.0))

    # Circles of dowels and screws are drawn in their nominal size.
    for x, y in ((20, 82), (100, 82), (20, 12)):
        space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "DOWELS"})
    for x, y in ((8, 92), (112, 92), (8, 8), (112, 8)):
        space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "SCREWS"})

    # Points become crosses, by which a plate that was taken off can be found again.
    for x, y in ((15, 66), (105, 66)):
        space.add_point((x, y), dxfattribs={"layer": "MARKS"})
    text(space, layer="MARKS", at=(74, 87), height=4.5, said="HIVE 26")
    honeycomb = [on_circle((40.0, 89.0), radius=5, at=60.0 * number) for number in range(6)]
    polyline(space, layer="MARKS", vertices=[(x, y, 0.0) for x, y in honeycomb])
    return drawing


def back() -> Drawing:
    """The plate that closes the cavity: DXF R2000, with an ellipse."""
    names = ("PLATE", "SEAT", "SPRUE", "SCREWS", "DOWELS", "GRIPS", "KEYS", "MARKS")
    drawing, space = sheet("R2000", layers=names)
    polyline(space, layer="PLATE", vertices=rounded(0, 0, 120, 100, radius=5))
    sprue = (60.0, 82.0)
    ring(space, layer="SEAT", centre=sprue, radius=15)
    ring(space, layer="SEAT", centre=sprue, radius=6)
    space.add_circle(sprue, radius=2.5, dxfattribs={"layer": "SPRUE"})
    for x, y in ((8, 92), (112, 92), (8, 8), (112, 8)):
        space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "SCREWS"})
    for x, y in ((20, 82), (100, 82), (100, 12)):
        space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "DOWELS"})
    # A fingertip lifts the plate off here: half ellipses that are open at the plate's edges.
    space.add_ellipse((0, 50), major_axis=(0, 14), ratio=0.5, dxfattribs={"layer": "GRIPS"})
    space.add_ellipse((120, 50), major_axis=(0, 14), ratio=0.5, dxfattribs={"layer": "GRIPS"})
    # Steps at the front edge take a lever that parts the plates.
    for x in (30.0, 76.0):
        step = [
            (x, -1, 0.0),
            (x + 14, -1, 0.0),
            (x + 14, 6, QUARTER),
            (x + 11, 9, 0.0),
            (x + 3, 9, QUARTER),
            (x, 6, 0.0),
        ]
        polyline(space, layer="KEYS", vertices=step)
    for x, y in ((30, 30), (90, 30)):
        space.add_point((x, y), dxfattribs={"layer": "MARKS"})
    text(space, layer="MARKS", at=(43, 26), height=4.5, said="HIVE 26 B")
    return drawing


def nest() -> Drawing:
    """A fixture for three brass hinge leaves: DXF R2018, loose lines and arcs in no order, and splines."""
    names = ("PLATE", "NESTS", "RELIEVED", "CLEARANCE", "FINGERS", "NOTCH", "MAGNETS", "SCREWS", "MARKS")
    drawing, space = sheet("R2018", layers=names)
    corners = ((0, 0), (150, 0), (150, 70), (0, 70))
    # The edges of the plate stand in no order, and one of them runs the other way.
    for start, end in ((2, 3), (0, 1), (2, 1), (3, 0)):
        line(space, layer="PLATE", start=corners[start], end=corners[end])

    # Two nests have tight corners; pins are left standing for the leaves' own holes.
    for left in (21.0, 59.0):
        loose_rounded(space, layer="NESTS", box=(left, 18, left + 30, 52), radius=1.1)
        for x, y in ((left + 9, 27), (left + 21, 43)):
            ring(space, layer="NESTS", centre=(x, y), radius=2.1)
        for x, y in ((left + 9, 43), (left + 21, 27)):
            space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "CLEARANCE"})
        space.add_circle((left + 15, 35), radius=2.5, dxfattribs={"layer": "MAGNETS"})
    # The third has relieved corners, so that a leaf with sharp corners goes down to its floor.
    polyline(space, layer="RELIEVED", vertices=relieved(98, 18, 128, 52, radius=1.8))
    ring(space, layer="RELIEVED", centre=(113, 35), radius=3)
    for x, y in ((105, 25), (121, 45)):
        space.add_circle((x, y), radius=2.5, dxfattribs={"layer": "CLEARANCE"})
    # Recesses to lift a leaf out with a finger, drawn as closed splines.
    for x in (36.0, 74.0, 113.0):
        around = [(x - 8, 12), (x, 8), (x + 8, 12), (x + 7, 20), (x, 22), (x - 7, 20)]
        spline = space.add_spline(dxfattribs={"layer": "FINGERS"})
        spline.set_closed([(px, py, 0) for px, py in around], degree=3)
    # A notch for the stop pin of the drill's table; its contour reaches over the plate's front edge.
    notch = [(50, -1, 0.0), (60, -1, 0.0), (60, 5, QUARTER), (56, 9, 0.0), (54, 9, QUARTER), (50, 5, 0.0)]
    polyline(space, layer="NOTCH", vertices=notch)
    for x, y in ((137, 10), (137, 60)):
        space.add_circle((x, y), radius=2.75, dxfattribs={"layer": "SCREWS"})
    for number, x in enumerate((33.5, 71.5, 110.5), start=1):
        text(space, layer="MARKS", at=(x, 57), height=5, said=str(number))
    return drawing


def scale() -> Drawing:
    """The scale of a honey gauge, cut out of a sheet: DXF R2013, many single lines."""
    drawing, space = sheet("R2013", layers=("PLATE", "EDGE", "SLOTS", "FINE", "BOLD"))
    polyline(space, layer="PLATE", vertices=[(0, 0, 0.0), (200, 0, 0.0), (200, 60, 0.0), (0, 60, 0.0)])
    polyline(space, layer="EDGE", vertices=rounded(14, 12, 186, 48, radius=6))
    for x in (21.0, 175.0):
        polyline(space, layer="SLOTS", vertices=oblong((x, 30), (x + 4, 30), radius=2.2))
    for number in range(121):
        x = 40.0 + number
        if number % 10 == 0:
            line(space, layer="BOLD", start=(x, 12), end=(x, 26))
            said = str(number // 10)
            text(space, layer="BOLD", at=(x - 1.3 * len(said) + 0.2, 29), height=3.6, said=said)
        else:
            line(space, layer="FINE", start=(x, 12), end=(x, 22 if number % 5 == 0 else 18))
    text(space, layer="BOLD", at=(94, 38), height=5, said="kg")
    return drawing


def sheet(version: str, *, layers: Sequence[str]) -> tuple[Drawing, Modelspace]:
    """An empty drawing in mm with its layers."""
    drawing = ezdxf.new(version)
    if version != "R12":
        drawing.units = units.MM
    for colour, layer in enumerate(layers, start=1):
        drawing.layers.add(layer, color=colour if colour != 7 else 30)
    return drawing, drawing.modelspace()


def polyline(space: Modelspace, *, layer: str, vertices: Sequence[Vertex]) -> None:
    """A closed polyline, of the kind that the drawing's version has."""
    attributes = {"layer": layer}
    if space.dxfversion == "AC1009":
        space.add_polyline2d(vertices, format="xyb", close=True, dxfattribs=attributes)
    else:
        space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs=attributes)


def line(space: Modelspace, *, layer: str, start: Place, end: Place) -> None:
    space.add_line(start, end, dxfattribs={"layer": layer})


def ring(space: Modelspace, *, layer: str, centre: Place, radius: float) -> None:
    """A circle that is a contour."""
    space.add_circle(centre, radius=radius, dxfattribs={"layer": layer})


def text(space: Modelspace, *, layer: str, at: Place, height: float, said: str) -> None:
    """Letters as open polylines, ``at`` the lower left corner of the first."""
    size = height / 6.0
    for number, letter in enumerate(said):
        for stroke in STROKES[letter]:
            places = [(at[0] + (6.0 * number + x) * size, at[1] + y * size) for x, y in stroke]
            space.add_lwpolyline(places, dxfattribs={"layer": layer})


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> list[Vertex]:
    """A rectangle with rounded corners, counter-clockwise."""
    return [
        (x0 + radius, y0, 0.0),
        (x1 - radius, y0, QUARTER),
        (x1, y0 + radius, 0.0),
        (x1, y1 - radius, QUARTER),
        (x1 - radius, y1, 0.0),
        (x0 + radius, y1, QUARTER),
        (x0, y1 - radius, 0.0),
        (x0, y0 + radius, QUARTER),
    ]


def loose_rounded(space: Modelspace, *, layer: str, box: tuple[float, float, float, float], radius: float) -> None:
    """The same as single lines and arcs: first all lines, then all arcs."""
    x0, y0, x1, y1 = box
    line(space, layer=layer, start=(x0 + radius, y0), end=(x1 - radius, y0))
    line(space, layer=layer, start=(x1 - radius, y1), end=(x0 + radius, y1))
    line(space, layer=layer, start=(x0, y0 + radius), end=(x0, y1 - radius))
    line(space, layer=layer, start=(x1, y0 + radius), end=(x1, y1 - radius))
    for x, y, begin in (
        (x0 + radius, y0 + radius, 180),
        (x1 - radius, y0 + radius, 270),
        (x1 - radius, y1 - radius, 0),
        (x0 + radius, y1 - radius, 90),
    ):
        space.add_arc((x, y), radius, begin, begin + 90, dxfattribs={"layer": layer})


def relieved(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> list[Vertex]:
    """A rectangle whose corners are cleared by half circles that pass through the corners themselves."""
    across = math.sqrt(2.0) * radius
    return [
        (x0 + across, y0, 0.0),
        (x1 - across, y0, HALF),
        (x1, y0 + across, 0.0),
        (x1, y1 - across, HALF),
        (x1 - across, y1, 0.0),
        (x0 + across, y1, HALF),
        (x0, y1 - across, 0.0),
        (x0, y0 + across, HALF),
    ]


def oblong(start: Place, end: Place, *, radius: float) -> list[Vertex]:
    """A slot with round ends along X, counter-clockwise."""
    return [
        (start[0], start[1] - radius, 0.0),
        (end[0], end[1] - radius, HALF),
        (end[0], end[1] + radius, 0.0),
        (start[0], start[1] + radius, HALF),
    ]


def sector(centre: Place, *, inner: float, outer: float, start: float, sweep: float, gap: float) -> list[Vertex]:
    """A sector between two radii, half the ``gap`` away from its neighbours everywhere; angles in degrees."""
    shy = [math.degrees(math.asin(gap / 2.0 / radius)) for radius in (inner, outer)]
    far = (start + shy[1], start + sweep - shy[1])
    near = (start + sweep - shy[0], start + shy[0])
    bulges = [math.tan(math.radians(sweep - 2.0 * lost) / 4.0) for lost in shy]
    return [
        (*on_circle(centre, radius=outer, at=far[0]), bulges[1]),
        (*on_circle(centre, radius=outer, at=far[1]), 0.0),
        (*on_circle(centre, radius=inner, at=near[0]), -bulges[0]),
        (*on_circle(centre, radius=inner, at=near[1]), 0.0),
    ]


def lugged(centre: Place, *, radius: float, lug_width: float, lug_radius: float, lugs: int) -> list[Vertex]:
    """A circle of ``lug_radius`` with lugs out to ``radius``, their flanks parallel."""
    turn = 360.0 / lugs
    inner = math.degrees(math.asin(lug_width / 2.0 / lug_radius))
    outer = math.degrees(math.asin(lug_width / 2.0 / radius))
    found: list[Vertex] = []
    for number in range(lugs):
        at = turn * number + turn / 2.0
        found.append((*on_circle(centre, radius=lug_radius, at=at - inner), 0.0))
        found.append((*on_circle(centre, radius=radius, at=at - outer), math.tan(math.radians(2.0 * outer) / 4.0)))
        found.append((*on_circle(centre, radius=radius, at=at + outer), 0.0))
        between = turn - 2.0 * inner
        found.append((*on_circle(centre, radius=lug_radius, at=at + inner), math.tan(math.radians(between) / 4.0)))
    return found


def on_circle(centre: Place, *, radius: float, at: float) -> Place:
    """The point of a circle at an angle in degrees, to a tenth of a nanometre."""
    angle = math.radians(at)
    return (round(centre[0] + radius * math.cos(angle), 7), round(centre[1] + radius * math.sin(angle), 7))


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description="Draw the example plates.")
    asked.add_argument("--pictures", action="store_true", help="also plan first and cavity, and draw their paths")
    with_pictures = asked.parse_args().pictures
    main()
    if with_pictures:
        pictures()
