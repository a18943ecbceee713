"""What was found for a hole, said as cutting data with a reason for each figure."""

from camplan.catalogue.records import Cutter, CutterKind, Material
from camplan.cutting.drilling import Drilled
from camplan.cutting.limits import CUSTOM, reason_of, spread, whole_feed
from camplan.cutting.records import CuttingData, Reason
from camplan.findings import Finding, Severity
from camplan.units import Mm


def hole_data(found: Drilled, *, cutter: Cutter, material: Material, depth: Mm) -> CuttingData:
    """The data of a hole ``depth`` deep."""
    rpm = found.rpm
    feed = whole_feed(found.feed_a_turn * rpm)
    said = f"{feed:,.0f} mm/min, {found.feed_a_turn:.3f} mm a turn"
    reasons = [
        found.speed.reason,
        reason_of("feed", said=said, bounds=found.feed_limits, unit=" mm a turn", digits=3),
        _peck_reason(found, cutter=cutter, depth=depth),
    ]
    if found.power is not None and found.thrust is not None:
        source = f"KLOCKE; TSCHAETSCH, from memory; {material.kc_source}; range: CJME-2021"
        reasons += [
            Reason(
                figure="force",
                sentence=f"{found.thrust:.0f} N of thrust, {spread(found.thrust, unit='N')}",
                source=source,
            ),
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
