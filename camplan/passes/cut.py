"""An operation turned into passes, given the ground as earlier operations left it.

Figures are taken piece by piece, so that the work grows with their number and not with its square.
"""

from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np

from camplan.catalogue.shape import wall_radius
from camplan.features.sections import may
from camplan.features.specs import FaceSpec, GrooveSpec, OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.fitting import Circles, fitted
from camplan.operations import areas
from camplan.operations.records import Operation, Part, Purpose
from camplan.passes.again import (
    Undone,
    entered,
    room_left,
    runs_left,
    shut_parts,
    still_out,
    undone,
    with_shut_in,
    with_waived,
)
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.common import Made, descent, freed
from camplan.passes.corners import Corners, corner_passes, rest_of
from camplan.passes.cut_edges import edge_made
from camplan.passes.cut_kerf import kerf_made, kerf_rest_made, kerf_wall_made
from camplan.passes.cut_lines import bored_made, drilled_made, lines_made, mouths_made
from camplan.passes.cut_planes import plane_made
from camplan.passes.cut_slopes import slopes_made
from camplan.passes.existing import left_along, room_standing, walls_standing
from camplan.passes.ground import Ground, barred, gone_at, over, spread, stands_at, with_hollow
from camplan.passes.layout import ROUGH, WALL_BAND, Layout, Room, laid_out, same_room
from camplan.passes.paced import Pacing
from camplan.passes.records import Feed, Pass, grouped
from camplan.passes.skins import Skin, skimmed
from camplan.passes.wall import Runs, Wall, open_wall_passes, run_passes, wall_passes
from camplan.units import Mm

_AIR_BERTH: Mm = 0.2
_RUN_OUT: Mm = 0.5
_FREE_ROOM: Mm = 1e3
_MOST_GROUPS = 100_000
_SECOND: Mm = 0.0005
"""Figures that were already offset once are thinned by this before they are offset again."""


def made(operation: Operation, *, ground: Ground) -> Made:
    """The passes of one operation, walls walked again as often as their cutting data ask for."""
    found = _made(operation, ground=ground)
    springs = operation.data.spring_passes
    return replace(found, passes=tuple(each for one in found.passes for each in (one, *[_sprung(one)] * springs)))


def _sprung(one: Pass) -> Pass:
    """A pass walked again."""
    again = {Feed.CUT: Feed.SPRING}
    return replace(one, strokes=tuple(replace(each, feed=again.get(each.feed, each.feed)) for each in one.strokes))


def _made(operation: Operation, *, ground: Ground) -> Made:
    if operation.part is Part.EDGE:
        return edge_made(operation, ground=ground)
    if operation.by_level:
        return _by_level(operation, ground=ground)
    match operation.part:
        case Part.WALL if isinstance(operation.feature.spec, OutlineSpec):
            return kerf_wall_made(operation, ground=ground)
        case Part.REST if isinstance(operation.feature.spec, OutlineSpec):
            return kerf_rest_made(operation, ground=ground)
        case Part.AREA | Part.FLOOR | Part.REST | Part.WALL:
            return _by_piece(operation, ground=ground)
        case Part.KERF:
            return kerf_made(operation, ground=ground)
        case Part.LINE:
            return lines_made(operation, ground=ground)
        case Part.SLOPE:
            return slopes_made(operation, ground=ground)
        case Part.PLANE | Part.PLANE_WALL:
            return plane_made(operation, ground=ground)
        case Part.SPOT | Part.DRILLED | Part.REAMED:
            return drilled_made(operation, ground=ground)
        case Part.BORED:
            return bored_made(operation, ground=ground)
        case Part.MOUTH:
            return mouths_made(operation, ground=ground)
        case _:
            assert_never(operation.part)


def _by_piece(operation: Operation, *, ground: Ground) -> Made:
    """The passes of every piece, and the ground with what they clear."""
    radius = wall_radius(operation.cutter)
    bar = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    left = undone(operation, ground=ground)
    out = still_out(bar, left=left)
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    kept_out = 0.0
    after = ground
    layouts = dict(ground.layouts)
    known = _known(operation)
    top = _top(operation, ground=ground)
    stretches = _stretches(operation, top=top, ground=ground)
    for number, piece in enumerate(operation.pieces):
        whole = clipper.shrunk(piece, by=radius + operation.stay)
        work = clipper.difference(whole, less=bar)
        kept_out += clipper.surface(clipper.intersection(whole, with_=out))
        if operation.part in (Part.AREA, Part.FLOOR):
            work = room_left(whole, work=work, radius=radius, left=left, plate=ground.plate)
        asked = work
        work = entered(asked, operation=operation, ground=after)
        if work is not asked or ground.waived:
            waived = clipper.difference(asked, less=work)
            after = with_waived(after, operation=operation, area=waived, work=asked)
        if not work:
            continue
        closed_at: list[tuple[Mm, Mm]] = []
        for stretch in stretches:
            part = stretch.operation
            place = Place(number=number, piece=piece, work=work, top=stretch.top, known=known)
            match part.part:
                case Part.AREA | Part.FLOOR:
                    room = room_standing(work, radius=radius, z=part.levels[-1], ground=ground)
                    found, layout = _area(part, place=replace(place, work=room), ground=ground)
                    layouts[part.feature.spec.name, number] = layout
                case Part.REST:
                    found = _rest(part, place=place, ground=ground)
                case _ if left is not None:
                    found = _wall_left(part, place=replace(place, work=whole), bar=bar, left=left, ground=ground)
                case _:
                    found = _wall(part, place=place, ground=ground)
            passes.extend(freed(_own_groups(found.passes, number=number), operation=part, ground=ground))
            ways.extend(found.ways)
            closed_at.extend(found.shut)
        shut.extend(closed_at)
        closed = shut_parts(work, at=closed_at)
        after = with_hollow(
            with_shut_in(after, operation=operation, area=closed, work=work),
            area=clipper.offset(simplified(clipper.difference(work, less=closed), within=_SECOND), by=radius),
            top=-operation.feature.top,
            bottom=operation.levels[-1],
            feature=operation.feature.spec.name,
            piece=number,
        )
    return Made(
        passes=tuple(passes),
        holes=(),
        ground=replace(after, layouts=layouts),
        ways=tuple(dict.fromkeys(ways)),
        shut=tuple(shut),
        kept_out=kept_out,
    )


def _by_level(operation: Operation, *, ground: Ground) -> Made:
    """The passes of an operation whose figures differ from level to level, level by level."""
    name = operation.feature.spec.name
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    kept_out = 0.0
    after = ground
    below = clipper.union([area for (feature, _), area in sorted(ground.swept.items()) if feature == name])
    start = operation.start
    for level in operation.by_level:
        one = replace(operation, levels=(level.z,), pieces=level.pieces, grow=level.grow, by_level=(), start=start)
        # what was cleared at full depth is clear at every height above it, whatever the pieces there
        known = {(name, number): below for number in range(len(level.pieces))} if below else {}
        found = _made(one, ground=replace(after, swept={**ground.swept, **known}))
        last = level is operation.by_level[-1]
        after = found.ground if last else replace(found.ground, swept=ground.swept)
        passes.extend(found.passes)
        ways.extend(found.ways)
        shut.extend(found.shut)
        kept_out = max(kept_out, found.kept_out)
        start = level.z if operation.part is Part.AREA else start
    return Made(
        passes=grouped(passes, group=0),
        holes=(),
        ground=after,
        ways=tuple(dict.fromkeys(ways)),
        shut=tuple(dict.fromkeys(shut)),
        kept_out=kept_out,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stretch:
    """An operation at levels at which the same was gone before anything was cut, and the height it starts from."""

    operation: Operation
    top: Mm


def _stretches(operation: Operation, *, top: Mm, ground: Ground) -> tuple[_Stretch, ...]:
    found: list[_Stretch] = []
    for levels in spread(operation.levels, ground=ground):
        found.append(_Stretch(operation=replace(operation, levels=levels), top=top))
        top = levels[-1] if operation.part is Part.AREA else top
    return tuple(found)


def _top(operation: Operation, *, ground: Ground) -> Mm:
    """The height down to which all is cleared before an operation."""
    if operation.start is not None:
        return operation.start
    return _floor_above(operation, ground=ground) if operation.part is Part.FLOOR else -operation.feature.top


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """One piece of an operation: its figure, where the tool's centre may be in it, and the height it starts from."""

    number: int
    piece: Area
    work: Area
    top: Mm
    known: Circles


def _own_groups(passes: tuple[Pass, ...], *, number: int) -> tuple[Pass, ...]:
    """The groups of one piece told apart from those of every other."""
    return tuple(replace(one, group=number * _MOST_GROUPS + one.group) for one in passes)


def _open_ground(operation: Operation, *, place: Place, ground: Ground) -> Area:
    """Where the cutter may come down freely: beside the plate, and where it was gone before."""
    z = operation.levels[-1]
    opened = operation.feature.open_edges or isinstance(operation.feature.spec, FaceSpec)
    if not opened and not gone_at(ground, z=z):
        return ()
    radius = max(wall_radius(operation.cutter), operation.cutter.diameter / 2.0)
    return clipper.difference(place.piece, less=clipper.offset(stands_at(ground, z=z), by=radius + _AIR_BERTH))


def _known(operation: Operation) -> Circles:
    radius = wall_radius(operation.cutter)
    return areas.known_circles(operation.feature.regions, shrunk=radius + operation.stay - operation.grow)


def _swept(operation: Operation, *, place: Place, ground: Ground) -> Area:
    swept = ground.swept.get((operation.feature.spec.name, place.number), ())
    gone = gone_at(ground, z=operation.levels[-1])
    return clipper.union([swept, gone]) if gone else swept


def _area(operation: Operation, *, place: Place, ground: Ground) -> tuple[Cleared, Layout]:
    """The passes over an area; laid out as an earlier operation did, if its room was the same."""
    room = Room(
        work=place.work,
        radius=wall_radius(operation.cutter),
        step_over=operation.data.step_over,
        open_ground=_open_ground(operation, place=place, ground=ground),
        known=place.known,
        band=WALL_BAND if operation.purpose is Purpose.FACE else ROUGH,
    )
    before = ground.layouts.get((operation.feature.spec.name, place.number))
    layout = before if before is not None and same_room(before.room, room) else laid_out(room)
    job = Clearing(
        layout=layout,
        top=place.top,
        levels=operation.levels,
        descent=descent(operation),
        pacing=_pacing(operation, place=place, ground=ground),
    )
    return cleared(job), layout


def _pacing(operation: Operation, *, place: Place, ground: Ground) -> Pacing | None:
    """What the feed over an area follows; None where its cutting data do not say how."""
    feeds = operation.data.by_load
    if operation.part is not Part.AREA or feeds is None:
        return None
    gone = [hollow.area for hollow in over(ground, top=place.top, bottom=operation.levels[-1])]
    stands = stands_at(ground, z=operation.levels[-1])
    return Pacing(
        radius=wall_radius(operation.cutter),
        feeds=feeds,
        stands=clipper.difference(stands, less=clipper.union(gone)) if gone else stands,
    )


def _floor_above(operation: Operation, *, ground: Ground) -> Mm:
    """The height of the floor that the operation before left."""
    mine = [hollow.bottom for hollow in ground.hollows[ground.begun :] if hollow.feature == operation.feature.spec.name]
    return min(mine, default=-operation.feature.top)


def _rest(operation: Operation, *, place: Place, ground: Ground) -> Cleared:
    radius = wall_radius(operation.cutter)
    work = place.work
    reach = clipper.offset(simplified(work, within=_SECOND), by=radius)
    want = clipper.offset(place.piece, by=-operation.stay)
    want = clipper.intersection(want, with_=operation.only) if operation.only else want
    done = _swept(operation, place=place, ground=ground)
    if operation.feature.open_edges:
        done = clipper.union([done, clipper.difference(place.piece, less=ground.plate)])
    return corner_passes(
        Corners(
            work=work,
            rest=rest_of(want, done=done, reach=reach),
            ground=clipper.offset(done, by=-radius),
            radius=radius,
            step_over=min(operation.data.step_over, 0.9 * radius),
            top=-operation.feature.top,
            levels=operation.levels,
            descent=descent(operation),
            known=place.known,
        )
    )


def _wall(operation: Operation, *, place: Place, ground: Ground) -> Cleared:
    radius = wall_radius(operation.cutter)
    done = _swept(operation, place=place, ground=ground)
    if operation.only and operation.feature.open_edges:
        done = clipper.union([done, clipper.difference(place.piece, less=ground.plate)])
    clear = clipper.offset(simplified(done, within=_SECOND), by=-radius)
    skin = Skin(work=place.work, radius=radius, done=done, most=operation.data.step_over)
    passes: list[Pass] = []
    ways: list[str] = []
    opened = bool(_open_ground(operation, place=place, ground=ground))
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


def _wall_left(operation: Operation, *, place: Place, bar: Area, left: Undone, ground: Ground) -> Cleared:
    """The runs of a wall that earlier settings left; a ring of which they left everything is walked as ever."""
    radius = wall_radius(operation.cutter)
    whole = place.work
    passes: list[Pass] = []
    ways: list[str] = []
    opened = bool(_open_ground(operation, place=place, ground=ground))
    clear = clipper.offset(simplified(_swept(operation, place=place, ground=ground), within=_SECOND), by=-radius)
    for number, ring in enumerate(whole):
        closed = np.vstack((ring, ring[:1]))
        along = _on_material(ring, operation=operation, place=place, ground=ground) if opened else None
        parts = runs_left([closed] if along is None else along, shut=bar, left=left)
        parts = _kept_to(parts, operation=operation)
        if along is None and any(np.array_equal(part[0], part[-1]) for part in parts):
            found = _wall(operation, place=replace(place, work=(ring,)), ground=ground)
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
