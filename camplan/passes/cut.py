"""An operation turned into passes, given the ground as earlier operations left it.

Figures are taken piece by piece, so that the work grows with their number and not with its square.
"""

from dataclasses import dataclass, replace
from typing import assert_never

from camplan.catalogue.shape import wall_radius
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.clipper import simplified
from camplan.operations.records import Operation, Part
from camplan.operations.springs import sprung_levels
from camplan.passes.again import (
    entered,
    room_left,
    shut_parts,
    still_out,
    undone,
    with_shut_in,
    with_waived,
)
from camplan.passes.clearing import Cleared
from camplan.passes.common import Made, descent, freed
from camplan.passes.corners import Corners, corner_passes, rest_of
from camplan.passes.cut_areas import area_made
from camplan.passes.cut_edges import edge_made
from camplan.passes.cut_kerf import kerf_made, kerf_rest_made, kerf_wall_made
from camplan.passes.cut_lines import bored_made, drilled_made, lines_made, mouths_made
from camplan.passes.cut_place import Place, known_circles, swept_before
from camplan.passes.cut_planes import plane_made
from camplan.passes.cut_slopes import slopes_made
from camplan.passes.cut_walls import wall_left_made, wall_made
from camplan.passes.existing import room_standing
from camplan.passes.ground import Ground, barred, spread, with_hollow
from camplan.passes.records import Feed, Pass, grouped
from camplan.units import Mm

_MOST_GROUPS = 100_000
_SAME: Mm = 1e-6
_SECOND: Mm = 0.0005
"""Figures that were already offset once are thinned by this before they are offset again."""


def made(operation: Operation, *, ground: Ground) -> Made:
    """The passes of one operation, walls walked again as often as their cutting data ask for."""
    found = _made(operation, ground=ground)
    springs, again = operation.data.spring_passes, sprung_levels(operation)
    if not springs:
        return found
    passes: list[Pass] = []
    for one in found.passes:
        low = min(float(stroke.z.min()) for stroke in one.strokes)
        walked = any(abs(low - z) < _SAME for z in again) or not any(abs(low - z) < _SAME for z in operation.levels)
        passes += [one, *([_sprung(one)] * springs if walked else ())]
    return replace(found, passes=tuple(passes))


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
    known = known_circles(operation)
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
                    found, layout = area_made(part, place=replace(place, work=room), ground=ground)
                    if layout is not None:
                        layouts[part.feature.spec.name, number] = layout
                case Part.REST:
                    found = _rest(part, place=place, ground=ground)
                case _ if left is not None:
                    found = wall_left_made(part, place=replace(place, work=whole), bar=bar, left=left, ground=ground)
                case _:
                    found = wall_made(part, place=place, ground=ground)
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


def _own_groups(passes: tuple[Pass, ...], *, number: int) -> tuple[Pass, ...]:
    """The groups of one piece told apart from those of every other."""
    return tuple(replace(one, group=number * _MOST_GROUPS + one.group) for one in passes)


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
    done = swept_before(operation, place=place, ground=ground)
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
