"""Cutting data with a reason for each figure."""

import math

from camplan.catalogue.records import Cutter, CutterKind, CuttingRow, Machine, Material
from camplan.catalogue.shape import can_plunge
from camplan.cutting.custom import WITH_SLOT, Cut
from camplan.cutting.drilling import Drilled, drilled
from camplan.cutting.entry import PLUNGE_FEED, RAMP_FEED
from camplan.cutting.limits import CUSTOM, Bound, reason_of
from camplan.cutting.milling import LONG_CHIP, Milled, is_long, milled
from camplan.cutting.records import CutKind, CuttingData, Reason
from camplan.cutting.strength import model_ratio
from camplan.errors import InputError, Problem
from camplan.findings import Finding, Severity
from camplan.units import UM_PER_MM, Mm, MmPerMin, deg_from_rad

HOLE_KINDS = (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.REAMER)

UNCERTAIN = "expect it within a factor of 1.5; published coefficients for one aluminium alloy differ by more"


def cutting_data(
    cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: Mm, width: Mm | None = None
) -> CuttingData:
    """How ``cutter`` makes a cut of ``kind`` in a feature ``depth`` deep, ``width`` wide if that is fixed.

    The overhang that bends is the stick-out, or the depth where that is more.  Raises InputError where no answer
    means anything: a cutter that cannot make such a cut, a material that has no figures for its cutting material, a
    mill too soft for the material.  Where figures exist but do not suit, the data carries findings.
    """
    return _data(cutter, material=material, machine=machine, kind=kind, depth=depth, width=width, deepest=None)


def capped_data(
    cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: Mm, width: Mm | None, deepest: Mm
) -> CuttingData:
    """`cutting_data` with the step down held to ``deepest``."""
    return _data(cutter, material=material, machine=machine, kind=kind, depth=depth, width=width, deepest=deepest)


def _data(
    cutter: Cutter,
    *,
    material: Material,
    machine: Machine,
    kind: CutKind,
    depth: Mm,
    width: Mm | None,
    deepest: Mm | None,
) -> CuttingData:
    row = _row(cutter, material=material, machine=machine, kind=kind, depth=depth, width=width)
    if kind is CutKind.DRILL:
        found = drilled(cutter, material=material, machine=machine, row=row, depth=depth)
        return _hole_data(found, cutter=cutter, material=material, depth=depth)
    cut = Cut(
        cutter=cutter,
        material=material,
        machine=machine,
        row=row,
        kind=kind,
        depth=depth,
        width=width,
        deepest=deepest,
    )
    return _milling_data(milled(cut))


def _row(
    cutter: Cutter, *, material: Material, machine: Machine, kind: CutKind, depth: Mm, width: Mm | None
) -> CuttingRow:
    problems: list[Problem] = []

    def refuse(message: str, *, accepted: str = "") -> None:
        problems.append(Problem(message=message, file=cutter.file, key=cutter.name, accepted=accepted))

    if not (math.isfinite(depth) and depth > 0.0):
        refuse(f"a cut {depth:g} mm deep is impossible", accepted="a depth above 0")
    if width is not None and not (math.isfinite(width) and 0.0 < width <= cutter.diameter):
        refuse(f"a cut {width:g} mm wide is impossible", accepted=f"above 0 and at most {cutter.diameter:g}")
    if kind is CutKind.DRILL and not (can_plunge(cutter) or cutter.kind is CutterKind.REAMER):
        refuse("does not cut to its centre and cannot go straight down", accepted="a drill or slot drill")
    if kind is not CutKind.DRILL and cutter.kind in HOLE_KINDS:
        fits = kind is CutKind.ENGRAVE and cutter.kind is CutterKind.SPOT_DRILL
        if not fits:
            refuse(f"a {cutter.kind} makes holes and cannot make a cut of kind {kind}", accepted="a milling cutter")
    if material.stiffness_min is not None and machine.stiffness < material.stiffness_min:
        refuse(
            f"{machine.name} is too soft for {material.name}: {machine.stiffness:g} N/um",
            accepted=f"a mill of {material.stiffness_min:g} N/um or more",
        )
    rows = [row for row in material.rows if row.tool_material == cutter.tool_material]
    if not rows:
        known = ", ".join(row.tool_material for row in material.rows)
        refuse(f"{material.name} has no figures for {cutter.tool_material}", accepted=f"cutters of {known}")
    if problems:
        raise InputError(tuple(problems))
    return rows[0]


def _milling_data(found: Milled) -> CuttingData:
    cut = found.cut
    cutter, material = cut.cutter, cut.material
    teeth = cutter.teeth
    rpm = math.floor(found.rpm) if found.rpm != found.speed.rpm else found.rpm
    feed = _feed(found.chip * teeth * rpm)
    slot_feed = _feed(found.slot_chip * teeth * rpm)
    plunge_feed = _feed(PLUNGE_FEED * min(found.chip, found.thickest) * teeth * rpm)
    ramp_feed = _feed(RAMP_FEED * min(found.slot_chip, found.thickest) * teeth * rpm)
    pitch_by_custom = material.helix_pitch_ratio * found.diameter
    helix_pitch = min(pitch_by_custom, found.step_down)
    heaviest = max((load.force for load in found.loads), default=None)
    bending = max((load.bending for load in found.loads), default=None)
    power = max((load.power for load in found.loads), default=None)
    reasons = [
        _rpm_reason(found, rpm=rpm),
        _chip_reason(found),
        _feed_reason(found, feed=feed, rpm=rpm),
        _slot_reason(found, slot_feed=slot_feed),
        Reason(
            figure="plunge_feed",
            sentence=f"{plunge_feed:,.0f} mm/min straight down: a quarter of the side feed"
            + ("" if can_plunge(cutter) else "; this cutter does not cut to its centre and must not plunge"),
            source="UF-DML, confirmed",
        ),
        Reason(
            figure="ramp_feed",
            sentence=f"{ramp_feed:,.0f} mm/min on ramp and helix: half the feed in a slot",
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
        findings=_milling_findings(found),
    )


def _feed(feed: MmPerMin) -> MmPerMin:
    """Whole mm/min, downward; tenths below 100."""
    return math.floor(feed) * 1.0 if feed >= 100.0 else max(math.floor(feed * 10.0) / 10.0, 0.1)


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
            f"thinner than the {found.wanted:.4f} mm of the table so that the cut may be {found.step_down:.2f} mm deep"
        )
        return Reason(figure="chip", sentence=f"{said}: {why}", source="KIENZLE, from memory")
    base = reason_of("chip", said=said, bounds=found.chip_limits, unit=" mm", digits=4)
    sentence, source = base.sentence, base.source
    if found.wanted > found.chip_limits[0].most:
        sentence = f"{said}: raised from {found.chip_limits[0].most:.4f} so that the edge cuts and does not rub"
        source = f"WOJCIECHOWSKI; {CUSTOM}"
    if is_long(found.cut.cutter, held=found.held):
        sentence += f"; {1.0 - LONG_CHIP:.0%} less, or as little as does not rub: it is as slender as "
        sentence += f"{found.held.slenderness:.1f} D"
    if found.chip > found.thickest * 1.001:
        sentence += f"; {found.chip / found.thickest:.2f} times that, as the narrow cut thins the chip"
    return Reason(figure="chip", sentence=sentence, source=source)


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
    else:
        sentence = f"{said}: 20 % slower, and no more than {found.step_down:.2f} mm deep bear there"
    return Reason(figure="slot_feed", sentence=sentence, source="CUTTER-NOTES, confirmed")


def _load_reasons(
    found: Milled, *, force: float | None, power: float | None, bending: float | None
) -> tuple[Reason, ...]:
    material, machine = found.cut.material, found.cut.machine
    if force is None or power is None or bending is None:
        sentence = f"not worked out: no specific force of {material.name} is published; the figures are from tables"
        return (Reason(figure="force", sentence=sentence, source=material.kc_source),)
    model = model_ratio(found.cases[0], chip=found.chip)
    second = f"; a second model gives {model:.2f} times this torque" if material.coefficients else ""
    source = f"KIENZLE; {material.kc_source}" + ("; ALTINTAS; CJME-2021" if material.coefficients else "")
    sharp = ", with a sharp edge" if found.bend.edge == 1.0 else ""
    way = "square to the wall" if found.cut.kind is CutKind.WALL else "of the tip"
    return (
        Reason(figure="force", sentence=f"{force:.0f} N at most, a worn edge assumed: {UNCERTAIN}", source=source),
        Reason(figure="power", sentence=f"{power:.0f} W on average, a worn edge assumed{second}", source=source),
        Reason(
            figure="bending",
            sentence=f"{bending * UM_PER_MM:.1f} um {way}, of {found.bend.most * UM_PER_MM:.0f} allowed{sharp}; "
            f"{1.0 / (machine.stiffness * UM_PER_MM * found.held.gives):.0%} of it is the mill's {machine.stiffness:g} "
            "N/um",
            source=f"KOPS-VO, confirmed; limit: {CUSTOM}",
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
            f"{cutter.name} on {machine.name}: a chip of {found.thickest:.4f} mm may rub; it cuts from {found.floor:.4f} mm",
        )
    if found.held.slenderness > 8.0 and cutter.kind is not CutterKind.ENGRAVER:
        add(
            Severity.CAUTION,
            "long-overhang",
            f"{cutter.name} is as slender as {found.held.slenderness:.1f} diameters: beyond 8 it needs care",
        )
    return tuple(findings)


def _hole_data(found: Drilled, *, cutter: Cutter, material: Material, depth: Mm) -> CuttingData:
    rpm = found.rpm
    feed = _feed(found.feed_a_turn * rpm)
    said = f"{feed:,.0f} mm/min, {found.feed_a_turn:.3f} mm a turn"
    reasons = [
        found.speed.reason,
        reason_of("feed", said=said, bounds=found.feed_limits, unit=" mm a turn", digits=3),
        _peck_reason(found, cutter=cutter, depth=depth),
    ]
    if found.power is not None and found.thrust is not None:
        source = f"KLOCKE; TSCHAETSCH, from memory; {material.kc_source}"
        reasons += [
            Reason(figure="force", sentence=f"{found.thrust:.0f} N of thrust: {UNCERTAIN}", source=source),
            Reason(figure="power", sentence=f"{found.power:.0f} W, a worn edge assumed", source=source),
        ]
    else:
        reasons.append(Reason(figure="force", sentence="not worked out: no figures for it", source=material.kc_source))
    findings = list(found.speed.findings)
    if found.feed_a_turn < found.floor * 0.999:
        message = f"{cutter.name}: {found.feed_a_turn:.4f} mm a turn may rub, {found.floor:.4f} mm would cut"
        findings.append(Finding(severity=Severity.CAUTION, code="chip-too-thin", message=message, where=cutter.name))
    if depth > cutter.flute_length:
        message = f"{cutter.name}: the hole is {depth:g} mm deep and its flutes are {cutter.flute_length:g} mm long"
        findings.append(Finding(severity=Severity.CAUTION, code="flutes-buried", message=message, where=cutter.name))
    return CuttingData(
        rpm=rpm,
        chip=feed / (cutter.teeth * rpm),
        feed=feed,
        slot_feed=feed,
        plunge_feed=feed,
        ramp_feed=feed,
        ramp_angle=0.0,
        helix_pitch=0.0,
        step_down=cutter.flute_length,
        step_over=cutter.diameter,
        peck=found.pecks[0] if found.pecks else None,
        peck_free_depth=found.peck_free,
        force=found.thrust,
        power=found.power,
        bending=None,
        reasons=tuple(reasons),
        pecks=found.pecks,
        findings=tuple(findings),
    )


def _peck_reason(found: Drilled, *, cutter: Cutter, depth: Mm) -> Reason:
    if cutter.kind is CutterKind.REAMER:
        return Reason(figure="peck", sentence="a reamer goes in and out in one", source=CUSTOM)
    if not found.pecks:
        sentence = f"no pecks: {depth:g} mm is within the {found.peck_free:g} mm that need none"
        return Reason(figure="peck", sentence=sentence, source="DRILL-NOTES, confirmed")
    sentence = f"{len(found.pecks)} pecks, {found.pecks[0]:g} mm first: {depth:g} mm is more than {found.peck_free:g}"
    return Reason(figure="peck", sentence=sentence, source=f"DRILL-NOTES, confirmed; {CUSTOM}")
