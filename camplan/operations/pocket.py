"""How cutters share the work in a region: who clears it, who clears what the others left, who cuts the wall.

Any relay of cutters may do it, from the widest to the narrowest, that leaves no more than the best of the shelf
would, or than the granted corners.  Which relay it is, is chosen elsewhere; here stand the steps with their times, and
the operations of a relay.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import can_plunge
from camplan.cutting.records import CutKind, CuttingData
from camplan.features.records import Feature
from camplan.geometry import clipper
from camplan.geometry.clipper import Area, simplified
from camplan.operations import pace
from camplan.operations.corners import inner_radius as inner_radius
from camplan.operations.evenly import quicker
from camplan.operations.fits import COARSE, FINE, GAIN, Filled, Fit, filled, fit
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.relays import Steps, alone, members, wall_of
from camplan.operations.shop import Shop, change_seconds, suited, why
from camplan.regions import Region
from camplan.units import Mm, Mm2, Seconds

_THINNER = (0.5, 0.25, 0.0)
"""Shares of the finishing allowance that are tried before a narrower cutter is taken."""
_NECK = 1.0
"""Lost pieces larger than this times r squared are necks or lobes, not corners (a right angle loses 0.21)."""
_TRACE: Mm2 = 5e-4
"""Rest that the proof does not see."""
HELIX_ROOM, _RAMP_ROOM = 0.17, 0.5
"""What a way down needs over the diameter, with a little to spare, as places are known coarsely."""
_MOST_ALONE = 14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Room:
    """What is to be cleared: ``pieces`` as the cutter sees them (air beside the plate included), from ``top`` to
    ``bottom`` (z); the wall stays ``allowance`` short; ``corner`` is the radius granted in corners (None: none)."""

    feature: Feature
    pieces: tuple[Area, ...]
    top: Mm
    bottom: Mm
    allowance: Mm
    finish: Mm
    floor: Mm
    corner: Mm | None
    plate: Area = ()
    """Corners beside it, if it is given, are no corners."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """A room with what its cutters make of it, widest first, and what every step of theirs takes."""

    room: Room
    fits: tuple[Fit, ...]
    steps: Steps


def fitted_room(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> Fitted | None:
    """How cutters, widest first, fit a room; None if none fits in at all."""
    depth = -room.bottom
    room, fits = _thinned(room, cutters=suited(cutters, kind=CutKind.ROUGH, depth=depth, shop=shop), shop=shop)
    return Fitted(room=room, fits=fits, steps=_steps(room, fits=fits, shop=shop)) if fits else None


def room_operations(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> tuple[Operation, ...]:
    """The operations that clear a room by itself in the least time, none if no cutter fits in at all; of more
    than 14 fitting cutters the widest 13 and the narrowest are tried."""
    found = fitted_room(room, cutters=cutters, shop=shop)
    if found is None:
        return ()
    places = list(range(len(found.fits)))
    if len(places) > _MOST_ALONE:
        places = [*places[: _MOST_ALONE - 1], places[-1]]
    own = alone(found.steps.of(places), change=change_seconds(shop))
    relay = sum(1 << places[place] for place in members(own))
    return relay_operations(found, relay=relay, purpose=Purpose.ROUGH, shop=shop)


def _thinned(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> tuple[Room, tuple[Fit, ...]]:
    """The room with so much left for finishing that narrow places do not ask for a narrower cutter than they need,
    and how the cutters fit it then."""
    best, fits = room, _fits(room, cutters=cutters, shop=shop)
    widest = _widest_wall(cutters, room=room)
    for share in _THINNER if room.finish > 0.0 else ():
        wall = _holding(fits, room=best).cutter.diameter if fits else 0.0
        if wall >= widest - 1e-9:
            break
        thinner = replace(room, finish=room.finish * share)
        wider = tuple(cutter for cutter in cutters if cutter.diameter > wall + 1e-9)
        others = _fits(thinner, cutters=(*wider, *cutters[-1:]), shop=shop)
        if others and _holding(others, room=thinner).cutter.diameter > wall + 1e-9:
            best, fits = thinner, _fits(thinner, cutters=cutters, shop=shop)
    return best, fits


def _fits(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> tuple[Fit, ...]:
    want = _wanted(room)
    alike: dict[float, Filled | None] = {}
    every: list[Fit | None] = []
    for cutter in cutters:
        if cutter.diameter not in alike:
            alike[cutter.diameter] = filled(cutter.diameter, want=want, plate=room.plate)
        step_over = shop.data_for(cutter, CutKind.ROUGH, -room.bottom, None).step_over
        every.append(fit(cutter, filled=alike[cutter.diameter], step_over=step_over))
    return tuple(one for one in every if one is not None)


def _wanted(room: Room) -> list[Area]:
    """The pieces of a room less what stays on their walls for finishing."""
    stay = room.allowance + room.finish
    return [clipper.offset(simplified(piece, within=COARSE), by=-stay, chord=COARSE) for piece in room.pieces]


def _widest_wall(cutters: tuple[Cutter, ...], *, room: Room) -> Mm:
    """The widest cutter that its corners alone would let a room's wall have."""
    granted = _granted(room)
    return max((cutter.diameter for cutter in cutters if cutter.diameter / 2.0 <= granted + 1e-6), default=0.0)


def _granted(room: Room) -> Mm:
    """The largest radius that may stand in corners; infinite where only sharp ones are drawn and none is granted."""
    drawn = inner_radius(_regions(room), plate=room.plate)
    granted = math.inf if drawn is None else max(drawn - room.allowance, room.corner or 0.0)
    return granted if granted > 0.0 else math.inf


def _passes_necks(one: Fit, *, most: float) -> bool:
    """Whether a cutter leaves nothing but corners, or no more than the cutter that reaches most."""
    radius = one.cutter.diameter / 2.0
    return one.largest <= _NECK * radius**2 or one.reached >= most - GAIN


def _holding(fits: tuple[Fit, ...], *, room: Room) -> Fit:
    """The widest cutter that holds the corners and passes the necks."""
    most, granted = max(one.reached for one in fits), _granted(room)
    for one in fits:
        if one.cutter.diameter / 2.0 <= granted + 1e-6 and _passes_necks(one, most=most):
            return one
    return fits[-1]


def _steps(room: Room, *, fits: tuple[Fit, ...], shop: Shop) -> Steps:
    """What every step of the fitting cutters takes, and which they may take."""
    most, granted = max(one.reached for one in fits), _granted(room)
    passes = np.array([_passes_necks(one, most=most) for one in fits])
    whole = np.array([one.reached >= most - GAIN for one in fits])
    holds_ = np.array([one.cutter.diameter / 2.0 <= granted + 1e-6 for one in fits]) & passes
    last = (
        holds_ | _clearing(room, fits=fits, able=whole)
        if room.corner is not None
        else (_clearing(room, fits=fits, able=whole | (holds_ & (not math.isinf(granted)))))
    )
    firm = np.array(
        [
            ok and _bends(room, cutter=one.cutter, kind=CutKind.WALL, shop=shop)
            for one, ok in zip(fits, passes, strict=True)
        ]
    )
    wall = passes & firm if np.any(passes & firm) else passes
    after = np.full(len(fits), math.isinf(granted))
    if not after.any() and np.any(wall & ~last):
        after = np.array([_bends(room, cutter=one.cutter, kind=CutKind.CORNERS, shop=shop) for one in fits])
    down = [_goes_down(one) for one in fits]
    down = down if any(down) else [True for _ in fits]
    rest = np.full((len(fits), len(fits)), np.inf)
    for wide, one in enumerate(fits):
        for narrow in range(wide + 1, len(fits)):
            rest[wide, narrow] = _rest_time(room, wide=one, narrow=fits[narrow], whole=bool(last[wide]), shop=shop)
    walls = [_wall_time(room, one=one, shop=shop) if ok else math.inf for one, ok in zip(fits, wall, strict=True)]
    return Steps(
        cutters=tuple(one.cutter for one in fits),
        first=np.array(
            [_first_time(room, one=one, shop=shop) if ok else math.inf for one, ok in zip(fits, down, strict=True)]
        ),
        rest=rest,
        wall=np.array(walls),
        last=last,
        after=after,
    )


def _clearing(room: Room, *, fits: tuple[Fit, ...], able: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which of the ``able`` cutters clear, when they cut the wall itself, all that the narrowest would: what stands for
    finishing makes corners look tighter than they are.  The narrowest always does."""
    found = np.zeros(len(fits), dtype=np.bool_)
    found[-1] = True
    wall = replace(room, finish=0.0)
    places = np.flatnonzero(able[:-1]).tolist()
    least = _left(wall, one=fits[-1]) if places else 0.0
    for place in places:
        found[place] = _left(wall, one=fits[place]) <= least + _TRACE
    return found


def _left(room: Room, *, one: Fit) -> Mm2:
    """What a cutter leaves of a room, taken finely."""
    stay = room.allowance + room.finish
    want = [clipper.offset(simplified(piece, within=FINE), by=-stay, chord=FINE) for piece in room.pieces]
    again = filled(one.cutter.diameter, want=want, plate=room.plate, within=FINE)
    return again.left if again is not None else sum(clipper.surface(piece) for piece in want)


def _goes_down(one: Fit) -> bool:
    """Whether a cutter comes down wherever it has to: straight, or with room for a helix or a ramp."""
    if can_plunge(one.cutter):
        return True
    size = one.cutter.diameter
    return all(start.radius >= HELIX_ROOM * size or start.edge >= _RAMP_ROOM * size for start in one.starts)


def _bends(room: Room, *, cutter: Cutter, kind: CutKind, shop: Shop) -> bool:
    """Whether a cutter holds the wall's tolerance in a cut that makes it, spring passes included."""
    tolerance = getattr(room.feature.spec, "tolerance", math.inf)
    if kind is CutKind.WALL:
        error = _wall_data(room, cutter=cutter, shop=shop).size_error
        return error is None or error <= tolerance + 1e-9
    bending = shop.data_for(cutter, kind, -room.bottom, None).bending
    return bending is not None and bending <= tolerance


def _wall_data(room: Room, *, cutter: Cutter, shop: Shop) -> CuttingData:
    width = room.finish if room.finish > 0.0 else None
    tolerance = getattr(room.feature.spec, "tolerance", None)
    if tolerance is None:
        return shop.data_for(cutter, CutKind.WALL, -room.bottom, width)
    return shop.wall_data(cutter, -room.bottom, width, tolerance)


def _first_time(room: Room, *, one: Fit, shop: Shop) -> Seconds:
    return sum(
        _area_time(room, one=one, operation=operation, shop=shop) for operation in _roughed(room, one=one, shop=shop)
    )


def _area_time(room: Room, *, one: Fit, operation: Operation, shop: Shop) -> Seconds:
    top = room.top if operation.part is Part.AREA else room.bottom + room.floor
    return pace.area_seconds(one, data=operation.data, levels=operation.levels, top=top, machine=shop.machine)


def _rest_time(room: Room, *, wide: Fit, narrow: Fit, whole: bool, shop: Shop) -> Seconds:
    """What a narrower cutter takes for what a wider one left; traces, thinner than figures are taken, are looked after
    as well unless the wider one is known to leave nothing (``whole``)."""
    rest = pace.rest_between(wide, narrow=narrow)
    if rest.places == 0:
        return 0.0 if whole else pace.lift_seconds(shop.machine)
    operation = _rest(room, one=narrow, wide=wide, stay=room.allowance, shop=shop)
    return pace.rest_seconds(
        rest,
        radius=narrow.cutter.diameter / 2.0,
        step_over=min(operation.data.step_over, 0.45 * narrow.cutter.diameter),
        data=operation.data,
        levels=operation.levels,
        machine=shop.machine,
    )


def _wall_time(room: Room, *, one: Fit, shop: Shop) -> Seconds:
    operation = _wall(room, one=one, shop=shop)
    return pace.wall_seconds(one, data=operation.data, levels=operation.levels, machine=shop.machine)


def _regions(room: Room) -> tuple[Region, ...]:
    return room.feature.regions


def relay_operations(found: Fitted, *, relay: int, purpose: Purpose, shop: Shop) -> tuple[Operation, ...]:
    """The operations of a relay, in order, each with the time that it is expected to take; clearing serves
    ``purpose``."""
    room, fits = found.room, found.fits
    wall = wall_of(found.steps, relay=relay)
    places = members(relay)
    made: list[Operation] = []
    for number, place in enumerate(places):
        one = fits[place]
        if number == 0:
            for operation in _roughed(room, one=one, shop=shop):
                seconds = _area_time(room, one=one, operation=operation, shop=shop)
                if operation.part is Part.AREA:
                    served = replace(operation, purpose=purpose)
                    made.append(quicker(served, one=one, top=room.top, seconds=seconds, shop=shop))
                else:
                    made.append(replace(operation, expected=seconds))
        else:
            wide = fits[places[number - 1]]
            stay = room.allowance + (room.finish if place <= wall else 0.0)
            whole = bool(found.steps.last[places[number - 1]])
            seconds = _rest_time(room, wide=wide, narrow=one, whole=whole, shop=shop)
            if seconds > 0.0:
                made.append(replace(_rest(room, one=one, wide=wide, stay=stay, shop=shop), expected=seconds))
        if place == wall:
            made.append(replace(_wall(room, one=one, shop=shop), expected=_wall_time(room, one=one, shop=shop)))
    return tuple(made)


def _roughed(room: Room, *, one: Fit, shop: Shop) -> list[Operation]:
    """Levels down to the floor's allowance, and the floor."""
    data = shop.data_for(one.cutter, CutKind.ROUGH, -room.bottom, None)
    skim = shop.data_for(one.cutter, CutKind.FLOOR, -room.bottom, None) if room.floor > 0.0 else None
    floor = min(room.floor, skim.step_down) if skim is not None else 0.0
    levels = even_levels(room.top, bottom=room.bottom + floor, step_down=data.step_down)
    sentence = f"{one.cutter.name}: clears it from the full, {len(levels)} {'level' if len(levels) == 1 else 'levels'}"
    found = [
        _operation(
            room,
            purpose=Purpose.ROUGH,
            part=Part.AREA,
            cutter=one.cutter,
            data=data,
            levels=levels,
            stay=room.allowance + room.finish,
            why_=sentence,
        )
    ]
    if skim is not None:
        found.append(
            _operation(
                room,
                purpose=Purpose.FINISH,
                part=Part.FLOOR,
                cutter=one.cutter,
                data=skim,
                levels=(room.bottom,),
                stay=room.allowance + room.finish,
                why_=f"the floor is skimmed by {floor:.2f} mm in one level",
            )
        )
    return found


def _rest(room: Room, *, one: Fit, wide: Fit, stay: Mm, shop: Shop) -> Operation:
    data = shop.data_for(one.cutter, CutKind.CORNERS, -room.bottom, None)
    levels = even_levels(room.top, bottom=room.bottom, step_down=data.step_down)
    sentence = (
        f"{one.cutter.name}: {wide.cutter.name} leaves {wide.left:.2f} mm2 in {wide.places} "
        f"{'place' if wide.places == 1 else 'places'}, it {one.left:.2f}"
    )
    made = _operation(
        room,
        purpose=Purpose.CORNERS,
        part=Part.REST,
        cutter=one.cutter,
        data=data,
        levels=levels,
        stay=stay,
        why_=sentence,
    )
    return replace(made, rest=wide.lost)


def _wall(room: Room, *, one: Fit, shop: Shop) -> Operation:
    data = _wall_data(room, cutter=one.cutter, shop=shop)
    levels = even_levels(room.top, bottom=room.bottom, step_down=min(data.step_down, one.cutter.flute_length))
    held = "one level: the flutes are long enough" if len(levels) == 1 else f"{len(levels)} levels"
    return _operation(
        room,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=one.cutter,
        data=data,
        levels=levels,
        stay=room.allowance,
        why_=f"{one.cutter.name}: passes every neck and cuts the wall in {held}",
    )


def _operation(
    room: Room,
    *,
    purpose: Purpose,
    part: Part,
    cutter: Cutter,
    data: CuttingData,
    levels: tuple[Mm, ...],
    stay: Mm,
    why_: str,
) -> Operation:
    return Operation(
        feature=room.feature,
        purpose=purpose,
        part=part,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=stay,
        reasons=(why("cutter", why_), *data.reasons),
        pieces=room.pieces,
    )
