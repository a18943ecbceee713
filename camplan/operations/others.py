"""Operations for outlines, holes, grooves, marks and faces."""

import math
from dataclasses import replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import profile
from camplan.cutting.records import CutKind, CuttingData
from camplan.features.build import with_kerf, with_point, with_profile
from camplan.features.records import Feature
from camplan.features.specs import GrooveSpec, HoleSpec, MarkSpec, OutlineSpec
from camplan.operations.areas import of_circles
from camplan.operations.levels import even_levels, with_level
from camplan.operations.pocket import Room, inner_radius, room_operations
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, reaching, suited, why
from camplan.units import Mm

_SAME: Mm = 0.02
_BORE_RATIO = 0.85
_CORE_RATIO = 1.9
_SPOT_RATIO = 0.8
_PROFILE_STEPS = 64


def tip_bottom(feature: Feature) -> Mm:
    """The height z of a flat tip that has cut the feature to its depth."""
    return -(feature.bottom + (feature.break_through if feature.through else 0.0))


def outline_operations(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """The outline with its kerf and bridges, and the slot and wall that part it; no operations if no cutter fits."""
    bottom = -(feature.bottom - spec.skin) if feature.through and spec.hold == "skin" else tip_bottom(feature)
    cutters = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=-bottom)
    cutters = suited(cutters, kind=CutKind.SLOT, depth=-bottom, shop=shop)
    sharpest = spec.corner if spec.corner is not None else inner_radius(feature.regions)
    if sharpest and spec.side == "inside":
        cutters = tuple(cutter for cutter in cutters if cutter.diameter / 2.0 <= sharpest + 1e-6) or cutters[-1:]
    if not cutters:
        return feature, ()
    finish = shop.material.finish_wall if spec.finish is None else spec.finish

    def minutes(cutter: Cutter) -> float:
        data = shop.data_for(cutter, CutKind.SLOT, -bottom, None)
        return math.ceil(-bottom / data.step_down) / data.slot_feed

    cutter = min(cutters, key=lambda one: (minutes(one), one.diameter))
    parted = with_kerf(feature, kerf=cutter.diameter + finish)
    slot = shop.data_for(cutter, CutKind.SLOT, -bottom, None)
    wall = shop.data_for(cutter, CutKind.WALL, -bottom, finish or None)
    bridge = -(feature.bottom - spec.bridge_height)
    held = bool(parted.bridges)

    def levels(step: Mm) -> tuple[Mm, ...]:
        found = even_levels(-feature.top, bottom=bottom, step_down=step)
        return with_level(found, at=bridge) if held else found

    reason = why(
        "cutter", f"{cutter.name}: parts the plate in the least time; the kerf is {cutter.diameter + finish:.2f} mm"
    )
    rough = Operation(
        feature=parted,
        purpose=Purpose.ROUGH,
        part=Part.KERF,
        cutter=cutter,
        data=slot,
        levels=levels(slot.step_down),
        stay=spec.allowance + finish,
        reasons=(reason, *slot.reasons),
    )
    if finish == 0.0:
        return parted, (rough,)
    skim = replace(
        rough,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        data=wall,
        levels=levels(min(wall.step_down, cutter.flute_length)),
        stay=spec.allowance,
        reasons=wall.reasons,
    )
    return parted, (rough, skim)


def hole_operations(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """Spot and drill, or bore, each size of hole."""
    found: list[Operation] = []
    shaped = feature
    spots: list[Operation] = []
    for diameter in sorted({circle[2] for circle in feature.circles}):
        drill = _drill(diameter, feature=feature, spec=spec, shop=shop)
        if drill is None:
            found.extend(_bored(diameter, feature=feature, spec=spec, shop=shop))
            continue
        if drill.point_angle is not None:
            shaped = with_point(shaped, point_angle=drill.point_angle)
        spots.extend(_spotted(diameter, feature=feature, spec=spec, shop=shop))
        found.append(_drilled(diameter, drill=drill, feature=feature, shop=shop))
    return shaped, tuple(replace(operation, feature=shaped) for operation in (*spots, *found))


def point_length(cutter: Cutter) -> Mm:
    """Height of a drill's point, from its tip to its full diameter."""
    return cutter.diameter / 2.0 / math.tan(cutter.point_angle / 2.0) if cutter.point_angle else 0.0


def _drill(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> Cutter | None:
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
    point = point_length(drill)
    bottom = tip_bottom(feature) - point
    depth = -bottom - feature.top
    data = shop.data_for(drill, CutKind.DRILL, -bottom, None)
    pecked = depth > data.peck_free_depth
    sentence = (
        f"pecks: {depth:.1f} mm is more than {data.peck_free_depth:.1f} mm, which this drill bores without"
        if pecked
        else f"no pecks: {depth:.1f} mm is within {data.peck_free_depth:.1f} mm"
    )
    return Operation(
        feature=feature,
        purpose=Purpose.DRILL,
        part=Part.DRILLED,
        cutter=drill,
        data=data,
        levels=(bottom,),
        stay=0.0,
        reasons=(why("peck", sentence), *data.reasons),
        diameter=diameter,
        peck=(data.peck or drill.diameter) if pecked else None,
    )


def _spotted(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> list[Operation]:
    """A spot a little smaller than the hole, so that the drill starts where it should."""
    spots = allowed(shop, names=spec.cutters, kinds=(CutterKind.SPOT_DRILL,)) if spec.spot else ()
    spots = spots or (allowed(shop, names=(), kinds=(CutterKind.SPOT_DRILL,)) if spec.spot else ())
    spots = suited(spots, kind=CutKind.DRILL, depth=feature.top + 1.0, shop=shop)
    if not spots or spots[0].point_angle is None:
        return []
    cutter = spots[0]
    width = min(_SPOT_RATIO * diameter, cutter.diameter)
    depth = width / 2.0 / math.tan(spots[0].point_angle / 2.0)
    data = shop.data_for(cutter, CutKind.DRILL, feature.top + depth, None)
    reason = why("depth", f"a spot {width:.2f} mm wide, {_SPOT_RATIO:g} of the hole (common practice, no source)")
    return [
        Operation(
            feature=feature,
            purpose=Purpose.DRILL,
            part=Part.SPOT,
            cutter=cutter,
            data=data,
            levels=(-(feature.top + depth),),
            stay=0.0,
            reasons=(reason, *data.reasons),
            diameter=diameter,
        )
    ]


def _bored(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> list[Operation]:
    """The widest flat cutter that leaves no core goes down in a helix; then the wall at its size."""
    bottom = tip_bottom(feature)
    flats = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=-bottom)
    flats = suited(flats, kind=CutKind.ROUGH, depth=-bottom, shop=shop)
    fits = [cutter for cutter in flats if cutter.diameter <= _BORE_RATIO * diameter]
    if not fits:
        return []
    cutter = fits[0]
    finish = min(shop.material.finish_wall, (diameter - cutter.diameter) / 4.0)
    if diameter > _CORE_RATIO * cutter.diameter:
        return _as_room(diameter, feature=feature, cutters=tuple(fits), shop=shop)
    data = shop.data_for(cutter, CutKind.ROUGH, -bottom, None)
    wall = shop.data_for(cutter, CutKind.WALL, -bottom, finish)
    reason = why(
        "cutter", f"{cutter.name}: no drill on the shelf is {diameter:.2f} mm, so the hole is bored by a helix"
    )
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
    return list(room_operations(room, cutters=cutters, shop=shop))


def groove_operations(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> tuple[Operation, ...]:
    """A cutter as wide as the groove along its line."""
    kinds = (CutterKind.BALL,) if spec.section == "round" else FLATS
    reach = reaching(allowed(shop, names=spec.cutters, kinds=kinds), depth=feature.bottom)
    reach = suited(reach, kind=CutKind.SLOT, depth=feature.bottom, shop=shop)
    exact = [cutter for cutter in reach if abs(cutter.diameter - spec.width) <= spec.tolerance]
    if not exact:
        return ()
    cutter = exact[0]
    data = shop.data_for(cutter, CutKind.SLOT, feature.bottom, None)
    levels = even_levels(-feature.top, bottom=-feature.bottom, step_down=data.step_down)
    reason = why("cutter", f"{cutter.name}: as wide as the groove")
    return (_line(feature, purpose=Purpose.GROOVE, cutter=cutter, data=data, levels=levels, sentence=reason.sentence),)


def mark_operations(feature: Feature, *, spec: MarkSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """An engraver along the lines; the feature with the section that it leaves."""
    engravers = allowed(shop, names=spec.cutters, kinds=(CutterKind.ENGRAVER,))
    finest = tuple(reversed(allowed(shop, names=spec.cutters, kinds=(CutterKind.BALL, *FLATS))))
    found = suited(engravers or finest, kind=CutKind.ENGRAVE, depth=feature.bottom, shop=shop)
    if not found:
        return feature, ()
    depth = feature.bottom - feature.top
    cutter = found[0]
    if spec.width is not None:
        wanted = spec.width
        cutter = min(found, key=lambda one: abs(_width_at(one, depth=depth) - wanted))
    data = shop.data_for(cutter, CutKind.ENGRAVE, feature.bottom, None)
    levels = even_levels(-feature.top, bottom=-feature.bottom, step_down=data.step_down)
    shaped = with_profile(feature, profile=profile(cutter, steps=_PROFILE_STEPS))
    sentence = f"{cutter.name}: a line {_width_at(cutter, depth=depth):.2f} mm wide at the top"
    return shaped, (_line(shaped, purpose=Purpose.MARK, cutter=cutter, data=data, levels=levels, sentence=sentence),)


def _width_at(cutter: Cutter, *, depth: Mm) -> Mm:
    heights = profile(cutter, steps=_PROFILE_STEPS)
    return 2.0 * max((radius for height, radius in heights if height <= depth + 1e-9), default=0.0)


def _line(
    feature: Feature, *, purpose: Purpose, cutter: Cutter, data: CuttingData, levels: tuple[Mm, ...], sentence: str
) -> Operation:
    return Operation(
        feature=feature,
        purpose=purpose,
        part=Part.LINE,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=0.0,
        reasons=(why("cutter", sentence), *data.reasons),
    )
