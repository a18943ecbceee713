"""Holes: drilled in pecks, or bored by a helix and finished round the wall."""

import math
from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.geometry.chains import chain, circle, tessellated
from camplan.passes.entry import Descent
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.passes.wall import Wall, wall_passes
from camplan.units import Mm

_GAP: Mm = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A round hole of ``diameter`` from ``top`` to ``bottom`` by a cutter narrower than it, no core left."""

    at: tuple[Mm, Mm]
    diameter: Mm
    cutter: Mm
    top: Mm
    bottom: Mm
    descent: Descent


def bore_pass(bore: Bore, *, stay: Mm) -> Pass:
    """Down by a helix with ``stay`` left on the wall, one level turn at the bottom, then off the wall."""
    radius = (bore.diameter - bore.cutter) / 2.0 - stay
    slope = 2.0 * math.pi * radius * math.tan(bore.descent.angle)
    start = bore.top + _GAP
    turns = max(math.ceil((start - bore.bottom) / min(bore.descent.pitch, slope) - 1e-9), 1)
    x, y = bore.at
    right, left = (x + radius, y), (x - radius, y)

    def laps(halves: int) -> list[tuple[float, float]]:
        return [right if half % 2 == 0 else left for half in range(halves + 1)]

    down = Stroke(
        path=chain(laps(2 * turns), bulges=np.ones(2 * turns)),
        z=np.linspace(start, bore.bottom, 2 * turns + 1),
        feed=Feed.RAMP,
    )
    flat = Stroke(path=chain(laps(2), bulges=np.ones(2)), z=np.full(3, bore.bottom), feed=Feed.SLOT)
    off = Stroke(path=chain([right, bore.at]), z=np.full(2, bore.bottom), feed=Feed.FREE)
    return Pass(strokes=(down, flat, off), free=bore.top)


def mouth_pass(at: tuple[Mm, Mm], *, radius: Mm, top: Mm, levels: tuple[Mm, ...]) -> Pass:
    """Down in the middle of an open hole and at every level once round it, on and off by half circles."""
    x, y = at
    right, left = (x + radius, y), (x - radius, y)
    strokes: list[Stroke] = []
    for z in levels:
        if strokes:
            strokes.append(Stroke(path=chain([at, at]), z=np.array([strokes[-1].z[-1], z]), feed=Feed.FREE))
        onto, off = chain([at, right], bulges=np.ones(1)), chain([right, at], bulges=np.ones(1))
        strokes.append(level_stroke(onto, z=z, feed=Feed.CUT))
        strokes.append(level_stroke(chain([right, left, right], bulges=np.ones(2)), z=z, feed=Feed.CUT))
        strokes.append(level_stroke(off, z=z, feed=Feed.FREE))
    return Pass(strokes=tuple(strokes), free=top)


def bore_wall(bore: Bore, *, levels: tuple[Mm, ...], stood: Mm) -> tuple[tuple[Pass, ...], bool]:
    """The wall at its final size on tangent arcs, ``stood`` of material left on it; whether the leads are tangent."""
    radius = (bore.diameter - bore.cutter) / 2.0
    path = circle(bore.at, radius=radius)
    work = (tessellated(path, chord=tolerance.CHORD),)
    clear = (tessellated(circle(bore.at, radius=radius - stood), chord=tolerance.CHORD),)
    return wall_passes(
        Wall(
            path=path,
            work=work,
            ground=clear,
            diameter=bore.cutter,
            top=bore.top,
            levels=levels,
            room=radius,
            descent=bore.descent,
        )
    )
