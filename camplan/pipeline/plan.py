"""The main job: the stages in order, from a job file to a proven plan."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from camplan.catalogue.records import Cutter
from camplan.catalogue.sources import load_sources
from camplan.comparison.records import ProgramUnderProof
from camplan.errors import InputError
from camplan.features.bridges import bridge_findings
from camplan.features.records import Feature, Plate
from camplan.features.sections import heights
from camplan.features.specs import FaceSpec, SettingSpec
from camplan.findings import Finding, Severity
from camplan.linking import program as programs_
from camplan.linking.way import Air
from camplan.moves.records import Move
from camplan.moves.timing import Drives, row_seconds
from camplan.operations import areas
from camplan.operations.pocket import inner_radius
from camplan.operations.records import Operation, Part
from camplan.operations.sequence import Batch, batches
from camplan.passes.cut import made
from camplan.passes.ground import Ground, clamped_anew
from camplan.passes.records import Feed
from camplan.pipeline.bench import Bench, load_bench, shop_of
from camplan.pipeline.clamping import bar_of, clamp_findings, cut_on, no_way_in, nothing_to_cut
from camplan.pipeline.faces import PickedFace, as_drawn, picked_faces, proved
from camplan.pipeline.loose import LOOSE, freed_early
from camplan.pipeline.made_from import made_from
from camplan.pipeline.noticed import noticed
from camplan.pipeline.touch_off import parted, shallow_findings, touch_off_lines, touch_off_of, touch_offs
from camplan.pipeline.turning import turning_findings, zero_lines
from camplan.planned import Plan, PlannedOperation, PlannedProgram, TouchOff
from camplan.report.plan_json import plan_json
from camplan.report.sheet import sheet
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram, Written
from camplan.rs274.write import write
from camplan.units import Mm

T = TypeVar("T")

_FIRST_PARTS = (Part.AREA, Part.KERF, Part.LINE, Part.SLOPE, Part.EDGE, Part.DRILLED, Part.BORED)
"""What an operation does first in its feature: said to be kept out even where it is kept out altogether."""

Progress = Callable[[str, float], None]
"""Called with what is being done and the share (0 to 1) of the whole that is behind."""

_LOW: Mm = 3.0
_CLEAR: Mm = 5.0
_LEAST_HIGH: Mm = 10.0
_BERTH: Mm = 2.0
_TRACE_FEED = 1000.0
_WORTH_SAYING = 0.01
_CLAMPED = "clamp-in-the-way"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Draft:
    """One program before its proof."""

    file: str
    setting: SettingSpec
    cutter: Cutter | None
    jobs: tuple[programs_.Job, ...]
    moves: tuple[Move, ...]
    spans: tuple[tuple[int, int], ...]
    touch_off: TouchOff | None = None


def _quiet(what: str, share: float) -> None:
    del what, share


def plan_job(job_file: Path, *, progress: Progress = _quiet) -> Plan:
    """The main job: everything planned, written as text, read back and proven.  InputError if it cannot be used."""
    progress("reading the job and the drawing", 0.0)
    bench = load_bench(job_file)
    progress("choosing cutters", 0.1)
    faces = picked_faces(bench, shop=shop_of(bench))
    problems = [problem for picked in faces for problem in picked.problems]
    if problems:
        raise InputError(tuple(replace(problem, file=str(job_file)) for problem in problems))
    findings = [finding for finding in bench.findings if finding.code != LOOSE]
    for picked in faces:
        findings += [*picked.findings, *_warned(picked.face.features, plate=picked.face.plate)]
        findings += noticed(picked, bench=bench)
    findings += freed_early(bench.features, plate=bench.plate, settings=bench.job.settings)
    findings += turning_findings(bench)
    flatness = bench.job.plate.flatness
    spots = [_touch_offs(picked, bench=bench) for picked in faces]
    findings += [
        finding for some in spots for finding in shallow_findings(some, machine=bench.machine, flatness=flatness)
    ]
    drafts = _drafts(bench, faces=faces, spots=spots, findings=findings, progress=progress)
    progress("writing and reading back", 0.6)
    written = [_written(draft, bench=bench) for draft in drafts]
    readings = [_read_back(draft, text=text, bench=bench) for draft, text in zip(drafts, written, strict=True)]
    progress("proving", 0.65)
    proof = proved(
        [
            ProgramUnderProof(
                file=draft.file,
                setting=draft.setting.name,
                cutter=draft.cutter or _in_spindle(draft, drafts=drafts),
                motions=reading.motions,
                findings=reading.findings,
            )
            for draft, reading in zip(drafts, readings, strict=True)
        ],
        faces=faces,
        bench=bench,
    )
    features = as_drawn(bench, faces=faces)
    progress("done", 1.0)
    return Plan(
        title=bench.job.title,
        plate=bench.plate,
        material=bench.material,
        machine=bench.machine,
        post=bench.post,
        cutters=_used(drafts),
        settings=bench.job.settings,
        features=features,
        programs=tuple(
            _planned(draft, text=text, reading=reading, bench=bench)
            for draft, text, reading in zip(drafts, written, readings, strict=True)
        ),
        smallest_inner_radius={feature.spec.name: _inner_radius(feature, plate=bench.plate) for feature in features},
        proof=proof,
        findings=(*_said_once(findings, proven=proof.findings), *proof.findings),
        sources=tuple(load_sources(beside=bench.job.folder).by_code.values()),
        choice=faces[0].choice,
        back_choice=faces[1].choice if len(faces) > 1 else None,
        faces=tuple(picked.face for picked in faces),
        made_from=made_from(bench),
        shrinkage=bench.shrinkage,
    )


def output_files(plan: Plan) -> dict[str, str]:
    """The files of a plan by name: programs only if they are proven, ``plan.json`` and ``sheet.html``."""
    files = {program.file: program.text for program in plan.programs} if plan.proof.passed else {}
    return {**files, "plan.json": plan_json(plan), "sheet.html": sheet(plan)}


def _said_once(findings: Sequence[Finding], *, proven: Sequence[Finding]) -> list[Finding]:
    """Findings without those on clamps that the proof has measured, and of the others on clamps one a feature."""
    told = {finding.where for finding in proven if finding.code == _CLAMPED}
    kept = []
    for finding in findings:
        if finding.code == _CLAMPED:
            if finding.where in told:
                continue
            told.add(finding.where)
        kept.append(finding)
    return kept


def _warned(features: tuple[Feature, ...], *, plate: Plate) -> list[Finding]:
    """What to look to before anything is cut: bridges that found no room, and what lies beneath through cuts."""
    found = [finding for feature in features for finding in bridge_findings(feature)]
    through = [feature for feature in features if feature.through and -min(heights(feature)) > plate.thickness]
    if through:
        deepest = max(-min(heights(feature)) for feature in through) - plate.thickness
        names = ", ".join(feature.spec.name for feature in through)
        found.append(
            Finding(
                severity=Severity.CAUTION,
                code="cuts-below",
                message=f"{names}: cut through, up to {deepest:.2f} mm below the plate's underside; put something soft "
                "beneath, and nothing hard where they come out",
            )
        )
    return found


def _of_data(operations: tuple[Operation, ...]) -> list[Finding]:
    """What the cutting data of operations have to say, each once."""
    said = [
        replace(finding, where=finding.where or operation.feature.spec.name)
        for operation in operations
        for finding in operation.data.findings
    ]
    return list(dict.fromkeys(said))


def _touch_offs(picked: PickedFace, *, bench: Bench) -> tuple[TouchOff, ...]:
    return touch_offs(
        picked.face.features,
        operations=picked.operations,
        plate=picked.face.plate,
        machine=bench.machine,
        flatness=bench.job.plate.flatness,
    )


def _drafts(
    bench: Bench,
    *,
    faces: Sequence[PickedFace],
    spots: Sequence[tuple[TouchOff, ...]],
    findings: list[Finding],
    progress: Progress,
) -> list[_Draft]:
    """All programs of all settings; each setting begins on the ground that those before left on the same face."""
    grounds = [
        Ground(
            plate=areas.of_regions((picked.face.plate.outline,)),
            bars=(),
            holder_radius=bench.machine.holder_diameter / 2.0,
            hollows=(),
            swept={},
        )
        for picked in faces
    ]
    drafts: list[_Draft] = []
    done = 0
    operations = tuple(operation for picked in faces for operation in picked.operations)
    findings.extend(_of_data(operations))
    for number, setting in enumerate(bench.job.settings):
        up = next(place for place, picked in enumerate(faces) if setting in picked.settings)
        picked = faces[up]
        mine = [operation for operation in picked.operations if operation.feature.spec.name in setting.features]
        before = [other for other in bench.job.settings[:number] if other in picked.settings]
        ground = clamped_anew(
            grounds[up],
            bars=tuple(bar_of(clamp) for clamp in setting.clamps),
            done=before[-1].features if before else (),
        )
        findings.extend(clamp_findings(setting, plate=picked.face.plate))
        later = [other for other in bench.job.settings[number + 1 :] if other in picked.settings]
        to_come = {name for other in later for name in other.features}
        air = _air(setting, bench=bench)
        jobs: list[programs_.Job] = []
        prefix = chr(ord("a") + number) if len(bench.job.settings) > 1 else ""
        place = 0
        for batch in parted(batches(mine), spots=spots[up]):
            progress(f"{setting.name}: {batch.cutter}", 0.1 + 0.5 * done / max(len(operations), 1))
            batch_jobs, ground = _jobs(batch, ground=ground, setting=setting, findings=findings, to_come=to_come)
            done += len(batch.operations)
            if not batch_jobs:
                continue
            place += 1
            jobs.extend(batch_jobs)
            built = programs_.assembled(
                batch_jobs, air=air, spin_up=bench.machine.spin_up, feed_max=bench.machine.feed_max
            )
            drafts.append(
                _Draft(
                    file=f"{prefix}{place:02d}-{batch.cutter}{bench.post.extension}",
                    setting=setting,
                    cutter=batch.operations[0].cutter,
                    jobs=tuple(batch_jobs),
                    moves=built.moves,
                    spans=built.spans,
                    touch_off=touch_off_of(batch, spots=spots[up]),
                )
            )
        grounds[up] = ground
        findings.extend(cut_on(setting, cut=[job.operation.feature.spec.name for job in jobs], ground=ground))
        if not jobs:
            findings.append(nothing_to_cut(setting, first=not before))
        trace = programs_.trace_moves(jobs, air=air, feed=min(_TRACE_FEED, bench.machine.feed_max))
        if trace:
            drafts.append(
                _Draft(
                    file=f"{prefix}00-trace{bench.post.extension}",
                    setting=setting,
                    cutter=None,
                    jobs=(),
                    moves=trace,
                    spans=(),
                )
            )
    return drafts


def _jobs(
    batch: Batch, *, ground: Ground, setting: SettingSpec, findings: list[Finding], to_come: Collection[str]
) -> tuple[list[programs_.Job], Ground]:
    """The jobs of a batch; what clamps keep out of a feature is said in the last setting that cuts it."""
    jobs: list[programs_.Job] = []
    for operation in batch.operations:
        before, found = ground, made(operation, ground=ground)
        ground = found.ground
        reasons = tuple(replace(operation.reasons[0], figure="entry", sentence=way, source="") for way in found.ways)
        if found.passes or found.holes:
            named = replace(operation, reasons=(*operation.reasons, *reasons))
            jobs.append(programs_.Job(operation=named, passes=found.passes, holes=found.holes))
        rubs = operation.data.slot_finding
        if rubs is not None and any(stroke.feed is Feed.SLOT for one in found.passes for stroke in one.strokes):
            findings.append(replace(rubs, where=operation.feature.spec.name))
        last = operation.feature.spec.name not in to_come
        if last and (found.passes or operation.part in _FIRST_PARTS) and found.kept_out > _WORTH_SAYING:
            findings.append(
                Finding(
                    severity=Severity.CAUTION,
                    code=_CLAMPED,
                    message=f"clamps keep {operation.cutter.name} and its holder out of {found.kept_out:.1f} mm2 of "
                    f"{operation.feature.spec.name}: what stands there is cut in no setting; move or lower a "
                    "clamp, or name the feature in another setting",
                    where=operation.feature.spec.name,
                )
            )
        for x, y in found.shut:
            findings.append(no_way_in((x, y), operation=operation, setting=setting, ground=before))
    return jobs, ground


def _air(setting: SettingSpec, *, bench: Bench) -> Air:
    highest = max((clamp.height for clamp in setting.clamps), default=0.0)
    return Air(
        low=_LOW,
        high=max(highest + _CLEAR, _LEAST_HIGH),
        clamps=setting.clamps,
        berth=bench.machine.holder_diameter / 2.0 + _BERTH,
    )


def _header(draft: _Draft, *, bench: Bench) -> tuple[str, ...]:
    cutter = draft.cutter
    about = (
        f"cutter: {cutter.name}, {cutter.diameter:g} mm, stick-out {cutter.stick_out:g} mm"
        if cutter
        else "trace: spindle at rest, no cutting; walks round all moves at a safe height"
    )
    return (
        f"{bench.job.title}",
        f"setting: {draft.setting.name}",
        about,
        *zero_lines(draft.setting, bench=bench),
        *touch_off_lines(draft.touch_off),
        "CAUTION: eye protection, clamps tight and clear, check zero and stick-out,",
        "first run in the air with a hand at the stop; the machine's manual comes first",
    )


def _written(draft: _Draft, *, bench: Bench) -> Written:
    return write(draft.moves, post=bench.post, header=_header(draft, bench=bench))


def _read_back(draft: _Draft, *, text: Written, bench: Bench) -> ReadProgram:
    return read(text.text, file=draft.file, post=bench.post)


def _in_spindle(trace: _Draft, *, drafts: Sequence[_Draft]) -> Cutter:
    """The cutter that a trace is walked with: the setting's first."""
    return next(
        draft.cutter for draft in drafts if draft.cutter is not None and draft.setting.name == trace.setting.name
    )


def _inner_radius(feature: Feature, *, plate: Plate) -> Mm | None:
    """The smallest inner radius that a cutter meets: corners beside the plate are none."""
    inland = areas.of_regions((plate.outline,)) if feature.open_edges or isinstance(feature.spec, FaceSpec) else ()
    return inner_radius(feature.regions, plate=inland)


def _used(drafts: Sequence[_Draft]) -> tuple[Cutter, ...]:
    found = {draft.cutter.name: draft.cutter for draft in drafts if draft.cutter is not None}
    return tuple(found[name] for name in sorted(found))


def _planned(draft: _Draft, *, text: Written, reading: ReadProgram, bench: Bench) -> PlannedProgram:
    machine = bench.machine
    drives = Drives(
        rapid=machine.rapid,
        feed_max=machine.feed_max,
        acceleration=machine.acceleration,
        junction_deviation=machine.junction_deviation,
    )
    seconds = row_seconds(reading.motions, drives=drives)
    lines = reading.motions.line
    operations = []
    for job, (first, last) in zip(draft.jobs, draft.spans, strict=True):
        first_line, last_line = text.lines[first][0], text.lines[last][1]
        inside = (lines >= first_line) & (lines <= last_line)
        data = job.operation.data
        operations.append(
            PlannedOperation(
                feature=job.operation.feature.spec.name,
                purpose=job.operation.purpose,
                first_line=first_line,
                last_line=last_line,
                rpm=data.rpm,
                feed=data.feed,
                plunge=data.plunge_feed,
                step_down=data.step_down,
                step_over=data.step_over,
                levels=job.operation.levels,
                seconds=float(seconds[inside].sum()),
                reasons=job.operation.reasons,
                expected=job.operation.expected,
            )
        )
    waits = machine.spin_up if draft.cutter else 0.0
    return PlannedProgram(
        file=draft.file,
        setting=draft.setting.name,
        cutter=draft.cutter,
        rpm_max=max((job.operation.data.rpm for job in draft.jobs), default=0.0),
        seconds=float(seconds.sum()) + waits,
        text=text.text,
        motions=reading.motions,
        operations=tuple(operations),
        touch_off=draft.touch_off,
    )
