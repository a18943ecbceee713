"""``camplan start``: a first job file from a drawing."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, say
from camplan.cli.inputs import refuse_folder
from camplan.errors import InputError, Problem
from camplan.report.files import refuse_existing, write_new


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Write a first job file beside the drawing, never over one that exists."""
    drawing: Path = arguments.drawing
    refuse_folder(drawing, accepted="a drawing, such as cavity.dxf")
    if drawing.suffix.lower() == ".toml":
        raise InputError(Problem(message="is a job file", file=str(drawing), accepted="a drawing, such as cavity.dxf"))
    job = drawing.with_suffix(".toml")
    refuse_existing(job)
    progress("reading the drawing", 0.0)
    text = pipeline.first_job_text(drawing, unit=arguments.unit)
    write_new(job, text)
    progress.clear()
    say(f"Wrote {job}. Go through it: what camplan guessed is marked. Then: camplan plan {job}")
    return Exit.DONE
