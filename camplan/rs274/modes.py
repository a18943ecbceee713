"""What a controller has in mind between two lines."""

import math
from dataclasses import dataclass, field

from camplan.moves.records import Position
from camplan.rs274.places import Axes, Places, places_at_start
from camplan.units import MM_PER_INCH, Mm, Rpm, Seconds

NOWHERE: Position = (math.nan, math.nan, math.nan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sticky:
    """The words of a cycle that hold until another motion: mm as written; ``pause`` in s (NISTIR 6556 §3.5.16)."""

    plane: Mm | None = None
    bottom: Mm | None = None
    peck: Mm | None = None
    pause: Seconds | None = None


@dataclass(slots=True, kw_only=True)
class Modes:
    """``at`` in the frame of ``places``, NaN where nothing has said it; ``motion`` None until a line says one;
    ``inch`` None until G20 or G21; ``feed`` in mm/min (1/min at inverse time); ``turning`` 1 clockwise, -1 not, 0 off.

    ``plain``: nothing is in force that makes a line of axis words, offsets and a feed mean anything unusual.
    """

    at: Position = NOWHERE
    places: Places = field(default_factory=places_at_start)
    offset: Axes = (0.0, 0.0, 0.0)
    motion: float | None = None
    plane: int = 17
    absolute: bool = True
    inverse: bool = False
    inch: bool | None = None
    compensated: bool = False
    length: float | None = None
    length_of_moves: float | None = None
    z_moved: bool = False
    to_start: bool = True
    cycle: Sticky = Sticky()
    feed: float | None = None
    speed: Rpm = 0.0
    turning: int = 0
    tool: int = 0
    ended: bool = False
    plain: bool = False

    @property
    def unit(self) -> float:
        """mm in one of the program's units of length."""
        return MM_PER_INCH if self.inch else 1.0


def is_plain(modes: Modes) -> bool:
    """Whether lines of words for place, centre and feed can be run without a closer look."""
    return (
        modes.motion in (0, 1, 2, 3)
        and modes.plane == 17
        and not modes.inverse
        and not modes.ended
        and modes.inch is not None
        and modes.places.frame is not None
        and not any(map(math.isnan, (*modes.at, *modes.offset)))
        and modes.z_moved
        and modes.length == modes.length_of_moves
    )
