"""Kind refusals of files that are plainly something else."""

from pathlib import Path

from camplan.errors import InputError, Problem
from camplan.job.project import is_project

DRAWINGS = (".dxf", ".svg")


def refuse_folder(path: Path, *, accepted: str) -> None:
    """InputError if a folder (or nothing at all) was given where a file is wanted."""
    if not path.name or path.is_dir():
        raise InputError(Problem(message="is a folder, not a file", file=str(path), accepted=accepted))


def refuse_drawing(job: Path) -> None:
    """InputError if a drawing or a folder was given where a job file is wanted."""
    refuse_folder(job, accepted="a job file, such as cavity.toml")
    if job.suffix.lower() in DRAWINGS:
        accepted = f"a job file; `camplan start {job}` writes a first one"
        raise InputError(Problem(message="is a drawing, not a job file", file=str(job), accepted=accepted))


def refuse_project(job: Path) -> None:
    """InputError if a project of several plates was given where the job of one is wanted."""
    if is_project(job):
        accepted = "one of the job files that it names"
        raise InputError(Problem(message="is a project of several plates, not a job", file=str(job), accepted=accepted))
