"""Questions answered without making a program: a first job, the table of cutters, one cut's data."""

import math
from pathlib import Path

from camplan.drawing.reading import read_drawing
from camplan.drawing.records import LengthUnit
from camplan.errors import InputError, Problem
from camplan.first_job import first_job
from camplan.operations.survey import Survey, Trial, surveyed
from camplan.pipeline.bench import load_bench, shop_of
from camplan.planned import CutterRow, CutterTable


def first_job_text(drawing: Path, *, unit: LengthUnit | None) -> str:
    """The text of a first job file for a drawing."""
    return first_job(read_drawing(drawing, unit=unit), file=drawing.name)


def cutter_table(job_file: Path, *, feature: str | None) -> CutterTable:
    """Every listed cutter against every feature of a job, or against one."""
    bench = load_bench(job_file)
    names = [one.spec.name for one in bench.features]
    if feature is not None and feature not in names:
        raise InputError(
            Problem(message=f"there is no feature {feature!r}", file=str(job_file), accepted=", ".join(names))
        )
    wanted = tuple(one for one in bench.features if feature in (None, one.spec.name))
    survey = surveyed(wanted, plate=bench.plate, shop=shop_of(bench))
    return CutterTable(rows=tuple(_row(trial) for trial in survey.trials), answer=_answer(survey))


def _row(trial: Trial) -> CutterRow:
    return CutterRow(
        feature=trial.feature,
        depth=trial.depth,
        smallest_inner_radius=trial.corner.radius if trial.corner else None,
        smallest_inner_radius_at=trial.corner.at if trial.corner else None,
        narrowest_neck=trial.neck.width if trial.neck else None,
        narrowest_neck_at=trial.neck.at if trial.neck else None,
        cutter=trial.cutter,
        reaches_depth=trial.reaches_depth,
        area_left=trial.left,
        deepest_left=trial.deepest,
        seconds=trial.seconds,
    )


def _answer(survey: Survey) -> str:
    """The narrowest of the cutters that the features need, and the feature that asks for it."""
    if not survey.needed:
        return "No flat cutter on the shelf clears any of these features."
    name, trial = min(survey.needed.items(), key=lambda item: item[1].cutter.diameter)
    cutter = trial.cutter
    why = f"what {cutter.diameter:g} mm leaves there, no listed cutter that reaches {trial.depth:g} mm clears better"
    if trial.left < 0.01:
        why = f"it clears {name} whole"
    elif not math.isinf(trial.deepest):
        why = f"it leaves {trial.left:.2f} mm2 in corners, at most {trial.deepest:.2f} mm deep"
    return f"The smallest cutter that this plate needs is {cutter.name} ({cutter.diameter:g} mm), for {name}: {why}."
