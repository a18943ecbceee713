"""Mills read from ``tooling/machines/NAME.toml``."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from camplan.catalogue.reading import is_number, looked_up, numbers, opened
from camplan.catalogue.records import Machine, PowerPoint
from camplan.errors import InputError, Problem
from camplan.fields import Fields, quoted
from camplan.findings import Finding
from camplan.units import UM_PER_MM, MmPerS3, Seconds

FOLDER = "tooling/machines"
MANUAL_CHANGE: Seconds = 120.0
"""Taking a cutter out by hand, putting another in and setting its Z zero (common practice, no source)."""
TOUCH_OFF_UM = 10.0
"""How truly Z is zeroed on a surface by hand, with paper or a gauge (common practice, no source)."""
ACCELERATION_RANGE = (1.0, 50_000.0)
JERK_RANGE = (10.0, 1e9)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedMachine:
    """A mill, and what was noticed: hidden names."""

    machine: Machine
    findings: tuple[Finding, ...]


def load_machine(name: str, *, beside: Path) -> LoadedMachine:
    """The mill ``name``; InputError for an unknown name (with near ones) or for all that is wrong in its file."""
    looked = looked_up(name, folder=FOLDER, beside=beside)
    problems: list[Problem] = []
    fields = opened(looked.path, problems=problems)
    if fields is None:
        raise InputError(tuple(problems))
    machine = read_machine(fields, name=name, file=str(looked.path))
    if problems:
        raise InputError(tuple(problems))
    return LoadedMachine(machine=machine, findings=looked.findings)


def read_machine(fields: Fields, *, name: str, file: str) -> Machine:
    """One mill; problems go into ``fields.problems``, and then it must not be used."""
    spindle = fields.table("spindle")
    rpm_min = spindle.number("rpm_min", at_least=1.0, at_most=200_000.0)
    rpm_max = spindle.number("rpm_max", at_least=2.0, at_most=200_000.0)
    if rpm_max <= rpm_min:
        spindle.refuse("rpm_max", f"{rpm_max:g} is not above rpm_min = {rpm_min:g}")
    power = _power(spindle, rpm_min=rpm_min, rpm_max=rpm_max)
    changer = fields.table("changer") if fields.has("changer") else None
    travel = numbers(fields, "travel_mm", count=3, at_least=1.0, at_most=10_000.0)
    rapid = numbers(fields, "rapid_mm_min", count=3, at_least=1.0, at_most=200_000.0)
    acceleration = numbers(
        fields, "acceleration_mm_s2", count=3, at_least=ACCELERATION_RANGE[0], at_most=ACCELERATION_RANGE[1]
    )
    holder = fields.table("holder")
    machine = Machine(
        name=name,
        title=fields.text("title"),
        travel=(travel[0], travel[1], travel[2]),
        rapid=(rapid[0], rapid[1], rapid[2]),
        feed_max=fields.number("feed_max_mm_min", at_least=1.0, at_most=200_000.0),
        acceleration=(acceleration[0], acceleration[1], acceleration[2]),
        junction_deviation=fields.number("junction_deviation_um", at_least=0.1, at_most=1000.0) / UM_PER_MM,
        rpm_min=rpm_min,
        rpm_max=rpm_max,
        spin_up=spindle.number("spin_up_s", at_least=0.0, at_most=600.0),
        power=power,
        stiffness=fields.number("stiffness_n_um", at_least=0.01, at_most=1000.0),
        run_out=fields.number("run_out_um", at_least=0.0, at_most=1000.0) / UM_PER_MM,
        step=fields.number("step_um", at_least=0.01, at_most=1000.0) / UM_PER_MM,
        touch_off=fields.number("touch_off_um", default=TOUCH_OFF_UM, at_least=0.1, at_most=1000.0) / UM_PER_MM,
        holder_diameter=holder.number("diameter_mm", at_least=1.0, at_most=500.0),
        holder_length=holder.number("length_mm", at_least=1.0, at_most=1000.0),
        changes_cutters=changer is not None,
        cutter_change=(
            changer.number("seconds", at_least=0.0, at_most=3600.0)
            if changer
            else fields.number("manual_change_s", default=MANUAL_CHANGE, at_least=0.0, at_most=3600.0)
        ),
        source=fields.text("source"),
        file=file,
        jerk=_jerk(fields),
    )
    for table in (spindle, holder, *([changer] if changer else [])):
        table.finish()
    fields.finish(known=("changer", "jerk_mm_s3"))
    return machine


def _jerk(fields: Fields) -> tuple[MmPerS3, MmPerS3, MmPerS3] | None:
    """One figure an axis, or one for all; None where accelerations are taken to change at once."""
    if not fields.has("jerk_mm_s3"):
        return None
    low, high = JERK_RANGE
    value = fields.raw("jerk_mm_s3")
    each = value if isinstance(value, list) else [value] * 3
    if len(each) != 3 or not all(is_number(one) and low <= one <= high for one in each):
        accepted = f"a number from {low:g} to {high:g}, or three, for X, Y and Z; left out: no limit"
        fields.refuse("jerk_mm_s3", f"{quoted(value)} is no limit of jerk", accepted=accepted)
        return None
    x, y, z = (float(one) for one in each)
    return (x, y, z)


def _power(spindle: Fields, *, rpm_min: float, rpm_max: float) -> tuple[PowerPoint, ...]:
    accepted = "[rpm, W] pairs, two or more, 0.1 to 1,000,000, speeds rising, from rpm_min or below to rpm_max or above"
    value = spindle.raw("power_w")
    pairs = value if isinstance(value, list) else []
    well_formed = len(pairs) >= 2 and all(
        isinstance(pair, list) and len(pair) == 2 and all(is_number(item) and 0.1 <= item <= 1e6 for item in pair)
        for pair in pairs
    )
    if not well_formed:
        said = "is missing" if value is None else f"{value!r} is not a power curve"
        spindle.refuse("power_w", said, accepted=accepted)
        return (PowerPoint(rpm=rpm_min, power=1.0), PowerPoint(rpm=rpm_max, power=1.0))
    points = tuple(PowerPoint(rpm=float(rpm), power=float(power)) for rpm, power in pairs)
    if any(later.rpm <= earlier.rpm for earlier, later in pairwise(points)):
        spindle.refuse("power_w", "the speeds do not rise", accepted=accepted)
    elif points[0].rpm > rpm_min or points[-1].rpm < rpm_max:
        spindle.refuse(
            "power_w", f"covers {points[0].rpm:g} to {points[-1].rpm:g} 1/min, not all speeds", accepted=accepted
        )
    return points
