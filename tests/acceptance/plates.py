"""Small plates drawn on the spot, and their jobs."""

from collections.abc import Sequence
from pathlib import Path

import ezdxf
from ezdxf import units

Vertex = tuple[float, float, float]

QUARTER = 2.0**0.5 - 1.0  # the bulge of a quarter circle

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "spot-90-6", "drill-4.2"]

[plate]
thickness_mm = 8
outline = "PLATE"
"""

POCKET = """
[[feature]]
name = "pocket"
kind = "pocket"
layer = "POCKET"
depth_mm = 3
"""


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> list[Vertex]:
    """A rectangle with round corners, counter-clockwise, as x, y and bulge."""
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


def drawn(
    path: Path,
    *,
    closed: Sequence[tuple[str, Sequence[Sequence[float]]]] = (),
    open_: Sequence[tuple[str, Sequence[Sequence[float]]]] = (),
    circles: Sequence[tuple[str, float, float, float]] = (),
) -> Path:
    """A drawing in mm: layers with closed and open polylines (x, y, bulge), and circles (x, y, diameter)."""
    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    space = drawing.modelspace()
    for close, paths in ((True, closed), (False, open_)):
        for layer, vertices in paths:
            full = [(*vertex, 0.0)[:3] for vertex in vertices]
            space.add_lwpolyline(full, format="xyb", close=close, dxfattribs={"layer": layer})
    for layer, x, y, diameter in circles:
        space.add_circle((x, y), diameter / 2.0, dxfattribs={"layer": layer})
    drawing.saveas(path)
    return path


def job(folder: Path, text: str) -> Path:
    path = folder / "plate.toml"
    path.write_text(text, encoding="utf-8")
    return path


def plain(folder: Path) -> Path:
    """A plate of 60 x 40 with one pocket, a job that can be planned."""
    drawn(
        folder / "plate.dxf",
        closed=[("PLATE", rounded(0, 0, 60, 40, radius=2)), ("POCKET", rounded(15, 8, 45, 32, radius=4))],
    )
    return job(folder, HEAD + POCKET)
