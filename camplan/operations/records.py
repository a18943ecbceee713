"""One cutter's work on one feature."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CuttingData, Reason
from camplan.features.records import Feature
from camplan.units import Mm


class Purpose(StrEnum):
    """What an operation is for; the words stand in ``plan.json``."""

    ROUGH = "rough"
    FINISH = "finish"
    CORNERS = "corners"
    DRILL = "drill"
    BORE = "bore"
    GROOVE = "groove"
    MARK = "mark"
    EDGE = "edge"
    FACE = "face"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Operation:
    """``levels`` are tip heights z, highest first; ``stay`` is left on walls by this operation."""

    feature: Feature
    purpose: Purpose
    cutter: Cutter
    data: CuttingData
    levels: tuple[Mm, ...]
    stay: Mm
    reasons: tuple[Reason, ...]
