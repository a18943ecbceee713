"""Walls of pockets turned into passes: whole rings, what stands of open ones, and what earlier settings left."""

from dataclasses import replace

import numpy as np

from camplan.catalogue.shape import wall_radius
from camplan.features.sections import may
from camplan.features.specs import GrooveSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.fitting import fitted
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.passes.again import Undone, runs_left
from camplan.passes.clearing import Cleared
from camplan.passes.common import descent
from camplan.passes.cut_place import Place, open_ground, swept_before
from camplan.passes.existing import left_along, walls_standing
from camplan.passes.ground import Ground
from camplan.passes.layout import WALL_BAND
from camplan.passes.records import Pass, grouped
from camplan.passes.skins import Skin, skimmed
from camplan.passes.wall import Runs, Wall, open_wall_passes, run_passes, wall_passes
from camplan.units import Mm

_RUN_OUT: Mm = 0.5
_FREE_ROOM: Mm = 1e3
_SECOND: Mm = 0.0005
"""Figures that were already offset once are thinned by this before they are offset again."""


def wall_made(operation: Operation, *, place: Place, ground: Ground) -> Cleared:
    radius = wall_radius(operation.cutter)
    done = swept_before(operation, place=place, ground=ground)
    if operation.only and operation.feature.open_edges:
        done = clipper.union([done, clipper.difference(place.piece, less=ground.plate)])
    clear = clipper.offset(simplified(done, within=_SECOND), by=-radius)
    skin = Skin(work=place.work, radius=radius, done=done, most=operation.data.step_over)
    passes: list[Pass] = []
    ways: list[str] = []
    opened = bool(open_ground(operation, place=place, ground=ground))
    rings = fitted(place.work, closed=True, band=WALL_BAND, known=place.known)
    for number, (ring, path) in enumerate(zip(place.work, rings, strict=True)):
        parts = _on_material(ring, operation=operation, place=place, ground=ground) if opened else None
        lines = [np.vstack((ring, ring[:1]))] if parts is None else parts
        if _kept_from(lines, operation=operation):
            job = Runs(
                paths=fitted(_kept_to(lines, operation=operation), closed=False, band=WALL_BAND, known=place.known),
                work=place.work,
                ground=clear,
                diameter=2.0 * radius,
                top=-operation.feature.top,
                levels=operation.levels,
                descent=descent(operation),
            )
            found = list(skimmed(run_passes(job), skin=skin))
            ways += ["along the walls that give"] if found else []
        elif parts is None:
            wall = Wall(
                path=path,
                work=place.work,
                ground=clear,
                diameter=2.0 * radius,
                top=-operation.feature.top,
                levels=operation.levels,
                room=_FREE_ROOM,
                descent=descent(operation),
            )
            laps, tangent = wall_passes(wall)
            found = list(skimmed(laps, skin=skin))
            ways.append(
                "on and off the wall by tangent arcs" if tangent else "straight onto the wall: no room for arcs"
            )
        elif not parts:
            continue
        else:
            runs = fitted(parts, closed=False, band=WALL_BAND, known=place.known)
            found = open_wall_passes(runs, levels=operation.levels)
            ways.append("on and off the wall beside the plate")
        passes.extend(grouped(found, group=number))
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=())


def _kept_from(lines: list[Points], *, operation: Operation) -> bool:
    """Whether an operation leaves any of these wall paths alone."""
    return bool(operation.only) and bool(clipper.cut_lines(lines, area=operation.only, inside=False))


def _kept_to(lines: list[Points], *, operation: Operation) -> list[Points]:
    """The parts of wall paths that an operation walks."""
    if not operation.only:
        return lines
    return clipper.rejoined(clipper.cut_lines(lines, area=operation.only, inside=True))


def wall_left_made(operation: Operation, *, place: Place, bar: Area, left: Undone, ground: Ground) -> Cleared:
    """The runs of a wall that earlier settings left; a ring of which they left everything is walked as ever."""
    radius = wall_radius(operation.cutter)
    whole = place.work
    passes: list[Pass] = []
    ways: list[str] = []
    opened = bool(open_ground(operation, place=place, ground=ground))
    clear = clipper.offset(simplified(swept_before(operation, place=place, ground=ground), within=_SECOND), by=-radius)
    for number, ring in enumerate(whole):
        closed = np.vstack((ring, ring[:1]))
        along = _on_material(ring, operation=operation, place=place, ground=ground) if opened else None
        parts = runs_left([closed] if along is None else along, shut=bar, left=left)
        parts = _kept_to(parts, operation=operation)
        if along is None and any(np.array_equal(part[0], part[-1]) for part in parts):
            found = wall_made(operation, place=replace(place, work=(ring,)), ground=ground)
            passes.extend(grouped(found.passes, group=number))
            ways.extend(found.ways)
            continue
        job = Runs(
            paths=fitted(parts, closed=False, band=WALL_BAND, known=place.known),
            work=clipper.difference(whole, less=bar),
            ground=clear,
            diameter=2.0 * radius,
            top=-operation.feature.top,
            levels=operation.levels,
            descent=descent(operation),
        )
        passes.extend(grouped(run_passes(job), group=number))
        ways.append("along what earlier settings left of the wall")
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)) if passes else (), shut=())


def _on_material(ring: Points, *, operation: Operation, place: Place, ground: Ground) -> list[Points] | None:
    """The parts of a wall path that run along material, drawn out into the air; None if all of it does."""
    reach = max(wall_radius(operation.cutter), operation.cutter.diameter / 2.0) + operation.stay + _RUN_OUT
    closed = np.vstack((ring, ring[:1]))
    left = left_along(ring, operation=operation, ground=ground)
    if left is not None and not left:
        return []
    inland = walls_standing(operation, ground=ground)
    feature = operation.feature
    if isinstance(feature.spec, GrooveSpec):
        figure = areas.of_section(may(feature, z=-feature.bottom))
    elif feature.mouths or operation.grow:
        figure = place.piece
    else:
        figure = areas.of_regions(feature.regions)
    walls = clipper.cut_lines([np.vstack((edge, edge[:1])) for edge in figure], area=inland, inside=True)
    near = clipper.union([clipper.around([wall], by=reach) for wall in walls])
    if left is not None and operation.cutter.half_angle is None:
        near = clipper.intersection(near, with_=clipper.offset(left, by=reach))
    away = clipper.cut_lines([closed], area=near, inside=False)
    if not away:
        return None
    return clipper.rejoined(clipper.cut_lines([closed], area=near, inside=True))
