"""The verdict on programs."""

from dataclasses import dataclass

from camplan.features.specs import FaceUp
from camplan.findings import Finding
from camplan.simulation.records import ProgramUnderProof as ProgramUnderProof
from camplan.units import Mm, Mm2

FINISHED: Mm = 0.1
"""A wall counts as finished where what was removed comes at least this close to the wanted one; more is uncut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionVerdict:
    """What the comparison found at one height below the ``face`` that is up; distances and areas in mm and mm2."""

    z: Mm
    gouge: Mm
    left_area: Mm2
    face: FaceUp = "top"


@dataclass(frozen=True, slots=True, kw_only=True)
class Leftover:
    """Material of one feature that stays: at which depth, how much, how far from the nearest cleared place, why; all
    as the plate lies with ``face`` up."""

    feature: str
    depth: Mm
    area: Mm2
    deepest: Mm
    at: tuple[Mm, Mm]
    cause: str
    face: FaceUp = "top"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """The whole verdict.  ``findings`` of severity unsafe carry the program's file and line.

    ``wall_error`` is the greatest distance between a finished wall and the wanted one.  A wall is finished where what
    was removed comes within `FINISHED` of the wanted wall; what stands thicker is uncut and only in ``leftovers``.  A
    gouge counts in full, for nothing of the wanted wall is there.
    """

    passed: bool
    gouge: Mm
    wall_error: Mm
    left_area: Mm2
    rapids_in_stock: int
    clamp_hits: int
    outside_travel: int
    sections: tuple[SectionVerdict, ...]
    leftovers: tuple[Leftover, ...]
    findings: tuple[Finding, ...]
