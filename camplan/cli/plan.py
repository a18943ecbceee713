"""``camplan plan``: the main job."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing
from camplan.report.files import write_folder
from camplan.report.summary import summary


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Plan a job and write its files; without a proof only ``plan.json`` and the sheet, which say why."""
    job: Path = arguments.job
    refuse_drawing(job)
    folder: Path = arguments.out if arguments.out is not None else job.with_name(f"{job.stem}-out")
    plan = pipeline.plan_job(job, progress=progress)
    progress("drawing the sheet and writing", 1.0)
    code = code_of((*plan.findings, *plan.proof.findings), passed=plan.proof.passed)
    files = pipeline.output_files(plan)
    if code is Exit.UNPROVEN:
        programs = {program.file for program in plan.programs}
        files = {name: text for name, text in files.items() if name not in programs}
    write_folder(folder, files)
    progress.clear()
    say(summary(plan, folder=str(folder), width=text_width()))
    return code
