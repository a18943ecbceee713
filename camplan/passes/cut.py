"""An operation turned into passes, given the ground as earlier operations left it."""

import math
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np

from camplan import tolerance
from camplan.catalogue.shape import can_plunge
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Chain, Points, backwards
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import Band, Circles, fitted
from camplan.operations import areas
from camplan.operations.records import Operation, Part
from camplan.passes.bores import Bore, bore_pass, bore_wall
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.corners import Corners, corner_passes, rest_of
from camplan.passes.entry import Descent
from camplan.passes.ground import Ground, barred, free_height, with_hollow
from camplan.passes.kerf import Kerf, kerf_passes, kerf_wall_passes
from camplan.passes.lines import mark_passes, slot_passes
from camplan.passes.records import HolePass, Pass, grouped
from camplan.passes.wall import Wall, open_wall_passes, wall_passes
from camplan.units import Mm

_WALL_BAND = Band(left=tolerance.WALL_FIT, right=tolerance.WALL_SIDE)
_AIR_BERTH: Mm = 0.2
_RUN_OUT: Mm = 0.5
_FREE_ROOM: Mm = 1e3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Made:
    """Passes or holes of one operation, the ground after it, how it enters, and where it found no way in."""

    passes: tuple[Pass, ...]
    holes: tuple[HolePass, ...]
    ground: Ground
    ways: tuple[str, ...]
    shut: tuple[tuple[Mm, Mm], ...]


def made(operation: Operation, *, ground: Ground) -> Made:
    """The passes of one operation."""
    match operation.part:
        case Part.AREA | Part.FLOOR:
            return _area(operation, ground=ground)
        case Part.REST:
            return _rest(operation, ground=ground)
        case Part.WALL if isinstance(operation.feature.spec, OutlineSpec):
            return _kerf_wall(operation, ground=ground)
        case Part.WALL:
            return _wall(operation, ground=ground)
        case Part.KERF:
            return _kerf(operation, ground=ground)
        case Part.LINE:
            return _lines(operation, ground=ground)
        case Part.SPOT | Part.DRILLED:
            return _drilled(operation, ground=ground)
        case Part.BORED:
            return _bored(operation, ground=ground)
        case _:
            assert_never(operation.part)


def _descent(operation: Operation) -> Descent:
    cutter, data = operation.cutter, operation.data
    return Descent(diameter=cutter.diameter, angle=data.ramp_angle, pitch=data.helix_pitch, plunges=can_plunge(cutter))


def _work(operation: Operation, *, ground: Ground) -> Area:
    """Where the tool's centre may be."""
    radius = operation.cutter.diameter / 2.0
    work = clipper.offset(operation.area, by=-(radius + operation.stay))
    return clipper.difference(work, less=barred(operation.cutter, deepest=operation.levels[-1], ground=ground))


def _open_ground(operation: Operation, *, ground: Ground) -> Area:
    """Where the cutter, beside the plate, may come down freely."""
    radius = operation.cutter.diameter / 2.0
    return clipper.difference(operation.area, less=clipper.offset(ground.plate, by=radius + _AIR_BERTH))


def _freed(passes: tuple[Pass, ...], *, operation: Operation, ground: Ground) -> tuple[Pass, ...]:
    """The passes with the height above which their first column is known to be clear."""
    radius = max(operation.cutter.diameter, operation.cutter.shank_diameter) / 2.0
    found = []
    for one in passes:
        first = one.strokes[0].path.points[0]
        known = free_height(ground, at=(float(first[0]), float(first[1])), radius=radius)
        found.append(replace(one, free=max(min(one.free, known), float(one.strokes[0].z.min()))))
    return tuple(found)


def _known(operation: Operation) -> Circles:
    radius = operation.cutter.diameter / 2.0
    return areas.known_circles(operation.feature.regions, shrunk=radius + operation.stay)


def _finish(operation: Operation, *, found: Cleared, work: Area, ground: Ground, before: Ground | None = None) -> Made:
    reach = clipper.offset(work, by=operation.cutter.diameter / 2.0)
    after = with_hollow(
        ground,
        area=reach,
        top=-operation.feature.top,
        bottom=operation.levels[-1],
        feature=operation.feature.spec.name,
    )
    passes = _freed(found.passes, operation=operation, ground=ground)
    return Made(passes=passes, holes=(), ground=after, ways=found.ways, shut=found.shut)


def _area(operation: Operation, *, ground: Ground) -> Made:
    work = _work(operation, ground=ground)
    top = -operation.feature.top if operation.part is Part.AREA else _floor_above(operation, ground=ground)
    found = cleared(
        Clearing(
            work=work,
            radius=operation.cutter.diameter / 2.0,
            step_over=operation.data.step_over,
            top=top,
            levels=operation.levels,
            descent=_descent(operation),
            open_ground=_open_ground(operation, ground=ground),
            known=_known(operation),
        )
    )
    return _finish(operation, found=found, work=work, ground=ground)


def _floor_above(operation: Operation, *, ground: Ground) -> Mm:
    """The height of the floor that the operation before left."""
    mine = [hollow.bottom for hollow in ground.hollows if hollow.feature == operation.feature.spec.name]
    return min(mine, default=-operation.feature.top)


def _rest(operation: Operation, *, ground: Ground) -> Made:
    radius = operation.cutter.diameter / 2.0
    work = _work(operation, ground=ground)
    reach = clipper.offset(work, by=radius)
    want = clipper.offset(operation.area, by=-operation.stay)
    done = ground.swept.get(operation.feature.spec.name, ())
    air = clipper.difference(operation.area, less=ground.plate)
    done = clipper.union([done, air]) if air else done
    found = corner_passes(
        Corners(
            work=work,
            rest=rest_of(want, done=done, reach=reach),
            ground=clipper.offset(done, by=-radius),
            radius=radius,
            step_over=min(operation.data.step_over, 0.9 * radius),
            top=-operation.feature.top,
            levels=operation.levels,
            descent=_descent(operation),
            known=_known(operation),
        )
    )
    return _finish(operation, found=found, work=work, ground=ground)


def _wall(operation: Operation, *, ground: Ground) -> Made:
    radius = operation.cutter.diameter / 2.0
    work = _work(operation, ground=ground)
    done = ground.swept.get(operation.feature.spec.name, ())
    clear = clipper.offset(done, by=-radius)
    passes: list[Pass] = []
    ways: list[str] = []
    known = _known(operation)
    opened = bool(_open_ground(operation, ground=ground))
    rings = fitted(work, closed=True, band=_WALL_BAND, known=known)
    for number, (ring, path) in enumerate(zip(work, rings, strict=True)):
        wall = Wall(
            path=path,
            work=work,
            ground=clear,
            diameter=operation.cutter.diameter,
            top=-operation.feature.top,
            levels=operation.levels,
            room=_FREE_ROOM,
        )
        parts = _on_material(ring, operation=operation, ground=ground) if opened else None
        if parts is None:
            laps, tangent = wall_passes(wall)
            found = list(laps)
            ways.append(
                "on and off the wall by tangent arcs" if tangent else "straight onto the wall: no room for arcs"
            )
        else:
            runs = fitted(parts, closed=False, band=_WALL_BAND, known=known)
            found = open_wall_passes(runs, levels=operation.levels)
            ways.append("on and off the wall beside the plate")
        passes.extend(grouped(found, group=number))
    result = Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=())
    return _finish(operation, found=result, work=work, ground=ground)


def _on_material(ring: Points, *, operation: Operation, ground: Ground) -> list[Points] | None:
    """The parts of a wall path that run along material, drawn out into the air; None if all of it does."""
    reach = operation.cutter.diameter / 2.0 + operation.stay + _RUN_OUT
    inland = clipper.offset(ground.plate, by=-tolerance.GOUGE)
    walls = clipper.cut_lines(
        [np.vstack((edge, edge[:1])) for edge in areas.of_regions(operation.feature.regions)], area=inland, inside=True
    )
    near = clipper.union([clipper.around([wall], by=reach) for wall in walls])
    closed = np.vstack((ring, ring[:1]))
    away = clipper.cut_lines([closed], area=near, inside=False)
    if not away:
        return None
    return _seamless(list(clipper.cut_lines([closed], area=near, inside=True)))


def _seamless(
    parts: list[Points],
) -> list[Points]:
    for first, path in enumerate(parts):
        for second, other in enumerate(parts):
            if first != second and np.hypot(*(path[-1] - other[0])) < 1e-5:
                rest = [part for index, part in enumerate(parts) if index not in (first, second)]
                return [np.vstack((path, other[1:])), *rest]
    return parts


def _kerf_job(operation: Operation, *, ring: Chain, room: Mm) -> Kerf:
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    radius = operation.cutter.diameter / 2.0
    return Kerf(
        path=ring,
        blocked=clipper.offset(areas.of_regions(feature.bridges), by=radius),
        bridge_top=-(feature.bottom - spec.bridge_height),
        top=-feature.top,
        levels=operation.levels,
        diameter=operation.cutter.diameter,
        descent=_descent(operation),
        room=room,
        band=_WALL_BAND,
        known=_kerf_circles(operation),
    )


def _kerf_offset(operation: Operation) -> Mm:
    """How far the tool's centre runs from the drawn contour, positive outside it."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    out = operation.cutter.diameter / 2.0 + operation.stay
    return out if spec.side == "outside" else -out


def _kerf_circles(operation: Operation) -> Circles:
    return areas.known_circles(operation.feature.regions, shrunk=-_kerf_offset(operation))


def _kerf_rings(operation: Operation) -> tuple[Chain, ...]:
    """The contours that the tool's centre follows, the wall to their right."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    area = clipper.offset(areas.of_regions(operation.feature.regions), by=_kerf_offset(operation))
    rings = fitted(area, closed=True, band=_WALL_BAND, known=_kerf_circles(operation))
    return tuple(backwards(ring) for ring in rings) if spec.side == "outside" else rings


def _kerf_area(operation: Operation) -> Area:
    """The slot that an operation of an outline leaves."""
    radius = operation.cutter.diameter / 2.0
    return areas.along(_kerf_rings(operation), by=radius)


def _kerf(operation: Operation, *, ground: Ground) -> Made:
    passes: list[Pass] = []
    for number, ring in enumerate(_kerf_rings(operation)):
        passes.extend(grouped(kerf_passes(_kerf_job(operation, ring=ring, room=0.0)), group=number))
    name = operation.feature.spec.name
    held = (
        -(operation.feature.bottom - operation.feature.spec.bridge_height)
        if operation.feature.bridges and isinstance(operation.feature.spec, OutlineSpec)
        else operation.levels[-1]
    )
    after = with_hollow(ground, area=_kerf_area(operation), top=-operation.feature.top, bottom=held, feature=name)
    return Made(
        passes=_freed(tuple(passes), operation=operation, ground=after),
        holes=(),
        ground=after,
        ways=("enters by a ramp along the kerf",),
        shut=(),
    )


def _kerf_wall(operation: Operation, *, ground: Ground) -> Made:
    """The wall beside a kerf that is wider than the cutter by what roughing left."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    radius = operation.cutter.diameter / 2.0
    room = (operation.feature.kerf or 0.0) - 2.0 * radius
    strip = clipper.difference(
        clipper.offset(
            areas.of_regions(operation.feature.regions),
            by=_kerf_offset(operation) + (room if spec.side == "outside" else 0.0),
        ),
        less=clipper.offset(
            areas.of_regions(operation.feature.regions),
            by=_kerf_offset(operation) - (0.0 if spec.side == "outside" else room),
        ),
    )
    passes: list[Pass] = []
    tangent = True
    for number, ring in enumerate(_kerf_rings(operation)):
        found, good = kerf_wall_passes(_kerf_job(operation, ring=ring, room=0.9 * room), work=strip)
        passes.extend(grouped(found, group=number))
        tangent = tangent and good
    way = "on and off the wall by tangent arcs" if tangent else "straight onto the wall: no room for arcs"
    return Made(
        passes=_freed(tuple(passes), operation=operation, ground=ground), holes=(), ground=ground, ways=(way,), shut=()
    )


def _lines(operation: Operation, *, ground: Ground) -> Made:
    feature = operation.feature
    top = -feature.top
    engraves = operation.purpose.value == "mark"
    passes = tuple(
        mark_passes(line, top=top, levels=operation.levels)
        if engraves
        else slot_passes(line, top=top, levels=operation.levels, descent=_descent(operation))
        for line in feature.lines
    )
    passes = tuple(replace(one, group=number) for number, one in enumerate(passes))
    after = ground
    if not engraves:
        area = areas.along(feature.lines, by=operation.cutter.diameter / 2.0)
        after = with_hollow(ground, area=area, top=top, bottom=operation.levels[-1], feature=feature.spec.name)
    way = "straight down: the engraver cuts at its point" if engraves else "enters by a ramp along its line"
    return Made(passes=_freed(passes, operation=operation, ground=ground), holes=(), ground=after, ways=(way,), shut=())


def _places(operation: Operation) -> tuple[tuple[Mm, Mm], ...]:
    wanted = operation.diameter or 0.0
    return tuple((x, y) for x, y, size in operation.feature.circles if abs(size - wanted) < 1e-9)


def _drilled(operation: Operation, *, ground: Ground) -> Made:
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
    area = ground.swept.get(operation.feature.spec.name, ())
    x, y = _places(operation)[0]
    nearest = min(
        (float(np.hypot(*(ring - (x, y)).T).max()) for ring in area if np.hypot(*(ring.mean(axis=0) - (x, y))) < 1e-3),
        default=0.0,
    )
    return max((operation.diameter or 0.0) / 2.0 - nearest, 0.0)


def _bored(operation: Operation, *, ground: Ground) -> Made:
    passes: list[Pass] = []
    tangent = True
    for number, at in enumerate(_places(operation)):
        bore = Bore(
            at=at,
            diameter=operation.diameter or math.nan,
            cutter=operation.cutter.diameter,
            top=-operation.feature.top,
            bottom=operation.levels[-1],
            descent=_descent(operation),
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
        passes=_freed(tuple(passes), operation=operation, ground=before), holes=(), ground=after, ways=(way,), shut=()
    )
