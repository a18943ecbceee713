"""Operations for holes: spotted and drilled, or bored, each size by itself."""

import math
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.cutting.records import CutKind
from camplan.features.build import with_flat_end, with_mouth, with_point
from camplan.features.holds import Fit, Magnet
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.geometry.places import by_axes
from camplan.operations.areas import of_circles
from camplan.operations.chamfers import mouth_cutter, mouth_milled, spot_drills
from camplan.operations.drilled import drilled, point_length
from camplan.operations.fitting import drill_before_boring, gauge_of, reamed, to_size, undersize
from camplan.operations.levels import even_levels
from camplan.operations.outlines import tip_bottom
from camplan.operations.pocket import Room, room_operations
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, reaching, suited, why
from camplan.operations.sizes import with_size
from camplan.units import Mm

_SAME: Mm = 0.02
_BORE_RATIO = 0.85
_CORE_RATIO = 1.9
_SPOT_RATIO = 0.8
_FLOOR: Mm = 0.2
"""How far above a flat floor a spot's point stops."""
_PLACES_SAID = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmade:
    """Holes of one size that nothing on the shelf makes."""

    diameter: Mm
    message: str
    accepted: str


def hole_operations(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """Spot and drill, ream or bore each size of hole; the holes of threads are spotted as wide as their chamfers."""
    found: list[Operation] = []
    shaped = feature
    spots: list[Operation] = []
    for diameter in sorted({circle[2] for circle in feature.circles}):
        made = _made(diameter, feature=_part(feature, diameter=diameter), spec=spec, shop=shop)
        if made.drill is None or (made.bored and not feature.through):
            shaped = with_flat_end(shaped, diameter=diameter)
        elif made.drill.point_angle is not None:
            shaped = with_point(shaped, point_angle=made.drill.point_angle)
        found.extend(with_size(made.operations, feature=feature, diameter=diameter))
        chamfer = mouth_cutter(feature, spec=spec, shop=shop) if made.operations else None
        if chamfer is not None:
            shaped = with_mouth(shaped, diameter=chamfer.width, angle=chamfer.angle)
            spots.append(_spot(diameter, cutter=chamfer.cutter, width=chamfer.width, feature=feature, shop=shop))
            continue
        milled = mouth_milled(feature, diameter=diameter, spec=spec, shop=shop) if made.operations else None
        if milled is not None:
            shaped = with_mouth(shaped, diameter=milled[0].width, angle=milled[0].angle)
            found.append(milled[1])
        if made.drill is not None:
            width = min(_SPOT_RATIO * diameter, made.drill.diameter)
            flat = made.bored and not feature.through
            spots.extend(_spotted(diameter, width=width, flat=flat, feature=feature, spec=spec, shop=shop))
    return shaped, tuple(replace(operation, feature=shaped) for operation in (*spots, *found))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """How the holes of a size are made: the drill that goes first (None: none does), whether they are then bored, and
    the operations; none if nothing makes them."""

    drill: Cutter | None
    bored: bool
    operations: tuple[Operation, ...]


def _made(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> _Made:
    gauge = gauge_of(feature, diameter=diameter)
    if gauge is not None:
        by_reamer = reamed(gauge, feature=feature, spec=spec, shop=shop)
        if by_reamer is not None:
            return _Made(drill=by_reamer[0], bored=False, operations=by_reamer[1])
        walled = to_size(_bored(diameter, feature=feature, spec=spec, shop=shop), gauge=gauge, shop=shop)
        before = drill_before_boring(diameter, feature=feature, spec=spec, shop=shop) if walled else None
        first = [undersize(before, diameter=diameter, feature=feature, shop=shop)] if before is not None else []
        return _Made(drill=before, bored=True, operations=(*first, *walled))
    drill = _drill(diameter, feature=feature, spec=spec, shop=shop)
    if drill is not None:
        return _Made(
            drill=drill, bored=False, operations=(_drilled(diameter, drill=drill, feature=feature, shop=shop),)
        )
    return _Made(drill=None, bored=True, operations=tuple(_bored(diameter, feature=feature, spec=spec, shop=shop)))


def _part(feature: Feature, *, diameter: Mm) -> Feature:
    """What of a feature holes of a diameter are: heads end flat at a depth of their own."""
    depth = next((bottom for size, bottom in feature.sunk if size == diameter), None)
    if depth is None:
        return feature
    return replace(feature, bottom=depth, through=False, break_through=0.0)


def unmade(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Unmade, ...]:
    """The sizes of a layer of holes for which there is no drill, and no flat cutter to bore them."""
    found: list[Unmade] = []
    for diameter in sorted({circle[2] for circle in feature.circles}):
        part = _part(feature, diameter=diameter)
        depth = -tip_bottom(part)
        if _made(diameter, feature=part, spec=spec, shop=shop).operations:
            continue
        places = [(x, y) for x, y, size in feature.circles if size == diameter]
        said = ", ".join(by_axes(at) for at in places[:_PLACES_SAID])
        more = f" and {len(places) - _PLACES_SAID} more" if len(places) > _PLACES_SAID else ""
        count = "one hole" if len(places) == 1 else f"{len(places)} holes"
        drill = _may_drill(part, diameter=diameter, spec=spec)
        slack = min(_SAME, spec.tolerance)
        none = f"none is a drill within {slack:g} mm of that size, and " if drill else ""
        found.append(
            Unmade(
                diameter=diameter,
                message=f"no cutter in the list makes {count} of {diameter:.3f} mm, {depth:.2f} mm deep, at "
                f"{said}{more}: {none}no flat cutter is narrow and long enough to bore it",
                accepted=(f"a drill of {diameter:g} mm, or " if drill else _reamer_wanted(part, diameter=diameter))
                + f"a slot drill or end mill of at most {_BORE_RATIO * diameter:.2f} mm, {depth:.2f} mm long and more, "
                "in `cutters`",
            )
        )
    return tuple(found)


def _reamer_wanted(feature: Feature, *, diameter: Mm) -> str:
    """The reamer that would do it, if one would."""
    gauge = gauge_of(feature, diameter=diameter)
    return f"a reamer for {gauge.name} and a drill just under it, or " if gauge is not None and feature.through else ""


def _may_drill(feature: Feature, *, diameter: Mm, spec: HoleSpec) -> bool:
    """Whether a drill may give holes their size: not that of a fit, nor a floor that has to be flat."""
    sunk = any(size == diameter for size, _ in feature.sunk)
    return not sunk and not isinstance(spec.holds, Fit | Magnet)


def _drill(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> Cutter | None:
    if not _may_drill(feature, diameter=diameter, spec=spec):
        return None
    drills = allowed(shop, names=spec.cutters, kinds=(CutterKind.DRILL,))
    drills = suited(drills, kind=CutKind.DRILL, depth=feature.bottom, shop=shop)
    fits = [
        drill
        for drill in drills
        if abs(drill.diameter - diameter) <= min(_SAME, spec.tolerance)
        and drill.reach >= -tip_bottom(feature) + point_length(drill)
    ]
    return fits[0] if fits else None


def _drilled(diameter: Mm, *, drill: Cutter, feature: Feature, shop: Shop) -> Operation:
    bottom = tip_bottom(feature) - point_length(drill)
    made = drilled(drill, bottom=bottom, diameter=diameter, feature=feature, shop=shop)
    depth = -bottom - feature.top
    sentence = (
        f"pecks: {depth:.1f} mm is more than {made.data.peck_free_depth:.1f} mm, which this drill bores without"
        if made.peck is not None
        else f"no pecks: {depth:.1f} mm is within {made.data.peck_free_depth:.1f} mm"
    )
    return replace(made, reasons=(why("peck", sentence), *made.reasons))


def _spotted(diameter: Mm, *, width: Mm, flat: bool, feature: Feature, spec: HoleSpec, shop: Shop) -> list[Operation]:
    """A spot a little smaller than the hole, so that the drill starts where it should; over a ``flat`` floor its point
    stays clear of that."""
    spots = spot_drills(feature, spec=spec, shop=shop) if spec.spot else ()
    if not spots:
        return []
    cutter = next((one for one in spots if one.diameter >= width), spots[-1] if feature.top > 0.0 else spots[0])
    room = 2.0 * (feature.bottom - feature.top - _FLOOR) * math.tan((cutter.point_angle or math.pi / 2.0) / 2.0)
    width = min(width, cutter.diameter, room) if flat else min(width, cutter.diameter)
    return [_spot(diameter, cutter=cutter, width=width, feature=feature, shop=shop)]


def _spot(diameter: Mm, *, cutter: Cutter, width: Mm, feature: Feature, shop: Shop) -> Operation:
    depth = width / 2.0 / math.tan((cutter.point_angle or math.pi / 2.0) / 2.0)
    data = shop.data_for(cutter, CutKind.DRILL, depth, None)
    wide = width > diameter
    sentence = (
        f"a spot {width:.2f} mm wide, so that a chamfer stays round the mouth when the hole is drilled"
        if wide
        else f"a spot {width:.2f} mm wide, {width / diameter:.2g} of the hole"
    )
    return Operation(
        feature=feature,
        purpose=Purpose.DRILL,
        part=Part.SPOT,
        cutter=cutter,
        data=data,
        levels=(-(feature.top + depth),),
        stay=0.0,
        reasons=(why("depth", f"{sentence} (common practice, no source)"), *data.reasons),
        diameter=diameter,
    )


def _borers(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> tuple[Cutter, ...]:
    """The flat cutters that bore a hole, widest first."""
    depth = -tip_bottom(feature)
    flats = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=depth)
    flats = suited(flats, kind=CutKind.ROUGH, depth=depth, shop=shop)
    return tuple(cutter for cutter in flats if cutter.diameter <= _BORE_RATIO * diameter)


def _bored(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> list[Operation]:
    """The widest flat cutter that leaves no core goes down in a helix; then the wall at its size."""
    bottom = tip_bottom(feature)
    fits = _borers(diameter, feature=feature, spec=spec, shop=shop)
    if not fits:
        return []
    cutter = fits[0]
    finish = min(shop.material.finish_wall, (diameter - cutter.diameter) / 4.0)
    if diameter > _CORE_RATIO * cutter.diameter:
        return _as_room(diameter, feature=feature, cutters=fits, shop=shop)
    data = shop.data_for(cutter, CutKind.ROUGH, -bottom, None)
    wall = shop.wall_data(cutter, -bottom, finish, spec.tolerance)
    drill = _may_drill(feature, diameter=diameter, spec=spec)
    because = f"no drill on the shelf is {diameter:.2f} mm" if drill else "a drill would give it neither size nor floor"
    reason = why("cutter", f"{cutter.name}: {because}, so the hole is bored by a helix")
    levels = even_levels(-feature.top, bottom=bottom, step_down=min(wall.step_down, cutter.flute_length))
    helix = Operation(
        feature=feature,
        purpose=Purpose.BORE,
        part=Part.BORED,
        cutter=cutter,
        data=data,
        levels=(bottom,),
        stay=finish,
        reasons=(reason, *data.reasons),
        diameter=diameter,
    )
    return [helix, replace(helix, data=wall, levels=levels, stay=0.0, reasons=wall.reasons)]


def _as_room(diameter: Mm, *, feature: Feature, cutters: tuple[Cutter, ...], shop: Shop) -> list[Operation]:
    room = Room(
        feature=feature,
        pieces=tuple((disc,) for disc in of_circles(feature.circles, diameter=diameter)),
        top=-feature.top,
        bottom=tip_bottom(feature),
        allowance=0.0,
        finish=shop.material.finish_wall,
        floor=0.0,
        corner=diameter / 2.0,
    )
    return [replace(one, diameter=diameter) for one in room_operations(room, cutters=cutters, shop=shop)]
