"""Pockets whose walls taper: cleared with straight cutters, their walls cut by a taper of the same angle or in steps.

Straight cutters clear down to the floor's contour and leave an even skin on the wall; where the wall leans far, each
level has its own contour.  A taper of the wall's angle then cuts the whole wall in one pass, its middle on the floor's
contour less its tip's radius.  A cutter that leans less than the wall leaves steps; their height square to the wall is
kept within the feature's tolerance.  One that leans more would cut into the wall.
"""

import math
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import wall_radius
from camplan.cutting.records import CutKind, CuttingData, Reason
from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.sections import floor, may
from camplan.features.specs import PocketSpec
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.air import AIR
from camplan.operations.levels import even_levels
from camplan.operations.pocket import Room, room_operations
from camplan.operations.records import Level, Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, floor_finish, reaching, wall_finish, why
from camplan.operations.springs import SAME_ANGLE
from camplan.units import UM_PER_MM, Mm, Mm2, Rad, deg_from_rad

_EVEN: Mm = 0.1
"""A skin that differs by no more from top to floor is left by straight levels."""
_UNEVEN: Mm = 0.2
"""A skin that differs by so much is counted on at most: what leans more is cleared level by level."""
_SHARES = (1.0, 0.5, 0.25)
"""Shares of the finishing allowance that are tried."""
_LEAST_SKIN: Mm = 0.05
"""A thinner skin may have been cut already where roughing bent (common practice, no source)."""
_CORNERS = 0.08
"""About how much of a wall lies in inside corners, where a cutter is slowed: so much of the example's many islands."""
_SPECK: Mm2 = 1e-4
_ROOM = 4.0
"""How far about a corner, in radii, a cutter has room to come to it from what is cleared."""
_GAIN: Mm2 = 2e-3
_BERTH: Mm = 0.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drafted:
    """The operations of a pocket with draft; without any, why not."""

    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pit:
    """A pocket with draft: its floor's figures, which lie ``grow`` outside the drawn ones, and its heights; if it is
    open at the plate's edge, the ``stock``, and how much ``air`` beside that belongs to the figures."""

    feature: Feature
    spec: PocketSpec
    stock: Area
    air: Mm
    pieces: tuple[Area, ...]
    grow: Mm
    top: Mm
    bottom: Mm
    finish: Mm

    @property
    def rise(self) -> Mm:
        """How much wider a side is at the top than at the floor."""
        return (self.top - self.bottom) * math.tan(self.spec.draft)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """A cutter for the wall, its data, the height of the steps that it leaves (0: none), and the skin that is left for
    it at the wall's foot."""

    cutter: Cutter
    data: CuttingData
    levels: tuple[Mm, ...]
    cusp: Mm
    finish: Mm

    @property
    def minutes(self) -> float:
        """How long a mm of wall takes, a share of corners included."""
        data = self.data
        corner = data.feed if data.corner_feed is None else min(data.corner_feed, data.feed)
        # where it leaves no steps, the last lap walks again along the whole wall
        laps = len(self.levels) + data.spring_passes * (1 if self.cusp == 0.0 else len(self.levels))
        return laps * (1.0 - _CORNERS) / data.feed + len(self.levels) * _CORNERS / corner


def cusp_height(step_down: Mm, *, wall: Rad, cutter: Rad = 0.0) -> Mm:
    """How high steps stand on a leaning wall, square to it: dz (tan a - tan b) cos a, for a straight cutter dz sin a.

    ``wall`` a and ``cutter`` b from the vertical.  Source: plane geometry.

    >>> round(cusp_height(0.5, wall=math.radians(3.0)), 5)
    0.02617
    """
    return step_down * (math.tan(wall) - math.tan(cutter)) * math.cos(wall)


def overcut(depth: Mm, *, wall: Rad, cutter: Rad) -> Mm:
    """How far a cutter that leans more than a wall cuts into it at the top, its tip on the wall's foot.

    >>> round(overcut(10.0, wall=math.radians(2.0), cutter=math.radians(5.0)), 4)
    0.5257
    """
    return depth * (math.tan(cutter) - math.tan(wall))


def drafted_operations(feature: Feature, *, spec: PocketSpec, plate: Plate, shop: Shop) -> Drafted:
    """The operations of a pocket with draft, in order."""
    flats = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=floor(feature))
    widest = flats[0].diameter if flats else 0.0
    stock = areas.standing(plate, z=-feature.bottom) if feature.open_edges else ()
    pit = _pit(feature, spec=spec, stock=stock, air=widest + AIR, shop=shop)
    depth = -pit.bottom
    side = _side(pit, flats=flats, shop=shop)
    if isinstance(side, Problem):
        return Drafted(operations=(), problems=(side,))
    pit = replace(pit, finish=side.finish)
    radius = wall_radius(side.cutter)
    room = Room(
        feature=feature,
        pieces=pit.pieces,
        top=pit.top,
        bottom=pit.bottom,
        allowance=spec.allowance,
        finish=pit.finish,
        floor=floor_finish(feature, depth=pit.top - pit.bottom, shop=shop),
        corner=max(radius, spec.corner or 0.0),
        plate=pit.stock,
    )
    stay = spec.allowance + pit.finish
    cleared = [
        _skinned(one, pit=pit)
        for one in room_operations(room, cutters=flats, shop=shop)
        if one.part in (Part.AREA, Part.FLOOR) or (one.part is Part.REST and abs(one.stay - stay) < 1e-9)
    ]
    if not cleared:
        message = "no flat cutter on the shelf clears it before its walls are cut"
        accepted = f"a flat cutter that reaches {depth:.2f} mm and fits its floor"
        return Drafted(operations=(), problems=(Problem(message=message, key=_key(spec), accepted=accepted),))
    return Drafted(
        operations=(*cleared, *_corners(pit, side=side, cleared=cleared, shop=shop), _wall(pit, side=side)),
        problems=(),
    )


def _key(spec: PocketSpec) -> str:
    return f"feature {spec.name!r}"


def _pit(feature: Feature, *, spec: PocketSpec, stock: Area, air: Mm, shop: Shop) -> _Pit:
    bottom = -floor(feature)
    at = _figures(feature, z=bottom, stock=stock, air=air)
    return _Pit(
        feature=feature,
        spec=spec,
        stock=stock,
        air=air,
        pieces=at.pieces,
        grow=at.grow,
        top=-feature.top,
        bottom=bottom,
        finish=wall_finish(spec, shop=shop),
    )


def _side(pit: _Pit, *, flats: tuple[Cutter, ...], shop: Shop) -> _Side | Problem:
    """The cutter for the wall: a taper of its angle, else the one that leans most without leaning more than it."""
    spec = pit.spec
    tapers = reaching(allowed(shop, names=spec.cutters, kinds=(CutterKind.TAPER,)), depth=-pit.bottom)
    alike = [cutter for cutter in tapers if abs(_lean(cutter) - spec.draft) <= SAME_ANGLE]
    less = [cutter for cutter in (*tapers, *flats) if _lean(cutter) < spec.draft - SAME_ANGLE]
    for cutters in (alike, less):
        sides = [side for cutter in cutters if (side := _thinned(pit, cutter=cutter, shop=shop)) is not None]
        if sides:
            reached = [_reached(pit, cutter=side.cutter) for side in sides]
            enough = [side for side, size in zip(sides, reached, strict=True) if size >= max(reached) - _GAIN]
            return min(enough, key=lambda side: (len(side.levels), -wall_radius(side.cutter), side.cutter.name))
    return _no_side(pit, tapers=tapers)


def _no_side(pit: _Pit, *, tapers: tuple[Cutter, ...]) -> Problem:
    spec = pit.spec
    angle = deg_from_rad(spec.draft)
    accepted = (
        f"a taper of {angle:g} degrees a side that reaches {-pit.bottom:.2f} mm, or a flat cutter that cuts steps"
    )
    more = [cutter for cutter in tapers if _lean(cutter) > spec.draft + SAME_ANGLE]
    if not more:
        message = f"no cutter on the shelf cuts walls that lean by {angle:g} degrees"
    else:
        least = min(more, key=lambda cutter: (_lean(cutter), cutter.name))
        into = overcut(pit.top - pit.bottom, wall=spec.draft, cutter=_lean(least))
        message = (
            f"{least.name} leans by {deg_from_rad(_lean(least)):g} degrees and the wall by {angle:g}: "
            f"it would cut {into:.3f} mm into the wall at the top"
        )
    return Problem(message=message, key=f"{_key(spec)}: draft_deg", accepted=accepted)


def _lean(cutter: Cutter) -> Rad:
    return cutter.half_angle or 0.0


def _thinned(pit: _Pit, *, cutter: Cutter, shop: Shop) -> _Side | None:
    """How a cutter would cut the wall, with as much of the skin left for it as lets it be fastest; a skin that is asked
    for stays as it is."""
    shares = (1.0,) if pit.spec.finish is not None else _SHARES
    skins = dict.fromkeys(max(pit.finish * share, min(pit.finish, _LEAST_SKIN)) for share in shares)
    found = [_fitting(replace(pit, finish=skin), cutter=cutter, shop=shop) for skin in skins]
    return min((side for side in found if side is not None), key=lambda side: side.minutes, default=None)


def _fitting(pit: _Pit, *, cutter: Cutter, shop: Shop) -> _Side | None:
    """How a cutter would cut the wall; None if it does not fit the floor or there are no data for it."""
    spec = pit.spec
    if not any(clipper.shrunk(piece, by=wall_radius(cutter) + spec.allowance) for piece in pit.pieces):
        return None
    skin = max(pit.finish, 0.01) + min(pit.rise, _UNEVEN)
    try:
        data = shop.wall_data(cutter, -pit.bottom, min(skin, 0.9 * cutter.tip_diameter), spec.tolerance)
    except InputError:
        return None
    step = min(data.step_down, cutter.flute_length)
    lean = spec.draft - _lean(cutter)
    if lean > SAME_ANGLE:
        step = min(step, spec.tolerance / cusp_height(1.0, wall=spec.draft, cutter=_lean(cutter)))
    levels = even_levels(pit.top, bottom=pit.bottom, step_down=step)
    down = (pit.top - pit.bottom) / len(levels)
    cusp = cusp_height(down, wall=spec.draft, cutter=_lean(cutter)) if lean > SAME_ANGLE else 0.0
    return _Side(cutter=cutter, data=data, levels=levels, cusp=cusp, finish=pit.finish)


def _reached(pit: _Pit, *, cutter: Cutter) -> Mm2:
    """How much of the floor a cutter of the wall covers, less than the granted corners counting as all."""
    radius = wall_radius(cutter)
    granted = pit.spec.corner or 0.0
    want = [clipper.opened(piece, radius=granted) if granted > radius else piece for piece in pit.pieces]
    return sum(
        clipper.surface(clipper.intersection(area, with_=clipper.opened(piece, radius=radius)))
        for area, piece in zip(want, pit.pieces, strict=True)
    )


def _at(pit: _Pit, *, z: Mm) -> Level:
    """The figures of a height."""
    return _figures(pit.feature, z=z, stock=pit.stock, air=pit.air)


def _figures(feature: Feature, *, z: Mm, stock: Area, air: Mm) -> Level:
    section = may(feature, z=z)
    area = areas.of_section(section)
    if not stock:
        return Level(z=z, pieces=clipper.pieces(area), grow=section.grow)
    # a taper is wider above: it keeps clear of the plate's edge by as much as its walls lean
    assert isinstance(feature.spec, PocketSpec)
    berth = _BERTH + (floor(feature) - feature.top) * math.tan(feature.spec.draft)
    beside = clipper.difference(clipper.offset(area, by=air), less=clipper.offset(stock, by=berth))
    whole = clipper.union([area, beside])
    return Level(z=z, pieces=clipper.pieces(whole), grow=section.grow)


def _skinned(operation: Operation, *, pit: _Pit) -> Operation:
    """A clearing operation on the floor's figures; level by level where one figure would leave an uneven skin."""
    placed = replace(operation, grow=pit.grow)
    if operation.part is not Part.AREA or pit.rise <= _EVEN:
        thickest = pit.finish + pit.rise
        return (
            placed
            if operation.part is not Part.AREA
            else replace(placed, reasons=_skin(placed, most=thickest, pit=pit))
        )
    step = (pit.top - operation.levels[-1]) / len(operation.levels)
    thickest = pit.finish + step * math.tan(pit.spec.draft)
    levels = tuple(_at(pit, z=z) for z in operation.levels)
    return replace(placed, by_level=levels, reasons=_skin(placed, most=thickest, pit=pit))


def _skin(operation: Operation, *, most: Mm, pit: _Pit) -> tuple[Reason, ...]:
    sentence = (
        f"a skin of {pit.finish:.2f} to {most:.2f} mm stays on the leaning walls for the cutter that finishes them"
    )
    return (*operation.reasons, why("skin", sentence))


def _corners(pit: _Pit, *, side: _Side, cleared: list[Operation], shop: Shop) -> list[Operation]:
    """The wall's cutter clears what the flat ones left in corners and necks of the floor, if it reaches more.

    On each level it stays on that level's own figure: a taper that went down straight would meet the wall again all
    the way up."""
    radius = wall_radius(side.cutter)
    narrowest = min(one.cutter.diameter for one in cleared) / 2.0
    stay = pit.spec.allowance + pit.finish
    places: list[Area] = []
    for piece in pit.pieces if narrowest > radius else ():
        want = clipper.offset(piece, by=-stay)
        mine = clipper.opened(want, radius=radius)
        places.append(clipper.difference(mine, less=clipper.opened(want, radius=narrowest)))
    rest = clipper.without_specks(clipper.union(places), smaller=_SPECK) if places else ()
    more = clipper.surface(rest)
    if more <= _GAIN:
        return []
    data = shop.data_for(side.cutter, CutKind.CORNERS, -pit.bottom, None)
    levels = even_levels(pit.top, bottom=pit.bottom, step_down=min(data.step_down, side.cutter.flute_length))
    sentence = f"{side.cutter.name}: the flat cutters leave {more:.2f} mm2 in corners and necks of the floor"
    about = clipper.offset(rest, by=stay + pit.rise + _ROOM * radius)
    by_level = []
    for z in levels:
        at = _at(pit, z=z)
        near = [clipper.intersection(piece, with_=about) for piece in at.pieces]
        by_level.append(replace(at, pieces=tuple(one for each in near for one in clipper.pieces(each))))
    return [
        Operation(
            feature=pit.feature,
            purpose=Purpose.CORNERS,
            part=Part.REST,
            cutter=side.cutter,
            data=data,
            levels=levels,
            stay=stay,
            reasons=(why("cutter", sentence), *data.reasons),
            pieces=pit.pieces,
            grow=pit.grow,
            by_level=tuple(by_level),
        )
    ]


def _wall(pit: _Pit, *, side: _Side) -> Operation:
    cutter, spec = side.cutter, pit.spec
    angle = deg_from_rad(spec.draft)
    count = len(side.levels)
    held = "one level over the full depth" if count == 1 else f"{count} levels"
    if side.cusp > 0.0:
        sentence = (
            f"{cutter.name}: it leans less than the wall's {angle:g} degrees; {count} levels leave steps of "
            f"{side.cusp * UM_PER_MM:.0f} um square to the wall, at most tolerance_um = {spec.tolerance * UM_PER_MM:g}"
        )
    else:
        sentence = (
            f"{cutter.name}: its side leans by the wall's {angle:g} degrees; {held}, its middle on the floor's contour "
            f"less {wall_radius(cutter):.3f} mm"
        )
    return Operation(
        feature=pit.feature,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=cutter,
        data=side.data,
        levels=side.levels,
        stay=spec.allowance,
        reasons=(why("cutter", sentence), *side.data.reasons),
        pieces=pit.pieces,
        grow=pit.grow,
        by_level=tuple(_at(pit, z=z) for z in side.levels) if count > 1 else (),
    )
