"""The short text that a run ends with."""

import textwrap
from collections.abc import Sequence

from camplan.comparison.records import Leftover, Proof
from camplan.findings import Finding, Severity
from camplan.planned import Plan, PlannedProgram
from camplan.report.choices import choice_sentences
from camplan.report.words import (
    counted,
    cutter_words,
    cutters_used,
    duration,
    face_up,
    figure,
    findings_in_order,
    findings_of,
    micrometres,
    place,
    programs_in_order,
)

LEFT_SHOWN = 8
SEVERITY_WORDS = {
    Severity.UNSAFE: "unsafe",
    Severity.UNMET: "not met",
    Severity.CAUTION: "caution",
    Severity.NOTE: "note",
}


def summary(plan: Plan, *, folder: str, width: int) -> str:
    """Programs, cutters, time, what is left and why, the verdict and every finding, in lines of ``width`` characters.

    ``folder`` is where the files went, as said to the user.
    """
    blocks = [_heading(plan, width=width)]
    if plan.proof.passed:
        blocks += [_programs(plan, width=width), _cutters(plan, width=width)]
    blocks += [
        _left(plan.proof.leftovers, rest="(all of them in plan.json)", width=width),
        _wrapped(verdict(plan.proof), width=width),
        findings_text(findings_of(plan), width=width),
        _wrapped(_written(plan, folder=folder), width=width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def proof_summary(proof: Proof, *, width: int) -> str:
    """The verdict alone, with its findings and what is left."""
    blocks = [
        _wrapped(verdict(proof), width=width),
        _left(proof.leftovers, rest="(not shown)", width=width),
        findings_text(findings_in_order(proof.findings), width=width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def verdict(proof: Proof) -> str:
    """The proof in a sentence or two."""
    measured = (
        f"deepest gouge {micrometres(proof.gouge)} um, finished walls within {micrometres(proof.wall_error)} um, "
        f"{counted(len(proof.sections), 'height')} compared"
    )
    if proof.passed:
        left = f", {figure(proof.left_area)} mm2 left" if proof.left_area > 0.0 else ", nothing left"
        return f"Proof passed: {measured}{left}; no rapid in the stock, no clamp hit, inside the travel."
    faults = [
        counted(proof.rapids_in_stock, "rapid through stock", plural="rapids through stock")
        if proof.rapids_in_stock
        else "",
        counted(proof.clamp_hits, "move through a clamp", plural="moves through a clamp") if proof.clamp_hits else "",
        counted(proof.outside_travel, "move outside the travel", plural="moves outside the travel")
        if proof.outside_travel
        else "",
    ]
    said = "".join(f"; {fault}" for fault in faults if fault)
    return f"PROOF FAILED: {measured}{said}."


def over_bound_words(plan: Plan) -> str:
    """What a plan's time is held against: "2.3 times the 9 min of its best rates alone"; empty where there is none."""
    if plan.bound is None or plan.over_bound is None:
        return ""
    return f"{plan.over_bound:.1f} times the {duration(plan.bound.seconds)} of its best rates alone"


def zero_words(zero: str) -> str:
    """Where the zero is, said at the mill."""
    return "the plate's centre" if zero == "centre" else f"the {zero.replace('-', ' ')} corner"


def findings_text(findings: Sequence[Finding], *, width: int) -> list[str]:
    """Lines that say each finding: severity, place, sentence, code."""
    if not findings:
        return []
    lines = ["Findings:"]
    for finding in findings:
        where = f"{finding.where}: " if finding.where else ""
        sentence = f"{where}{finding.message} [{finding.code}]"
        lines += _wrapped(sentence, width=width, first=f"  {SEVERITY_WORDS[finding.severity]:<8} ", rest=" " * 11)
    return lines


def _heading(plan: Plan, *, width: int) -> list[str]:
    x0, y0, x1, y1 = plan.plate.bounds
    size = f"{figure(x1 - x0)} x {figure(y1 - y0)} x {figure(plan.plate.thickness)} mm"
    sentences = [
        plan.title,
        f"Plate {size}, {plan.material.title}; mill: {plan.machine.title}",
        f"Zero at {zero_words(plan.plate.zero)}, Z zero on the plate's top",
    ]
    return [line for sentence in sentences for line in _wrapped(sentence, width=width, rest="  ")]


def _programs(plan: Plan, *, width: int) -> list[str]:
    if not plan.programs:
        return ["No programs."]
    lines = [f"{counted(len(plan.programs), 'program')}, about {duration(plan.seconds)} of machine time:"]
    names = max(len(program.file) for program in plan.programs)
    cutters = max(len(_cutter_name(program)) for program in plan.programs)
    setting = ""
    for number, program in enumerate(programs_in_order(plan), start=1):
        if program.setting != setting:
            setting = program.setting
            about = face_up(plan, setting).about
            turned = f", the plate turned over about its {about.upper()} axis" if about is not None else ""
            lines.append(f"  Setting: {setting}{turned}")
        time = duration(program.seconds)
        head = f"  {number:>2}  {program.file:<{names}}  {_cutter_name(program):<{cutters}}  {time:>9}"
        work = _work(program)
        if len(head) + 2 + len(work) <= width:
            lines.append(f"{head}  {work}")
        else:
            lines += [head, *_wrapped(work, width=width, first="      ", rest="      ")]
    if plan.over_bound is not None:
        lines += _wrapped(f"The whole time is {over_bound_words(plan)}.", width=width, first="  ", rest="  ")
    return lines


def _work(program: PlannedProgram) -> str:
    if program.cutter is None:
        return "trace in the air, spindle at rest"
    done = dict.fromkeys(f"{operation.purpose.value} {operation.feature}" for operation in program.operations)
    return ", ".join(done)


def _cutter_name(program: PlannedProgram) -> str:
    return program.cutter.name if program.cutter is not None else "no cutter"


def _cutters(plan: Plan, *, width: int) -> list[str]:
    used = cutters_used(plan)
    if not used:
        return []
    lines = ["Cutters:"]
    longest = max(len(name) for name in used)
    for name, (cutter, _) in used.items():
        sentence = f"{name:<{longest}}  {cutter_words(cutter)}; stick-out {figure(cutter.stick_out)} mm"
        lines += _wrapped(sentence, width=width, first="  ", rest=" " * (longest + 4))
    if plan.choice is not None:
        lines += _wrapped(" ".join(choice_sentences(plan.choice)), width=width, rest="  ")
    return lines


def _left(leftovers: Sequence[Leftover], *, rest: str, width: int) -> list[str]:
    """The largest kinds of leftover; ``rest`` says more of the others after their number."""
    if not leftovers:
        return []
    lines = ["Left standing:"]
    groups: dict[tuple[str, float, str, str], list[Leftover]] = {}
    for left in leftovers:
        groups.setdefault((left.feature, left.depth, left.cause, left.face), []).append(left)
    shown = sorted(groups.items(), key=lambda item: (-sum(left.area for left in item[1]), item[0]))
    for (feature, depth, cause, face), lefts in shown[:LEFT_SHOWN]:
        largest = max(lefts, key=lambda left: (left.area, left.at))
        each = f"{counted(len(lefts), 'place')} of up to " if len(lefts) > 1 else ""
        turned = ", from the back" if face == "back" else ""
        sentence = (
            f"{feature}{turned}: {each}{figure(largest.area)} mm2 at {figure(depth)} deep, "
            f"up to {figure(max(left.deepest for left in lefts))} mm thick, near {place(largest.at)}: {cause}"
        )
        lines += _wrapped(sentence, width=width, first="  ", rest="    ")
    if len(shown) > LEFT_SHOWN:
        lines.append(f"  and {counted(len(shown) - LEFT_SHOWN, 'smaller kind')} {rest}")
    return lines


def _written(plan: Plan, *, folder: str) -> str:
    if not plan.proof.passed:
        return (
            f"No program was written, and none of an earlier run is left in {folder}; plan.json and sheet.html there "
            "say what failed."
        )
    return f"Written to {folder}: {counted(len(plan.programs), 'program')}, plan.json, and sheet.html for the mill."


def _wrapped(text: str, *, width: int, first: str = "", rest: str = "") -> list[str]:
    room = max(width, 40)
    return textwrap.wrap(
        text,
        width=room,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
