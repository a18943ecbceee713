"""Lines, drilled holes and bores turned into passes."""

import math
from dataclasses import replace

import numpy as np

from camplan.geometry import clipper
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.passes.bores import Bore, bore_pass, bore_wall
from camplan.passes.common import Made, descent, freed
from camplan.passes.ground import Ground, with_hollow
from camplan.passes.lines import MARK_CLEAR, mark_passes, slot_passes
from camplan.passes.records import HolePass, Pass, grouped
from camplan.units import Mm


def lines_made(operation: Operation, *, ground: Ground) -> Made:
    feature = operation.feature
    top = -feature.top
    engraves = operation.purpose.value == "mark"
    passes = tuple(
        mark_passes(line, top=top, levels=operation.levels)
        if engraves
        else slot_passes(line, top=top, levels=operation.levels, descent=descent(operation))
        for line in feature.lines
    )
    passes = tuple(replace(one, group=number) for number, one in enumerate(passes))
    after = ground
    if not engraves:
        area = areas.along(feature.lines, by=operation.cutter.diameter / 2.0)
        after = with_hollow(ground, area=area, top=top, bottom=operation.levels[-1], feature=feature.spec.name)
    way = (
        f"fast to {MARK_CLEAR:g} mm above, then straight down: the engraver cuts at its point"
        if engraves
        else "enters by a ramp along its line"
    )
    return Made(passes=freed(passes, operation=operation, ground=ground), holes=(), ground=after, ways=(way,), shut=())


def _places(operation: Operation) -> tuple[tuple[Mm, Mm], ...]:
    wanted = operation.diameter or 0.0
    return tuple((x, y) for x, y, size in operation.feature.circles if abs(size - wanted) < 1e-9)


def drilled_made(operation: Operation, *, ground: Ground) -> Made:
    hole = HolePass(
        at=_places(operation),
        top=-operation.feature.top,
        bottom=operation.levels[-1],
        peck=operation.peck,
        dwell=0.0,
    )
    return Made(passes=(), holes=(hole,), ground=ground, ways=(), shut=())


def _stood(operation: Operation, *, ground: Ground) -> Mm:
    """What the helix before left on a bore's wall."""
    area = ground.swept.get((operation.feature.spec.name, 0), ())
    x, y = _places(operation)[0]
    nearest = min(
        (float(np.hypot(*(ring - (x, y)).T).max()) for ring in area if np.hypot(*(ring.mean(axis=0) - (x, y))) < 1e-3),
        default=0.0,
    )
    return max((operation.diameter or 0.0) / 2.0 - nearest, 0.0)


def bored_made(operation: Operation, *, ground: Ground) -> Made:
    passes: list[Pass] = []
    tangent = True
    for number, at in enumerate(_places(operation)):
        bore = Bore(
            at=at,
            diameter=operation.diameter or math.nan,
            cutter=operation.cutter.diameter,
            top=-operation.feature.top,
            bottom=operation.levels[-1],
            descent=descent(operation),
        )
        if operation.stay > 0.0:
            passes.extend(grouped([bore_pass(bore, stay=operation.stay)], group=number))
        else:
            found, good = bore_wall(bore, levels=operation.levels, stood=_stood(operation, ground=ground))
            passes.extend(grouped(found, group=number))
            tangent = tangent and good
    way = "enters by a helix" if operation.stay > 0.0 else "on and off the wall by tangent arcs"
    area = areas.of_circles(operation.feature.circles, diameter=operation.diameter or 0.0)
    after = with_hollow(
        ground,
        area=clipper.offset(area, by=-operation.stay),
        top=-operation.feature.top,
        bottom=operation.levels[-1],
        feature=operation.feature.spec.name,
    )
    before = ground if operation.stay > 0.0 else after
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=before), holes=(), ground=after, ways=(way,), shut=()
    )
