"""The verdict on programs of any origin."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.comparison.prove import prove
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.errors import InputError, Problem
from camplan.features.specs import SettingSpec
from camplan.moves.table import Kind
from camplan.operations.choose import chosen
from camplan.pipeline.bench import load_bench, shop_of
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram


def check_programs(programs: Sequence[Path], *, job_file: Path) -> Proof:
    """The verdict on programs of any origin against a job's plate.

    Each program's cutter is the one of the shelf that its file name or a comment in it names.  InputError if a file
    cannot be read or names none.
    """
    bench = load_bench(job_file)
    picked = chosen(bench.features, plate=bench.plate, shop=shop_of(bench))
    problems: list[Problem] = [replace(problem, file=str(job_file)) for problem in picked.problems]
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
        under.append(
            ProgramUnderProof(
                file=path.name,
                setting=_setting_named(reading.comments, settings=bench.job.settings),
                cutter=cutter or bench.shelf[0],
                motions=reading.motions,
                findings=reading.findings,
            )
        )
    if problems:
        raise InputError(tuple(problems))
    return prove(
        under,
        plate=bench.plate,
        features=picked.features,
        settings=bench.job.settings,
        cutters=bench.shelf,
        machine=bench.machine,
    )


def _program_text(path: Path, *, problems: list[Problem]) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        problems.append(Problem(message=f"cannot be read: {error.strerror or 'no such file'}", file=str(path)))
        return ""


def _cuts(reading: ReadProgram) -> bool:
    """Whether a program feeds with its spindle on."""
    return bool(np.any((reading.motions.kind != Kind.RAPID) & (np.nan_to_num(reading.motions.rpm) > 0.0)))


def _cutter_named(path: Path, *, comments: Sequence[tuple[int, str]], shelf: Sequence[Cutter]) -> Cutter | None:
    """The cutter that a comment names after the word cutter, else the longest name that the file's name ends with."""
    for _, comment in comments:
        words = comment.lower().replace(",", " ").split()
        for place, word in enumerate(words[:-1]):
            named = [cutter for cutter in shelf if cutter.name == words[place + 1]]
            if word == "cutter:" and named:
                return named[0]
    ends = [cutter for cutter in shelf if path.stem.lower().endswith(cutter.name)]
    return max(ends, key=lambda cutter: len(cutter.name), default=None)


def _setting_named(comments: Sequence[tuple[int, str]], *, settings: Sequence[SettingSpec]) -> str:
    for _, comment in comments:
        for setting in settings:
            if comment.lower().strip() == f"setting: {setting.name}".lower():
                return setting.name
    return settings[0].name
