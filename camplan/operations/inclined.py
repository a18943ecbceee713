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
from camplan.units import UM_PER_MM, Mm, Mm2, deg_from_rad

_GAIN: Mm2 = 2e-3
_RIDGE = 0.5
"""Ridges take this share of the tolerance; the rest is for what bends (common practice, no source)."""
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


def inclined_operations(feature: Feature, *, spec: PocketSpec, incline: Incline, shop: Shop) -> Inclined:
    """The operations of a pocket whose floor falls, in order, all with one cutter.

    It is the widest flat cutter that reaches all that the narrowest does and leaves no more at the foot of the walls
    than the tolerance; if none does, the narrowest.
    """
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
    cutter = _cutter(basin, shop=shop)
    if cutter is None:
        message = (
            f"no flat cutter on the shelf fits into it, reaches {feature.bottom:.2f} mm and may go down at "
            f"{deg_from_rad(incline_angle(incline)):.2f} degrees"
        )
        accepted = "a narrower or longer slot drill or end mill that cuts at its centre"
        return Inclined(operations=(), problems=(Problem(message=message, key=key, accepted=accepted),))
    cleared = _cleared(basin, cutter=cutter, shop=shop)
    floor = _floor(basin, cutter=cutter, shop=shop)
    return Inclined(operations=(cleared, floor, _wall(basin, cutter=cutter, shop=shop)), problems=())


def _cutter(basin: _Basin, *, shop: Shop) -> Cutter | None:
    spec, feature = basin.spec, basin.feature
    flats = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=feature.bottom)
    flats = suited(flats, kind=CutKind.ROUGH, depth=feature.bottom, shop=shop)
    flats = tuple(cutter for cutter in flats if _has_wall(basin, cutter=cutter, shop=shop))
    pieces = clipper.pieces(areas.of_regions(feature.regions))
    reached = [_reached(cutter, basin=basin, pieces=pieces) for cutter in flats]
    most = max(reached, default=0.0)
    able = [
        cutter
        for cutter, size in zip(flats, reached, strict=True)
        if size >= most - _GAIN and size > 0.0 and _goes_down(basin, cutter=cutter, shop=shop)
    ]
    good = [one for one in able if foot_height(basin.incline, radius=one.diameter / 2.0) <= spec.tolerance]
    return good[0] if good else able[-1] if able else None


def _has_wall(basin: _Basin, *, cutter: Cutter, shop: Shop) -> bool:
    try:
        _wall_data(basin, cutter=cutter, shop=shop)
    except InputError:
        return False
    return True


def _wall_data(basin: _Basin, *, cutter: Cutter, shop: Shop) -> CuttingData:
    skin = max(basin.finish, 0.01)
    return shop.wall_data(cutter, basin.feature.bottom, min(skin, 0.45 * cutter.diameter), basin.spec.tolerance)


def _reached(cutter: Cutter, *, basin: _Basin, pieces: tuple[clipper.Area, ...]) -> Mm2:
    """How much of the figure a cutter covers, a granted corner counting as all."""
    radius, granted = cutter.diameter / 2.0, basin.spec.corner or 0.0
    size = 0.0
    for piece in pieces:
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
    full = min(-shallow_end(basin.incline) + basin.floor, basin.top)
    upper = even_levels(basin.top, bottom=full, step_down=data.step_down) if full < basin.top - 1e-9 else ()
    lower = even_levels(full, bottom=basin.bottom + basin.floor, step_down=data.step_down)
    found = []
    for z in (*upper, *lower):
        section = may(basin.feature, z=min(z, basin.top) - basin.floor)
        pieces = clipper.pieces(areas.of_section(section))
        room = [one for one in pieces if clipper.offset(one, by=-(cutter.diameter / 2.0 + _stay(basin)))]
        if room:
            found.append(Level(z=z, pieces=tuple(room), grow=0.0))
    levels = tuple(level.z for level in found)
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
        by_level=tuple(found),
    )


def _stay(basin: _Basin) -> Mm:
    return basin.spec.allowance + basin.finish


def _floor(basin: _Basin, *, cutter: Cutter, shop: Shop) -> Operation:
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
    return Operation(
        feature=basin.feature,
        purpose=Purpose.FINISH,
        part=Part.PLANE,
        cutter=cutter,
        data=replace(data, step_over=step),
        levels=(basin.bottom,),
        stay=_stay(basin),
        reasons=(why("slope", said), *data.reasons),
        pieces=clipper.pieces(areas.of_regions(basin.feature.regions)),
        start=min(-shallow_end(basin.incline) + basin.floor, basin.top),
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
        pieces=clipper.pieces(areas.of_regions(basin.feature.regions)),
        start=basin.top,
    )
