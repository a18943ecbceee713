"""Operations of a skim made into programs, on the ground as earlier programs have really left it."""

from collections.abc import Sequence
from dataclasses import replace

from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec, SettingSpec
from camplan.geometry import clipper
from camplan.geometry.edges import edges_of
from camplan.linking import program as programs_
from camplan.linking.way import Air
from camplan.moves.records import Move
from camplan.operations.records import Operation
from camplan.operations.sequence import batches
from camplan.passes.cut import made
from camplan.passes.entry import straight_down
from camplan.passes.ground import Ground, bare_ground, clamped_anew
from camplan.passes.records import Feed, Pass
from camplan.pipeline.bench import Bench
from camplan.pipeline.clamping import air_over, bar_of
from camplan.pipeline.faces import PickedFace
from camplan.pipeline.turning import zero_lines
from camplan.planned import PlannedOperation
from camplan.recut.records import SkimText
from camplan.rs274.write import write
from camplan.units import Mm

_GAP: Mm = 0.2
_TRACE_FEED = 1000.0


def ground_left(feature: Feature, *, picked: PickedFace, bench: Bench, short: Mm, pieces: int, anew: bool) -> Ground:
    """What the plan's operations have cleared, every wall ``short`` of where they were to put it.

    ``pieces``: how many figures the skim will have; ``anew``: its floor is taken deeper, where nothing is cleared
    yet.  Of a feature that starts at the plate's top its own operations are enough; of one in another's floor all
    count.
    """
    ground = bare_ground(picked.face.plate, holder_radius=bench.machine.holder_diameter / 2.0)
    mine = [one for one in picked.operations if feature.top > 0.0 or one.feature.spec.name == feature.spec.name]
    for batch in batches(mine):
        for operation in batch.operations:
            ground = made(operation, ground=ground).ground
    hollows = tuple(
        replace(hollow, area=area, edges=edges_of(area))
        for hollow in ground.hollows
        if (area := clipper.offset(hollow.area, by=-short))
    )
    name = feature.spec.name
    whole = clipper.offset(
        clipper.union([area for (of, _), area in sorted(ground.swept.items()) if of == name]), by=-short
    )
    swept = {} if anew else {(name, number): whole for number in range(pieces)}
    return replace(ground, hollows=hollows, swept=swept, layouts={}, shut_in={})


def skim_texts(
    operations: Sequence[Operation], *, ground: Ground, picked: PickedFace, bench: Bench, about: str
) -> list[SkimText]:
    """The programs of a skim, setting by setting; ``about`` says in their heads what they are."""
    found: list[SkimText] = []
    name = operations[0].feature.spec.name
    settings = [setting for setting in picked.settings if name in setting.features]
    for number, setting in enumerate(settings):
        done = settings[number - 1].features if number else ()
        ground = clamped_anew(ground, bars=tuple(bar_of(clamp) for clamp in setting.clamps), done=done)
        prefix = chr(ord("a") + number) if len(settings) > 1 else ""
        air = air_over(setting, machine=bench.machine)
        every: list[programs_.Job] = []
        for batch in _by_cutter(operations):
            jobs = []
            for operation in batch:
                cut = made(operation, ground=ground)
                ground = cut.ground
                if cut.passes or cut.holes:
                    passes = tuple(_past_bridges(one, operation=operation) for one in cut.passes)
                    jobs.append(programs_.Job(operation=operation, passes=passes, holes=cut.holes))
            if jobs:
                every += jobs
                place = len([one for one in found if one.setting == setting.name]) + 1
                file = f"{prefix}{place:02d}-{batch[0].cutter.name}"
                found.append(_program(jobs, file=file, setting=setting, air=air, bench=bench, about=about))
        trace = programs_.trace_moves(every, air=air, feed=min(_TRACE_FEED, bench.machine.feed_max))
        if trace:
            file = f"{prefix}00-trace"
            cutter = every[0].operation.cutter
            text = _text(trace, setting=setting, bench=bench, about=about, first="trace: spindle at rest, no cutting")
            found.append(
                SkimText(
                    file=f"skim-{file}{bench.post.extension}",
                    setting=setting.name,
                    cutter=cutter,
                    trace=True,
                    text=text,
                    operations=(),
                )
            )
    return sorted(found, key=lambda one: one.file)


def _past_bridges(one: Pass, *, operation: Operation) -> Pass:
    """A pass that begins beside a bridge: there the round of the cutter before left a little, so the cutter comes down
    slowly from above the bridge."""
    feature, spec = operation.feature, operation.feature.spec
    first = one.strokes[0]
    if not isinstance(spec, OutlineSpec) or not feature.bridges or first.feed is not Feed.FREE:
        return one
    above = -(feature.bottom - spec.bridge_height)
    level = float(first.z[-1])
    if level >= above - 1e-9:
        return one
    x, y = first.path.points[0].tolist()
    down = straight_down((x, y), start=above + _GAP, end=level, feed=Feed.PLUNGE)
    return replace(one, strokes=(down, *one.strokes[1:]), free=above)


def _by_cutter(operations: Sequence[Operation]) -> list[list[Operation]]:
    """The operations in their order, those of one cutter that follow each other together."""
    found: list[list[Operation]] = []
    for one in operations:
        if found and found[-1][0].cutter is one.cutter:
            found[-1].append(one)
        else:
            found.append([one])
    return found


def _program(
    jobs: Sequence[programs_.Job], *, file: str, setting: SettingSpec, air: Air, bench: Bench, about: str
) -> SkimText:
    cutter = jobs[0].operation.cutter
    built = programs_.assembled(jobs, air=air, spin_up=bench.machine.spin_up, feed_max=bench.machine.feed_max)
    first = f"cutter: {cutter.name}, {cutter.diameter:g} mm, stick-out {cutter.stick_out:g} mm"
    written = write(built.moves, post=bench.post, header=_header(setting, bench=bench, about=about, first=first))
    operations = [
        PlannedOperation(
            feature=job.operation.feature.spec.name,
            purpose=job.operation.purpose,
            first_line=written.lines[begin][0],
            last_line=written.lines[end][1],
            rpm=job.operation.data.rpm,
            feed=job.operation.data.feed,
            plunge=job.operation.data.plunge_feed,
            step_down=job.operation.data.step_down,
            step_over=job.operation.data.step_over,
            levels=job.operation.levels,
            seconds=0.0,
            reasons=job.operation.reasons,
        )
        for job, (begin, end) in zip(jobs, built.spans, strict=True)
    ]
    return SkimText(
        file=f"skim-{file}{bench.post.extension}",
        setting=setting.name,
        cutter=cutter,
        trace=False,
        text=written.text,
        operations=tuple(operations),
    )


def _text(moves: Sequence[Move], *, setting: SettingSpec, bench: Bench, about: str, first: str) -> str:
    return write(moves, post=bench.post, header=_header(setting, bench=bench, about=about, first=first)).text


def _header(setting: SettingSpec, *, bench: Bench, about: str, first: str) -> tuple[str, ...]:
    return (
        bench.job.title,
        f"setting: {setting.name}",
        about,
        first,
        *zero_lines(setting, bench=bench),
        "the plate lies as it lay when this face was cut, with the same zeros",
        "CAUTION: eye protection, clamps tight and clear, check zero and stick-out,",
        "first run in the air with a hand at the stop; the machine's manual comes first",
    )
