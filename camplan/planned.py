"""What a plan is, once made: programs, operations and the verdict, ready to be reported.

Records only.
"""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.plastics import Plastic
from camplan.catalogue.records import Cutter, Machine, Material
from camplan.catalogue.sources import Source
from camplan.comparison.records import Proof
from camplan.cutting.records import Reason
from camplan.features.records import Feature, Plate, PlateFace
from camplan.features.specs import SettingSpec
from camplan.findings import Finding
from camplan.geometry.clipper import Area
from camplan.moulding.records import CavityFigures, MouldAnswer
from camplan.moulding.shrinkage import Shrinkage
from camplan.moves.table import MotionTable
from camplan.operations.alternatives import Choice
from camplan.operations.records import Purpose
from camplan.pairing.records import Pairing
from camplan.rs274.records import Post
from camplan.units import S_PER_MIN, Mm, Mm2, Mm3, Mm3PerMin, MmPerMin, Rpm, Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeFrom:
    """The files that a plan was made from: names beside the job, and SHA-256 sums of what stood in them."""

    job: str
    job_sum: str
    drawing: str
    drawing_sum: str
    tooling_sum: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What a cutter bears along the path of an operation: k samples in the order in which they run.

    ``at`` (k, 3) is the tip's place, ``length`` (k,) the path that a sample speaks for, ``arc`` how much of the leading
    half of the edge stands in stock (rad; known to about two of the ``pixel`` over the cutter's radius), ``level``
    whether the path is level there and no way down; ``force`` (N) is the highest of a turn, ``power`` (W) the mean,
    ``bending`` (mm) the tip's way, all with a worn edge, None where no specific force is known.
    """

    at: NDArray[np.float64]
    length: NDArray[np.float64]
    arc: NDArray[np.float64]
    force: NDArray[np.float64] | None
    power: NDArray[np.float64] | None
    bending: NDArray[np.float64] | None
    level: NDArray[np.bool_]
    pixel: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedOperation:
    """One operation as it stands in a program; lines are 1-based and inclusive.  ``load`` None: none was measured, as
    of holes that are drilled."""

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
    expected: Seconds = 0.0
    """What it was expected to take when cutters were chosen."""
    load: Load | None = None
    ramp: MmPerMin = 0.0
    """The feed of its ways down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchOff:
    """Places ``at`` (x, y) on the plate's top on which Z is zeroed before a feature ``depth`` deep is cut."""

    feature: str
    depth: Mm
    at: tuple[tuple[Mm, Mm], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlannedProgram:
    """One program: its text, its motions as read back, and its operations.  ``cutter`` None: a trace; ``touch_off``
    where Z is zeroed for it, if not anywhere on the plate's top."""

    file: str
    setting: str
    cutter: Cutter | None
    rpm_max: Rpm
    seconds: Seconds
    text: str
    motions: MotionTable
    operations: tuple[PlannedOperation, ...]
    touch_off: TouchOff | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrunk:
    """What is cut larger than drawn because the plastic shrinks; ``about``, from the plate's zero, stays put.

    ``factors``: of drawn sizes along X, along Y, and of depths (1: as drawn).
    """

    shrinkage: Shrinkage
    about: tuple[Mm, Mm]
    factors: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeBound:
    """What a plate's time is held against (`camplan.pipeline.bound`): ``volume`` at the best ``removal`` rate of the
    plan, ``walls`` at its best ``finish_feed`` (0: there is no such operation), and ``drilling``."""

    volume: Mm3
    removal: Mm3PerMin
    walls: Mm
    finish_feed: MmPerMin
    drilling: Seconds

    @property
    def seconds(self) -> Seconds:
        """The longer of removing and finishing, and the drilling; 0 where a plate is only marked."""
        removing = self.volume / self.removal if self.removal > 0.0 else 0.0
        finishing = self.walls / self.finish_feed if self.finish_feed > 0.0 else 0.0
        return max(removing, finishing) * S_PER_MIN + self.drilling


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """Everything that a report says; ``smallest_inner_radius`` by feature name, None where it has no corner.

    ``sources`` are the publications whose codes the reasons name; those that none names are not reported.
    ``choice`` says which cutters were chosen from which, and what others would have taken; ``back_choice`` the same of
    the back where both faces are cut.  ``plate`` and ``features`` are as drawn, seen from the top, each feature whole;
    ``faces`` are what is cut from each face, as the plate lies then (none: all from the top, as drawn).
    ``made_from``: the files behind the plan; ``begins_from``: the folders of earlier plans of the same plate.
    ``shrinkage`` None: everything is cut as drawn.  ``bound``: what the time is held against.
    """

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
    sources: tuple[Source, ...] = ()
    choice: Choice | None = None
    back_choice: Choice | None = None
    faces: tuple[PlateFace, ...] = ()
    made_from: MadeFrom | None = None
    begins_from: tuple[Path, ...] = ()
    shrinkage: Shrunk | None = None
    bound: TimeBound | None = None

    @property
    def seconds(self) -> Seconds:
        """All programs together."""
        return sum(program.seconds for program in self.programs)

    @property
    def over_bound(self) -> float | None:
        """How many times its bound a plan takes; None where there is none."""
        if self.bound is None or self.bound.seconds <= 0.0:
            return None
        return self.seconds / self.bound.seconds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProjectPlan:
    """Plates that belong together: what was found between them, and the plan of each by its name in the project."""

    pairing: Pairing
    plans: dict[str, Plan]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutterRow:
    """How one cutter fits one feature.

    ``smallest_inner_radius`` and ``narrowest_neck`` (the narrowest place between walls) are the feature's own, each
    with its (x, y) place; None where it has none.  ``reaches_depth``: flutes and neck are long enough for ``depth``.
    ``area_left`` is what the cutter alone would leave, ``left_at`` a place in the largest part of it, ``lost`` its
    figure as rings, ``deepest_left`` how far it reaches from what the cutter clears, infinite where that is nothing;
    ``seconds`` an estimate for the cutter alone, None where no plan would cut the feature with it alone.  ``roles``
    is what it does there in the plan.
    """

    feature: str
    depth: Mm
    smallest_inner_radius: Mm | None
    smallest_inner_radius_at: tuple[Mm, Mm] | None
    narrowest_neck: Mm | None
    narrowest_neck_at: tuple[Mm, Mm] | None
    cutter: Cutter
    reaches_depth: bool
    area_left: Mm2
    deepest_left: Mm
    seconds: Seconds | None
    left_at: tuple[Mm, Mm] | None = None
    lost: Area = ()
    roles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionRow:
    """The tightest places of one region of a feature, counted from 1; ``neck_ends`` are the places that face."""

    feature: str
    number: int
    radius: Mm | None
    radius_at: tuple[Mm, Mm] | None
    neck: Mm | None
    neck_at: tuple[Mm, Mm] | None
    neck_ends: tuple[tuple[Mm, Mm], tuple[Mm, Mm]] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutterTable:
    """Every listed cutter against every feature asked for, by feature and falling diameter.

    ``answer`` says in a sentence the smallest cutter that this plate needs, and why; ``regions`` the tight places of
    each region; ``choice`` what is chosen for the whole plate (None where a feature cannot be cut); ``plate`` and
    ``features`` are what a picture shows; ``others`` names the cutters of features that no flat cutter clears.
    """

    rows: tuple[CutterRow, ...]
    answer: str
    title: str
    plate: Plate
    features: tuple[Feature, ...] = ()
    regions: tuple[RegionRow, ...] = ()
    choice: Choice | None = None
    others: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldTable:
    """What a mould asks for: its ``plastic``, the features taken for each role, what the drawing gives, the answer."""

    title: str
    plastic: Plastic
    roles: dict[str, tuple[str, ...]]
    figures: CavityFigures
    answer: MouldAnswer
