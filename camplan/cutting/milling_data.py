"""What was found for a cut, said as cutting data with a reason for each figure."""

import math
from dataclasses import replace

from camplan.catalogue.records import CutterKind
from camplan.catalogue.shape import can_plunge
from camplan.cutting.by_load import feeds_by_load, load_reason
from camplan.cutting.chip import least_chip
from camplan.cutting.custom import WITH_SLOT
from camplan.cutting.entry import CORNER_FEED, PLUNGE_FEED, RAMP_FEED
from camplan.cutting.limits import CUSTOM, Bound, reason_of, spread, whole_feed
from camplan.cutting.milling import LONG_CHIP, Milled, is_long
from camplan.cutting.records import CutKind, CuttingData, Reason
from camplan.cutting.strength import model_ratio
from camplan.findings import Finding, Severity
from camplan.units import UM_PER_MM, Mm, MmPerMin, deg_from_rad


def milling_data(found: Milled) -> CuttingData:
    """The data of a cut that is not a hole."""
    cut = found.cut
    cutter, material = cut.cutter, cut.material
    teeth = cutter.teeth
    rpm = math.floor(found.rpm) if found.rpm != found.speed.rpm else found.rpm
    feed = whole_feed(found.chip * teeth * rpm)
    slot_feed = whole_feed(found.slot_chip * teeth * rpm)
    point = cut.kind is CutKind.ENGRAVE
    plunge_share = RAMP_FEED if point else PLUNGE_FEED
    plunge_feed = whole_feed(plunge_share * min(found.chip, found.thickest) * teeth * rpm)
    ramp_feed = whole_feed(RAMP_FEED * found.ramp_chip * teeth * rpm)
    pitch_by_custom = material.helix_pitch_ratio * found.diameter
    helix_pitch = found.helix_pitch
    by_load = feeds_by_load(found, feed=feed, slot_feed=slot_feed)
    heaviest = max((load.force for load in found.loads), default=None)
    bending = max((load.bending for load in found.loads), default=None)
    power = max((load.power for load in found.loads), default=None)
    reasons = [
        _rpm_reason(found, rpm=rpm),
        _chip_reason(found),
        _feed_reason(found, feed=feed, rpm=rpm),
        _slot_reason(found, slot_feed=slot_feed),
        *(() if by_load is None else (load_reason(by_load, feed=feed),)),
        Reason(
            figure="plunge_feed",
            sentence=f"{plunge_feed:,.0f} mm/min straight down: "
            + ("half the feed, as a point pushes little aside" if point else "a quarter of the side feed")
            + ("" if can_plunge(cutter) else "; this cutter does not cut to its centre and must not plunge"),
            source=CUSTOM if point else "UF-DML, confirmed",
        ),
        Reason(
            figure="ramp_feed",
            sentence=f"{ramp_feed:,.0f} mm/min on ramp and helix: half the feed in a slot as shallow as the "
            "helix's pitch",
            source="CUTTER-NOTES, confirmed for cutters with inserts",
        ),
        Reason(
            figure="ramp_angle",
            sentence=f"{deg_from_rad(material.ramp_angle):.1f} degrees is customary in {material.name}",
            source=CUSTOM,
        ),
        reason_of(
            "helix_pitch",
            said=f"{helix_pitch:.2f} mm a turn",
            bounds=(
                Bound(
                    most=pitch_by_custom, what=f"{material.helix_pitch_ratio:.2f} D a turn is customary", source=CUSTOM
                ),
                Bound(most=found.step_down, what="the step down", source="geometry"),
            ),
            unit=" mm",
            digits=2,
        ),
        reason_of("step_down", said=f"{found.step_down:.2f} mm", bounds=found.depth_limits, unit=" mm", digits=2),
        reason_of("step_over", said=f"{found.step_over:.2f} mm", bounds=found.width_limits, unit=" mm", digits=2),
        *_load_reasons(found, force=heaviest, power=power, bending=bending),
        *_corner_reasons(found, rpm=rpm),
        *_size_reasons(found),
    ]
    return CuttingData(
        rpm=rpm,
        chip=feed / (teeth * rpm),
        feed=feed,
        slot_feed=slot_feed,
        plunge_feed=plunge_feed,
        ramp_feed=ramp_feed,
        ramp_angle=material.ramp_angle,
        helix_pitch=helix_pitch,
        step_down=found.step_down,
        step_over=found.step_over,
        peck=None,
        peck_free_depth=0.5 * cutter.diameter if can_plunge(cutter) else 0.0,
        force=heaviest,
        power=power,
        bending=bending,
        reasons=tuple(reasons),
        corner_feed=None if found.corner_chip is None else whole_feed(found.corner_chip * teeth * rpm),
        spring_passes=0 if found.size is None else found.size.springs,
        size_error=None if found.size is None else found.size.error,
        findings=_milling_findings(found),
        slot_finding=_slot_finding(found, slot_feed=slot_feed),
        by_load=by_load,
    )


def _rpm_reason(found: Milled, *, rpm: float) -> Reason:
    if rpm == found.speed.rpm:
        return found.speed.reason
    return Reason(
        figure="rpm",
        sentence=f"{rpm:,.0f} rpm: slowed so that {found.feed_most:,.0f} mm/min, the highest feed here, still gives a "
        f"chip of {found.floor:.3f} mm; {found.speed.reason.sentence}",
        source=found.cut.machine.source,
    )


def _chip_reason(found: Milled) -> Reason:
    said = f"{found.chip:.4f} mm a tooth"
    if found.thickest < found.wanted and not is_long(found.cut.cutter, held=found.held):
        why = (
            f"at its thickest {found.thickest:.4f} and not the table's {found.wanted:.4f} mm, "
            f"so that the cut may be {found.step_down:.2f} mm deep"
        )
        return Reason(figure="chip", sentence=f"{said}: {why}", source="KIENZLE, from memory")
    first, *others = found.chip_limits
    what = first.what
    source = first.source
    if found.wanted > first.most:
        what = f"raised from {first.most:.4f} so that the edge cuts and does not rub"
        source = f"WOJCIECHOWSKI; {CUSTOM}"
    if is_long(found.cut.cutter, held=found.held):
        what += f"; {1.0 - LONG_CHIP:.0%} less, or as little as does not rub: it is as slender as "
        what += f"{found.held.slenderness:.1f} D"
    if found.chip > found.thickest * 1.001:
        what += f"; times {found.chip / found.thickest:.2f}, as the narrow cut thins the chip"
    return reason_of(
        "chip", said=said, bounds=(replace(first, what=what, source=source), *others), unit=" mm", digits=4
    )


def _feed_reason(found: Milled, *, feed: MmPerMin, rpm: float) -> Reason:
    teeth = found.cut.cutter.teeth
    what = f"{teeth} {'tooth' if teeth == 1 else 'teeth'} of {found.chip:.4f} mm at {rpm:,.0f} rpm"
    bounds = (
        Bound(most=found.chip * teeth * rpm, what=what, source="UF-DML, confirmed"),
        Bound(most=found.feed_most, what="what this mill reaches", source=found.cut.machine.source),
    )
    return reason_of("feed", said=f"{feed:,.0f} mm/min", bounds=bounds, unit=" mm/min", digits=0)


def _slot_reason(found: Milled, *, slot_feed: MmPerMin) -> Reason:
    said = f"{slot_feed:,.0f} mm/min in a full slot"
    kind = found.cut.kind
    if kind in (CutKind.SLOT, CutKind.ENGRAVE):
        sentence = f"{said}: that of this cut"
    elif kind in WITH_SLOT or not found.cases:
        sentence = f"{said}: 20 % slower than beside it"
    elif _slot_rubs(found):
        sentence = (
            f"{said}, where the edge rubs: this cutter bears no full slot {found.step_down:.2f} mm deep with a chip "
            "that cuts; it is for cuts beside cleared ground"
        )
    else:
        sentence = f"{said}: 20 % slower, and no more than a slot {found.step_down:.2f} mm deep bears"
    return Reason(figure="slot_feed", sentence=sentence, source="CUTTER-NOTES, confirmed")


def _least_slot_chip(found: Milled) -> Mm:
    return least_chip(found.cut.cutter.edge_radius, diameter=found.diameter, width=found.diameter)


def _slot_rubs(found: Milled) -> bool:
    """Whether a full slot at the step down is borne only with chips so thin that the edge rubs: of cuts that were not
    chosen with a slot in mind."""
    of_others = found.cut.kind not in WITH_SLOT and bool(found.cases)
    return of_others and found.slot_chip < 0.999 * min(_least_slot_chip(found), found.thickest)


def _slot_finding(found: Milled, *, slot_feed: MmPerMin) -> Finding | None:
    if not _slot_rubs(found):
        return None
    cutter = found.cut.cutter
    message = (
        f"{cutter.name} bears a full slot {found.step_down:.2f} mm deep only at {slot_feed:,.0f} mm/min, a chip of "
        f"{found.slot_chip * UM_PER_MM:.1f} um, which rubs; {_least_slot_chip(found) * UM_PER_MM:.1f} um cut. Clear "
        "the ground beside it first, or take a stouter cutter"
    )
    return Finding(severity=Severity.CAUTION, code="slot-rubs", message=message, where=cutter.name)


def _load_reasons(
    found: Milled, *, force: float | None, power: float | None, bending: float | None
) -> tuple[Reason, ...]:
    material, machine = found.cut.material, found.cut.machine
    if force is None or power is None or bending is None:
        sentence = f"not worked out: no specific force of {material.name} is published; the figures are from tables"
        return (Reason(figure="force", sentence=sentence, source=material.kc_source),)
    model = model_ratio(found.cases[0], chip=found.chip)
    second = (
        f"; for a sharp edge a second model gives {model:.2f} of the first one's torque"
        if material.coefficients
        else ""
    )
    source = f"KIENZLE; {material.kc_source}" + ("; ALTINTAS" if material.coefficients else "")
    source += "; range: CJME-2021"
    sharp = ", with a sharp edge" if found.bend.edge == 1.0 else ""
    way = "square to the wall" if found.cut.kind is CutKind.WALL else "of the tip"
    return (
        Reason(
            figure="force",
            sentence=f"{force:.0f} N at most, a worn edge assumed, {spread(force, unit='N')}; run-out of "
            f"{machine.run_out * UM_PER_MM:.0f} um, {machine.run_out / found.chip:.0%} of the chip, makes one tooth's "
            "share higher, which the root's stress allows for",
            source=source,
        ),
        Reason(figure="power", sentence=f"{power:.0f} W on average, a worn edge assumed{second}", source=source),
        Reason(
            figure="bending",
            sentence=f"{bending * UM_PER_MM:.1f} um {way}, of {found.bend.most * UM_PER_MM:.0f} allowed{sharp}; "
            f"{1.0 / (machine.stiffness * UM_PER_MM * found.held.gives):.0%} of it is the mill's {machine.stiffness:g} "
            "N/um",
            source=f"KOPS-VO, confirmed; limit: {CUSTOM}",
        ),
    )


def _corner_reasons(found: Milled, *, rpm: float) -> tuple[Reason, ...]:
    """How fast a wall pass goes into corners."""
    if found.corner_chip is None:
        return ()
    feed = whole_feed(found.corner_chip * found.cut.cutter.teeth * rpm)
    slower = found.corner_chip < 0.999 * CORNER_FEED * found.chip
    why = (
        "what cutter and mill bear where two walls are met"
        if slower
        else f"{CORNER_FEED:.0%} of the feed along one wall"
    )
    sentence = f"{feed:,.0f} mm/min into inside corners: {why}"
    return (Reason(figure="corner_feed", sentence=sentence, source=f"KIENZLE; KOPS-VO; {CUSTOM}"),)


def _size_reasons(found: Milled) -> tuple[Reason, ...]:
    """How far a finished wall may be off, and by what."""
    size = found.size
    if size is None:
        return ()
    passes = "one pass"
    if size.springs:
        again = "a spring pass" if size.springs == 1 else f"{size.springs} spring passes"
        passes = f"{again} after the first's {size.first * UM_PER_MM:.1f} um"
    within = "" if size.tolerance is None else f"; {size.tolerance * UM_PER_MM:.0f} um are allowed"
    return (
        Reason(
            figure="size_error",
            sentence=f"{size.error * UM_PER_MM:.1f} um off size at most: {size.left * UM_PER_MM:.1f} um by bending "
            f"with {passes}, {size.own * UM_PER_MM:.1f} um by the mill itself, half its run-out and a step{within}",
            source=f"KIENZLE; KOPS-VO; geometry; {found.cut.machine.source}",
        ),
    )


def _milling_findings(found: Milled) -> tuple[Finding, ...]:
    cutter, machine = found.cut.cutter, found.cut.machine
    findings = list(found.speed.findings) if found.rpm == found.speed.rpm else []

    def add(severity: Severity, code: str, message: str) -> None:
        findings.append(Finding(severity=severity, code=code, message=message, where=cutter.name))

    if found.too_weak:
        add(
            Severity.UNMET,
            "cutter-too-weak",
            f"{cutter.name} bears no cut of kind {found.cut.kind} in {found.cut.material.name} on {machine.name} "
            "with a chip that does not rub; take a stouter or shorter cutter",
        )
    elif found.thickest < found.floor * 0.999:
        add(
            Severity.CAUTION,
            "chip-too-thin",
            f"{cutter.name} on {machine.name}: a chip of {found.thickest:.4f} mm may rub; {found.floor:.4f} mm cuts",
        )
    if found.size is not None and not found.size.held and found.size.tolerance is not None:
        add(
            Severity.UNMET,
            "tolerance-not-held",
            f"{cutter.name} on {machine.name}: the wall may end {found.size.error * UM_PER_MM:.0f} um off size, "
            f"{found.size.own * UM_PER_MM:.0f} of them by the mill itself, and {found.size.tolerance * UM_PER_MM:.0f} "
            "are allowed; measure, and cut what is left again",
        )
    if found.held.slenderness > 8.0 and cutter.kind is not CutterKind.ENGRAVER:
        add(
            Severity.CAUTION,
            "long-overhang",
            f"{cutter.name} is as slender as {found.held.slenderness:.1f} diameters: beyond 8 it needs care",
        )
    return tuple(findings)
