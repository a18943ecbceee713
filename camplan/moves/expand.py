"""Moves as rows of arrays, drilling cycles taken apart."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Position, Rapid, Remark, Spindle, ToolChange
from camplan.moves.table import Kind, MotionTable
from camplan.units import Mm

BACK_GAP: Mm = 0.25
"""How far above the last depth a peck's rapid stops: NISTIR 6556 leaves it open; common practice, no source."""
_LEAST: Mm = 1e-9
_STRAIGHT = (math.nan, math.nan)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Expanded:
    """The motions of moves, and the first row of each move, (m + 1,): those of move i are ``first[i]`` to
    ``first[i + 1]``."""

    motions: MotionTable
    first: NDArray[np.int64]


def motions(moves: Sequence[Move], *, start: Position, lines: Sequence[int] | None = None) -> MotionTable:
    """The motions of ``moves`` begun at ``start``; ``lines`` gives each move's line of text (0: none).

    A change of cutter stops the spindle (NISTIR 6556 §3.6.3); a dwell has no row.
    """
    return expanded(moves, start=start, lines=lines).motions


def expanded(moves: Sequence[Move], *, start: Position, lines: Sequence[int] | None = None) -> Expanded:
    """As `motions`, with the rows of each move."""
    end: list[Position] = []
    centre: list[tuple[Mm, Mm]] = []
    kind: list[int] = []
    feed: list[float] = []
    speed: list[float] = []
    counts: list[int] = []
    at, rpm = start, 0.0
    rapid, line = int(Kind.RAPID), int(Kind.LINE)
    clockwise, counter = int(Kind.CLOCKWISE), int(Kind.COUNTER_CLOCKWISE)
    for move in moves:
        match move:
            case Line():
                kind.append(line)
                feed.append(move.feed)
                centre.append(_STRAIGHT)
            case Arc():
                kind.append(clockwise if move.clockwise else counter)
                feed.append(move.feed)
                centre.append(move.centre)
            case Rapid():
                kind.append(rapid)
                feed.append(math.nan)
                centre.append(_STRAIGHT)
            case Drill():
                steps = [step for step in drill_steps(move, at=at) if not isinstance(step, Dwell)]
                kind.extend(rapid if isinstance(step, Rapid) else line for step in steps)
                feed.extend(math.nan if isinstance(step, Rapid) else step.feed for step in steps)
                end.extend(step.to for step in steps)
                centre.extend([_STRAIGHT] * len(steps))
                speed.extend([rpm] * len(steps))
                counts.append(len(steps))
                at = (*move.at, move.retract)
                continue
            case Spindle():
                rpm = move.rpm
                counts.append(0)
                continue
            case ToolChange():
                rpm = 0.0
                counts.append(0)
                continue
            case Dwell() | Remark():
                counts.append(0)
                continue
            case _:
                assert_never(move)
        at = move.to
        end.append(at)
        speed.append(rpm)
        counts.append(1)
    ends = np.array(end, dtype=np.float64).reshape(len(end), 3)
    said = np.zeros(len(counts), dtype=np.int64) if lines is None else np.asarray(lines, dtype=np.int64)
    return Expanded(
        motions=MotionTable(
            start=np.vstack((np.array([start], dtype=np.float64), ends[:-1]))[: len(end)],
            end=ends,
            centre=np.array(centre, dtype=np.float64).reshape(len(end), 2),
            kind=np.array(kind, dtype=np.int8),
            feed=np.array(feed, dtype=np.float64),
            rpm=np.array(speed, dtype=np.float64),
            line=np.repeat(said, counts) if counts else np.zeros(0, dtype=np.int64),
        ),
        first=np.array([0, *accumulate(counts)], dtype=np.int64),
    )


def drill_steps(hole: Drill, *, at: Position) -> tuple[Rapid | Line | Dwell, ...]:
    """A drilling cycle as its rapids, feeds and dwell from where the cutter is.

    Up to the plane if it is lower, across, down to the plane; then pecks, each out to the plane and fast back to
    `BACK_GAP` above the last depth (NISTIR 6556 §3.5.16.1, .2 and .4).  Example: a plane at 2, a bottom at -10 and
    pecks of 4 feed to -2, -6 and -10.
    """
    x, y = hole.at
    height = at[2] if at[2] > hole.retract else hole.retract
    steps: list[Rapid | Line | Dwell] = []
    if at[2] < hole.retract and (at[0], at[1]) != (x, y):
        steps.append(Rapid(to=(at[0], at[1], hole.retract)))
    if (at[0], at[1], at[2]) != (x, y, height):
        steps.append(Rapid(to=(x, y, height)))
    if height > hole.retract:
        steps.append(Rapid(to=(x, y, hole.retract)))
    depth = hole.retract
    while depth > hole.bottom + _LEAST:
        deeper = hole.bottom if hole.peck is None else depth - max(hole.peck, _LEAST)
        if deeper <= hole.bottom + _LEAST:
            deeper = hole.bottom
        if depth + BACK_GAP < hole.retract:
            steps.append(Rapid(to=(x, y, depth + BACK_GAP)))
        steps.append(Line(to=(x, y, deeper), feed=hole.feed))
        if deeper <= hole.bottom + _LEAST and hole.dwell > 0.0:
            steps.append(Dwell(seconds=hole.dwell))
        steps.append(Rapid(to=(x, y, hole.retract)))
        depth = deeper
    return tuple(steps)
