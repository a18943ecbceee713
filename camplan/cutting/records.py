"""Cutting data and the reason for each of its figures."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.findings import Finding
from camplan.units import Mm, MmPerMin, Newton, Rad, Rpm, Watt


class CutKind(StrEnum):
    """The cuts that data is asked for.

    ``slot``: the cutter's full width at every depth.  ``side``: beside a free side, never a slot.  ``even``: clearing
    by fronts, whose engagement is that of the step over but for a little more in bends and entries.  ``rough``:
    clearing in passes, the first of which is a slot.  ``corners``: what a larger cutter left, a slot at its
    narrowest.  ``wall`` and ``floor``: skims to size.  ``drill``: straight down.  ``engrave``: along a line, the tip's
    width at its depth.
    """

    SLOT = "slot"
    SIDE = "side"
    EVEN = "even"
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
class LoadFeeds:
    """Feeds by the arc that is engaged: each of ``feeds`` holds up to the arc (rad) of the same place, which rise to a
    half circle; ``settle`` is the way on which the mill changes from the fastest to the slowest."""

    arcs: tuple[Rad, ...]
    feeds: tuple[MmPerMin, ...]
    settle: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingData:
    """How one cutter cuts one material on one machine.

    ``step_down`` is the deepest level it bears, ``step_over`` the widest; ``feed`` holds at that width,
    ``slot_feed`` in a full slot; ``plunge_feed`` straight down, ``ramp_feed`` on helix and ramp of at most
    ``ramp_angle``; ``peck`` is the first peck of a drill (None: no pecks needed up to ``peck_free_depth``).
    ``force``, ``power`` and ``bending`` are what is expected at the cutter; None without force data: the highest
    force of a turn, the mean power, the tip's way under that force with the mill's own.  ``pecks`` are all pecks of a
    hole, first to last, none if it needs none; ``spring_passes`` are how often a finished wall is walked again at the
    same place, ``size_error`` how far it may then be off (None: not worked out, or no wall), ``corner_feed`` the feed
    that holds where it meets two walls (None: no wall); ``findings`` say where no figure suits.  ``slot_finding`` says
    it of a full slot, where data for a cut beside cleared ground have no feed for one that cuts and is borne: it
    matters only where such a slot is cut all the same.  ``by_load`` are the feeds where areas are cleared by rings,
    as the engagement changes along them (None: it is not followed).
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
    pecks: tuple[Mm, ...] = ()
    spring_passes: int = 0
    size_error: Mm | None = None
    corner_feed: MmPerMin | None = None
    findings: tuple[Finding, ...] = ()
    slot_finding: Finding | None = None
    by_load: LoadFeeds | None = None
