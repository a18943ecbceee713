"""What a plan is, once made: programs, operations and the verdict, ready to be reported.

Records only.
"""

from dataclasses import dataclass

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.comparison.records import Proof
from camplan.cutting.records import Reason
from camplan.features.records import Feature, Plate
from camplan.features.specs import SettingSpec
from camplan.findings import Finding
from camplan.moves.table import MotionTable
from camplan.operations.records import Purpose
from camplan.rs274.records import Post
from camplan.units import Mm, MmPerMin, Rpm, Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOperation:
    """One operation as it stands in a program; lines are 1-based and inclusive."""

    feature: str
    purpose: Purpose
    first_line: int
    last_line: int
    rpm: Rpm
    feed: MmPerMin
    plunge: MmPerMin
    step_down: Mm
    step_over: Mm
    levels: tuple[Mm, ...]
    seconds: Seconds
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlannedProgram:
    """One program: its text, its motions as read back, and its operations.  ``cutter`` None: a trace."""

    file: str
    setting: str
    cutter: Cutter | None
    rpm_max: Rpm
    seconds: Seconds
    text: str
    motions: MotionTable
    operations: tuple[PlannedOperation, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """Everything that a report says; ``smallest_inner_radius`` by feature name, None where it has no corner."""

    title: str
    plate: Plate
    material: Material
    machine: Machine
    post: Post
    cutters: tuple[Cutter, ...]
    settings: tuple[SettingSpec, ...]
    features: tuple[Feature, ...]
    programs: tuple[PlannedProgram, ...]
    smallest_inner_radius: dict[str, Mm | None]
    proof: Proof
    findings: tuple[Finding, ...]
