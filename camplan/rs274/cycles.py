"""Canned cycles as moves (NISTIR 6556 §3.5.16)."""

import math
from dataclasses import dataclass

from camplan.moves.expand import drill_steps
from camplan.moves.records import Drill, Dwell, Line, Move, Position, Rapid, Spindle
from camplan.units import Mm, MmPerMin, Rpm, Seconds

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
