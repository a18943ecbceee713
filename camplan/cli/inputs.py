"""Kind refusals of files that are plainly something else."""

from pathlib import Path

from camplan.errors import InputError, Problem

DRAWINGS = (".dxf", ".svg")


def refuse_drawing(job: Path) -> None:
    """InputError if a drawing was given where a job file is wanted."""
    if job.suffix.lower() in DRAWINGS:
        accepted = f"a job file; `camplan start {job}` writes a first one"
        raise InputError(Problem(message="is a drawing, not a job file", file=str(job), accepted=accepted))
