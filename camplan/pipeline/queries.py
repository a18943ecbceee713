"""Questions answered without making a program: a first job, the table of cutters, one cut's data."""

import math
from collections.abc import Sequence
from pathlib import Path

from camplan.drawing.reading import read_drawing
from camplan.drawing.records import LengthUnit
from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.first_job import first_job
from camplan.geometry.places import millimetres
from camplan.operations.choose import chosen
from camplan.operations.records import Operation, Part
from camplan.operations.survey import Survey, Tight, Trial, surveyed
from camplan.pipeline.bench import load_bench, shop_of
from camplan.planned import CutterRow, CutterTable, RegionRow
from camplan.units import Mm2

_WHOLE: Mm2 = 0.01


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
    shop = shop_of(bench)
    survey = surveyed(wanted, plate=bench.plate, shop=shop)
    picked = chosen(
        bench.features,
        plate=bench.plate,
        shop=shop,
        settings=[setting.features for setting in bench.job.settings],
    )
    roles = _roles(picked.operations)
    regions = tuple(_region(tight) for tight in survey.tight)
    return CutterTable(
        rows=tuple(_row(trial, regions=regions, roles=roles) for trial in survey.trials),
        answer=_answer(survey),
        title=bench.job.title,
        regions=regions,
        choice=picked.choice,
        plate=bench.plate,
        features=wanted,
        others=_others(wanted, survey=survey, operations=picked.operations),
    )


def _others(
    features: Sequence[Feature], *, survey: Survey, operations: Sequence[Operation]
) -> dict[str, tuple[str, ...]]:
    """The cutters of the features of which no flat cutter was tried, by the features' names."""
    tried = {trial.feature for trial in survey.trials}
    names = [feature.spec.name for feature in features if feature.spec.name not in tried]
    return {
        name: tuple(dict.fromkeys(one.cutter.name for one in operations if one.feature.spec.name == name))
        for name in names
    }


def _roles(operations: Sequence[Operation]) -> dict[tuple[str, str], tuple[str, ...]]:
    """What each cutter does in each feature, by their names, in order."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for one in operations:
        key = (one.feature.spec.name, one.cutter.name)
        said = "wall" if one.part is Part.WALL else "floor" if one.part is Part.FLOOR else one.purpose.value
        found[key] = tuple(dict.fromkeys((*found.get(key, ()), said)))
    return found


def _region(tight: Tight) -> RegionRow:
    corner, neck = tight.corner, tight.neck
    return RegionRow(
        feature=tight.feature,
        number=tight.number,
        radius=corner.radius if corner is not None else None,
        radius_at=corner.at if corner is not None else None,
        neck=neck.width if neck is not None else None,
        neck_at=neck.at if neck is not None else None,
        neck_ends=neck.ends if neck is not None else None,
    )


def _row(trial: Trial, *, regions: Sequence[RegionRow], roles: dict[tuple[str, str], tuple[str, ...]]) -> CutterRow:
    mine = [region for region in regions if region.feature == trial.feature]
    round_ = min((one for one in mine if one.radius is not None), key=lambda one: one.radius or 0.0, default=None)
    narrow = min((one for one in mine if one.neck is not None), key=lambda one: one.neck or 0.0, default=None)
    return CutterRow(
        feature=trial.feature,
        depth=trial.depth,
        smallest_inner_radius=round_.radius if round_ is not None else None,
        smallest_inner_radius_at=round_.radius_at if round_ is not None else None,
        narrowest_neck=narrow.neck if narrow is not None else None,
        narrowest_neck_at=narrow.neck_at if narrow is not None else None,
        cutter=trial.cutter,
        reaches_depth=trial.reaches_depth,
        area_left=trial.left,
        deepest_left=trial.deepest,
        seconds=trial.seconds,
        left_at=trial.at,
        lost=trial.lost,
        roles=roles.get((trial.feature, trial.cutter.name), ()),
    )


def _answer(survey: Survey) -> str:
    """The narrowest of the cutters that the features need, and what leaning walls ask for besides."""
    leaning = "".join(f" The leaning walls of {name} take {', '.join(by)}." for name, by in survey.leaning.items())
    return f"{_smallest(survey)}{leaning}".strip()


def _smallest(survey: Survey) -> str:
    """The narrowest of the flat cutters that the features need, and the feature that asks for it."""
    if not survey.needed:
        return "" if survey.leaning else "No feature here asks for a flat cutter that the shelf has."
    name, trial = min(survey.needed.items(), key=lambda item: item[1].cutter.diameter)
    cutter = trial.cutter
    wider = [
        other
        for other in survey.trials
        if other.feature == name and other.cutter.diameter > cutter.diameter and other.reaches_depth
    ]
    why = "there is no wider one on the shelf that could"
    if wider:
        next_ = min(wider, key=lambda other: (other.cutter.diameter, other.left))
        why = f"{next_.cutter.name} does not go in" if next_.seconds is None else _leaves(next_)
    left = "clears it whole" if trial.left < _WHOLE else f"leaves {trial.left:.2f} mm2 in its corners"
    return (
        f"The smallest flat cutter that you must own here is {cutter.name} ({cutter.diameter:g} mm), for {name}: "
        f"it {left}; {why}."
    )


def _leaves(trial: Trial) -> str:
    at = (
        f" near X {millimetres(trial.at[0], places=2)} Y {millimetres(trial.at[1], places=2)}"
        if trial.at is not None
        else ""
    )
    deep = f", up to {trial.deepest:.2f} mm thick" if not math.isinf(trial.deepest) else ""
    return f"{trial.cutter.name} would leave {trial.left:.2f} mm2{deep}{at}"
