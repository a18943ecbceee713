"""One cutter's work on one feature."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CuttingData, Reason
from camplan.features.records import Feature
from camplan.geometry.clipper import Area
from camplan.units import Mm, Seconds


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


class Part(StrEnum):
    """Which part of a feature an operation cuts."""

    AREA = "area"
    FLOOR = "floor"
    REST = "rest"
    WALL = "wall"
    KERF = "kerf"
    LINE = "line"
    SLOPE = "slope"
    PLANE = "plane"
    PLANE_WALL = "plane wall"
    EDGE = "edge"
    SPOT = "spot"
    DRILLED = "drilled"
    REAMED = "reamed"
    BORED = "bored"
    MOUTH = "mouth"


class Way(StrEnum):
    """How an area is cleared: ring by ring from its middle, or by fronts that engage the cutter evenly, climbing or
    both ways."""

    RINGS = "rings"
    FRONTS = "fronts"
    FRONTS_BOTH_WAYS = "fronts both ways"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Level:
    """A tip height ``z`` with its own figures, which lie ``grow`` outside the drawn regions (negative: inside).

    Of an edge ``grow`` is where the tool's middle runs, and the figures are where it may not be."""

    z: Mm
    pieces: tuple[Area, ...]
    grow: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Operation:
    """``levels`` are tip heights z, highest first; ``stay`` is left on walls by this operation.

    ``pieces`` are the figures whose inside is cut, air beside the plate included, none touching another;
    ``grow`` is how far they lie outside the drawn regions; where figures differ from level to level, ``by_level`` holds
    those of each.  ``start`` is the height down to which all is cleared before (None: the feature's top).
    ``diameter`` is that of the holes it makes (None: not holes); ``peck`` the first peck (None: none needed);
    ``behind`` is the cutter in whose slot it runs (None: in none);
    ``rest`` is what a wider cutter left, where this clears that; ``expected`` the time that it was expected to take
    when cutters were chosen; ``skin`` what stands at most on a floor that falls (None: more than a
    skin), or of a wall round it how far the floor's paths have kept from it; ``only``: where alone walls are walked and
    corners cleared (nothing: everywhere); ``way``: how an area is cleared, and ``instead`` what may do it in its
    place if its moves take less time."""

    feature: Feature
    purpose: Purpose
    part: Part
    cutter: Cutter
    data: CuttingData
    levels: tuple[Mm, ...]
    stay: Mm
    reasons: tuple[Reason, ...]
    pieces: tuple[Area, ...] = ()
    diameter: Mm | None = None
    peck: Mm | None = None
    grow: Mm = 0.0
    by_level: tuple[Level, ...] = ()
    start: Mm | None = None
    rest: Area = ()
    behind: Cutter | None = None
    expected: Seconds = 0.0
    skin: Mm | None = None
    only: Area = ()
    way: Way = Way.RINGS
    instead: "Operation | None" = None
