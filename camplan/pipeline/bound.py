"""The time that a plate would take at the best rates of its own plan: a yardstick for the planned time.

    max(volume / best removal rate, walls / best finishing feed) + drilling

``volume``: what the features that are roughed, faced, grooved or bored take of the plate, shared parts once, by their
sections (`must`, of an outline the kerf of its cutter) over their depths, without what is drilled of it.  Best removal
rate: the largest step over x step down x feed among the operations that take it.  ``walls``: the walls that are cut to
size, each once around, at half its depth; best finishing feed: the largest of the operations that do it.  ``drilling``:
every spotted, drilled and reamed hole once down at its feed.  All of these feeds and steps stand in ``plan.json``.

Left out: ways through the air and down, traces, speeding up and slowing down, laps over the first and the further
levels of a wall, what is left for corners, floors, edges and marks, changes of cutter, what lies below the plate.  What
clamps keep out counts as taken.  It is no floor under the time: a full slot may remove more in a minute than the best
rate says, as its cutter is fed slower but cuts its whole width.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from camplan.features.records import Feature, Section
from camplan.features.sections import curved_between, heights, may, must
from camplan.features.specs import HoleSpec, OutlineSpec
from camplan.operations.pace import holes_of
from camplan.operations.records import Operation, Part, Purpose
from camplan.pipeline.faces import PickedFace
from camplan.planned import TimeBound
from camplan.simulation import figures, solids
from camplan.simulation.blank import blank_at, blank_of
from camplan.tolerance import SAME_POINT
from camplan.units import S_PER_MIN, Mm, Mm3, Seconds

_CHORD: Mm = 0.005
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_DOWN = (Part.SPOT, Part.DRILLED, Part.REAMED)
_TAKING = (Purpose.ROUGH, Purpose.FACE, Purpose.GROOVE, Purpose.BORE)


def time_bound(faces: Sequence[PickedFace]) -> TimeBound:
    """The yardstick of what was picked for the faces of a plate."""
    operations = [operation for picked in faces for operation in picked.operations]
    taking = [one for one in operations if _takes(one)]
    finishing = [one for one in operations if _finishes(one)]
    return TimeBound(
        volume=sum(_taken(picked) for picked in faces),
        removal=max((one.data.step_over * one.data.step_down * one.data.feed for one in taking), default=0.0),
        walls=sum(_walls(picked) for picked in faces),
        finish_feed=max((one.data.feed for one in finishing), default=0.0),
        drilling=sum(_down(one) for one in operations if one.part in _DOWN),
    )


def _takes(operation: Operation) -> bool:
    bored = operation.purpose is Purpose.BORE
    return operation.purpose in _TAKING and operation.part not in _DOWN and not (bored and operation.stay == 0.0)


def _finishes(operation: Operation) -> bool:
    bored = operation.part is Part.BORED and operation.stay == 0.0
    return bored or operation.part is Part.PLANE_WALL or operation.part is Part.WALL


def _down(operation: Operation) -> Seconds:
    """Every hole of an operation once down at its feed."""
    count = len(holes_of(operation.feature, diameter=operation.diameter))
    deep = -operation.feature.top - operation.levels[-1]
    return count * deep / operation.data.feed * S_PER_MIN


def _taken(picked: PickedFace) -> Mm3:
    """What the milled features of a face take of the plate."""
    milled = {one.feature.spec.name for one in picked.operations if _takes(one)}
    features = [one for one in picked.face.features if one.spec.name in milled]
    blank = blank_of(picked.face.plate)
    deepest = -picked.face.plate.thickness - SAME_POINT
    changes = {z for one in features for z in heights(one)} | {-one.depth for one in picked.face.plate.existing}
    levels = sorted((z for z in changes if z > deepest), reverse=True)
    volume = 0.0
    for upper, lower in pairwise(levels):
        there = [one for one in features if -one.top > lower and -one.bottom < upper]
        if not there:
            continue
        middle, half = (upper + lower) / 2.0, (upper - lower) / 2.0
        curved = any(top > lower and bottom < upper for one in there for top, bottom in curved_between(one))
        zs, shares = (middle + half * _POINTS, _WEIGHTS / 2.0) if curved else (np.array([middle]), np.array([1.0]))
        for z, share in zip(zs.tolist(), shares.tolist(), strict=True):
            figure = solids.united([figures.polygon_of(_section(one, z=z), chord=_CHORD) for one in there])
            volume += 2.0 * half * share * solids.area(solids.common(figure, blank_at(blank, z=z)))
    drilled = [one for one in picked.operations if one.part is Part.DRILLED and one.feature.spec.name in milled]
    return max(volume - sum(_drilled(one) for one in drilled), 0.0)


def _section(feature: Feature, *, z: Mm) -> Section:
    return may(feature, z=z) if isinstance(feature.spec, OutlineSpec) else must(feature, z=z)


def _drilled(operation: Operation) -> Mm3:
    """What a drill takes of the volume of holes that are then bored."""
    count = len(holes_of(operation.feature, diameter=operation.diameter))
    deep = min(operation.feature.bottom, -operation.levels[-1]) - operation.feature.top
    return count * math.pi / 4.0 * operation.cutter.diameter**2 * deep


def _walls(picked: PickedFace) -> Mm:
    """The walls of a face that are cut to size, each once around."""
    plate = figures.region_polygon(picked.face.plate.outline, chord=_CHORD)
    found: dict[tuple[str, Mm | None], Mm] = {}
    for one in picked.operations:
        if _finishes(one):
            found[one.feature.spec.name, one.diameter] = _around(one, plate=plate)
    return sum(found.values())


def _around(operation: Operation, *, plate: solids.Solid) -> Mm:
    """The edge of a feature within the plate."""
    feature = operation.feature
    match feature.spec:
        case HoleSpec():
            count = len(holes_of(feature, diameter=operation.diameter))
            return count * math.pi * (operation.diameter or 0.0)
        case OutlineSpec():
            figure = solids.united([figures.region_polygon(region, chord=_CHORD) for region in feature.regions])
        case _:
            section = must(feature, z=-(feature.top + feature.bottom) / 2.0)
            figure = figures.polygon_of(section, chord=_CHORD)
    return solids.edge_length(figure, within=plate)
