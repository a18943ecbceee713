"""Cutting data and the reason for each of its figures."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.units import Mm, MmPerMin, Newton, Rad, Rpm, Watt


class CutKind(StrEnum):
    """The cuts that data is asked for."""

    SLOT = "slot"
    ROUGH = "rough"
    CORNERS = "corners"
    WALL = "wall"
    FLOOR = "floor"
    DRILL = "drill"
    ENGRAVE = "engrave"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Which limit set a figure, said in a sentence, and where the limit is from."""

    figure: str
    sentence: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingData:
    """How one cutter cuts one material on one machine.

    ``step_down`` is the deepest level it bears, ``step_over`` the widest; ``feed`` holds at that width,
    ``slot_feed`` in a full slot; ``plunge_feed`` straight down, ``ramp_feed`` on helix and ramp of at most
    ``ramp_angle``; ``peck`` is the first peck of a drill (None: no pecks needed up to ``peck_free_depth``).
    ``force``, ``power`` and ``bending`` are what is expected at the cutter; None without force data.
    """

    rpm: Rpm
    chip: Mm
    feed: MmPerMin
    slot_feed: MmPerMin
    plunge_feed: MmPerMin
    ramp_feed: MmPerMin
    ramp_angle: Rad
    helix_pitch: Mm
    step_down: Mm
    step_over: Mm
    peck: Mm | None
    peck_free_depth: Mm
    force: Newton | None
    power: Watt | None
    bending: Mm | None
    reasons: tuple[Reason, ...]
