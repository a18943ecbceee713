"""``camplan time``: what one timed program says of its mill."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, say, text_width
from camplan.errors import InputError, Problem
from camplan.recut.journal import add_to_journal
from camplan.recut.timings import TIMED, timing_said
from camplan.report.files import write_new
from camplan.report.timing_text import timing_text, written_text


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Say which accelerations explain a measured time, note it in the journal, and write the mill's file if asked."""
    folder: Path = arguments.folder
    progress("reading the plan", 0.0)
    found = pipeline.time_program(
        folder, measured=arguments.measured, program=arguments.program, job_file=arguments.job
    )
    machine, width = found.machine, text_width()
    wanted = None if arguments.write is None else _named(arguments.write or pipeline.timed_name(machine))
    path = None if wanted is None else _free(pipeline.machine_file(found, name=wanted))
    text = pipeline.machine_text(found) if path is not None and found.lines else None
    add_to_journal(found.journal, kind=TIMED, said=timing_said(found.entry))
    progress.clear()
    say(timing_text(found.entry, found=found.calibration, lines=found.lines, file=machine.file, width=width))
    if wanted is not None and path is not None:
        if text is None:
            say("\nNo file was written: there are no other accelerations to put into it.")
        else:
            _write(path, text)
            hidden = machine.file if wanted == machine.name else None
            job = found.job.name
            say(written_text(path=str(path), name=wanted, hidden=hidden, job=job, out=str(folder), width=width))
    return Exit.UNMET if found.calibration.scale is None else Exit.DONE


def _write(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        message = f"cannot be made: {error.strerror or error}"
        accepted = "a folder that you may write to"
        raise InputError(Problem(message=message, file=str(path.parent), accepted=accepted)) from error
    write_new(path, text)


def _free(path: Path) -> Path:
    """The path, if nothing stands there; InputError otherwise."""
    if path.exists():
        message = "exists already and is not overwritten"
        accepted = "another name, --write NAME; or move it away first"
        raise InputError(Problem(message=message, file=str(path), accepted=accepted))
    return path


def _named(name: str) -> str:
    """A mill's name as it was typed, with or without the ending of its file; InputError for what is no name."""
    stem = name.removesuffix(".toml")
    if not stem or stem.startswith(".") or any(one in stem for one in '/\\:"') or not stem.isprintable():
        message = f"{name!r} is no name for a mill"
        raise InputError(Problem(message=message, key="--write", accepted="a plain name, such as my-mill"))
    return stem
