"""Pockets to be cleared: walls as rings, and where the stock ends."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.geometry import chains, clipper
from camplan.passes.layout import Room

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pocket:
    """Walls (outer ring counter-clockwise, islands clockwise), open ground for the tool's centre, cutter and step."""

    walls: tuple[Points, ...]
    air: tuple[Points, ...]
    radius: float
    step: float

    def room(self) -> Room:
        work = clipper.offset(self.walls, by=-self.radius)
        return Room(work=work, radius=self.radius, step_over=self.step, open_ground=self.air)


def ring(*points: tuple[float, float]) -> Points:
    return np.array(points, dtype=float)


def disc(x: float, y: float, radius: float, *, clockwise: bool = False) -> Points:
    return chains.tessellated(chains.circle((x, y), radius=radius, clockwise=clockwise), chord=0.0005)


def box(left: float, low: float, right: float, high: float) -> Points:
    return ring((left, low), (right, low), (right, high), (left, high))


def star(points: int, *, outer: float, inner: float) -> Points:
    turns = np.arange(2 * points) * math.pi / points
    radii = np.where(np.arange(2 * points) % 2 == 0, outer, inner)
    return np.column_stack((radii * np.cos(turns), radii * np.sin(turns)))


def islands(*, radius: float = 3.0, step: float = 0.6) -> Pocket:
    """100 x 60 mm with a round and a square island and a peninsula from the upper wall."""
    outer = ring((0, 0), (100, 0), (100, 60), (62, 60), (62, 38), (52, 38), (52, 60), (0, 60))
    square = box(70, 15, 84, 27)[::-1]
    return Pocket(walls=(outer, disc(25, 30, 7, clockwise=True), square), air=(), radius=radius, step=step)


def corner_open() -> Pocket:
    """An L of which the lower end lies open: the stock ends at y = 0."""
    walls = ring((0, -8), (20, -8), (20, 20), (45, 20), (45, 40), (0, 40))
    return Pocket(walls=(walls,), air=(box(3, -5, 17, -3),), radius=3.0, step=0.6)


def dumbbell() -> Pocket:
    """Two chambers and a neck 1.3 cutter diameters wide."""
    walls = ring((0, 0), (24, 0), (24, 8.1), (36, 8.1), (36, 0), (60, 0), (60, 24), (36, 24), (36, 15.9), (24, 15.9))
    return Pocket(walls=(np.vstack((walls, ring((24, 24), (0, 24)))),), air=(), radius=3.0, step=0.6)


def starred() -> Pocket:
    """A star of five sharp corners of about 54 degrees."""
    return Pocket(walls=(star(5, outer=30, inner=16),), air=(), radius=2.0, step=0.4)


def circle() -> Pocket:
    return Pocket(walls=(disc(0, 0, 20),), air=(), radius=3.0, step=0.6)


def rectangle() -> Pocket:
    return Pocket(walls=(box(0, 0, 50, 30),), air=(), radius=3.0, step=0.6)


def slot() -> Pocket:
    """1.1 cutter diameters wide."""
    return Pocket(walls=(box(0, 0, 40, 6.6),), air=(), radius=3.0, step=0.6)


def wavy(*, vertices: int = 10_000) -> Pocket:
    """A contour of many vertices with three islands."""
    turns = np.linspace(0.0, math.tau, vertices, endpoint=False)
    radii = 38.0 + 4.0 * np.cos(5.0 * turns) + 1.0 * np.sin(23.0 * turns)
    outer = np.column_stack((radii * np.cos(turns), radii * np.sin(turns)))
    holes = tuple(disc(x, y, 5.0, clockwise=True) for x, y in ((18, 0), (-10, 16), (-10, -16)))
    return Pocket(walls=(outer, *holes), air=(), radius=3.0, step=0.6)


NAMED = {
    "islands": islands,
    "corner_open": corner_open,
    "dumbbell": dumbbell,
    "starred": starred,
    "circle": circle,
    "rectangle": rectangle,
    "slot": slot,
    "wavy": wavy,
}
