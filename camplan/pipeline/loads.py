"""How each operation loads its cutter, measured on the programs as they were read back."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from camplan.catalogue.records import CutterKind
from camplan.comparison.records import ProgramUnderProof
from camplan.cutting.along import Moments, borne
from camplan.features.records import PlateFace
from camplan.pipeline.bench import Bench
from camplan.planned import Load, PlannedOperation, PlannedProgram
from camplan.simulation.along import Along, surveyed
from camplan.simulation.track import Track, track_of

_STEEP = 1e-4
_SAME_FEED = 0.1


def with_loads(
    programs: Sequence[PlannedProgram], *, faces: Sequence[PlateFace], bench: Bench
) -> tuple[PlannedProgram, ...]:
    """The programs, their milling operations with the load along their paths; each face as if the other were uncut."""
    found = {program.file: program for program in programs}
    for face in faces:
        mine = [one for one in programs if one.cutter is not None and one.setting in face.settings]
        track = track_of(
            [
                ProgramUnderProof(
                    file=one.file,
                    setting=one.setting,
                    cutter=one.cutter,
                    motions=one.motions,
                    findings=(),
                )
                for one in mine
                if one.cutter is not None
            ]
        )
        if not len(track):
            continue
        along = surveyed(track, plate=face.plate)
        for number, program in enumerate(mine):
            operations = tuple(
                replace(one, load=_load(one, program=program, number=number, along=along, track=track, bench=bench))
                for one in program.operations
            )
            found[program.file] = replace(program, operations=operations)
    return tuple(found[program.file] for program in programs)


def _load(
    operation: PlannedOperation, *, program: PlannedProgram, number: int, along: Along, track: Track, bench: Bench
) -> Load | None:
    """The load of one operation; None of one that mills nothing."""
    line = track.line[along.row]
    chosen = np.flatnonzero(
        (track.program[along.row] == number) & (line >= operation.first_line) & (line <= operation.last_line)
    )
    cutter = program.cutter
    if not len(chosen) or cutter is None or cutter.kind in (CutterKind.DRILL, CutterKind.REAMER):
        return None
    rows = along.row[chosen] - int(np.searchsorted(track.program, number))
    said = program.motions.feed[rows]
    feed = np.minimum(np.nan_to_num(said, nan=bench.machine.feed_max), bench.machine.feed_max)
    moments = Moments(arc=along.arc[chosen], deep=along.deep[chosen], feed=feed)
    deepest = -min(operation.levels, default=0.0)
    loads = borne(
        moments,
        cutter=cutter,
        material=bench.material,
        machine=bench.machine,
        rpm=operation.rpm,
        depth=max(deepest, 0.01),
    )
    motions = program.motions
    fall = np.abs(motions.start[rows, 2] - motions.end[rows, 2])
    run = np.hypot(*(motions.end[rows, :2] - motions.start[rows, :2]).T)
    return Load(
        at=along.at[chosen],
        length=along.length[chosen],
        arc=moments.arc,
        force=None if loads is None else loads.force,
        power=None if loads is None else loads.power,
        bending=None if loads is None else loads.bending,
        # the last turn of a helix is level, and fed as the turns before it
        level=(fall <= _STEEP * np.maximum(run, 1.0)) & (np.abs(feed - operation.ramp) > _SAME_FEED),
        pixel=along.pixel,
    )
