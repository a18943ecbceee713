"""Floors that fall across pockets, and the walls round them, turned into passes."""

import math
from dataclasses import replace

from camplan import tolerance
from camplan.features.inclines import incline_angle
from camplan.features.specs import Incline
from camplan.geometry import clipper
from camplan.geometry.along import at_length, opened_at
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.fitting import Band, fitted
from camplan.operations import areas
from camplan.operations.records import Operation, Part
from camplan.passes.again import room_left, still_out, undone
from camplan.passes.common import Made, descent, freed
from camplan.passes.ground import Ground, barred, with_hollow
from camplan.passes.planes import Plane, floor_passes, wall_pass
from camplan.passes.records import Pass, grouped
from camplan.passes.wall import Wall, led
from camplan.units import Mm

_WALL_BAND = Band(left=tolerance.WALL_FIT, right=tolerance.WALL_SIDE)
_SECOND = 0.0005
_FREE_ROOM = 1e3
_SHARE = 0.3
"""Share of the tolerance that may stand between two laps beside a wall (common practice, no source)."""


def plane_made(operation: Operation, *, ground: Ground) -> Made:
    """The floor's paths, or the wall's laps, piece by piece.  ValueError for a feature whose floor does not fall."""
    incline = operation.feature.incline
    if incline is None:
        raise ValueError(f"the floor of {operation.feature.spec.name!r} does not fall")
    radius = operation.cutter.diameter / 2.0
    bar = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    left = undone(operation, ground=ground)
    passes: list[Pass] = []
    kept_out = 0.0
    after = ground
    for number, piece in enumerate(operation.pieces):
        whole = clipper.shrunk(piece, by=radius + operation.stay)
        work = clipper.difference(whole, less=bar)
        kept_out += clipper.surface(clipper.intersection(whole, with_=still_out(bar, left=left)))
        if operation.part is Part.PLANE and left is not None:
            # a level tip that begins on a floor that falls has cut no more than under its own upper edge
            room = room_left(whole, work=work, radius=radius, left=left, plate=ground.plate)
            work = clipper.intersection(work, with_=clipper.offset(room, by=2.0 * radius))
        elif left is not None and not clipper.intersection(whole, with_=left.area):
            continue
        if not work:
            continue
        found = _piece(operation, incline=incline, work=work, number=number, ground=ground)
        passes.extend(replace(one, group=number) for one in found)
        after = with_hollow(
            after,
            area=clipper.offset(simplified(work, within=_SECOND), by=radius),
            top=-operation.feature.top,
            bottom=operation.start if operation.start is not None else -operation.feature.top,
            feature=operation.feature.spec.name,
            piece=number,
        )
    way = (
        "each path begins where the floor is higher and goes down along itself"
        if operation.part is Part.PLANE
        else "on and off the wall by tangent arcs, the tip kept to the floor"
    )
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=ground),
        holes=(),
        ground=after,
        ways=(way,),
        shut=(),
        kept_out=kept_out,
    )


def _piece(operation: Operation, *, incline: Incline, work: Area, number: int, ground: Ground) -> tuple[Pass, ...]:
    radius = operation.cutter.diameter / 2.0
    start = operation.start if operation.start is not None else -operation.feature.top
    plane = Plane(incline=incline, radius=radius, top=start, descent=descent(operation), skin=operation.skin)
    if operation.part is Part.PLANE:
        left = clipper.intersection(work, with_=operation.rest) if operation.rest else work
        return floor_passes(plane, work=left, step=operation.data.step_over)
    known = areas.known_circles(operation.feature.regions, shrunk=radius + operation.stay)
    swept = ground.swept.get((operation.feature.spec.name, number), ())
    clear = clipper.offset(simplified(swept, within=_SECOND), by=-radius)
    passes: list[Pass] = []
    for path in fitted(work, closed=True, band=_WALL_BAND, known=known):
        wall = Wall(
            path=path,
            work=work,
            ground=clear,
            diameter=2.0 * radius,
            top=plane.top,
            levels=operation.levels,
            room=_FREE_ROOM,
            descent=plane.descent,
        )
        leads = led(wall)
        laps = wall_pass(plane, lap=leads.lap, levels=operation.levels, clear=leads.clear)
        passes.extend(grouped(laps, group=len(passes)))
    for inset in _insets(operation, incline=incline):
        for ring in fitted(clipper.offset(work, by=-inset), closed=True, band=_WALL_BAND, known=known):
            lap = opened_at(ring, place=at_length(ring, length=0.0))
            found = wall_pass(plane, lap=lap, levels=operation.levels[-1:], clear=True)
            passes.extend(grouped(found, group=len(passes)))
    return tuple(passes)


def _insets(operation: Operation, *, incline: Incline) -> list[Mm]:
    """How far inside the wall's lap more laps are needed along the floor, as far as its own paths kept from the wall:
    on a steep floor the lap alone leaves more above it than its tolerance."""
    gap = operation.skin or 0.0
    granted = getattr(operation.feature.spec, "tolerance", tolerance.WALL_PROOF)
    count = math.ceil(gap * math.tan(incline_angle(incline)) / (_SHARE * granted) - 1e-9)
    return [gap * number / count for number in range(1, count)]
