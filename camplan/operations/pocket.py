"""Which cutters clear a region, finish its walls and reach into its corners.

The widest cutter that saves time roughs.  The widest that holds the corners finishes the wall; where a drawn corner
is sharper than that and no larger radius was granted, the smallest that reaches clears what is left.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CutKind, CuttingData
from camplan.features.records import Feature
from camplan.geometry import clipper
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.edges import edges_of, holds
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop, suited, why
from camplan.regions import InnerCorner, Region, inner_corners
from camplan.units import S_PER_MIN, Mm, Mm2, Seconds

_GAIN: Mm2 = 2e-3
"""Rest below this is not worth a cutter change."""
_THINNER = (0.5, 0.25, 0.0)
"""Shares of the finishing allowance that are tried before a narrower cutter is taken."""
_NECK = 1.0
"""Lost pieces larger than this times r squared are necks or lobes, not corners (a right angle loses 0.21)."""
_STEP_RATIO = 4.0
_ON_EDGE: Mm = 0.001
_COARSE: Mm = 0.005
"""Figures are taken this coarsely for choosing, not for cutting."""


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
class _Fit:
    """How one cutter fills a room."""

    cutter: Cutter
    reached: Mm2
    lost: Area
    seconds: Seconds
    rate: float


def room_operations(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> tuple[Operation, ...]:
    """The operations that clear a room, in order; none if no cutter fits in at all."""
    depth = -room.bottom
    room, fits = _thinned(room, cutters=suited(cutters, kind=CutKind.ROUGH, depth=depth, shop=shop), shop=shop)
    if not fits:
        return ()
    wall = _wall_cutter(fits, room=room)
    rough = _rough_cutter(
        [fit for fit in fits if fit.cutter.diameter >= wall.cutter.diameter - 1e-9], wall=wall, shop=shop
    )
    stay = room.allowance + room.finish
    found = _roughed(room, fit=rough, stay=stay, shop=shop)
    for fit in _between(fits, wide=rough, narrow=wall):
        found.append(_rest(room, cutter=fit.cutter, stay=stay, shop=shop, why_=_why_rest(fit, wide=rough, room=room)))
    found.append(_wall(room, cutter=wall.cutter, shop=shop, depth=depth))
    for fit in _sharper(fits, wall=wall, room=room):
        sentence = f"{fit.cutter.name}: the smallest on the shelf that reaches {depth:.2f} mm, for the corners left"
        found.append(_rest(room, cutter=fit.cutter, stay=room.allowance, shop=shop, why_=sentence))
    return tuple(found)


def _thinned(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> tuple[Room, list[_Fit]]:
    """The room with so much left for finishing that narrow places do not ask for a narrower cutter than they need,
    and how the cutters fit it then."""
    best, fits = room, _fits(room, cutters=cutters, shop=shop)
    widest = _widest_wall(cutters, room=room)
    for share in _THINNER if room.finish > 0.0 else ():
        wall = _wall_cutter(fits, room=best).cutter.diameter if fits else 0.0
        if wall >= widest - 1e-9:
            break
        thinner = replace(room, finish=room.finish * share)
        others = _fits(thinner, cutters=cutters, shop=shop)
        if others and _wall_cutter(others, room=thinner).cutter.diameter > wall + 1e-9:
            best, fits = thinner, others
    return best, fits


def _fits(room: Room, *, cutters: tuple[Cutter, ...], shop: Shop) -> list[_Fit]:
    want = [
        clipper.offset(simplified(piece, within=_COARSE), by=-(room.allowance + room.finish)) for piece in room.pieces
    ]
    return [fit for cutter in cutters if (fit := _fit(cutter, want=want, room=room, shop=shop)) is not None]


def _widest_wall(cutters: tuple[Cutter, ...], *, room: Room) -> Mm:
    """The widest cutter that its corners alone would let a room's wall have."""
    granted = _granted(room)
    return max((cutter.diameter for cutter in cutters if cutter.diameter / 2.0 <= granted + 1e-6), default=0.0)


def _granted(room: Room) -> Mm:
    """The largest radius that may stand in corners; infinite where only sharp ones are drawn and none is granted."""
    drawn = inner_radius(_regions(room), plate=room.plate)
    granted = math.inf if drawn is None else max(drawn - room.allowance, room.corner or 0.0)
    return granted if granted > 0.0 else math.inf


def _fit(cutter: Cutter, *, want: list[Area], room: Room, shop: Shop) -> _Fit | None:
    """How a cutter fills the room's pieces, to within the coarseness of a choice."""
    radius = cutter.diameter / 2.0
    work = [clipper.shrunk(piece, by=radius) for piece in want]
    if not any(work):
        return None
    reach = [clipper.offset(simplified(area, within=_COARSE), by=radius) for area in work]
    data = shop.data_for(cutter, CutKind.ROUGH, -room.bottom, None)
    path = sum(clipper.surface(area) / data.step_over + clipper.perimeter(area) / 2.0 for area in work)
    levels = math.ceil((room.top - room.bottom) / data.step_down - 1e-9)
    lost = [
        clipper.difference(piece, less=clipper.offset(area, by=2.0 * _COARSE))
        for piece, area in zip(want, reach, strict=True)
    ]
    return _Fit(
        cutter=cutter,
        reached=sum(clipper.surface(area) for area in reach),
        lost=tuple(ring for area in lost for ring in area),
        seconds=path * levels / data.feed * S_PER_MIN,
        rate=data.step_over * data.step_down * data.feed / S_PER_MIN,
    )


def _wall_cutter(fits: list[_Fit], *, room: Room) -> _Fit:
    """The widest cutter that holds the corners and passes the necks."""
    best = max(fit.reached for fit in fits)
    granted = _granted(room)
    for fit in fits:
        radius = fit.cutter.diameter / 2.0
        largest = max((clipper.surface(piece) for piece in clipper.pieces(fit.lost)), default=0.0)
        necks = largest > _NECK * radius**2 and fit.reached < best - _GAIN
        if radius <= granted + 1e-6 and not necks:
            return fit
    return fits[-1]


def _regions(room: Room) -> tuple[Region, ...]:
    return room.feature.regions


def inner_radius(regions: Iterable[Region], *, plate: Area = ()) -> Mm | None:
    """The smallest inner radius of all regions, corners beside the ``plate`` left out if one is given; None if there
    is no inner corner."""
    corner = inner_corner(regions, plate=plate)
    return corner.radius if corner is not None else None


def inner_corner(regions: Iterable[Region], *, plate: Area = ()) -> InnerCorner | None:
    """The tightest inner corner of all regions that lies inside the plate."""
    inland = edges_of(clipper.offset(plate, by=-_ON_EDGE)) if plate else None
    found = [
        corner
        for region in regions
        for corner in inner_corners(region)
        if inland is None or holds(inland, point=corner.at)
    ]
    return min(found, key=lambda corner: (corner.radius, corner.at), default=None)


def _rough_cutter(fits: list[_Fit], *, wall: _Fit, shop: Shop) -> _Fit:
    """The cutter with which roughing, what it leaves to the wall's cutter, and the change take least time."""
    depth_rate = max(wall.rate, 1e-6)

    def cost(fit: _Fit) -> float:
        if fit is wall:
            return wall.seconds
        left = max(wall.reached - fit.reached, 0.0)
        depth = wall.seconds * depth_rate / max(wall.reached, 1e-9)
        return fit.seconds + left * depth / depth_rate + shop.machine.cutter_change

    return min(fits, key=lambda fit: (cost(fit), -fit.cutter.diameter))


def _between(fits: list[_Fit], *, wide: _Fit, narrow: _Fit) -> list[_Fit]:
    """The cutters that clear what the roughing cutter left before the wall is cut: the wall's own, and one midway
    where it is far smaller."""
    if narrow.cutter.name == wide.cutter.name or clipper.surface(wide.lost) - clipper.surface(narrow.lost) < _GAIN:
        return []
    return [*_midway(fits, wide=wide.cutter.diameter, narrow=narrow.cutter.diameter), narrow]


def _midway(fits: list[_Fit], *, wide: Mm, narrow: Mm) -> list[_Fit]:
    if wide / narrow <= _STEP_RATIO:
        return []
    wanted = math.sqrt(wide * narrow)
    inside = [fit for fit in fits if narrow * 1.3 < fit.cutter.diameter < wide / 1.3]
    return [min(inside, key=lambda fit: abs(math.log(fit.cutter.diameter / wanted)))] if inside else []


def _sharper(fits: list[_Fit], *, wall: _Fit, room: Room) -> list[_Fit]:
    """Smaller cutters for corners sharper than the wall's cutter, where no radius was granted."""
    if room.corner is not None:
        return []
    narrow = fits[-1]
    if narrow.cutter.diameter >= wall.cutter.diameter - 1e-9 or narrow.reached - wall.reached < _GAIN:
        return []
    return [*_midway(fits, wide=wall.cutter.diameter, narrow=narrow.cutter.diameter), narrow]


def _roughed(room: Room, *, fit: _Fit, stay: Mm, shop: Shop) -> list[Operation]:
    """Levels down to the floor's allowance, and the floor."""
    data = shop.data_for(fit.cutter, CutKind.ROUGH, -room.bottom, None)
    reason = why("cutter", f"{fit.cutter.name}: roughing with it takes the least time, what it leaves included")
    ledge = room.bottom + room.floor
    levels = even_levels(room.top, bottom=ledge, step_down=data.step_down)
    found = [
        _operation(
            room,
            purpose=Purpose.ROUGH,
            part=Part.AREA,
            cutter=fit.cutter,
            data=data,
            levels=levels,
            stay=stay,
            why_=reason.sentence,
        )
    ]
    if room.floor > 0.0:
        floor = shop.data_for(fit.cutter, CutKind.FLOOR, -room.bottom, None)
        sentence = f"the floor is skimmed by {room.floor:.2f} mm in one level"
        found.append(
            _operation(
                room,
                purpose=Purpose.FINISH,
                part=Part.FLOOR,
                cutter=fit.cutter,
                data=floor,
                levels=(room.bottom,),
                stay=stay,
                why_=sentence,
            )
        )
    return found


def _rest(room: Room, *, cutter: Cutter, stay: Mm, shop: Shop, why_: str) -> Operation:
    data = shop.data_for(cutter, CutKind.CORNERS, -room.bottom, None)
    levels = even_levels(room.top, bottom=room.bottom, step_down=data.step_down)
    return _operation(
        room, purpose=Purpose.CORNERS, part=Part.REST, cutter=cutter, data=data, levels=levels, stay=stay, why_=why_
    )


def _wall(room: Room, *, cutter: Cutter, shop: Shop, depth: Mm) -> Operation:
    data = shop.data_for(cutter, CutKind.WALL, depth, room.finish if room.finish > 0.0 else None)
    levels = even_levels(room.top, bottom=room.bottom, step_down=min(data.step_down, cutter.flute_length))
    held = "one level: the flutes are long enough" if len(levels) == 1 else f"{len(levels)} levels"
    return _operation(
        room,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=room.allowance,
        why_=f"{cutter.name}: the widest cutter that holds the corners; {held}",
    )


def _why_rest(fit: _Fit, *, wide: _Fit, room: Room) -> str:
    left = clipper.surface(wide.lost)
    return f"{fit.cutter.name}: {wide.cutter.name} leaves {left:.2f} mm2 in corners and necks"


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
