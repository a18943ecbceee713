"""Pockets whose floors fall: cleared level by level above the plane, then floor and wall with the tip kept to it.

A flat tip stands level, so on a plane that falls only its upper edge touches; paths run down the fall, near enough
together for the ridges between them, and at the foot of the walls the tip leaves what its width makes it leave.
"""

import math
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import can_plunge
from camplan.cutting.records import CutKind, CuttingData
from camplan.errors import InputError, Problem
from camplan.features.inclines import foot_height, incline_angle, ridge_step, shallow_end
from camplan.features.records import Feature
from camplan.features.sections import may
from camplan.features.specs import Incline, PocketSpec
from camplan.geometry import clipper
from camplan.operations import areas
from camplan.operations.levels import even_levels
from camplan.operations.records import Level, Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, floor_finish, reaching, suited, wall_finish, why
from camplan.units import S_PER_MIN, UM_PER_MM, Mm, Mm2, MmPerMin, Seconds, deg_from_rad

_GAIN: Mm2 = 2e-3
_RIDGE = 0.5
"""Ridges take this share of the tolerance; the rest is for what bends (common practice, no source)."""
_OVER: Mm = 0.05
"""How far over what a wide cutter leaves on a floor the next one begins (common practice, no source)."""
_WIDEST_STEP = 0.9
"""Step-over over the diameter at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inclined:
    """The operations of a pocket whose floor falls; without any, why not."""

    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Basin:
    feature: Feature
    spec: PocketSpec
    incline: Incline
    floor: Mm
    finish: Mm

    @property
    def top(self) -> Mm:
        return -self.feature.top

    @property
    def bottom(self) -> Mm:
        return -self.feature.bottom

    @property
    def pieces(self) -> tuple[clipper.Area, ...]:
        return clipper.pieces(areas.of_regions(self.feature.regions))

    @property
    def full(self) -> Mm:
        """The lowest height down to which all of the figure is cleared."""
        return min(-shallow_end(self.incline) + self.floor, self.top)


def inclined_operations(feature: Feature, *, spec: PocketSpec, incline: Incline, shop: Shop) -> Inclined:
    """The operations of a pocket whose floor falls, in order: a wide cutter clears it and cuts the floor, a fine one
    what that left in corners and at the foot of the walls, and the walls."""
    key = f"feature {spec.name!r}"
    if feature.open_edges:
        message = "a pocket with a floor that falls and is open at the plate's edge is not planned"
        accepted = "one depth_mm, or a pocket inside the plate"
        return Inclined(operations=(), problems=(Problem(message=message, key=key, accepted=accepted),))
    basin = _Basin(
        feature=feature,
        spec=spec,
        incline=incline,
        floor=floor_finish(feature, depth=shallow_end(incline) - feature.top, shop=shop),
        finish=wall_finish(spec, shop=shop),
    )
    fine = _fine(basin, shop=shop)
    if fine is None:
        message = (
            f"no flat cutter on the shelf fits into it, reaches {feature.bottom:.2f} mm and may go down at "
            f"{deg_from_rad(incline_angle(incline)):.2f} degrees"
        )
        accepted = "a narrower or longer slot drill or end mill that cuts at its centre"
        return Inclined(operations=(), problems=(Problem(message=message, key=key, accepted=accepted),))
    wide = _wide(basin, fine=fine, shop=shop)
    found = [_cleared(basin, cutter=wide, shop=shop), _floor(basin, cutter=wide, shop=shop)]
    if wide.diameter <= fine.diameter:
        return Inclined(operations=(*found, _wall(basin, cutter=fine, shop=shop)), problems=())
    corners = sum(clipper.surface(area) for area in _lost(wide, basin=basin)) > _GAIN
    if corners or not _has_wall(basin, cutter=wide, shop=shop):
        found += [*_corners(basin, wide=wide, fine=fine, shop=shop), _beside(basin, wide=wide, fine=fine, shop=shop)]
        return Inclined(operations=(*found, _wall(basin, cutter=fine, shop=shop)), problems=())
    foot = _wall(basin, cutter=fine, shop=shop)
    skin = foot_height(incline, radius=wide.diameter / 2.0) + _OVER
    beside = replace(_beside(basin, wide=wide, fine=fine, shop=shop), skin=skin)
    found += [_wall(basin, cutter=wide, shop=shop), beside]
    return Inclined(operations=(*found, replace(foot, levels=foot.levels[-1:])), problems=())


def _fine(basin: _Basin, *, shop: Shop) -> Cutter | None:
    """The widest flat cutter that reaches all that the narrowest does and leaves no more at the foot of the walls than
    the tolerance; if none does, the narrowest."""
    flats = tuple(cutter for cutter in _flats(basin, shop=shop) if _has_wall(basin, cutter=cutter, shop=shop))
    reached = [_reached(cutter, basin=basin) for cutter in flats]
    most = max(reached, default=0.0)
    able = [one for one, size in zip(flats, reached, strict=True) if size >= most - _GAIN and size > 0.0]
    good = [one for one in able if foot_height(basin.incline, radius=one.diameter / 2.0) <= basin.spec.tolerance]
    return good[0] if good else able[-1] if able else None


def _wide(basin: _Basin, *, fine: Cutter, shop: Shop) -> Cutter:
    """The cutter that clears: the widest that leaves only corners, and no more at the foot of the walls than the fine
    one bears; the fine one itself if there is no such."""
    bears = shop.data_for(fine, CutKind.ROUGH, basin.feature.bottom, None).step_down
    for cutter in _flats(basin, shop=shop):
        radius = cutter.diameter / 2.0
        if cutter.diameter <= fine.diameter:
            break
        lost = [piece for area in _lost(cutter, basin=basin) for piece in clipper.pieces(area)]
        corners = all(clipper.surface(piece) <= radius**2 for piece in lost)
        if corners and foot_height(basin.incline, radius=radius) <= bears:
            return cutter
    return fine


def _flats(basin: _Basin, *, shop: Shop) -> tuple[Cutter, ...]:
    """The flat cutters that reach the floor and may go down along it, widest first."""
    depth = basin.feature.bottom
    flats = reaching(allowed(shop, names=basin.spec.cutters, kinds=FLATS), depth=depth)
    flats = suited(flats, kind=CutKind.ROUGH, depth=depth, shop=shop)
    return tuple(cutter for cutter in flats if _goes_down(basin, cutter=cutter, shop=shop))


def _lost(cutter: Cutter, *, basin: _Basin) -> list[clipper.Area]:
    """What a cutter leaves of each piece on its way along the walls."""
    found = []
    for piece in basin.pieces:
        room = clipper.offset(piece, by=-_stay(basin))
        found.append(clipper.difference(room, less=clipper.opened(room, radius=cutter.diameter / 2.0 - 1e-4)))
    return found


def _has_wall(basin: _Basin, *, cutter: Cutter, shop: Shop) -> bool:
    try:
        _wall_data(basin, cutter=cutter, shop=shop)
    except InputError:
        return False
    return True


def _wall_data(basin: _Basin, *, cutter: Cutter, shop: Shop) -> CuttingData:
    skin = max(basin.finish, 0.01)
    return shop.wall_data(cutter, basin.feature.bottom, min(skin, 0.45 * cutter.diameter), basin.spec.tolerance)


def _reached(cutter: Cutter, *, basin: _Basin) -> Mm2:
    """How much of the figure a cutter covers, a granted corner counting as all."""
    radius, granted = cutter.diameter / 2.0, basin.spec.corner or 0.0
    size = 0.0
    for piece in basin.pieces:
        want = clipper.opened(piece, radius=granted) if granted > radius else piece
        covered = clipper.opened(clipper.offset(piece, by=-basin.spec.allowance), radius=radius)
        size += clipper.surface(clipper.intersection(want, with_=covered))
    return size


def _goes_down(basin: _Basin, *, cutter: Cutter, shop: Shop) -> bool:
    data = shop.data_for(cutter, CutKind.ROUGH, basin.feature.bottom, None)
    return can_plunge(cutter) or incline_angle(basin.incline) <= data.ramp_angle + 1e-9


def _cleared(basin: _Basin, *, cutter: Cutter, shop: Shop) -> Operation:
    """Level by level what lies above the plane, less what stays on floor and wall."""
    data = shop.data_for(cutter, CutKind.ROUGH, basin.feature.bottom, None)
    found = _levels(basin, cutter=cutter, data=data)
    levels = tuple(level.z for level in found)
    seconds = sum(_area_seconds(level.pieces, cutter=cutter, step=data.step_over, feed=data.feed) for level in found)
    sentence = (
        f"{cutter.name}: {len(levels)} levels above the floor that falls; {basin.floor:.2f} mm and the steps between "
        "them stay for the passes along it"
    )
    return Operation(
        feature=basin.feature,
        purpose=Purpose.ROUGH,
        part=Part.AREA,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=_stay(basin),
        reasons=(why("cutter", sentence), *data.reasons),
        pieces=found[-1].pieces,
        by_level=found,
        expected=seconds,
    )


def _levels(basin: _Basin, *, cutter: Cutter, data: CuttingData) -> tuple[Level, ...]:
    """Level by level the figure that lies above the floor and what stays on it."""
    full = basin.full
    upper = even_levels(basin.top, bottom=full, step_down=data.step_down) if full < basin.top - 1e-9 else ()
    lower = even_levels(full, bottom=basin.bottom + basin.floor, step_down=data.step_down)
    found = []
    for z in (*upper, *lower):
        pieces = clipper.pieces(areas.of_section(may(basin.feature, z=min(z, basin.top) - basin.floor)))
        room = [one for one in pieces if clipper.offset(one, by=-(cutter.diameter / 2.0 + _stay(basin)))]
        if room:
            found.append(Level(z=z, pieces=tuple(room), grow=0.0))
    return tuple(found)


def _area_seconds(pieces: tuple[clipper.Area, ...], *, cutter: Cutter, step: Mm, feed: MmPerMin) -> Seconds:
    """L = A / s + P / 2 of where the cutter's middle goes, at its feed (`camplan.operations.pace`)."""
    rooms = [clipper.offset(piece, by=-cutter.diameter / 2.0) for piece in pieces]
    path = sum(clipper.surface(room) / step + clipper.perimeter(room) / 2.0 for room in rooms)
    return path / feed * S_PER_MIN


def _corners(basin: _Basin, *, wide: Cutter, fine: Cutter, shop: Shop) -> list[Operation]:
    """The corners that the wide cutter left, level by level."""
    data = shop.data_for(fine, CutKind.CORNERS, basin.feature.bottom, None)
    levels = _levels(basin, cutter=fine, data=data)
    lost = sum(clipper.surface(area) for area in _lost(wide, basin=basin))
    if lost <= _GAIN or not levels:
        return []
    sentence = f"{fine.name}: {wide.name} leaves {lost:.2f} mm2 in corners"
    return [
        Operation(
            feature=basin.feature,
            purpose=Purpose.CORNERS,
            part=Part.REST,
            cutter=fine,
            data=data,
            levels=tuple(level.z for level in levels),
            stay=_stay(basin),
            reasons=(why("cutter", sentence), *data.reasons),
            pieces=levels[-1].pieces,
            by_level=levels,
        )
    ]


def _beside(basin: _Basin, *, wide: Cutter, fine: Cutter, shop: Shop) -> Operation:
    """The floor beside the walls, where the wide cutter leaves more than the fine one."""
    within = wide.diameter + basin.finish
    middle = clipper.union([clipper.offset(piece, by=-_stay(basin) - within) for piece in basin.pieces])
    return _floor(basin, cutter=fine, shop=shop, done=middle)


def _stay(basin: _Basin) -> Mm:
    return basin.spec.allowance + basin.finish


def _floor(basin: _Basin, *, cutter: Cutter, shop: Shop, done: clipper.Area = ()) -> Operation:
    """The paths down the fall, over all of the floor but what is ``done``."""
    radius = cutter.diameter / 2.0
    data = shop.data_for(cutter, CutKind.ROUGH, basin.feature.bottom, None)
    step = ridge_step(basin.incline, radius=radius, height=_RIDGE * basin.spec.tolerance)
    step = max(min(step, _WIDEST_STEP * cutter.diameter, data.step_over) - basin.finish, 0.02)
    ridge = (radius - math.sqrt(max(radius**2 - step**2 / 4.0, 0.0))) * math.tan(incline_angle(basin.incline))
    foot = foot_height(basin.incline, radius=radius)
    said = (
        f"paths down the fall of {deg_from_rad(incline_angle(basin.incline)):.2f} degrees, {step:.2f} mm apart: ridges "
        f"of {ridge * UM_PER_MM:.1f} um between them; a flat tip of {cutter.diameter:g} mm stands level: at the foot "
        f"of the lower wall up to {foot * UM_PER_MM:.0f} um stay, along the side walls {foot / 2.0 * UM_PER_MM:.0f} um"
    )
    pieces = tuple(clipper.difference(piece, less=done) for piece in basin.pieces)
    return Operation(
        feature=basin.feature,
        purpose=Purpose.FINISH,
        part=Part.PLANE,
        cutter=cutter,
        data=replace(data, step_over=step),
        levels=(basin.bottom,),
        stay=_stay(basin),
        reasons=(why("slope", said), *data.reasons),
        pieces=basin.pieces,
        start=basin.full,
        rest=clipper.union(pieces) if done else (),
        expected=_area_seconds(pieces, cutter=cutter, step=step, feed=data.slot_feed),
    )


def _wall(basin: _Basin, *, cutter: Cutter, shop: Shop) -> Operation:
    data = _wall_data(basin, cutter=cutter, shop=shop)
    levels = even_levels(basin.top, bottom=basin.bottom, step_down=min(data.step_down, cutter.flute_length))
    counted = f"{len(levels)} laps" if len(levels) > 1 else "one lap"
    sentence = f"{cutter.name}: round the wall in {counted}, the tip lifted to the floor wherever that is higher"
    return Operation(
        feature=basin.feature,
        purpose=Purpose.FINISH,
        part=Part.PLANE_WALL,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=basin.spec.allowance,
        reasons=(why("cutter", sentence), *data.reasons),
        pieces=basin.pieces,
        start=basin.top,
        skin=basin.finish,
        expected=sum(map(clipper.perimeter, basin.pieces)) * len(levels) / data.feed * S_PER_MIN,
    )
