"""Operations made into programs, setting by setting, each on the ground that those before left."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.features.specs import SettingSpec
from camplan.findings import Finding, Severity
from camplan.linking import program as programs_
from camplan.linking.way import Air
from camplan.moves.records import Move
from camplan.moves.timing import Drives
from camplan.operations.records import Operation, Part
from camplan.operations.sequence import Batch, batches
from camplan.passes.common import Made
from camplan.passes.ground import Ground, bare_ground, clamped_anew
from camplan.passes.records import Feed
from camplan.pipeline.bench import Bench
from camplan.pipeline.clamping import air_over, bar_of, clamp_findings, cut_on, no_way_in, nothing_to_cut
from camplan.pipeline.faces import PickedFace
from camplan.pipeline.machine_time import drives_of
from camplan.pipeline.quicker import quicker_made
from camplan.pipeline.touch_off import parted, touch_off_lines, touch_off_of, touch_offs
from camplan.pipeline.turning import zero_lines
from camplan.planned import TouchOff
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram, Written
from camplan.rs274.write import write
from camplan.units import Mm

Progress = Callable[[str, float], None]
"""Called with what is being done and the share (0 to 1) of the whole that is behind."""

CLAMPED = "clamp-in-the-way"

_FIRST_PARTS = (Part.AREA, Part.KERF, Part.LINE, Part.SLOPE, Part.EDGE, Part.DRILLED, Part.BORED)
"""What an operation does first in its feature: said to be kept out even where it is kept out altogether."""
_TRACE_FEED = 1000.0
_WORTH_SAYING = 0.01
_SAME: Mm = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draft:
    """One program before its proof."""

    file: str
    setting: SettingSpec
    cutter: Cutter | None
    jobs: tuple[programs_.Job, ...]
    moves: tuple[Move, ...]
    spans: tuple[tuple[int, int], ...]
    touch_off: TouchOff | None = None


def touch_offs_of(picked: PickedFace, *, bench: Bench) -> tuple[TouchOff, ...]:
    return touch_offs(
        picked.face.features,
        operations=picked.operations,
        plate=picked.face.plate,
        machine=bench.machine,
        flatness=bench.job.plate.flatness,
    )


def drafts_of(
    bench: Bench,
    *,
    faces: Sequence[PickedFace],
    spots: Sequence[tuple[TouchOff, ...]],
    findings: list[Finding],
    progress: Progress,
) -> list[Draft]:
    """All programs of all settings; each setting begins on the ground that those before left on the same face."""
    grounds = [bare_ground(picked.face.plate, holder_radius=bench.machine.holder_diameter / 2.0) for picked in faces]
    drafts: list[Draft] = []
    drives = drives_of(bench.machine)
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
        air = air_over(setting, machine=bench.machine)
        jobs: list[programs_.Job] = []
        prefix = chr(ord("a") + number) if len(bench.job.settings) > 1 else ""
        place = 0
        for batch in parted(batches(mine), spots=spots[up]):
            progress(f"{setting.name}: {batch.cutter}", 0.1 + 0.5 * done / max(len(operations), 1))
            batch_jobs, ground = _jobs(
                batch, ground=ground, setting=setting, findings=findings, to_come=to_come, air=air, drives=drives
            )
            done += len(batch.operations)
            if not batch_jobs:
                continue
            place += 1
            jobs.extend(batch_jobs)
            built = programs_.assembled(
                batch_jobs, air=air, spin_up=bench.machine.spin_up, feed_max=bench.machine.feed_max
            )
            drafts.append(
                Draft(
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
            findings.append(nothing_to_cut(setting, first=not before, ground=ground))
        trace = programs_.trace_moves(jobs, air=air, feed=min(_TRACE_FEED, bench.machine.feed_max))
        if trace:
            drafts.append(
                Draft(
                    file=f"{prefix}00-trace{bench.post.extension}",
                    setting=setting,
                    cutter=None,
                    jobs=(),
                    moves=trace,
                    spans=(),
                )
            )
    return drafts


def _of_data(operations: tuple[Operation, ...]) -> list[Finding]:
    """What the cutting data of operations have to say, each once."""
    said = [
        replace(finding, where=finding.where or operation.feature.spec.name)
        for operation in operations
        for finding in operation.data.findings
    ]
    return list(dict.fromkeys(said))


def _jobs(
    batch: Batch,
    *,
    ground: Ground,
    setting: SettingSpec,
    findings: list[Finding],
    to_come: Collection[str],
    air: Air,
    drives: Drives,
) -> tuple[list[programs_.Job], Ground]:
    """The jobs of a batch; what clamps keep out of a feature is said in the last setting that cuts it."""
    jobs: list[programs_.Job] = []
    for asked in batch.operations:
        before = ground
        operation, found = quicker_made(asked, ground=ground, air=air, drives=drives)
        ground = found.ground
        reasons = tuple(replace(operation.reasons[0], figure="entry", sentence=way, source="") for way in found.ways)
        if found.passes or found.holes:
            named = replace(operation, reasons=(*operation.reasons, *reasons), levels=_cut_at(operation, made=found))
            jobs.append(programs_.Job(operation=named, passes=found.passes, holes=found.holes))
        rubs = operation.data.slot_finding
        if rubs is not None and any(stroke.feed is Feed.SLOT for one in found.passes for stroke in one.strokes):
            findings.append(replace(rubs, where=operation.feature.spec.name))
        last = operation.feature.spec.name not in to_come
        if last and (found.passes or operation.part in _FIRST_PARTS) and found.kept_out > _WORTH_SAYING:
            findings.append(
                Finding(
                    severity=Severity.CAUTION,
                    code=CLAMPED,
                    message=f"clamps keep {operation.cutter.name} and its holder out of {found.kept_out:.1f} mm2 of "
                    f"{operation.feature.spec.name}: what stands there is cut in no setting; move or lower a "
                    "clamp, or name the feature in another setting",
                    where=operation.feature.spec.name,
                )
            )
        for x, y in found.shut:
            findings.append(no_way_in((x, y), operation=operation, setting=setting, ground=before))
    return jobs, ground


def _cut_at(operation: Operation, *, made: Made) -> tuple[Mm, ...]:
    """The levels at which anything was left to cut of a plate of which part was gone before."""
    if not made.ground.gone or made.holes:
        return operation.levels
    lows = np.array([float(stroke.z.min()) for one in made.passes for stroke in one.strokes])
    return tuple(z for z in operation.levels if np.any(np.abs(lows - z) < _SAME)) or operation.levels


def _header(draft: Draft, *, bench: Bench) -> tuple[str, ...]:
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


def written(draft: Draft, *, bench: Bench) -> Written:
    return write(draft.moves, post=bench.post, header=_header(draft, bench=bench))


def read_back(draft: Draft, *, text: Written, bench: Bench) -> ReadProgram:
    return read(text.text, file=draft.file, post=bench.post)


def in_spindle(trace: Draft, *, drafts: Sequence[Draft]) -> Cutter:
    """The cutter that a trace is walked with: the setting's first."""
    return next(
        draft.cutter for draft in drafts if draft.cutter is not None and draft.setting.name == trace.setting.name
    )
