"""Where a program's coordinates are: work systems, the G92 shift, and the frame that all of them are told in.

A machine coordinate is a program's coordinate plus the origin of its work system plus the G92 shift (NISTIR 6556
§3.5.13 and §3.5.18).  A text seldom says where an origin is in the machine: an origin is therefore a base that is not
known and a way from it.  Positions are given in the coordinates in force when an axis first has a place (the frame);
two systems on one base, or on origins that the program itself has set, can be told from each other, others cannot.
"""

import math
from dataclasses import dataclass, replace

from camplan.moves.records import Position
from camplan.units import Mm

Origin = tuple[int, Mm]
"""A base (0: the machine's own zero; else one that no text says) and the way from it."""
Axes = tuple[float, float, float]

_SUM: Mm = 1e-9
"""What adding up may leave between two names of one place."""
SYSTEMS: dict[float, int] = {54: 0, 55: 1, 56: 2, 57: 3, 58: 4, 59: 5, 59.1: 6, 59.2: 7, 59.3: 8}


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Origins of the nine systems, the one in force, the shift and its kept copy, and the frame once it is set."""

    origins: tuple[tuple[Origin, Origin, Origin], ...]
    system: int = 0
    shift: Axes = (0.0, 0.0, 0.0)
    kept: Axes | None = None
    frame: tuple[Origin, Origin, Origin] | None = None

    def offset(self) -> Axes:
        """What to add to a program's coordinates for those of the frame; NaN where it cannot be told."""
        if self.frame is None:
            return (0.0, 0.0, 0.0)
        x, y, z = (
            value + shift - mark if base == place else math.nan
            for (base, value), shift, (place, mark) in zip(
                self.origins[self.system], self.shift, self.frame, strict=True
            )
        )
        return (x, y, z)


def places_at_start() -> Places:
    """Nine systems of which nothing is known."""
    return Places(origins=tuple((((number, 0.0),) * 3) for number in range(1, 10)))


def framed(places: Places) -> Places:
    """The places with the frame set to the coordinates now in force, if it is not set yet."""
    if places.frame is not None:
        return places
    x, y, z = (
        (base, value + shift) for (base, value), shift in zip(places.origins[places.system], places.shift, strict=True)
    )
    return replace(places, frame=(x, y, z))


def with_origin(places: Places, *, system: int, origin: tuple[Origin | None, Origin | None, Origin | None]) -> Places:
    """The places with some axes of a system's origin set anew."""
    old = places.origins[system]
    x, y, z = (new if new is not None else was for new, was in zip(origin, old, strict=True))
    return replace(places, origins=(*places.origins[:system], (x, y, z), *places.origins[system + 1 :]))


def moved(old: tuple[Origin, Origin, Origin], *, to: tuple[Origin, Origin, Origin]) -> bool:
    """Whether an origin is another one, beyond what adding up leaves."""
    return any(a != b or abs(x - y) > _SUM for (a, x), (b, y) in zip(old, to, strict=True))


def followed(places: Places, *, before: Axes) -> tuple[Places, Axes, bool]:
    """The places and their offset, and whether the text says it; what it does not say is as ``before``."""
    offset = places.offset()
    if places.frame is None or not any(map(math.isnan, offset)):
        return places, offset, True
    x, y, z = (
        (base, mark + was - shift) if math.isnan(new) else None
        for new, was, shift, (base, mark) in zip(offset, before, places.shift, places.frame, strict=True)
    )
    places = with_origin(places, system=places.system, origin=(x, y, z))
    return places, places.offset(), False


def origin_for(places: Places, *, at: Mm, axis: int, wanted: Mm) -> Origin | None:
    """The origin that makes the frame's coordinate ``at`` read ``wanted`` (Grbl's G10 L20); None if it has no place."""
    if places.frame is None or math.isnan(at):
        return None
    base, mark = places.frame[axis]
    return (base, at + mark - wanted - places.shift[axis])


def machine_to_frame(places: Places, *, value: Mm, axis: int) -> Mm:
    """A machine coordinate in the frame; NaN where the frame's place in the machine is not known."""
    if places.frame is None:
        return math.nan
    base, mark = places.frame[axis]
    return value - mark if base == 0 else math.nan


def program_coordinates(places: Places, *, at: Position) -> Axes:
    """A place of the frame in the program's coordinates."""
    x, y, z = (here - offset for here, offset in zip(at, places.offset(), strict=True))
    return (x, y, z)
