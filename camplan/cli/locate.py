"""``camplan locate``: a plate found again by its marks."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.errors import InputError, Problem
from camplan.recut.placing import MarkReading
from camplan.report.files import write_folder
from camplan.report.located import located_text, place_json
from camplan.units import MM_PER_INCH, UM_PER_MM, rad_from_deg


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Say where the plate lies, and write its programs for that place."""
    plan: Path = arguments.folder
    folder: Path = arguments.out if arguments.out is not None else plan.with_name(f"{plan.name}-located")
    if folder.absolute() == plan.absolute():
        message = "is the plan's own folder, and its programs would be overwritten"
        raise InputError(Problem(message=message, file=str(folder), accepted="another folder"))
    progress("finding the plate", 0.0)
    located = pipeline.locate(
        plan,
        _readings(arguments.mark, unit=MM_PER_INCH if arguments.unit == "inch" else 1.0),
        sigma=arguments.sigma_um / UM_PER_MM,
        expected_turn=rad_from_deg(arguments.turn_deg),
        job_file=arguments.job,
    )
    if located.files:
        write_folder(folder, {**located.files, "place.json": place_json(located.title, located.found)})
    progress.clear()
    say(
        located_text(
            located.title,
            located.found,
            proof=located.proof,
            files=tuple(located.files),
            folder=str(folder),
            width=text_width(),
        )
    )
    proof = located.proof
    findings = (*located.found.findings, *(proof.findings if proof is not None else ()))
    return code_of(findings, passed=proof is None or proof.passed)


def _readings(marks: list[list[str]], *, unit: float) -> list[MarkReading]:
    """Marks as they were typed; InputError with every one that has no place."""
    problems = []
    found = []
    for name, x, y in marks:
        try:
            found.append(MarkReading(name=name, x=float(x) * unit, y=float(y) * unit))
        except ValueError:
            message = f"{name!r} has no place: {x!r} {y!r}"
            problems.append(
                Problem(message=message, key="--mark", accepted='NAME X Y, such as --mark "marks 1" 87.4 -41.2')
            )
    if problems:
        raise InputError(tuple(problems))
    return found
