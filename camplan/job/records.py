"""A job as read."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from camplan.features.specs import FeatureSpec, PlateSpec, SettingSpec
from camplan.moulding.records import MouldingSpec
from camplan.moulding.shrinkage import ShrinkageSpec

LengthUnit = Literal["mm", "inch"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One plate's job.  All lengths are in mm, whatever unit the file used.

    ``file`` is the job file, ``folder`` the one it stands in, ``drawing`` a file in or below that folder.  ``unit``
    is what the job says of the drawing's lengths (None: nothing, its header decides).  ``cutters`` are names in the
    order given, None for the whole library; ``machine``, ``material`` and ``post`` are names too.
    ``shrinkage`` None: everything is cut as drawn; ``moulding``: what is said of the moulding beside the drawing.
    ``both_ways``: whether clearing may run with the material to the left of the cutter too, and not climb alone.
    """

    title: str
    file: Path
    folder: Path
    drawing: Path
    unit: LengthUnit | None
    machine: str
    material: str
    post: str
    cutters: tuple[str, ...] | None
    plate: PlateSpec
    features: tuple[FeatureSpec, ...]
    settings: tuple[SettingSpec, ...]
    shrinkage: ShrinkageSpec | None = None
    moulding: MouldingSpec | None = None
    both_ways: bool = False
