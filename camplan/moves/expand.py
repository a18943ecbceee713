"""Moves as rows of arrays, drilling cycles taken apart."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import assert_never

import numpy as np

from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Position, Rapid, Remark, Spindle, ToolChange
from camplan.moves.table import Kind, MotionTable
from camplan.units import Mm

BACK_GAP: Mm = 0.25
"""How far above the last depth a peck's rapid stops: NISTIR 6556 leaves it open; common practice, no source."""


@dataclass(slots=True, kw_only=True)
class _Rows:
    at: Position
    rpm: float = 0.0
    start: list[Position] = field(default_factory=list)
    end: list[Position] = field(default_factory=list)
    centre: list[tuple[Mm, Mm]] = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    feed: list[float] = field(default_factory=list)
    speed: list[float] = field(default_factory=list)
    line: list[int] = field(default_factory=list)

    def add(self, kind: Kind, *, to: Position, feed: float, line: int, centre: tuple[Mm, Mm] | None = None) -> None:
        """One more row, from where the last one ended."""
        self.start.append(self.at)
        self.end.append(to)
        self.centre.append(centre or (math.nan, math.nan))
        self.kind.append(int(kind))
        self.feed.append(feed)
        self.speed.append(self.rpm)
        self.line.append(line)
        self.at = to


def motions(moves: Sequence[Move], *, start: Position, lines: Sequence[int] | None = None) -> MotionTable:
    """The motions of ``moves`` begun at ``start``; ``lines`` gives each move's line of text."""
    rows = _Rows(at=start)
    for number, move in enumerate(moves):
        line = lines[number] if lines is not None else 0
        match move:
            case Line(to=to, feed=feed):
                rows.add(Kind.LINE, to=to, feed=feed, line=line)
            case Arc(to=to, centre=centre, clockwise=clockwise, feed=feed):
                kind = Kind.CLOCKWISE if clockwise else Kind.COUNTER_CLOCKWISE
                rows.add(kind, to=to, feed=feed, line=line, centre=centre)
            case Rapid(to=to):
                rows.add(Kind.RAPID, to=to, feed=math.nan, line=line)
            case Drill():
                for step in drill_steps(move, z=rows.at[2]):
                    kind = Kind.RAPID if isinstance(step, Rapid) else Kind.LINE
                    rows.add(kind, to=step.to, feed=math.nan if isinstance(step, Rapid) else move.feed, line=line)
            case Spindle(rpm=rpm):
                rows.rpm = rpm
            case Dwell() | ToolChange() | Remark():
                pass
            case _:
                assert_never(move)
    return _table(rows)


def drill_steps(hole: Drill, *, z: Mm) -> tuple[Rapid | Line, ...]:
    """A drilling cycle as its rapids and feeds, from height ``z`` (NISTIR 6556 §3.5.16.2 and §3.5.16.4)."""
    x, y = hole.at
    steps: list[Rapid | Line] = [Rapid(to=(x, y, max(z, hole.retract)))]
    if z != hole.retract:
        steps.append(Rapid(to=(x, y, hole.retract)))
    depth = hole.retract
    while depth > hole.bottom + 1e-9:
        deeper = hole.bottom if hole.peck is None else max(hole.bottom, depth - hole.peck)
        if depth < hole.retract:
            steps.append(Rapid(to=(x, y, depth + BACK_GAP)))
        steps.append(Line(to=(x, y, deeper), feed=hole.feed))
        steps.append(Rapid(to=(x, y, hole.retract)))
        depth = deeper
    return tuple(steps)


def _table(rows: _Rows) -> MotionTable:
    count = len(rows.kind)
    return MotionTable(
        start=np.array(rows.start, dtype=np.float64).reshape(count, 3),
        end=np.array(rows.end, dtype=np.float64).reshape(count, 3),
        centre=np.array(rows.centre, dtype=np.float64).reshape(count, 2),
        kind=np.array(rows.kind, dtype=np.int8),
        feed=np.array(rows.feed, dtype=np.float64),
        rpm=np.array(rows.speed, dtype=np.float64),
        line=np.array(rows.line, dtype=np.int64),
    )
