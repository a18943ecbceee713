"""``camplan recut``: from a measured size to the skim that makes it fit."""

import argparse
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from camplan import pipeline
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.errors import InputError, Problem
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.journal import add_to_journal
from camplan.recut.sides import Side
from camplan.report.files import write_folder
from camplan.report.recut_text import recut_text, skim_json
from camplan.units import UM_PER_MM

_FILE_WIDTH = 100


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Say what each wall must give, and write the skim."""
    folder: Path = arguments.folder
    progress("reading the plan and what was measured", 0.0)
    measured = Measured(
        feature=arguments.feature,
        sizes=tuple(_sizes(getattr(arguments, "said", None) or [])),
        instrument=_instrument(arguments.sigma_um),
        region=arguments.region,
        not_run=arguments.not_run,
        new_zero=arguments.new_zero,
    )
    found = pipeline.recut(folder, measured, job_file=arguments.job)
    for kind, said in found.entries:
        add_to_journal(found.journal, kind=kind, said=said)
    out = folder.with_name(found.folder)
    if found.programs:
        files = {one.file: one.text for one in found.programs}
        text = recut_text(found, out=str(out), plan=str(folder), width=_FILE_WIDTH)
        write_folder(out, {**files, "skim.json": skim_json(found), "skim.txt": text})
        for kind, said in found.skim_entries:
            add_to_journal(found.journal, kind=kind, said=said)
    progress.clear()
    say(recut_text(found, out=str(out), plan=str(folder), width=text_width()))
    code = code_of(found.findings, passed=found.proof is None or found.proof.passed)
    return Exit.UNMET if code is Exit.DONE and not found.met else code


def _instrument(sigma: float) -> float:
    if not 0.0 < sigma <= 1000.0:
        message = f"{sigma:g} um cannot be how sure a reading is"
        raise InputError(Problem(message=message, key="--sigma-um", accepted="above 0, such as 10 for a caliper"))
    return sigma / UM_PER_MM


def _sizes(said: list[tuple[str, Any]]) -> list[Asked]:
    """The sizes as they were typed, each begun by what it runs along; InputError for words that belong to none."""
    problems: list[Problem] = []
    found: list[Asked] = []
    for word, values in said:
        last = found[-1] if found and _begun(found[-1]) else None
        match word:
            case "across" if last is not None and last.along is Along.WALL:
                found[-1] = _of_wall(replace(last, along=Along(values)), problems=problems)
            case "wall" if last is not None and last.along is not Along.WALL and last.wall is None:
                found[-1] = _of_wall(replace(last, wall=Side(values)), problems=problems)
            case "diameter" | "depth" if last is not None and last.along is Along.WALL:
                found[-1] = _of_wall(replace(last, along=Along(word)), problems=problems)
            case "across":
                found.append(Asked(along=Along(values)))
            case "wall":
                found.append(Asked(along=Along.WALL, wall=Side(values)))
            case "diameter" | "depth":
                found.append(Asked(along=Along(word)))
            case _ if not found:
                message = "it is not said what was measured"
                problems.append(
                    Problem(
                        message=message,
                        key=_option(word),
                        accepted="--across x, --across y, --diameter, --depth or --wall first",
                    )
                )
            case _:
                found[-1] = _with(found[-1], word=word, values=values, problems=problems)
    if not said:
        message = "no size is given"
        problems.append(Problem(message=message, accepted="--across x --measured 60.91, or --diameter --measured 20.1"))
    problems += [problem for one in found for problem in _incomplete(one)]
    if problems:
        raise InputError(tuple(problems))
    return found


def _begun(asked: Asked) -> bool:
    """Whether only is said what a size runs along, or of which wall it is."""
    return not asked.readings and not asked.sticks and asked.wanted is None and asked.step is None


def _of_wall(asked: Asked, *, problems: list[Problem]) -> Asked:
    """A size of which one wall gives all; noted as a problem, and left to both, where that cannot be."""
    wall = asked.wall
    if wall is None or asked.axis == wall.axis:
        return asked
    if asked.axis is None:
        message = f"a {asked.along.value} is not between the {wall.value} wall and another"
    else:
        message = f"how far apart walls stand along {asked.along.value.upper()} does not depend on the {wall.value} one"
    problems.append(Problem(message=message, key=asked.key, accepted=_wall_said(wall)))
    return replace(asked, wall=None)


def _wall_said(wall: Side) -> str:
    return f"--wall {wall.value} --across {'xy'[wall.axis]} --measured MM, or --wall {wall.value} --stands-short MM"


def _option(word: str) -> str:
    return f"--{word.replace('_', '-')}"


def _with(asked: Asked, *, word: str, values: Any, problems: list[Problem]) -> Asked:
    wall = asked.wall
    if word in ("measured", "wanted", "at_depth", "sticks") and asked.along is Along.WALL and wall is not None:
        message = f"of the {wall.value} wall by itself is said how much is still to go, wherever it is measured"
        problems.append(Problem(message=message, key=_option(word), accepted=_wall_said(wall)))
        # nothing more is missing then
        return replace(asked, readings=asked.readings or (0.0,))
    match word:
        case "measured":
            return replace(asked, readings=(*asked.readings, *values))
        case "stands_short" if asked.along is Along.WALL:
            return replace(asked, readings=(*asked.readings, *(-value for value in values)))
        case "stands_short":
            said = _wall_said(wall) if wall is not None else "--wall left, right, front or back before it"
            problems.append(Problem(message="it is said of a wall by itself", key=_option(word), accepted=said))
            return replace(asked, readings=asked.readings or (0.0,))
        case "wanted":
            return replace(asked, wanted=values)
        case "at":
            return replace(asked, at=(values[0], values[1]))
        case "at_depth":
            return replace(asked, at_depth=values)
        case "sticks":
            return replace(asked, sticks=True)
        case _:
            if not 0.0 < values <= 200.0 or not math.isfinite(values):
                message = f"{values:g} um is no small step"
                problems.append(Problem(message=message, key="--step-um", accepted="above 0, at most 200"))
                return asked
            return replace(asked, step=values / UM_PER_MM)


def _incomplete(asked: Asked) -> list[Problem]:
    if asked.sticks and asked.readings:
        message = "it sticks and was measured: what was measured says more"
        return [Problem(message=message, key=asked.key, accepted="--measured alone, or --sticks alone")]
    if not asked.readings and asked.along is Along.WALL and asked.wall is not None:
        message = f"it is not said how far the {asked.wall.value} wall stands short"
        return [Problem(message=message, key=asked.key, accepted=_wall_said(asked.wall))]
    if not asked.sticks and not asked.readings:
        message = "no reading is given"
        return [Problem(message=message, key=asked.key, accepted="--measured MM, or --sticks")]
    if asked.step is not None and not asked.sticks:
        message = "the step follows from what was measured"
        return [Problem(message=message, key=f"{asked.key} --step-um", accepted="with --sticks")]
    return []
