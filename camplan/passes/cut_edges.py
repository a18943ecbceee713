"""Edges turned into passes: laps along the contour as earlier operations have left it, and runs where it is barred."""

import numpy as np

from camplan import tolerance
from camplan.catalogue.shape import radius as radius_at
from camplan.features.specs import EdgeSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Chain, backwards
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import Band, Circles, fitted
from camplan.operations import areas
from camplan.operations.edged import path_rings
from camplan.operations.records import Level, Operation
from camplan.passes.again import runs_left, still_out, undone
from camplan.passes.common import Made, descent, freed
from camplan.passes.entry import straight_down
from camplan.passes.ground import Ground, barred
from camplan.passes.records import Feed, Pass, grouped, level_stroke
from camplan.passes.wall import Wall, wall_passes
from camplan.units import Mm

_BAND = Band(left=tolerance.WALL_FIT, right=tolerance.WALL_SIDE)
_SEAM: Mm = 0.004
"""What stands nearer to the drawn contour than this is its own wall."""
_BERTH: Mm = 3.0
_CLEAR: Mm = 0.05
_GAP: Mm = 0.2


def edge_made(operation: Operation, *, ground: Ground) -> Made:
    """The passes of an edge, rung by rung; those at one distance from the contour without lifting."""
    shut = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    passes: list[Pass] = []
    tangent = True
    kept_out = 0.0
    ladders = _together(operation.by_level)
    for rungs in ladders:
        found, good, lost = _along(operation, rungs=rungs, shut=shut, ground=ground)
        # steps round an edge keep their order, from its top to its foot
        passes.extend(found if len(ladders) == 1 else grouped(found, group=0))
        tangent = tangent and good
        kept_out = max(kept_out, lost)
    way = "on and off the edge by tangent arcs" if tangent else "straight onto the edge: no room for arcs"
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=ground),
        holes=(),
        ground=ground,
        ways=(way,),
        shut=(),
        kept_out=kept_out,
    )


def _together(levels: tuple[Level, ...]) -> list[tuple[Level, ...]]:
    """Levels in a row whose paths are one."""
    found: list[list[Level]] = []
    for level in levels:
        if found and found[-1][0].grow == level.grow:
            found[-1].append(level)
        else:
            found.append([level])
    return [tuple(each) for each in found]


def _along(
    operation: Operation, *, rungs: tuple[Level, ...], shut: Area, ground: Ground
) -> tuple[list[Pass], bool, float]:
    """The passes of levels with one path, whether they come on by tangent arcs, and what clamps keep out in mm2."""
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, EdgeSpec)
    grow = rungs[0].grow
    drawn = areas.of_regions(feature.regions)
    standing = _standing(operation, grow=grow, ground=ground)
    wide = _wide(operation, z=rungs[-1].z)
    no = clipper.union([shut, *(area for level in rungs for area in level.pieces)])
    inside = spec.side == "inside"
    figure = path_rings(feature, grow=grow)
    part = _touching(standing, drawn=drawn) if inside else standing
    away = clipper.offset(part, by=max(grow if inside else -grow, 0.0))
    figure = clipper.union([figure, away]) if inside else clipper.difference(figure, less=away)
    near = clipper.around(list(drawn), by=abs(grow) + _BERTH, closed=True)
    room = clipper.difference(near, less=figure) if inside else clipper.intersection(figure, with_=near)
    work = clipper.difference(room, less=no)
    clear = clipper.difference(work, less=clipper.offset(_uncut(operation, ground=ground, near=near), by=wide + _CLEAR))
    known = areas.known_circles(feature.regions, shrunk=-grow)
    passes: list[Pass] = []
    tangent, lost = True, 0.0
    left = undone(operation, ground=ground)
    out = still_out(shut, left=left)
    for number, ring in enumerate(figure):
        closed = np.vstack((ring, ring[:1]))
        runs = runs_left([closed], shut=no, left=left)
        if any(np.array_equal(run[0], run[-1]) for run in runs):
            path = fitted((ring,), closed=True, band=_BAND, known=known)[0]
            wall = Wall(
                path=backwards(path) if inside else path,
                work=work,
                ground=clear,
                diameter=2.0 * wide,
                top=-feature.top,
                levels=tuple(level.z for level in rungs),
                room=_BERTH,
                descent=descent(operation),
            )
            found, good = wall_passes(wall)
            tangent = tangent and good
        else:
            if out:
                kept = clipper.cut_lines([closed], area=out, inside=True)
                lost += spec.across * sum(float(np.hypot(*np.diff(one, axis=0).T).sum()) for one in kept)
            found = _runs(runs, rungs=rungs, known=known, turned=inside, top=-feature.top)
            tangent = False
        passes.extend(grouped(found, group=number))
    return passes, tangent, lost


def _wide(operation: Operation, *, z: Mm) -> Mm:
    """How wide the cutter is at the edge's own height."""
    return float(radius_at(operation.cutter, height=max(-operation.feature.top - z, 0.0)))


def _runs(
    parts: list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]],
    *,
    rungs: tuple[Level, ...],
    known: Circles,
    turned: bool,
    top: Mm,
) -> tuple[Pass, ...]:
    """Passes along what of a contour is not barred: straight down at its end, along, and up."""
    found = []
    runs: list[Chain] = [
        backwards(run) if turned else run for run in fitted(parts, closed=False, band=_BAND, known=known)
    ]
    for run in runs:
        first = (float(run.points[0, 0]), float(run.points[0, 1]))
        for level in rungs:
            down = straight_down(first, start=top + _GAP, end=level.z, feed=Feed.PLUNGE)
            found.append(Pass(strokes=(down, level_stroke(run, z=level.z, feed=Feed.CUT)), free=top))
    return tuple(found)


def _cleared(operation: Operation, *, ground: Ground) -> Area:
    """What the features beside an edge have cleared so far; drilled holes are round and as wide as they are drawn."""
    names = set(operation.feature.follows)
    swept = [area for (name, _), area in sorted(ground.swept.items()) if name in names]
    sizes = sorted({circle[2] for circle in operation.feature.circles})
    round_ = [areas.of_circles(operation.feature.circles, diameter=size) for size in sizes]
    return clipper.union([*swept, *round_])


def _uncut(operation: Operation, *, ground: Ground, near: Area) -> Area:
    """What stands of the plate near an edge."""
    return clipper.difference(clipper.intersection(near, with_=ground.plate), less=_cleared(operation, ground=ground))


def _standing(operation: Operation, *, grow: Mm, ground: Ground) -> Area:
    """What stands near an edge beyond its drawn contour: rounded corners, and what no cutter has reached."""
    drawn = areas.of_regions(operation.feature.regions)
    spec = operation.feature.spec
    assert isinstance(spec, EdgeSpec)
    near = clipper.around(list(drawn), by=abs(grow) + _BERTH, closed=True)
    uncut = _uncut(operation, ground=ground, near=near)
    open_side = (
        clipper.difference(uncut, less=drawn) if spec.side == "inside" else clipper.intersection(uncut, with_=drawn)
    )
    return clipper.offset(open_side, by=-_SEAM)


def _touching(standing: Area, *, drawn: Area) -> Area:
    """The pieces that stand at the contour itself."""
    wide = clipper.offset(drawn, by=3.0 * _SEAM)
    return clipper.union([piece for piece in clipper.pieces(standing) if clipper.intersection(piece, with_=wide)])
