"""Spindle speed from surface speed, within what spindle and cutter allow."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, CuttingRow, Machine
from camplan.cutting.records import Reason
from camplan.findings import Finding, Severity
from camplan.units import Mm, MPerMin, Rpm

SLOT_SPEED = 0.8
"""Speed in a full slot over the speed beside it (CUTTER-NOTES, confirmed)."""


def spindle_speed(surface_speed: MPerMin, *, diameter: Mm) -> Rpm:
    """n = 1000 vc / (pi D), 1/min.  El-Hofy, Fundamentals of Machining Processes, ch. 6; any vc and D above 0.

    >>> round(spindle_speed(259.0, diameter=3.0), -2)
    27500.0
    """
    return 1000.0 * surface_speed / (math.pi * diameter)


def surface_speed(rpm: Rpm, *, diameter: Mm) -> MPerMin:
    """vc = pi D n / 1000, m/min; the inverse of `spindle_speed`.

    >>> round(surface_speed(150.0, diameter=30.0), 2)
    14.14
    """
    return math.pi * diameter * rpm / 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedFactor:
    """A share of the table's speed, in words what it is for ("" for the whole), and where it is from."""

    share: float
    what: str
    source: str


FULL_SPEED = SpeedFactor(share=1.0, what="", source="")
SLOT_FACTOR = SpeedFactor(share=SLOT_SPEED, what="20 % less in a slot", source="CUTTER-NOTES, confirmed")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSpeed:
    """A spindle speed with its reason, and findings where it does not suit the material."""

    rpm: Rpm
    reason: Reason
    findings: tuple[Finding, ...]


def chosen_speed(
    cutter: Cutter, *, row: CuttingRow, machine: Machine, diameter: Mm, factor: SpeedFactor
) -> ChosenSpeed:
    """The low end of the row's surface speeds times ``factor`` at ``diameter``, held within spindle and cutter.

    Starting low is common practice: raise it after listening.
    """
    wanted_surface = row.surface_speed_min * factor.share
    why = f" ({factor.what})" if factor.what else ""
    wanted = spindle_speed(wanted_surface, diameter=diameter)
    asked = f"{wanted_surface:.0f} m/min{why} would ask {_round(wanted):,.0f}"
    highest = min(machine.rpm_max, cutter.rpm_max or math.inf)
    floor = min(machine.rpm_min, highest)
    findings: tuple[Finding, ...] = ()
    if wanted > highest:
        whose = "the spindle's highest" if highest == machine.rpm_max else "the cutter's highest"
        rpm, sentence, source = highest, f"{whose}; {asked}", machine.source
    elif wanted < floor:
        rpm, sentence, source = floor, f"the spindle's lowest; {asked}", machine.source
        reached = surface_speed(rpm, diameter=diameter)
        if reached > row.surface_speed_max:
            message = (
                f"{cutter.name} turns at {rpm:,.0f} rpm at least on {machine.name}: {reached:.0f} m/min, above the "
                f"{row.surface_speed_max:.0f} m/min that {row.tool_material} bears in this material; "
                "take a smaller cutter or a slower spindle"
            )
            findings = (
                Finding(severity=Severity.UNMET, code="speed-above-material", message=message, where=cutter.name),
            )
    else:
        rpm = _round(wanted)
        sentence = f"{wanted_surface:.0f} m/min, the low end{why}; the spindle would reach {highest:,.0f}"
        source = row.source
    if factor.what:
        source = f"{source}; {factor.source}"
    reason = Reason(figure="rpm", sentence=f"{rpm:,.0f} rpm: {sentence}", source=source)
    return ChosenSpeed(rpm=rpm, reason=reason, findings=findings)


def _round(rpm: Rpm) -> Rpm:
    step = 100.0 if rpm >= 3000.0 else 10.0 if rpm >= 300.0 else 1.0
    return math.floor(rpm / step + 0.5) * step
