"""From a measured size to a proven skim: what walls must give, the programs, and what is to be written down."""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from camplan.comparison.prove import prove
from camplan.comparison.records import ProgramUnderProof, Proof
from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.operations import areas
from camplan.operations.air import with_air
from camplan.operations.shop import Shop, wall_finish
from camplan.operations.skims import Lap, bends_at_most, least_width, skim_operations, wall_cutter
from camplan.pipeline.bench import Bench, load_bench, shop_of
from camplan.pipeline.faces import PickedFace, picked_faces
from camplan.pipeline.made_from import made_from
from camplan.pipeline.skim_programs import ground_left, skim_texts
from camplan.pipeline.worst_stock import unsafe_in_worst_stock
from camplan.recut.asked import Measured
from camplan.recut.figures import Axes, grown
from camplan.recut.folder import PlanFolder, job_of, read_folder, refuse_changed
from camplan.recut.gives import Verdict
from camplan.recut.history import MADE, MEASURED, NOT_RUN, SKIM, History, Skimmed, SkimProgram, history_of, skim_said
from camplan.recut.journal import Value, journal_beside, read_journal
from camplan.recut.records import Recut, SkimText
from camplan.recut.sizes import Sized, Walls, next_grow, sized, walls_of
from camplan.regions import Region
from camplan.rs274.read import read
from camplan.units import UM_PER_MM, Mm

_BERTH: Mm = 0.005
"""How much farther in than measured the walls are taken to stand where the skim comes down."""
_FAR: Mm = 0.08
"""Walls that are off by more are not off by a cutter's own size (common practice, no source)."""
_UNKNOWN: Mm = 0.05
"""How far in they are taken to stand where only is known that a mate does not go in."""


def recut(folder: Path, measured: Measured, *, job_file: Path | None = None) -> Recut:
    """What the sizes measured on a plate that a plan folder's programs cut ask for, and the skim that makes it fit.

    InputError for a folder that no longer matches its job, a feature or a size that there is not, and readings that
    cannot be meant.
    """
    whole = read_folder(folder)
    job = job_of(whole, job=job_file)
    bench = load_bench(job)
    refuse_changed(whole, now=made_from(bench), job=job)
    plan_sum = hashlib.sha256((folder / "plan.json").read_bytes().replace(b"\r\n", b"\n")).hexdigest()
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
    before = [one for one in picked.operations if one.feature.spec.name == feature.spec.name]
    cutter = wall_cutter(before)
    if cutter is None:
        message = "no flat cutter cut its walls, so none can skim them"
        raise InputError(Problem(message=message, key=f"feature {feature.spec.name!r}", accepted="another feature"))
    least = least_width(cutter, feature=feature, shop=shop)
    sizes = sized(
        walls, measured=measured, history=history, least=least, cutter=cutter.name, material=bench.material.name
    )
    entries += [(MEASURED, one.entry()) for one in sizes if one.reading is not None]
    assert isinstance(feature.spec, PocketSpec)
    limit = wall_finish(feature.spec, shop=shop) or bench.material.finish_wall
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
    return _skimmed(
        result, feature=feature, picked=picked, plan=whole, bench=bench, shop=shop, history=history, plan_sum=plan_sum
    )


def _skimmed(
    result: Recut,
    *,
    feature: Feature,
    picked: PickedFace,
    plan: PlanFolder,
    bench: Bench,
    shop: Shop,
    history: History,
    plan_sum: str,
) -> Recut:
    walls = result.walls
    grow, widths = next_grow(walls, sizes=result.sizes)
    skims = max(math.ceil(max(widths) / result.limit - 1e-9), 1)
    wanted = _wanted(feature, walls=walls, grow=grow, history=history)
    laps = [
        _lap(
            feature,
            walls=walls,
            grow=_part(grow, widths=widths, share=(skims - number) / skims),
            width=max(widths) / skims,
            picked=picked,
        )
        for number in range(1, skims + 1)
    ]
    before = [one for one in picked.operations if one.feature.spec.name == feature.spec.name]
    operations = skim_operations(wanted, before=before, laps=laps, shop=shop)
    short = max((_short(one) for one in result.sizes), default=0.0) + _BERTH
    ground = ground_left(feature, picked=picked, bench=bench, short=short, pieces=max(len(lap.pieces) for lap in laps))
    about = f"skim {result.number} of {feature.spec.name}"
    texts = skim_texts(operations, ground=ground, picked=picked, bench=bench, about=about)
    if not texts:
        message = "clamps keep the cutter out of all of it"
        raise InputError(
            Problem(message=message, key=f"feature {feature.spec.name!r}", accepted="clamps set otherwise")
        )
    proof, unsafe = _proven(texts, wanted=wanted, picked=picked, plan=plan, bench=bench, history=history, short=short)
    passed = proof.passed and not unsafe
    findings = _of_interest((*proof.findings, *unsafe), name=feature.spec.name)
    programs = tuple(
        SkimProgram(
            folder=result.folder, file=one.file, check_sum=one.check_sum, setting=one.setting, cutter=one.cutter.name
        )
        for one in texts
        if not one.trace
    )
    skim = Skimmed(
        number=result.number,
        feature=feature.spec.name,
        regions=walls.numbers,
        grow=grow,
        deeper=walls.deeper,
        bends=bends_at_most(operations, laps=laps),
        programs=programs,
    )
    aims = {one.asked.along.value: one.give.aim for one in result.sizes if one.give.verdict is Verdict.CUT}
    return replace(
        result,
        skims=skims,
        grow=grow,
        programs=tuple(texts) if passed else (),
        proof=replace(proof, passed=passed, findings=findings),
        findings=(*result.findings, *findings),
        skim_entries=((SKIM, skim_said(skim, plan_sum=plan_sum, aims=aims)),),
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
        if one.reading is not None and abs(one.give.short) > _FAR
    ]


def _short(one: Sized) -> Mm:
    """How far in the walls may stand of where the programs before were to put them."""
    return max(one.give.short, 0.0) + one.give.half_width if one.reading is not None else _UNKNOWN


def _part(grow: Axes, *, widths: Axes, share: float) -> Axes:
    return grow[0] - share * widths[0], grow[1] - share * widths[1]


def _lap(feature: Feature, *, walls: Walls, grow: Axes, width: Mm, picked: PickedFace) -> Lap:
    regions = [one for number in walls.numbers for one in grown(feature.regions[number - 1], by=grow)]
    figure = areas.of_regions(regions)
    if feature.open_edges:
        widest = max(one.cutter.diameter for one in picked.operations)
        figure = with_air(figure, plate=areas.of_regions((picked.face.plate.outline,)), width=widest + 1.0)
    return Lap(pieces=clipper.pieces(figure), width=width)


def _wanted(feature: Feature, *, walls: Walls, grow: Axes, history: History) -> Feature:
    """The feature as it is wanted now: skimmed regions as they shall be, the others as they were cut."""
    assert isinstance(feature.spec, PocketSpec)
    regions: list[Region] = []
    for number, region in enumerate(feature.regions, start=1):
        by = grow if number in walls.numbers else walls_of_one(feature, number=number, history=history)
        regions.extend(grown(region, by=by))
    return replace(feature, spec=replace(feature.spec, allowance=0.0), regions=tuple(regions))


def walls_of_one(feature: Feature, *, number: int, history: History) -> Axes:
    """Where the walls of one region were put last, from the drawn ones."""
    asked = Measured(feature=feature.spec.name, sizes=(), instrument=0.0, region=number)
    return walls_of(feature, measured=asked, history=history).grow


def _proven(
    texts: Sequence[SkimText],
    *,
    wanted: Feature,
    picked: PickedFace,
    plan: PlanFolder,
    bench: Bench,
    history: History,
    short: Mm,
) -> tuple[Proof, list[Finding]]:
    """The plan's programs of this face, the skims since and these texts, read back and compared with what is wanted;
    and what these texts would do unsafely on the plate as it really is."""
    shelf = {cutter.name: cutter for cutter in bench.shelf}
    settings = {setting.name for setting in picked.settings}

    def under(file: str, *, setting: str, cutter: str, text: str) -> ProgramUnderProof:
        reading = read(text, file=file, post=bench.post)
        return ProgramUnderProof(
            file=file, setting=setting, cutter=shelf[cutter], motions=reading.motions, findings=reading.findings
        )

    earlier = [
        under(one.file, setting=one.setting, cutter=one.cutter, text=one.text)
        for one in plan.programs
        if one.cutter is not None and one.setting in settings
    ]
    for skim in history.skims:
        earlier += [
            under(f"{one.folder}/{one.file}", setting=one.setting, cutter=one.cutter, text=_text_of(one, plan=plan))
            for one in skim.programs
            if one.setting in settings
        ]
    now = [under(one.file, setting=one.setting, cutter=one.cutter.name, text=one.text) for one in texts]
    name = wanted.spec.name
    proof = prove(
        [*earlier, *now],
        plate=picked.face.plate,
        features=[wanted if one.spec.name == name else _as_cut(one, history=history) for one in picked.face.features],
        settings=picked.settings,
        cutters=bench.shelf,
        machine=bench.machine,
        material=bench.material,
    )
    unsafe = unsafe_in_worst_stock(now, before=earlier, plate=picked.face.plate, short=short, bench=bench)
    return proof, unsafe


def _as_cut(feature: Feature, *, history: History) -> Feature:
    """Another feature, as skims have left it."""
    if not any(skim.feature == feature.spec.name for skim in history.skims):
        return feature
    walls = Walls(feature=feature, numbers=(), grow=(0.0, 0.0), deeper=0.0, skim=0)
    return _wanted(feature, walls=walls, grow=(0.0, 0.0), history=history)


def _text_of(program: SkimProgram, *, plan: PlanFolder) -> str:
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


def _of_interest(findings: Sequence[Finding], *, name: str) -> tuple[Finding, ...]:
    """What is unsafe, and what else is said of the feature itself."""
    return tuple(one for one in findings if one.severity is Severity.UNSAFE or one.where == name)


def _feature(bench: Bench, *, name: str) -> Feature:
    key = f"feature {name!r}"
    every = [feature for face in bench.faces for feature in face.features]
    mine = [feature for feature in every if feature.spec.name == name]
    names = ", ".join(dict.fromkeys(feature.spec.name for feature in every if isinstance(feature.spec, PocketSpec)))
    if not mine:
        raise InputError(Problem(message="the job has no such feature", key=key, accepted=names or "a pocket"))
    if len(mine) > 1:
        message = "it is cut half from either face, and a skim from one would leave a step"
        raise InputError(Problem(message=message, key=key, accepted="a feature that is cut from one face"))
    spec = mine[0].spec
    if not isinstance(spec, PocketSpec) or spec.draft or mine[0].incline is not None:
        kind = "its walls lean or its floor falls" if isinstance(spec, PocketSpec) else "it is no pocket"
        raise InputError(
            Problem(message=f"{kind}; it cannot be skimmed by a size", key=key, accepted=names or "a pocket")
        )
    return mine[0]


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
