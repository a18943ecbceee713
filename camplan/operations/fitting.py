"""Holes with a fit: reamed if a reamer of the size is on the shelf, else bored and walked again to size."""

from dataclasses import replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import cone_top
from camplan.cutting.records import CutKind, CuttingData
from camplan.features.holding import WALL_SHARE
from camplan.features.holds import Gauge
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.findings import Finding, Severity
from camplan.operations.drilled import drilled, point_length
from camplan.operations.outlines import tip_bottom
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop, allowed, suited, why
from camplan.units import UM_PER_MM, Mm

_OFF: Mm = 0.003
"""How far a reamer's diameter may be from the middle of a fit: what the proof grants its walls is more."""
_REAMED_LEAST, _REAMED_MOST = 0.08, 0.35
"""What a drill leaves in the diameter for a reamer, mm (common practice, no source)."""
_BORED_LEAST: Mm = 0.5
"""What a drill leaves in the diameter at least for boring (common practice, no source)."""
_WORTH = 0.5
"""A drill narrower than this share of a hole is not worth its change before boring."""
_NOT_SURE = "fit-not-sure"
_FLOOR: Mm = 0.2
"""How far above a flat floor a drill's tip stops."""


def gauge_of(feature: Feature, *, diameter: Mm) -> Gauge | None:
    """The size to gauge of the holes of a diameter; None where they have no fit."""
    return next((gauge for gauge in feature.gauges if abs(gauge.aim - diameter) < 1e-9), None)


def reamed(
    gauge: Gauge, *, feature: Feature, spec: HoleSpec, shop: Shop
) -> tuple[Cutter, tuple[Operation, ...]] | None:
    """The drill, and the operations that drill and ream the holes of a size; None for blind holes, whose floor a
    reamer's lead does not reach, and where a reamer or a drill is missing."""
    if not feature.through:
        return None
    reamers = allowed(shop, names=spec.cutters, kinds=(CutterKind.REAMER,))
    for reamer in suited(reamers, kind=CutKind.DRILL, depth=feature.bottom, shop=shop):
        lead = cone_top(reamer) or 0.0
        bottom = tip_bottom(feature) - lead
        fits = gauge.least <= reamer.diameter <= gauge.most and abs(reamer.diameter - gauge.aim) <= _OFF
        drill = drill_under(
            reamer.diameter - _REAMED_MOST, most=reamer.diameter - _REAMED_LEAST, feature=feature, spec=spec, shop=shop
        )
        if not fits or drill is None or reamer.reach < -bottom:
            continue
        data = shop.data_for(reamer, CutKind.DRILL, -bottom - feature.top, None)
        sentence = (
            f"{reamer.name}: {reamer.diameter:.3f} mm lies in {gauge.words}; {reamer.diameter - drill.diameter:.2f} mm "
            "stand for it; it comes out at the feed that it went in with"
        )
        last = Operation(
            feature=feature,
            purpose=Purpose.BORE,
            part=Part.REAMED,
            cutter=reamer,
            data=data,
            levels=(bottom,),
            stay=0.0,
            reasons=(why("fit", sentence, source=gauge.source), *data.reasons),
            diameter=gauge.aim,
        )
        return drill, (undersize(drill, diameter=gauge.aim, feature=feature, shop=shop), last)
    return None


def drill_under(least: Mm, *, most: Mm, feature: Feature, spec: HoleSpec, shop: Shop) -> Cutter | None:
    """The widest drill between two diameters that reaches a feature's depth; above a flat floor its point must fit."""
    drills = allowed(shop, names=spec.cutters, kinds=(CutterKind.DRILL,))
    for drill in suited(drills, kind=CutKind.DRILL, depth=feature.bottom, shop=shop):
        bottom = _drill_tip(drill, feature=feature)
        roomy = -bottom - feature.top > point_length(drill)
        if least - 1e-9 <= drill.diameter <= most + 1e-9 and drill.reach >= -bottom and roomy:
            return drill
    return None


def drill_before_boring(diameter: Mm, *, feature: Feature, spec: HoleSpec, shop: Shop) -> Cutter | None:
    """The drill that goes before the boring of a fit, so that chips of the helix find a way out."""
    return drill_under(_WORTH * diameter, most=diameter - _BORED_LEAST, feature=feature, spec=spec, shop=shop)


def undersize(drill: Cutter, *, diameter: Mm, feature: Feature, shop: Shop) -> Operation:
    """The holes of a diameter drilled undersize."""
    sentence = f"{drill.name}: {diameter - drill.diameter:.2f} mm under the size, which a reamer or boring then gives"
    made = drilled(drill, bottom=_drill_tip(drill, feature=feature), diameter=diameter, feature=feature, shop=shop)
    return replace(made, reasons=(why("cutter", sentence), *made.reasons))


def to_size(operations: list[Operation], *, gauge: Gauge, shop: Shop) -> list[Operation]:
    """Bored operations whose last walk round the wall is walked again, and that say what to gauge and whether the size
    is sure."""
    return [_sprung(one, gauge=gauge, shop=shop) if _is_wall(one) else one for one in operations]


def is_sure(operations: tuple[Operation, ...]) -> bool:
    """Whether nothing says that a fit may be missed."""
    return not any(finding.code == _NOT_SURE for one in operations for finding in one.data.findings)


def _is_wall(operation: Operation) -> bool:
    return operation.part is Part.WALL or (operation.part is Part.BORED and operation.stay == 0.0)


def _sprung(operation: Operation, *, gauge: Gauge, shop: Shop) -> Operation:
    data = operation.data
    allowed_error = WALL_SHARE * (gauge.most - gauge.least)
    kept = tuple(finding for finding in data.findings if finding.code != "tolerance-not-held")
    sure = data.size_error is not None and data.size_error <= allowed_error + 1e-6
    unsure = () if sure else (_unsure(data, operation=operation, gauge=gauge, allowed_error=allowed_error, shop=shop),)
    springs = max(data.spring_passes, 1)
    reason = why(
        "fit",
        f"{gauge.words}; bored to the middle of it, the wall walked {springs + 1} times at the same place",
        source=gauge.source,
    )
    return replace(
        operation,
        data=replace(data, spring_passes=springs, findings=(*kept, *unsure)),
        reasons=(*operation.reasons, reason),
    )


def _unsure(data: CuttingData, *, operation: Operation, gauge: Gauge, allowed_error: Mm, shop: Shop) -> Finding:
    name = operation.cutter.name
    expected = (
        f"{name} on {shop.machine.name} may end {data.size_error * UM_PER_MM:.0f} um off at a wall"
        if data.size_error is not None
        else f"how far {name} ends off at a wall cannot be foretold in {shop.material.name}"
    )
    message = (
        f"{gauge.name}: {expected}, and {allowed_error * UM_PER_MM:.1f} um are allowed, a quarter of the tolerance: "
        "bore one in scrap, gauge it, and write the diameter that the cutter cuts into its file; what is too narrow is "
        "cut again, what is too wide is lost"
    )
    return Finding(severity=Severity.CAUTION, code=_NOT_SURE, message=message, where=operation.feature.spec.name)


def _drill_tip(drill: Cutter, *, feature: Feature) -> Mm:
    return tip_bottom(feature) - point_length(drill) if feature.through else tip_bottom(feature) + _FLOOR
