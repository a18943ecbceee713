"""Every feature's operations, in the order in which a plate is cut.

Faces first, then pockets from the highest, grooves, holes, marks, and outlines last: what holds the plate together
goes last.
"""

from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.cutting.records import CutKind
from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.drafted import drafted_operations
from camplan.operations.holes import hole_operations, unmade
from camplan.operations.others import groove_operations, mark_operations
from camplan.operations.outlines import outline_operations, refusal, tip_bottom
from camplan.operations.pocket import Room, room_operations
from camplan.operations.records import Operation, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, reaching, straight_walled, why
from camplan.units import Mm

_AIR: Mm = 1.0
_BERTH: Mm = 0.2
_FLOOR_SHARE = 0.25
_FLAT_SHARE = 0.9
"""Step-over of a bull nose over the radius of its flat."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """Features with what their cutters add to them, operations in order, features that nothing can cut, and what of
    others nothing cuts."""

    features: tuple[Feature, ...]
    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...] = ()


def chosen(features: tuple[Feature, ...], *, plate: Plate, shop: Shop) -> Chosen:
    """The operations of all features."""
    done: dict[str, Feature] = {}
    operations: list[Operation] = []
    problems: list[Problem] = []
    findings: list[Finding] = []
    for feature in sorted(features, key=_rank):
        shaped = feature
        found: tuple[Operation, ...]
        if isinstance(feature.spec, PocketSpec) and feature.spec.draft != 0.0:
            drafted = drafted_operations(feature, spec=feature.spec, shop=shop)
            found = drafted.operations
            problems.extend(drafted.problems)
        else:
            shaped, found = _operations(feature, plate=plate, shop=shop)
            problems.extend([] if found else _nothing_fits(feature, shop=shop))
        done[feature.spec.name] = shaped
        operations.extend(found)
        if found and isinstance(feature.spec, HoleSpec):
            findings.extend(_unmade(feature, spec=feature.spec, shop=shop))
    return Chosen(
        features=tuple(done[feature.spec.name] for feature in features),
        operations=tuple(operations),
        problems=tuple(problems),
        findings=tuple(findings),
    )


def _unmade(feature: Feature, *, spec: HoleSpec, shop: Shop) -> list[Finding]:
    return [
        Finding(
            severity=Severity.UNMET,
            code="hole-without-cutter",
            message=f"{size.message}; what would be accepted: {size.accepted}",
            where=spec.name,
        )
        for size in unmade(feature, spec=spec, shop=shop)
    ]


def _rank(feature: Feature) -> tuple[int, float, float]:
    match feature.spec:
        case FaceSpec():
            rank = 0
        case PocketSpec():
            rank = 1
        case GrooveSpec():
            rank = 2
        case HoleSpec():
            rank = 3
        case MarkSpec():
            rank = 4
        case OutlineSpec():
            rank = 5
    return rank, feature.top, feature.bottom


def _operations(feature: Feature, *, plate: Plate, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    match feature.spec:
        case PocketSpec() as spec:
            cutters = _flats(feature, names=spec.cutters, shop=shop)
            finish = shop.material.finish_wall if spec.finish is None else spec.finish
            depth = feature.bottom - feature.top
            floor = 0.0 if feature.through else min(shop.material.finish_floor, _FLOOR_SHARE * depth)
            room = _room(feature, plate=plate, widest=_widest(cutters), finish=finish, floor=floor)
            room = replace(room, allowance=spec.allowance, corner=spec.corner)
            return feature, _on_their_flats(room_operations(room, cutters=cutters, shop=shop))
        case FaceSpec() as spec:
            cutters = _flats(feature, names=spec.cutters, shop=shop)
            room = _room(feature, plate=plate, widest=_widest(cutters), finish=0.0, floor=0.0)
            found = room_operations(replace(room, corner=_widest(cutters)), cutters=cutters[:1], shop=shop)
            return feature, tuple(replace(one, purpose=Purpose.FACE) for one in found if one.purpose is Purpose.ROUGH)
        case OutlineSpec() as spec:
            return outline_operations(feature, spec=spec, shop=shop)
        case HoleSpec() as spec:
            return hole_operations(feature, spec=spec, shop=shop)
        case GrooveSpec() as spec:
            found = groove_operations(feature, spec=spec, shop=shop)
            if found or spec.section == "round":
                return feature, found
            cutters = _flats(feature, names=spec.cutters, shop=shop)
            finish = min(shop.material.finish_wall, spec.width / 10.0)
            room = Room(
                feature=feature,
                pieces=clipper.pieces(areas.along(feature.lines, by=spec.width / 2.0)),
                top=-feature.top,
                bottom=tip_bottom(feature),
                allowance=0.0,
                finish=finish,
                floor=0.0,
                corner=spec.width / 2.0,
            )
            made = room_operations(room, cutters=cutters, shop=shop)
            return feature, tuple(
                replace(one, purpose=Purpose.GROOVE) if one.purpose is Purpose.ROUGH else one for one in made
            )
        case MarkSpec() as spec:
            return mark_operations(feature, spec=spec, shop=shop)


def _flats(feature: Feature, *, names: tuple[str, ...], shop: Shop) -> tuple[Cutter, ...]:
    """The cutters for straight walls and flat floors; bull noses where there is no other."""
    depth = -tip_bottom(feature)
    below = feature.break_through if feature.through else 0.0
    found = reaching(straight_walled(shop, names=names, below=below), depth=depth)
    return found or reaching(allowed(shop, names=names, kinds=(CutterKind.BULL_NOSE,)), depth=depth)


def _on_their_flats(operations: tuple[Operation, ...]) -> tuple[Operation, ...]:
    """The operations of bull noses with no wider steps than their flat clears of every floor and corner."""
    found = []
    for one in operations:
        flat = one.cutter.tip_diameter / 2.0
        if one.cutter.kind is CutterKind.BULL_NOSE and one.data.step_over > _FLAT_SHARE * flat:
            step = _FLAT_SHARE * flat
            reason = why("step_over", f"{step:.2f} mm: its flat is only {one.cutter.tip_diameter:g} mm wide")
            data = replace(one.data, step_over=step)
            found.append(replace(one, data=data, reasons=(*one.reasons, reason)))
        else:
            found.append(one)
    return tuple(found)


def _widest(cutters: tuple[Cutter, ...]) -> Mm:
    return cutters[0].diameter if cutters else 0.0


def _room(feature: Feature, *, plate: Plate, widest: Mm, finish: Mm, floor: Mm) -> Room:
    found = [areas.of_regions((region,)) for region in feature.regions]
    if feature.open_edges or isinstance(feature.spec, FaceSpec):
        outline = areas.of_regions((plate.outline,))
        whole = with_air(clipper.union(found), plate=outline, width=widest + _AIR)
        found = list(clipper.pieces(whole))
    return Room(
        feature=feature,
        pieces=tuple(found),
        top=-feature.top,
        bottom=tip_bottom(feature),
        allowance=0.0,
        finish=finish,
        floor=floor,
        corner=None,
        plate=areas.of_regions((plate.outline,)) if feature.open_edges else (),
    )


def with_air(area: Area, *, plate: Area, width: Mm) -> Area:
    """The area with the air beside the plate within a width of it; away from the area's own mouth the air keeps a
    berth, so that no path grazes the plate's edge."""
    wide = clipper.difference(clipper.offset(area, by=width), less=clipper.offset(plate, by=_BERTH))
    mouth = clipper.difference(clipper.offset(area, by=_BERTH), less=plate)
    return clipper.union([area, wide, mouth])


def _nothing_fits(feature: Feature, *, shop: Shop) -> list[Problem]:
    if (refused := refusal(feature, shop=shop)) is not None:
        return [refused]
    if isinstance(feature.spec, HoleSpec):
        key = f"feature {feature.spec.name!r}"
        sizes = unmade(feature, spec=feature.spec, shop=shop)
        return [Problem(message=size.message, key=key, accepted=size.accepted) for size in sizes]
    names = getattr(feature.spec, "cutters", ()) or tuple(cutter.name for cutter in shop.cutters)
    depth = -tip_bottom(feature)
    for cutter in shop.cutters:
        if cutter.kind in FLATS and cutter.name in names:
            try:
                shop.data_for(cutter, CutKind.ROUGH, depth, None)
            except InputError as error:
                return [replace(error.problems[0], key=f"feature {feature.spec.name!r}")]
    return [
        Problem(
            message=f"no cutter on the shelf can cut it: each of {', '.join(names[:12])} is too wide for it, "
            f"too short for {depth:.2f} mm, or of another kind",
            key=f"feature {feature.spec.name!r}",
            accepted="a narrower or longer cutter in `cutters`, or another depth or layer",
        )
    ]
