"""The moves of a program.

Positions are (x, y, z) in mm in the setting's coordinates; z is 0 at the plate's top and negative
in the material.  The start of a move is where the move before it ended.
"""

from dataclasses import dataclass

from camplan.units import Mm, MmPerMin, Rpm, Seconds

Position = tuple[Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rapid:
    """All axes at their highest speed; never in material."""

    to: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight cut."""

    to: Position
    feed: MmPerMin


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A cut along an arc in XY about ``centre``; a helix if z changes; a full turn if XY returns to its start."""

    to: Position
    centre: tuple[Mm, Mm]
    clockwise: bool
    feed: MmPerMin


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """A hole at ``at`` from the plane ``retract`` down to ``bottom``, in pecks of ``peck`` (None: in one go).

    Starts and ends at the height ``retract`` above the hole; ``dwell`` at the bottom.
    """

    at: tuple[Mm, Mm]
    retract: Mm
    bottom: Mm
    peck: Mm | None
    dwell: Seconds
    feed: MmPerMin


@dataclass(frozen=True, slots=True, kw_only=True)
class Dwell:
    """Stand still."""

    seconds: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class Spindle:
    """Turn clockwise at ``rpm``; 0 stops."""

    rpm: Rpm


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolChange:
    """Stop, and go on with tool ``number``."""

    number: int
    cutter: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A comment that stands in the program text."""

    text: str


Move = Rapid | Line | Arc | Drill | Dwell | Spindle | ToolChange | Remark
