"""What is proved, and what simulation notices."""

from dataclasses import dataclass

from camplan.catalogue.records import Cutter
from camplan.findings import Finding
from camplan.moves.table import MotionTable
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProgramUnderProof:
    """One program as read back from its text, and where it runs.

    ``cutter`` is the one in the spindle at the start; ``changes`` are (row of ``motions``, cutter) pairs from which
    on another one is, rows rising.  ``findings`` are the reader's.
    """

    file: str
    setting: str
    cutter: Cutter
    motions: MotionTable
    findings: tuple[Finding, ...] = ()
    changes: tuple[tuple[int, Cutter], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something unsafe that a move does: ``row`` of the track, stable ``code``, what is wrong, and the place."""

    row: int
    code: str
    message: str
    at: tuple[Mm, Mm, Mm]
