"""Moves and motions turned about the zero, for a plate that does not lie straight."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import assert_never

import numpy as np

from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Rapid, Remark, Spindle, ToolChange
from camplan.moves.table import MotionTable
from camplan.units import Mm, Rad


def turned(moves: Sequence[Move], *, by: Rad) -> tuple[Move, ...]:
    """Moves turned counter-clockwise about X0 Y0; heights stay.

    A place of which X or Y is not known (NaN) cannot be turned and is left out: such a move only lifts the cutter
    before the first way across.
    """
    return tuple(one for move in moves if (one := _turned(move, by=by)) is not None)


def _turned(move: Move, *, by: Rad) -> Move | None:
    match move:
        case Rapid(to=to) | Line(to=to):
            if not (math.isfinite(to[0]) and math.isfinite(to[1])):
                return None
            return replace(move, to=(*_place(to[:2], by=by), to[2]))
        case Arc(to=to, centre=centre):
            return replace(move, to=(*_place(to[:2], by=by), to[2]), centre=_place(centre, by=by))
        case Drill(at=at):
            return replace(move, at=_place(at, by=by))
        case Dwell() | Spindle() | ToolChange() | Remark():
            return move
        case _:
            assert_never(move)


def _place(at: tuple[Mm, Mm], *, by: Rad) -> tuple[Mm, Mm]:
    cos, sin = math.cos(by), math.sin(by)
    return (cos * at[0] - sin * at[1], sin * at[0] + cos * at[1])


def turned_motions(motions: MotionTable, *, by: Rad) -> MotionTable:
    """The rows of a table turned counter-clockwise about X0 Y0; what is NaN stays NaN."""
    turn = np.array([[math.cos(by), math.sin(by)], [-math.sin(by), math.cos(by)]])
    return replace(
        motions,
        start=np.column_stack((motions.start[:, :2] @ turn, motions.start[:, 2])),
        end=np.column_stack((motions.end[:, :2] @ turn, motions.end[:, 2])),
        centre=motions.centre @ turn,
    )
