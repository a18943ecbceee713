"""From a measured size to a proven skim: what walls must give, the programs, and what is to be written down."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.specs import GrooveSpec, HoleSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.operations.records import Operation, Part
from camplan.operations.shop import Shop
from camplan.operations.skims import bends_before, least_width, wall_cutter
from camplan.pipeline.bench import Bench, load_bench, shop_of
from camplan.pipeline.faces import PickedFace, picked_faces
from camplan.pipeline.made_from import made_from
from camplan.pipeline.skim_proof import Before
from camplan.pipeline.skimming import as_pocket, skimmed
from camplan.recut.asked import Measured
from camplan.recut.folder import PlanFolder, job_of, plan_sum_of, read_folder, refuse_changed
from camplan.recut.history import MADE, MEASURED, NOT_RUN, History, history_of
from camplan.recut.journal import Value, journal_beside, read_journal
from camplan.recut.records import Recut
from camplan.recut.sizes import Cutting, Sized, sized
from camplan.recut.walls import walls_of
from camplan.units import UM_PER_MM


def recut(folder: Path, measured: Measured, *, job_file: Path | None = None) -> Recut:
    """What the sizes measured on a plate that a plan folder's programs cut ask for, and the skim that makes it fit.

    InputError for a folder that no longer matches its job, a feature or a size that there is not, and readings that
    cannot be meant.
    """
    whole = read_folder(folder)
    job = job_of(whole, job=job_file)
    bench = load_bench(job)
    refuse_changed(whole, now=made_from(bench), job=job)
    plan_sum = plan_sum_of(folder)
    journal = journal_beside(job)
    history = history_of(read_journal(journal), plan_sum=plan_sum)
    entries: list[tuple[str, dict[str, Value]]] = []
    if not history.known_plan:
        made = {"plan": plan_sum, "folder": whole.folder.name, "job_sha256": whole.made_from.job_sum}
        entries.append((MADE, dict(made)))
    if measured.not_run:
        history, dropped = _without_last(history, feature=measured.feature)
        entries.append((NOT_RUN, {"plan": plan_sum, "skim": dropped}))
    feature = _feature(bench, name=measured.feature)
    walls = walls_of(feature, measured=measured, history=history)
    shop = shop_of(bench)
    picked = _picked(bench, feature=feature, shop=shop)
    if isinstance(feature.spec, OutlineSpec):
        # its kerf is known once its cutter is
        feature = next(one for one in picked.face.features if one.spec.name == feature.spec.name)
        walls = replace(walls, feature=feature)
    before = [one for one in picked.operations if one.feature.spec.name == feature.spec.name]
    cutter = wall_cutter(before)
    if cutter is None:
        raise InputError(_no_cutter(feature.spec.name, before=before))
    least = least_width(cutter, feature=feature, shop=shop)
    finish = feature.spec.finish if isinstance(feature.spec, PocketSpec | OutlineSpec) else None
    limit = finish or bench.material.finish_wall
    by = Cutting(
        cutter=cutter.name,
        material=bench.material.name,
        least=least,
        bends=bends_before(before, width=limit, machine=bench.machine),
    )
    sizes = sized(walls, measured=measured, history=history, by=by)
    entries += [(MEASURED, one.entry()) for one in sizes if one.reading is not None]
    number = _number(whole, history=history)
    result = Recut(
        title=whole.title,
        feature=feature.spec.name,
        walls=walls,
        sizes=sizes,
        skims=0,
        limit=limit,
        least=least,
        number=number,
        folder=f"{whole.folder.name}-skim-{number}",
        grow=walls.grow,
        programs=(),
        proof=None,
        findings=(*history.findings, *_doubts(sizes)),
        journal=journal,
        entries=tuple(entries),
        skim_entries=(),
    )
    if not result.cut:
        return result
    return skimmed(
        result, feature=feature, before=Before(plan=whole, history=history, picked=picked, bench=bench), shop=shop
    )


def _doubts(sizes: Sequence[Sized]) -> list[Finding]:
    """Sizes that are farther off than a cutter and a mill are."""
    return [
        Finding(
            severity=Severity.CAUTION,
            code="far-from-program",
            message=f"walls stand {one.give.short * UM_PER_MM:.0f} um from where the program put them, more than "
            "cutters and mills are off: was it the cutter that the program names, and measured where it says?",
            where=one.asked.key,
        )
        for one in sizes
        if one.far
    ]


def _feature(bench: Bench, *, name: str) -> Feature:
    """The feature with walls that can be skimmed, holes as round pockets; InputError if it is another."""
    key = f"feature {name!r}"
    every = [feature for face in bench.faces for feature in face.features]
    mine = [feature for feature in every if feature.spec.name == name]
    able = [one for one in every if isinstance(one.spec, PocketSpec | HoleSpec | OutlineSpec) and _unable(one) is None]
    accepted = ", ".join(dict.fromkeys(feature.spec.name for feature in able)) or "a pocket"
    if not mine:
        raise InputError(Problem(message="the job has no such feature", key=key, accepted=accepted))
    if len(mine) > 1:
        message = "it is cut half from either face, and a skim from one would leave a step"
        raise InputError(Problem(message=message, key=key, accepted=accepted))
    if isinstance(mine[0].spec, GrooveSpec):
        message = "it is a groove, and grooves are not skimmed yet"
        instead = (
            "a pocket drawn in its place, which is; or a job of its own for the groove, its `width_mm` greater by what "
            "is missing, run while the plate lies as it lay"
        )
        raise InputError(Problem(message=message, key=key, accepted=instead))
    refused = _unable(mine[0])
    if refused is not None:
        raise InputError(Problem(message=f"{refused}; it cannot be skimmed by a size", key=key, accepted=accepted))
    return as_pocket(mine[0])


def _unable(feature: Feature) -> str | None:
    """Why a feature cannot be skimmed; None if it can."""
    match feature.spec:
        case PocketSpec():
            return "its floor falls" if feature.incline is not None else None
        case HoleSpec():
            return "it has sunk heads or chamfers" if feature.sunk or feature.mouth is not None else None
        case OutlineSpec(hold="none") if feature.through:
            return "its parts are cut free"
        case OutlineSpec():
            return None
        case _:
            return "it is no pocket, hole or outline"


def _no_cutter(name: str, *, before: Sequence[Operation]) -> Problem:
    """Why nothing can skim a feature, and what can be done instead."""
    key = f"feature {name!r}"
    made = {one.part for one in before}
    if not made & {Part.DRILLED, Part.REAMED}:
        message = "no flat cutter cut its walls, so none can skim them"
        return Problem(message=message, key=key, accepted="another feature")
    how, tool = ("reamed", "reamer") if Part.REAMED in made else ("drilled", "drill")
    message = f"its holes were {how}, not bored, and those are not skimmed yet"
    instead = (
        f"a plan that bores them, `cutters` of the feature being a slot drill or an end mill and no {tool} of their "
        f"size; or a {tool} of the size that is wanted, by hand"
    )
    return Problem(message=message, key=key, accepted=instead)


def _picked(bench: Bench, *, feature: Feature, shop: Shop) -> PickedFace:
    """The face that the feature is cut from, its operations chosen as the plan chose them."""
    faces = picked_faces(bench, shop=shop)
    problems = [problem for picked in faces for problem in picked.problems]
    if problems:
        raise InputError(tuple(problems))
    return next(picked for picked in faces if any(one.spec.name == feature.spec.name for one in picked.face.features))


def _without_last(history: History, *, feature: str) -> tuple[History, int]:
    mine = [skim.number for skim in history.skims if skim.feature == feature]
    if not mine:
        message = f"no skim of {feature} was written, so none was left out"
        raise InputError(Problem(message=message, key="--not-run", accepted="the command without it"))
    kept = tuple(skim for skim in history.skims if skim.number != mine[-1])
    return replace(history, skims=kept), mine[-1]


def _number(plan: PlanFolder, *, history: History) -> int:
    """The first number for which there is no skim and no folder."""
    number = 1 + max((skim.number for skim in history.skims), default=0)
    while (plan.folder.resolve().parent / f"{plan.folder.name}-skim-{number}").exists():
        number += 1
    return number
