"""The main job: the stages in order, from a job file to a proven plan."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from camplan.catalogue.records import Cutter
from camplan.catalogue.sources import load_sources
from camplan.comparison.records import ProgramUnderProof
from camplan.errors import InputError
from camplan.features.bridges import bridge_findings
from camplan.features.records import Feature, Plate
from camplan.features.sections import heights
from camplan.features.specs import FaceSpec
from camplan.findings import Finding, Severity
from camplan.moves.timing import row_seconds
from camplan.operations import areas
from camplan.operations.pocket import inner_radius
from camplan.pipeline.bench import Bench, load_bench, shop_of
from camplan.pipeline.bound import time_bound
from camplan.pipeline.drafts import CLAMPED, Draft, Progress, drafts_of, in_spindle, read_back, touch_offs_of, written
from camplan.pipeline.faces import as_drawn, picked_faces, proved
from camplan.pipeline.loads import with_loads
from camplan.pipeline.loose import LOOSE, freed_early
from camplan.pipeline.machine_time import drives_of, seconds_of
from camplan.pipeline.made_from import begins_from, made_from
from camplan.pipeline.noticed import noticed
from camplan.pipeline.touch_off import shallow_findings
from camplan.pipeline.turning import turning_findings
from camplan.planned import Plan, PlannedOperation, PlannedProgram
from camplan.report.plan_json import plan_json
from camplan.report.sheet import sheet
from camplan.rs274.records import ReadProgram, Written
from camplan.units import Mm

T = TypeVar("T")


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
    spots = [touch_offs_of(picked, bench=bench) for picked in faces]
    findings += [
        finding for some in spots for finding in shallow_findings(some, machine=bench.machine, flatness=flatness)
    ]
    drafts = drafts_of(bench, faces=faces, spots=spots, findings=findings, progress=progress)
    progress("writing and reading back", 0.6)
    texts = [written(draft, bench=bench) for draft in drafts]
    readings = [read_back(draft, text=text, bench=bench) for draft, text in zip(drafts, texts, strict=True)]
    progress("proving", 0.65)
    proof = proved(
        [
            ProgramUnderProof(
                file=draft.file,
                setting=draft.setting.name,
                cutter=draft.cutter or in_spindle(draft, drafts=drafts),
                motions=reading.motions,
                findings=reading.findings,
            )
            for draft, reading in zip(drafts, readings, strict=True)
        ],
        faces=faces,
        bench=bench,
    )
    features = as_drawn(bench, faces=faces)
    programs = [
        _planned(draft, text=text, reading=reading, bench=bench)
        for draft, text, reading in zip(drafts, texts, readings, strict=True)
    ]
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
        programs=with_loads(programs, faces=[picked.face for picked in faces], bench=bench),
        smallest_inner_radius={feature.spec.name: _inner_radius(feature, plate=bench.plate) for feature in features},
        proof=proof,
        findings=(*_said_once(findings, proven=proof.findings), *proof.findings),
        sources=tuple(load_sources(beside=bench.job.folder).by_code.values()),
        choice=faces[0].choice,
        back_choice=faces[1].choice if len(faces) > 1 else None,
        faces=tuple(picked.face for picked in faces),
        made_from=made_from(bench),
        begins_from=begins_from(bench),
        shrinkage=bench.shrinkage,
        bound=time_bound(faces),
    )


def output_files(plan: Plan) -> dict[str, str]:
    """The files of a plan by name: programs only if they are proven, ``plan.json`` and ``sheet.html``."""
    files = {program.file: program.text for program in plan.programs} if plan.proof.passed else {}
    return {**files, "plan.json": plan_json(plan), "sheet.html": sheet(plan)}


def _said_once(findings: Sequence[Finding], *, proven: Sequence[Finding]) -> list[Finding]:
    """Findings without those on clamps that the proof has measured, and of the others on clamps one a feature."""
    told = {finding.where for finding in proven if finding.code == CLAMPED}
    kept = []
    for finding in findings:
        if finding.code == CLAMPED:
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


def _inner_radius(feature: Feature, *, plate: Plate) -> Mm | None:
    """The smallest inner radius that a cutter meets: corners beside the plate are none."""
    inland = (
        areas.standing(plate, z=-feature.bottom) if feature.open_edges or isinstance(feature.spec, FaceSpec) else ()
    )
    return inner_radius(feature.regions, plate=inland)


def _used(drafts: Sequence[Draft]) -> tuple[Cutter, ...]:
    found = {draft.cutter.name: draft.cutter for draft in drafts if draft.cutter is not None}
    return tuple(found[name] for name in sorted(found))


def _planned(draft: Draft, *, text: Written, reading: ReadProgram, bench: Bench) -> PlannedProgram:
    drives = drives_of(bench.machine)
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
                ramp=data.ramp_feed,
                step_down=data.step_down,
                step_over=data.step_over,
                levels=job.operation.levels,
                seconds=float(seconds[inside].sum()),
                reasons=job.operation.reasons,
                expected=job.operation.expected,
            )
        )
    return PlannedProgram(
        file=draft.file,
        setting=draft.setting.name,
        cutter=draft.cutter,
        rpm_max=max((job.operation.data.rpm for job in draft.jobs), default=0.0),
        seconds=seconds_of(reading, drives=drives),
        text=text.text,
        motions=reading.motions,
        operations=tuple(operations),
        touch_off=draft.touch_off,
    )
