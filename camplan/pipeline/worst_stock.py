"""A skim held against the plate as it really is: its walls stand farther in than the earlier programs were to leave
them."""

from collections.abc import Sequence
from dataclasses import replace

from camplan.catalogue.records import Cutter
from camplan.comparison.records import ProgramUnderProof
from camplan.features.records import Plate
from camplan.findings import Finding, Severity
from camplan.pipeline.bench import Bench
from camplan.simulation.bodies import bodies_in_stock
from camplan.simulation.chips import thick_chips
from camplan.simulation.rapids import plunges, rapids_in_stock
from camplan.simulation.stock import stock_of
from camplan.simulation.track import said_place, track_of
from camplan.units import UM_PER_MM, Mm


def unsafe_in_worst_stock(
    skim: Sequence[ProgramUnderProof], *, before: Sequence[ProgramUnderProof], plate: Plate, short: Mm, bench: Bench
) -> list[Finding]:
    """What a skim's programs would do to a plate on which every wall stands ``short`` of where the programs ``before``
    were to put it: rapids and bodies in the stock, plunges and chips that a cutter does not bear.

    Such a plate is what the same programs leave whose cutters are smaller by that on every side.
    """
    track = track_of([*(_slimmer(program, by=short) for program in before), *skim])
    stock = stock_of(track, plate=plate)
    hits = (
        *rapids_in_stock(stock, machine=bench.machine),
        *plunges(stock),
        *bodies_in_stock(stock, machine=bench.machine),
        *thick_chips(stock, material=bench.material),
    )
    worst = f"on a plate whose walls stand {short * UM_PER_MM:.0f} um farther in than planned"
    return [
        Finding(
            severity=Severity.UNSAFE,
            code=hit.code,
            message=f"{hit.message}, at {said_place(hit.at)}, {worst}",
            where=f"{track.programs[int(track.program[hit.row])].file}, line {int(track.line[hit.row])}",
        )
        for hit in hits
        if int(track.program[hit.row]) >= len(before)
    ]


def _slimmer(program: ProgramUnderProof, *, by: Mm) -> ProgramUnderProof:
    changes = tuple((row, _slim(cutter, by=by)) for row, cutter in program.changes)
    return replace(program, cutter=_slim(program.cutter, by=by), changes=changes)


def _slim(cutter: Cutter, *, by: Mm) -> Cutter:
    """A cutter smaller by so much on every side; a sharp tip stays one."""
    return replace(
        cutter,
        diameter=max(cutter.diameter - 2.0 * by, cutter.diameter / 2.0),
        tip_diameter=max(cutter.tip_diameter - 2.0 * by, cutter.tip_diameter / 2.0),
    )
