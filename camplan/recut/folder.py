"""A folder that ``camplan plan`` wrote, read again."""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from camplan.errors import InputError, Problem
from camplan.features.marks import Mark
from camplan.planned import MadeFrom

SCHEMA = "camplan.plan/1"
PLAN = "plan.json"
_ACCEPTED = "a folder that `camplan plan` wrote"


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderProgram:
    """One program of the folder, its text as it was proven; ``cutter`` None: a trace."""

    file: str
    setting: str
    cutter: str | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFolder:
    """What a plan folder says of itself, and its programs in the order in which they run."""

    folder: Path
    title: str
    made_from: MadeFrom
    marks: tuple[Mark, ...]
    programs: tuple[FolderProgram, ...]


def read_folder(folder: Path) -> PlanFolder:
    """The plan folder; InputError if it is none, if its proof failed, or for every program that is missing or is not
    the text that was proven."""
    plan = document_of(folder)
    problems: list[Problem] = []
    if not plan["proof"]["passed"]:
        message = "the proof of this plan failed, and no program was written"
        problems.append(Problem(message=message, file=str(folder / PLAN), accepted="a plan that is proven"))
    programs = [] if problems else [_program(one, folder=folder, problems=problems) for one in _listed(plan)]
    if problems:
        raise InputError(tuple(problems))
    made = plan["made_from"]
    return PlanFolder(
        folder=folder,
        title=str(plan["title"]),
        made_from=MadeFrom(
            job=made["job"],
            job_sum=made["job_sha256"],
            drawing=made["drawing"],
            drawing_sum=made["drawing_sha256"],
            tooling_sum=made["tooling_sha256"],
        ),
        marks=tuple(
            Mark(name=one["name"], feature=one["feature"], x=one["x_mm"], y=one["y_mm"]) for one in plan["marks"]
        ),
        programs=tuple(programs),
    )


def plan_sum_of(folder: Path) -> str:
    """The SHA-256 of a folder's ``plan.json``, by which journals know the plan."""
    return hashlib.sha256((folder / PLAN).read_bytes().replace(b"\r\n", b"\n")).hexdigest()


def document_of(folder: Path) -> dict[str, Any]:
    """``plan.json``, with all that is read here in it; InputError if it is none, or an earlier version's."""
    path = folder / PLAN
    try:
        plan = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        said = error.strerror or "no such file"
        raise InputError(Problem(message=f"cannot be read: {said}", file=str(path), accepted=_ACCEPTED)) from error
    except ValueError as error:
        raise InputError(Problem(message="is not JSON", file=str(path), accepted=_ACCEPTED)) from error
    schema = plan.get("schema") if isinstance(plan, dict) else None
    if schema != SCHEMA:
        message = f"is of schema {schema!r}"
        raise InputError(Problem(message=message, file=str(path), accepted=f"{SCHEMA}: plan the job again"))
    missing = [key for key in ("title", "made_from", "marks", "programs", "traces", "proof") if plan.get(key) is None]
    if missing:
        message = f"does not say {', '.join(missing)}: an earlier version wrote it"
        raise InputError(Problem(message=message, file=str(path), accepted="the job planned again"))
    return dict(plan)


def _listed(plan: dict[str, Any]) -> list[dict[str, Any]]:
    """Traces and programs by setting and file, as they run."""
    both = [*({**one, "cutter": None} for one in plan["traces"]), *plan["programs"]]
    return sorted(both, key=lambda one: str(one["file"]))


def _program(said: dict[str, Any], *, folder: Path, problems: list[Problem]) -> FolderProgram:
    path = folder / str(said["file"])
    text = ""
    try:
        text = path.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        problems.append(
            Problem(
                message=f"cannot be read: {error.strerror or 'no such file'}",
                file=str(path),
                accepted="the folder as `camplan plan` wrote it",
            )
        )
    else:
        if hashlib.sha256(text.replace("\r\n", "\n").encode("utf-8")).hexdigest() != said["sha256"]:
            problems.append(
                Problem(
                    message="is not the text that was proven: it was changed since",
                    file=str(path),
                    accepted="the program as it was written; or the job planned again",
                )
            )
    return FolderProgram(file=path.name, setting=str(said["setting"]), cutter=said["cutter"], text=text)


def refuse_changed(found: PlanFolder, *, now: MadeFrom, job: Path) -> None:
    """InputError if the job, its drawing or a file of its cutters, material, mill or post is no longer what the plan
    was made from."""
    then = found.made_from
    changed = [
        name
        for name, before, after in (
            (then.job, then.job_sum, now.job_sum),
            (then.drawing, then.drawing_sum, now.drawing_sum),
            (
                "a file of its cutters, material, mill or post, or the earlier plan of its plate",
                then.tooling_sum,
                now.tooling_sum,
            ),
        )
        if before != after
    ]
    if changed:
        said = " and ".join((", ".join(changed[:-1]), changed[-1])) if len(changed) > 1 else changed[0]
        raise InputError(
            Problem(
                message=f"does not match {found.folder}: {said} changed after that was planned",
                file=str(job),
                accepted="the job and drawing as they were; or plan again, and cut by that plan",
            )
        )


def job_of(found: PlanFolder, *, job: Path | None) -> Path:
    """The job file of a plan folder: as given, else beside the folder; InputError if it is not there."""
    path = job if job is not None else found.folder.resolve().parent / found.made_from.job
    if not path.is_file():
        raise InputError(
            Problem(
                message=f"the job of {found.folder} is not there",
                file=str(path),
                accepted="--job JOB.toml says where it is",
            )
        )
    return path
