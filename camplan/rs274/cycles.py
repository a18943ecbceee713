"""Canned cycles as moves (NISTIR 6556 §3.5.16)."""

import math
from dataclasses import dataclass, replace

from camplan.moves.expand import drill_steps
from camplan.moves.records import Drill, Dwell, Line, Move, Position, Rapid, Spindle
from camplan.rs274.expressions import BrokenError
from camplan.rs274.modes import Modes, Sticky
from camplan.rs274.words import Block
from camplan.units import Mm, MmPerMin, Rpm, Seconds

_MOST_REPEATS = 10_000
_MOST_PECKS = 100_000
"""In all holes of one line."""

CYCLES: dict[float, str] = {81: "", 82: "P", 83: "Q", 84: "", 85: "", 86: "P", 89: "P"}
"""The cycles that are followed, each with the word that it needs beside R and Z."""
NOT_FOLLOWED: dict[float, str] = {
    87: "G87 works behind the hole with the spindle stopped and shifted: that is not followed",
    88: "G88 waits for a hand to take the spindle out: that is not followed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A cycle with all its figures, in the frame: ``holes`` in order; ``high`` is where it goes between them."""

    code: float
    holes: tuple[tuple[Mm, Mm], ...]
    plane: Mm
    bottom: Mm
    high: Mm
    peck: Mm
    pause: Seconds
    feed: MmPerMin
    rpm: Rpm


def cycle_moves(bore: Bore, *, at: Position) -> list[Move]:
    """The moves of a cycle from where the cutter is: up to the plane if it is below, then hole by hole."""
    moves: list[Move] = []
    if at[2] < bore.plane:
        moves.append(Rapid(to=(at[0], at[1], bore.plane)))
        at = (at[0], at[1], bore.plane)
    for hole in bore.holes:
        made = _drilled(bore, hole=hole, at=at) if bore.code in (81, 82, 83) else _bored(bore, hole=hole, at=at)
        moves.extend(made)
        at = (*hole, bore.high)
    return moves


def _drilled(bore: Bore, *, hole: tuple[Mm, Mm], at: Position) -> list[Move]:
    drill = Drill(
        at=hole,
        retract=bore.plane,
        bottom=bore.bottom,
        peck=bore.peck if bore.code == 83 else None,
        dwell=bore.pause if bore.code == 82 else 0.0,
        feed=bore.feed,
    )
    if bore.high <= bore.plane:
        return [drill]
    steps = drill_steps(drill, at=at)
    return [*steps[:-1], Rapid(to=(*hole, bore.high))]


def _bored(bore: Bore, *, hole: tuple[Mm, Mm], at: Position) -> list[Move]:
    moves: list[Move] = []
    if math.isnan(at[0]) or (at[0], at[1]) != hole:
        moves.append(Rapid(to=(*hole, at[2])))
    if at[2] != bore.plane:
        moves.append(Rapid(to=(*hole, bore.plane)))
    moves.append(Line(to=(*hole, bore.bottom), feed=bore.feed))
    match bore.code:
        case 86:
            moves.extend((Dwell(seconds=bore.pause), Spindle(rpm=0.0), Rapid(to=(*hole, bore.high))))
            moves.append(Spindle(rpm=bore.rpm))
            return moves
        case 89:
            moves.append(Dwell(seconds=bore.pause))
        case _:
            pass
    moves.append(Line(to=(*hole, bore.plane), feed=bore.feed))
    if bore.high > bore.plane:
        moves.append(Rapid(to=(*hole, bore.high)))
    return moves


def held(cycle: Sticky, *, block: Block, unit: float) -> Sticky:
    """The words that hold, after those of a block; ``unit`` is mm in one of the program's."""
    values = block.values
    words = {
        name: values[letter] * unit
        for letter, name in (("R", "plane"), ("Z", "bottom"), ("Q", "peck"))
        if letter in values
    }
    if "P" in values:
        words["pause"] = values["P"]
    return replace(cycle, **words)


def bore_of(motion: float, *, block: Block, modes: Modes) -> Bore:
    """What a line of a cycle does; under G91 R counts from the height, Z from R (NISTIR 6556 §3.5.16)."""
    if modes.plane != 17 or modes.inverse or modes.compensated:
        raise BrokenError("a cycle needs G17, G94 and G40 (NISTIR 6556 §3.5.16)", code="modal-conflict")
    sticky = modes.cycle
    missing = [letter for letter, value in (("R", sticky.plane), ("Z", sticky.bottom)) if value is None]
    missing += ["P"] if CYCLES[motion] == "P" and sticky.pause is None else []
    missing += ["Q above 0"] if CYCLES[motion] == "Q" and not (sticky.peck or 0.0) > 0.0 else []
    if missing or sticky.plane is None or sticky.bottom is None:
        raise BrokenError(f"G{motion:g} needs {', '.join(missing)} (NISTIR 6556 §3.5.16)", code="word-missing")
    if motion == 84 and modes.turning != 1:
        said = "G84 needs the spindle turning clockwise (NISTIR 6556 §3.5.16.5)"
        raise BrokenError(said, code="tap-spindle")
    height = modes.at[2]
    if math.isnan(height) and not modes.absolute:
        raise BrokenError("a cycle under G91 counts from a height that no line has said", code="unknown-start")
    plane = sticky.plane + (modes.offset[2] if modes.absolute else height)
    bottom = sticky.bottom + (modes.offset[2] if modes.absolute else plane)
    if plane < bottom:
        raise BrokenError("R lies below Z (NISTIR 6556 §3.5.16)", code="word-order")
    holes = _holes(block, modes=modes)
    bore = Bore(
        code=motion,
        holes=holes,
        plane=plane,
        bottom=bottom,
        high=max(height, plane) if modes.to_start and not math.isnan(height) else plane,
        peck=sticky.peck or 0.0,
        pause=sticky.pause or 0.0,
        feed=modes.feed or 0.0,
        rpm=modes.speed if modes.turning else 0.0,
    )
    if strokes(bore) > _MOST_PECKS:
        raise BrokenError(f"more than {_MOST_PECKS} pecks on one line", code="too-many-steps")
    return bore


def strokes(bore: Bore) -> float:
    """How often the cutter goes down, in all holes: about, and never fewer than the holes."""
    pecks = (bore.plane - bore.bottom) / bore.peck if bore.code == 83 else 1.0
    return max(pecks, 1.0) * len(bore.holes)


def _holes(block: Block, *, modes: Modes) -> tuple[tuple[Mm, Mm], ...]:
    """Places of the repeats: in place under G90, stepping on under G91 (NISTIR 6556 §3.5.16)."""
    repeats = round(block.values.get("L", 1.0))
    if not 1 <= repeats <= _MOST_REPEATS:
        said = f"L wants a whole number from 1 to {_MOST_REPEATS} (NISTIR 6556 §3.5.16)"
        raise BrokenError(said, code="negative-value")
    first, step = [0.0, 0.0], [0.0, 0.0]
    for axis, letter in enumerate("XY"):
        here, value = modes.at[axis], block.values.get(letter)
        if value is None:
            first[axis] = here
        elif modes.absolute:
            first[axis] = value * modes.unit + modes.offset[axis]
        else:
            step[axis] = value * modes.unit
            first[axis] = here + step[axis]
    if any(map(math.isnan, first)):
        raise BrokenError("a cycle at a place that no line has said", code="unknown-start")
    return tuple((first[0] + step[0] * number, first[1] + step[1] * number) for number in range(repeats))
