"""Plates for measuring: many pockets of many vertices, as a drawing and a job.

The contours are smooth and free in form (five waves upon a circle, of phases that a plain formula gives), every
fifth one a polygon of few corners.  Nothing is random: the same plate always has the same vertices.
"""

from dataclasses import dataclass
from pathlib import Path

import ezdxf
import numpy as np
import shapely
from ezdxf import units

PITCH = 17.0
MARGIN = 13.0
SMOOTH_VERTICES = 240
POLYGON_CORNERS = 15
FINISH = 0.2
DEPTH = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A plate of pockets in mm, each a polygon with its islands."""

    name: str
    width: float
    height: float
    pockets: tuple[shapely.Polygon, ...]
    cutters: tuple[str, ...]

    @property
    def vertices(self) -> int:
        return sum(len(ring) for pocket in self.pockets for ring in rings(pocket))


def rings(pocket: shapely.Polygon) -> list[np.ndarray]:
    """The contours of a pocket without their repeated last vertex, (n, 2) each."""
    return [np.asarray(ring.coords)[:-1] for ring in (pocket.exterior, *pocket.interiors)]


def many_pockets(*, columns: int, rows: int) -> Bench:
    """``columns`` x ``rows`` pockets: four in five smooth with 240 vertices, one in five a polygon of 15 corners."""
    pockets = []
    for row in range(rows):
        for column in range(columns):
            number = row * columns + column
            centre = (MARGIN + PITCH * column, MARGIN + PITCH * row)
            vertices = POLYGON_CORNERS if number % 5 == 4 else SMOOTH_VERTICES
            pockets.append(shapely.Polygon(wavy(centre, size=6.3, vertices=vertices, seed=number)))
    return Bench(
        name=f"pockets-{columns * rows}",
        width=2.0 * MARGIN + PITCH * (columns - 1),
        height=2.0 * MARGIN + PITCH * (rows - 1),
        pockets=tuple(pockets),
        cutters=("slot-4", "slot-2"),
    )


def one_pocket() -> Bench:
    """One pocket of 10,000 vertices, three islands among them."""
    outer = wavy((60.0, 50.0), size=36.0, vertices=7000, seed=3)
    islands = [
        wavy((60.0 + 16.0 * np.cos(turn), 50.0 + 16.0 * np.sin(turn)), size=5.0, vertices=1000, seed=7 + number)
        for number, turn in enumerate((0.3, 2.4, 4.5))
    ]
    return Bench(
        name="one-pocket",
        width=120.0,
        height=100.0,
        pockets=(shapely.Polygon(outer, islands),),
        cutters=("slot-6", "slot-3"),
    )


def wavy(centre: tuple[float, float], *, size: float, vertices: int, seed: int) -> np.ndarray:
    """A closed contour about ``centre``, counter-clockwise; (vertices, 2).  Its radius stays within 25 %."""
    angle = np.linspace(0.0, 2.0 * np.pi, vertices, endpoint=False)
    radius = np.ones_like(angle)
    for wave, height in ((2, 0.10), (3, 0.08), (5, 0.03)):
        radius += height * np.sin(wave * angle + 2.399963 * (seed + 1) * wave)  # the golden angle spreads the phases
    return np.round(np.column_stack((np.cos(angle), np.sin(angle))) * (size * radius)[:, None] + centre, 6)


def written(bench: Bench, *, folder: Path) -> Path:
    """Write the drawing and the job of a plate into ``folder``; the job's path."""
    folder.mkdir(parents=True, exist_ok=True)
    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    space = drawing.modelspace()
    corners = [(0, 0), (bench.width, 0), (bench.width, bench.height), (0, bench.height)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "PLATE"})
    for pocket in bench.pockets:
        for ring in rings(pocket):
            space.add_lwpolyline(ring.tolist(), close=True, dxfattribs={"layer": "POCKETS"})
    drawing.saveas(folder / f"{bench.name}.dxf")
    job = folder / f"{bench.name}.toml"
    shelf = ", ".join(f'"{name}"' for name in bench.cutters)
    job.write_text(
        f'drawing = "{bench.name}.dxf"\nmachine = "gantry-router"\nmaterial = "aluminium-6082"\n'
        f"cutters = [{shelf}]\n\n"
        '[plate]\nthickness_mm = 10\noutline = "PLATE"\n\n'
        '[[feature]]\nname = "pockets"\nkind = "pocket"\nlayer = "POCKETS"\n'
        f"depth_mm = {DEPTH}\nfinish_mm = {FINISH}\n",
        encoding="utf-8",
    )
    return job
