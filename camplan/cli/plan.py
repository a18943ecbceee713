"""``camplan plan``: the main job, for one plate or for several that belong together."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing
from camplan.errors import InputError, Problem
from camplan.job.project import PAGE, is_project
from camplan.planned import Plan
from camplan.report.files import write_folder
from camplan.report.project_page import project_page
from camplan.report.project_text import project_summary
from camplan.report.summary import summary


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Plan a job, or every job of a project, and write the files."""
    job: Path = arguments.job
    refuse_drawing(job)
    folder: Path = arguments.out if arguments.out is not None else job.with_name(f"{job.stem}-out")
    if is_project(job):
        return _project(job, folder=folder, progress=progress)
    plan = pipeline.plan_job(job, progress=progress)
    progress("drawing the sheet and writing", 1.0)
    code = _write(plan, folder=folder)
    progress.clear()
    say(summary(plan, folder=str(folder), width=text_width()))
    return code


def _project(file: Path, *, folder: Path, progress: ProgressLine) -> Exit:
    """Every plate in a folder of its name, and the page of all; the exit code is the worst of them."""
    project = pipeline.plan_project(file, progress=progress)
    progress("drawing the sheets and writing", 1.0)
    page = project_page(project)
    codes = [_write(plan, folder=folder / name) for name, plan in project.plans.items()]
    write_folder(folder, {PAGE: page})
    progress.clear()
    say(project_summary(project, folder=str(folder), width=text_width()))
    return max(*codes, code_of(project.pairing.findings, passed=True))


def _write(plan: Plan, *, folder: Path) -> Exit:
    """A plan's files; without a proof only ``plan.json`` and the sheet, which say why.  InputError if the folder is
    that of an earlier plan from which this one begins: it would be lost, and with it what is gone of the plate."""
    if folder.resolve() in {earlier.resolve() for earlier in plan.begins_from}:
        message = "holds the earlier plan from which this one begins, and would be overwritten"
        raise InputError(Problem(message=message, file=str(folder), accepted="--out, or another name for the job"))
    code = code_of((*plan.findings, *plan.proof.findings), passed=plan.proof.passed)
    files = pipeline.output_files(plan)
    if code is Exit.UNPROVEN:
        programs = {program.file for program in plan.programs}
        files = {name: text for name, text in files.items() if name not in programs}
    write_folder(folder, files)
    return code
