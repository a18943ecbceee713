"""The verdict on programs of any origin."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.errors import InputError, Problem
from camplan.features.specs import SettingSpec
from camplan.findings import Finding, Severity
from camplan.moves.table import Kind
from camplan.pipeline.bench import load_bench, shop_of
from camplan.pipeline.faces import picked_faces, proved
from camplan.rs274.comments import plain
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram


def check_programs(programs: Sequence[Path], *, job_file: Path) -> Proof:
    """The verdict on programs of any origin against a job's plate.

    Each program's cutter is the one of the shelf that its file name or a comment in it names.  InputError if a file
    cannot be read or names none.
    """
    bench = load_bench(job_file)
    faces = picked_faces(bench, shop=shop_of(bench))
    problems = [replace(problem, file=str(job_file)) for picked in faces for problem in picked.problems]
    under: list[ProgramUnderProof] = []
    for path in programs:
        reading = read(_program_text(path, problems=problems), file=path.name, post=bench.post)
        cutter = _cutter_named(path, comments=reading.comments, shelf=bench.shelf)
        if cutter is None and _cuts(reading):
            problems.append(
                Problem(
                    message="neither its name nor a comment in it says which cutter it is for",
                    file=str(path),
                    accepted=f"a comment (cutter: NAME) with one of {', '.join(one.name for one in bench.shelf[:12])}",
                )
            )
            continue
        where = _setting_of(path, comments=reading.comments, settings=bench.job.settings, problems=problems)
        under.append(
            ProgramUnderProof(
                file=path.name,
                setting=where.setting,
                cutter=cutter or bench.shelf[0],
                motions=reading.motions,
                findings=(*reading.findings, *where.findings),
                changes=_changes(reading, path=path, shelf=bench.shelf, problems=problems),
            )
        )
    if problems:
        raise InputError(tuple(problems))
    return proved(under, faces=faces, bench=bench)


def _program_text(path: Path, *, problems: list[Problem]) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        problems.append(Problem(message=f"cannot be read: {error.strerror or 'no such file'}", file=str(path)))
        return ""


def _cuts(reading: ReadProgram) -> bool:
    """Whether a program feeds below the plate's top."""
    motions = reading.motions
    return bool(np.any((motions.kind != Kind.RAPID) & (np.nan_to_num(motions.end[:, 2]) < 0.0)))


def _changes(
    reading: ReadProgram, *, path: Path, shelf: Sequence[Cutter], problems: list[Problem]
) -> tuple[tuple[int, Cutter], ...]:
    """The cutter changes inside a program, each cutter named in a comment at its change."""
    found: list[tuple[int, Cutter]] = []
    for change in reading.changes:
        named = _named_in(change.cutter, shelf=shelf)
        if named is None:
            problems.append(
                Problem(
                    message=f"no comment at its change to tool {change.number} says which cutter that is",
                    file=str(path),
                    accepted="a comment (cutter: NAME) on the line of the change or before it",
                )
            )
        else:
            found.append((change.row, named))
    return tuple(found)


def _named_in(comment: str, *, shelf: Sequence[Cutter]) -> Cutter | None:
    """The one cutter of the shelf whose name stands as a word in a comment."""
    words = set(comment.lower().replace(",", " ").replace(":", " ").split())
    named = [cutter for cutter in shelf if cutter.name.lower() in words]
    return named[0] if len(named) == 1 else None


def _cutter_named(path: Path, *, comments: Sequence[tuple[int, str]], shelf: Sequence[Cutter]) -> Cutter | None:
    """The cutter that a comment names, one that begins with the word cutter before others; else the longest name that
    the file's name ends with."""
    said = sorted((comment for _, comment in comments), key=lambda text: not text.lower().startswith("cutter:"))
    named = next((found for comment in said if (found := _named_in(comment, shelf=shelf))), None)
    ends = [cutter for cutter in shelf if path.stem.lower().endswith(cutter.name.lower())]
    return named or max(ends, key=lambda cutter: len(cutter.name), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Where:
    """The setting that a program runs in, and what is to be said of how it was found."""

    setting: str
    findings: tuple[Finding, ...] = ()


def _setting_of(
    path: Path, *, comments: Sequence[tuple[int, str]], settings: Sequence[SettingSpec], problems: list[Problem]
) -> _Where:
    """The setting that a comment names; where there is one alone, that one; else the first, and it is said."""
    if len(settings) == 1:
        return _Where(setting=settings[0].name)
    names = {plain(setting.name).lower(): setting.name for setting in settings}
    said = [(line, rest.strip()) for line, text in comments for rest in [_after("setting", text)] if rest]
    for _, name in said:
        # a long name is broken over several comments, so its beginning is enough if it is that of one setting alone
        begun = [full for short, full in names.items() if short.startswith(name.lower())]
        exact = names.get(name.lower())
        if exact is not None or len(begun) == 1:
            return _Where(setting=exact or begun[0])
    listed = ", ".join(names.values())
    if said:
        line, name = said[0]
        message = f"line {line} names the setting {name!r}, and the job has none of that name"
        problems.append(Problem(message=message, file=str(path), accepted=f"(setting: NAME) with one of {listed}"))
    message = f"no comment says in which setting it runs: taken for the first, {settings[0].name}, with its clamps"
    accepted = f"a comment (setting: NAME) with one of {listed} says it"
    found = Finding(
        severity=Severity.CAUTION, code="setting-assumed", message=f"{message}; {accepted}", where=path.name
    )
    return _Where(setting=settings[0].name, findings=(found,))


def _after(word: str, comment: str) -> str:
    """What a comment such as ``setting: NAME`` says after the word and its colon; nothing if it is another comment."""
    first, _, rest = comment.partition(":")
    return rest if first.strip().lower() == word else ""
