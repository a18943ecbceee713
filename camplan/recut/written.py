"""The texts of skims, read again from beside their plan's folder."""

import hashlib

from camplan.errors import InputError, Problem
from camplan.recut.folder import PlanFolder
from camplan.recut.history import SkimProgram


def skim_text(program: SkimProgram, *, plan: PlanFolder) -> str:
    """The text of a skim beside the plan's folder; InputError if it is not there or was changed."""
    path = plan.folder.resolve().parent / program.folder / program.file
    accepted = "the skims as they were written, beside the plan's folder; or --not-run for one that was not run"
    try:
        text = path.read_text(encoding="utf-8", errors="replace").replace("\r\n", "\n")
    except OSError as error:
        said = error.strerror or "no such file"
        raise InputError(Problem(message=f"cannot be read: {said}", file=str(path), accepted=accepted)) from error
    if hashlib.sha256(text.encode("utf-8")).hexdigest() != program.check_sum:
        raise InputError(Problem(message="was changed since it was proven", file=str(path), accepted=accepted))
    return text
