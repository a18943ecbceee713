"""For each feature the ways to cut it: which cutters could share the work, and how long they would take."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import can_plunge
from camplan.features.records import Feature, Plate
from camplan.features.sections import may
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry import clipper
from camplan.operations import areas, pace
from camplan.operations.air import AIR, with_air
from camplan.operations.drafted import drafted_operations
from camplan.operations.fitting import is_sure
from camplan.operations.holes import hole_operations
from camplan.operations.inclined import inclined_operations
from camplan.operations.leaning import leaning_operations
from camplan.operations.others import groove_operations, mark_operations
from camplan.operations.outlines import outline_operations, tip_bottom
from camplan.operations.pocket import HELIX_ROOM, Fitted, Room, fitted_room, inner_radius, relay_operations
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, floor_finish, reaching, straight_walled, wall_finish
from camplan.operations.sided import side_operations
from camplan.operations.sloped import is_special, narrow_end, sloped_operations
from camplan.units import Mm, Seconds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Option:
    """One way to cut a task with fixed operations; ``flats`` are the flat cutters among its cutters, ``seconds`` its
    time without changes."""

    feature: Feature
    operations: tuple[Operation, ...]
    flats: tuple[str, ...]
    seconds: Seconds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Task:
    """Work of one feature for which cutters are chosen together: by one of the ``options``, or by any relay of the
    cutters that fit ``room``, whose clearing serves ``purpose``."""

    feature: Feature
    options: tuple[Option, ...] = ()
    room: Fitted | None = None
    purpose: Purpose = Purpose.ROUGH

    @property
    def flat(self) -> bool:
        """Whether flat cutters can do it."""
        return self.room is not None or any(option.flats for option in self.options)


def tasks(feature: Feature, *, plate: Plate, shop: Shop) -> tuple[Task, ...]:
    """The tasks of a feature; none if no cutter can cut it."""
    match feature.spec:
        case PocketSpec():
            return _pocket(feature, spec=feature.spec, plate=plate, shop=shop)
        case FaceSpec():
            return _face(feature, spec=feature.spec, plate=plate, shop=shop)
        case OutlineSpec():
            return _outline(feature, spec=feature.spec, shop=shop)
        case HoleSpec():
            return _holes(feature, spec=feature.spec, shop=shop)
        case GrooveSpec():
            return _groove(feature, spec=feature.spec, plate=plate, shop=shop)
        case MarkSpec():
            shaped, found = mark_operations(feature, spec=feature.spec, shop=shop)
            return _only(_option(shaped, operations=found, shop=shop))
        case EdgeSpec():
            return ()  # what it follows has to be chosen first (`edged`)


def _only(option: Option) -> tuple[Task, ...]:
    return (Task(feature=option.feature, options=(option,)),) if option.operations else ()


def _option(feature: Feature, *, operations: tuple[Operation, ...], shop: Shop) -> Option:
    timed = tuple(
        replace(one, expected=one.expected or pace.operation_seconds(one, machine=shop.machine)) for one in operations
    )
    flats = dict.fromkeys(one.cutter.name for one in timed if one.cutter.kind in FLATS)
    return Option(feature=feature, operations=timed, flats=tuple(flats), seconds=sum(one.expected for one in timed))


def _pocket(feature: Feature, *, spec: PocketSpec, plate: Plate, shop: Shop) -> tuple[Task, ...]:
    if feature.incline is not None:
        inclined = inclined_operations(feature, spec=spec, incline=feature.incline, shop=shop)
        return _only(_option(feature, operations=inclined.operations, shop=shop))
    if spec.draft > 0.0:
        drafted = drafted_operations(feature, spec=spec, plate=plate, shop=shop)
        return _only(_option(feature, operations=drafted.operations, shop=shop))
    cutters = _flats(feature, names=spec.cutters, shop=shop)
    finish = wall_finish(spec, shop=shop)
    floor = floor_finish(feature, depth=feature.bottom - feature.top, shop=shop)
    room = _room(feature, plate=plate, widest=_widest(cutters), finish=finish, floor=floor)
    room = replace(room, allowance=spec.allowance, corner=spec.corner)
    found = fitted_room(room, cutters=cutters, shop=shop)
    return (Task(feature=feature, room=found),) if found else ()


def _face(feature: Feature, *, spec: FaceSpec, plate: Plate, shop: Shop) -> tuple[Task, ...]:
    """Each flat cutter by itself; it runs out over the edge by as much as it is wide."""
    options = []
    for cutter in _flats(feature, names=spec.cutters, shop=shop):
        room = _room(feature, plate=plate, widest=cutter.diameter, finish=0.0, floor=0.0)
        found = fitted_room(replace(room, corner=cutter.diameter), cutters=(cutter,), shop=shop)
        if found is None:
            continue
        cleared = tuple(
            one
            for one in relay_operations(found, relay=1, purpose=Purpose.FACE, shop=shop)
            if one.purpose is Purpose.FACE
        )
        options.append(_option(feature, operations=cleared, shop=shop))
    return (Task(feature=feature, options=tuple(options)),) if options else ()


def _outline(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> tuple[Task, ...]:
    """The cutter that parts it fastest, or any other that holds its inner corners as well."""
    if spec.draft > 0.0:
        leaning = leaning_operations(feature, spec=spec, shop=shop)
        return _only(_option(leaning.feature, operations=leaning.operations, shop=shop))
    shaped, first = outline_operations(feature, spec=spec, shop=shop)
    if not first:
        return ()
    fastest = _option(shaped, operations=first, shop=shop)
    sharpest = spec.corner if spec.corner is not None else inner_radius(feature.regions)
    widest = max(one.cutter.diameter for one in first)
    most = max(widest, 2.0 * sharpest if sharpest else widest)

    def made(one: Shop) -> Option:
        parted, operations = outline_operations(feature, spec=spec, shop=one)
        return _option(parted, operations=operations, shop=shop)

    others = _singly(made, first=fastest, most=most, names=spec.cutters, shop=shop)
    return (Task(feature=feature, options=(fastest, *others)),)


def _singly(
    made: Callable[[Shop], Option], *, first: Option, most: Mm, names: tuple[str, ...], shop: Shop
) -> list[Option]:
    """The same work by each other flat cutter of at most a diameter; none where it takes more than one of them."""
    if len(first.flats) != 1:
        return []
    found = []
    for cutter in allowed(shop, names=names, kinds=FLATS):
        if cutter.name in first.flats or cutter.diameter > most + 1e-9:
            continue
        kept = tuple(one for one in shop.cutters if one.kind not in FLATS or one.name == cutter.name)
        other = made(replace(shop, cutters=kept))
        if other.flats == (cutter.name,) and len(other.operations) >= len(first.operations):
            found.append(other)
    return found


def _holes(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Task, ...]:
    """Each size of hole: drilled if there is a drill of its size, else bored by any flat cutter that leaves no core; a
    fit by one that is sure to hold it, if there is one."""
    shaped, _ = hole_operations(feature, spec=spec, shop=shop)
    found = []
    for size in sorted({circle[2] for circle in feature.circles}):
        alike = replace(feature, circles=tuple(circle for circle in feature.circles if abs(circle[2] - size) < 1e-9))

        def made(one: Shop, alike: Feature = alike) -> Option:
            _, operations = hole_operations(alike, spec=spec, shop=one)
            whole = tuple(replace(operation, feature=shaped) for operation in operations)
            return _option(shaped, operations=whole, shop=shop)

        first = made(shop)
        if not first.operations:
            continue
        every = (first, *_singly(made, first=first, most=size, names=spec.cutters, shop=shop))
        sunk = tuple(option for option in every if all(_goes_down(one, size=size) for one in option.operations))
        able = sunk or every
        sure = tuple(option for option in able if is_sure(option.operations))
        found.append(Task(feature=shaped, options=sure or able))
    return tuple(found)


def _goes_down(operation: Operation, *, size: Mm) -> bool:
    """Whether a cutter that does not cut at its centre has room for a helix that leaves no core."""
    cutter = operation.cutter
    if operation.part is not Part.BORED or can_plunge(cutter):
        return True
    return (size - cutter.diameter) / 2.0 - operation.stay >= HELIX_ROOM * cutter.diameter


def _groove(feature: Feature, *, spec: GrooveSpec, plate: Plate, shop: Shop) -> tuple[Task, ...]:
    """A cutter as wide as the groove along its line, as the width is sure then; without one, a square groove is a
    narrow room."""
    if feature.widening:
        return _narrowing(feature, spec=spec, shop=shop)
    if feature.slopes:
        return _only(_option(feature, operations=sloped_operations(feature, spec=spec, shop=shop), shop=shop))
    exact = groove_operations(feature, spec=spec, shop=shop)
    if not exact and spec.section == "trapezoid":
        exact = side_operations(feature, spec=spec, plate=plate, shop=shop)
    if exact or is_special(feature, spec=spec):
        return _only(_option(feature, operations=exact, shop=shop))
    room = Room(
        feature=feature,
        pieces=clipper.pieces(areas.along(feature.lines, by=spec.width / 2.0)),
        top=-feature.top,
        bottom=tip_bottom(feature),
        allowance=0.0,
        finish=min(shop.material.finish_wall, spec.width / 10.0),
        floor=0.0,
        corner=spec.width / 2.0,
    )
    found = fitted_room(room, cutters=_flats(feature, names=spec.cutters, shop=shop), shop=shop)
    return (Task(feature=feature, room=found, purpose=Purpose.GROOVE),) if found else ()


def _narrowing(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> tuple[Task, ...]:
    """A groove that narrows is a room for cutters that are no wider than its narrow end."""
    least = narrow_end(spec)
    room = Room(
        feature=feature,
        pieces=clipper.pieces(areas.of_section(may(feature, z=-feature.bottom))),
        top=-feature.top,
        bottom=tip_bottom(feature),
        allowance=0.0,
        finish=min(shop.material.finish_wall, least / 10.0),
        floor=0.0,
        corner=least / 2.0,
    )
    cutters = tuple(one for one in _flats(feature, names=spec.cutters, shop=shop) if one.diameter <= least + 1e-9)
    found = fitted_room(room, cutters=cutters, shop=shop)
    return (Task(feature=feature, room=found, purpose=Purpose.GROOVE),) if found else ()


def _flats(feature: Feature, *, names: tuple[str, ...], shop: Shop) -> tuple[Cutter, ...]:
    """The cutters for straight walls and flat floors; bull noses where there is no other."""
    depth = -tip_bottom(feature)
    below = feature.break_through if feature.through else 0.0
    found = reaching(straight_walled(shop, names=names, below=below), depth=depth)
    return found or reaching(allowed(shop, names=names, kinds=(CutterKind.BULL_NOSE,)), depth=depth)


def _widest(cutters: tuple[Cutter, ...]) -> Mm:
    return cutters[0].diameter if cutters else 0.0


def _room(feature: Feature, *, plate: Plate, widest: Mm, finish: Mm, floor: Mm) -> Room:
    found = [areas.of_regions((region,)) for region in feature.regions]
    stands = areas.standing(plate, z=-feature.bottom)
    if feature.open_edges or isinstance(feature.spec, FaceSpec):
        whole = with_air(clipper.union(found), plate=stands, width=widest + AIR)
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
        plate=stands if feature.open_edges else (),
    )
