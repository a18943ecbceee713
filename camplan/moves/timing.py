"""Machine time from acceleration and cornering.

Each row speeds up, runs and slows down at constant acceleration, or, where the drives' jerk is limited, by the ramps
of `camplan.moves.ramps`.  Between two rows the machine keeps the speed at which a circle that leaves the corner by the
junction deviation would just bear its acceleration; so it does between a rapid and a cut, which one look-ahead plans
together.  It stands still at the start, at the end, and where a move stops it: a dwell, the spindle, a change of
cutter.

With a limited jerk there is no acceleration at a joint.  Only rows that go on as one are run as one: straight on, at
the same speed, with the same limits.  Corners and bends know no jerk.  Times are longer than those of a controller
that speeds up through joints, by little but for rows of tenths of a millimetre.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.moves.expand import drill_steps, expanded
from camplan.moves.path import Course, course
from camplan.moves.ramps import Ways, at_rows, peaks, reachable, seconds_to, way_seconds
from camplan.moves.records import Drill, Dwell, Move, Position, Remark, Spindle, ToolChange
from camplan.moves.table import Kind, MotionTable
from camplan.units import S_PER_MIN, Mm, MmPerMin, MmPerS2, MmPerS3, Seconds

_LEAST: Mm = 1e-9
_ALIKE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Drives:
    """What the axes do: highest speeds (x, y, z), highest feed, accelerations (x, y, z), how far a corner may be
    rounded in the mind of the controller, and how fast accelerations may change (None: at once)."""

    rapid: tuple[MmPerMin, MmPerMin, MmPerMin]
    feed_max: MmPerMin
    acceleration: tuple[MmPerS2, MmPerS2, MmPerS2]
    junction_deviation: Mm
    jerk: tuple[MmPerS3, MmPerS3, MmPerS3] | None = None


def row_seconds(motions: MotionTable, *, drives: Drives, stops: NDArray[np.int64] | None = None) -> NDArray[np.float64]:
    """Seconds of every row, (n,); rows of no length take none.  Before each row in ``stops`` the machine stands.

    Corner speed: v^2 = a d s / (1 - s), s the sine of half the angle between the rows (the junction deviation model
    of Grbl 1.1's planner).  A row of length L from speed u to speed w reaches at most v^2 = a L + (u^2 + w^2) / 2.
    On an arc v^2 = a r at most.
    Example: 100 mm at 600 mm/min with 100 mm/s2 from rest to rest takes 10 s + 0.1 s; with 1000 mm/s3 besides, 0.1 s
    more, a / j.
    """
    found = course(motions)
    moving = np.flatnonzero(found.length > _LEAST)
    seconds = np.zeros(len(motions.kind))
    if not len(moving):
        return seconds
    length = found.length[moving]
    start, end = found.start[moving], found.end[moving]
    steep = _steepest(found, rows=moving)
    accelerations = np.asarray(drives.acceleration)
    with np.errstate(divide="ignore", over="ignore"):
        acceleration = np.min(np.where(steep > _LEAST, accelerations / steep, np.inf), axis=1)
        fastest = np.min(np.where(steep > _LEAST, np.asarray(drives.rapid) / S_PER_MIN / steep, np.inf), axis=1)
    feed = np.minimum(np.nan_to_num(motions.feed[moving], nan=np.inf), drives.feed_max) / S_PER_MIN
    top = np.where(motions.kind[moving] == Kind.RAPID, fastest, np.minimum(feed, fastest))
    flat = np.where(steep[:, 0] > _LEAST, steep[:, 0], 1.0)
    bend = np.sqrt(np.minimum(accelerations[0], accelerations[1]) * found.radius[moving]) / flat
    top = np.minimum(top, bend)
    corner = _corner_speeds(start, end=end, acceleration=acceleration, top=top, deviation=drives.junction_deviation)
    if stops is not None:
        corner[np.searchsorted(moving, stops)] = 0.0
    if drives.jerk is not None:
        jerk = np.min(np.where(steep > _LEAST, np.asarray(drives.jerk) / np.maximum(steep, _LEAST), np.inf), axis=1)
        seconds[moving] = _with_jerk(corner, length=length, top=top, acceleration=acceleration, jerk=jerk)
        return seconds
    first, last = _reachable(corner, length=length, acceleration=acceleration)
    peak = np.minimum(top, np.sqrt(acceleration * length + (first**2 + last**2) / 2.0))
    ramps = (2.0 * peak**2 - first**2 - last**2) / (2.0 * acceleration)
    seconds[moving] = (2.0 * peak - first - last) / acceleration + np.maximum(length - ramps, 0.0) / peak
    return seconds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A program as the machine runs it: its motions, the rows before which it stands, and what it ``waits`` in all."""

    motions: MotionTable
    stops: NDArray[np.int64]
    waits: Seconds


def program_seconds(moves: Sequence[Move], *, start: Position, drives: Drives, cutter_change: Seconds = 0.0) -> Seconds:
    """Seconds of a whole program: its rows, its dwells (those of drilling cycles too) and its changes of cutter.

    The machine stands still at each of them and where the spindle is switched.  What an operator does at a stop is
    not in it.
    """
    return run_seconds(run_of(moves, start=start, cutter_change=cutter_change), drives=drives)


def run_seconds(run: Run, *, drives: Drives) -> Seconds:
    """Seconds of a run."""
    return float(row_seconds(run.motions, drives=drives, stops=run.stops).sum()) + run.waits


def run_of(moves: Sequence[Move], *, start: Position, cutter_change: Seconds = 0.0) -> Run:
    """The run of a program begun at ``start``."""
    found = expanded(moves, start=start)
    stops: list[int] = []
    waits = 0.0
    at = start
    for place, move in enumerate(moves):
        first = int(found.first[place])
        match move:
            case Dwell(seconds=seconds):
                waits += seconds
                stops.append(first)
            case ToolChange():
                waits += cutter_change
                stops.append(first)
            case Spindle():
                stops.append(first)
            case Drill(dwell=dwell):
                if dwell > 0.0:
                    waits += dwell
                    stops.extend(_dwells_in(move, first=first, at=at))
                at = (*move.at, move.retract)
            case Remark():
                pass
            case _:
                at = move.to
    return Run(motions=found.motions, stops=np.array(sorted(stops), dtype=np.int64), waits=waits)


def _dwells_in(hole: Drill, *, first: int, at: Position) -> list[int]:
    """Rows of a cycle before which it dwells."""
    steps = drill_steps(hole, at=at)
    return [first + place for place, step in enumerate(steps) if isinstance(step, Dwell)]


def _steepest(found: Course, *, rows: NDArray[np.int64]) -> NDArray[np.float64]:
    """The largest share of each axis in the direction of a row, (n, 3); an arc may point any way in XY."""
    steep = np.maximum(np.abs(found.start[rows]), np.abs(found.end[rows]))
    round_ = np.isfinite(found.radius[rows])
    flat = np.hypot(found.start[rows, 0], found.start[rows, 1])
    steep[round_, :2] = flat[round_, None]
    return steep


def _corner_speeds(
    start: NDArray[np.float64],
    *,
    end: NDArray[np.float64],
    acceleration: NDArray[np.float64],
    top: NDArray[np.float64],
    deviation: Mm,
) -> NDArray[np.float64]:
    """Highest speed at each of the n + 1 joints, 0 at both ends."""
    straight = np.clip(np.sum(end[:-1] * start[1:], axis=1), -1.0, 1.0)
    sine = np.sqrt((1.0 + straight) / 2.0)
    weakest = np.minimum(acceleration[:-1], acceleration[1:])
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = np.sqrt(np.where(sine > 1.0 - _LEAST, np.inf, weakest * deviation * sine / (1.0 - sine)))
    return np.concatenate(([0.0], np.minimum(speed, np.minimum(top[:-1], top[1:])), [0.0]))


def _reachable(
    corner: NDArray[np.float64], *, length: NDArray[np.float64], acceleration: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Speeds at the start and the end of each row that can be braked from and reached."""
    gain = (2.0 * acceleration * length).tolist()
    square = (corner**2).tolist()
    for row in range(len(gain) - 1, -1, -1):
        most = square[row + 1] + gain[row]
        square[row] = min(square[row], most)
    for row in range(len(gain)):
        most = square[row] + gain[row]
        square[row + 1] = min(square[row + 1], most)
    speed = np.sqrt(np.array(square))
    return speed[:-1], speed[1:]


def _with_jerk(
    corner: NDArray[np.float64],
    *,
    length: NDArray[np.float64],
    top: NDArray[np.float64],
    acceleration: NDArray[np.float64],
    jerk: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Seconds of every row where the jerk is limited; ``corner`` as from `_corner_speeds`."""
    begins = np.flatnonzero(np.concatenate(([True], ~_go_on(corner, limits=(top, acceleration, jerk)))))
    owner = np.repeat(np.arange(len(begins)), np.diff(np.append(begins, len(length))))
    whole = np.add.reduceat(length, begins)
    speed = reachable(
        np.append(corner[begins], corner[-1]), length=whole, acceleration=acceleration[begins], jerk=jerk[begins]
    )
    ways = Ways(
        length=whole,
        first=speed[:-1],
        last=speed[1:],
        top=top[begins],
        acceleration=acceleration[begins],
        jerk=jerk[begins],
    )
    peak = peaks(ways)
    until = way_seconds(ways, peak=peak)[owner]
    inner = np.flatnonzero(owner[1:] == owner[:-1])
    if len(inner):
        mine = owner[inner]
        gone = np.cumsum(length)
        place = gone[inner] - (gone - length)[begins][mine]
        until[inner] = seconds_to(at_rows(ways, rows=mine), peak=peak[mine], place=place)
    since = np.append(0.0, until[:-1])
    since[begins] = 0.0
    each: NDArray[np.float64] = until - since
    return each


def _go_on(corner: NDArray[np.float64], *, limits: tuple[NDArray[np.float64], ...]) -> NDArray[np.bool_]:
    """Which of the joints between n rows are none to the machine: nothing slows it there, and all limits go on."""
    top = limits[0]
    free = corner[1:-1] >= top[:-1] * (1.0 - _ALIKE)
    for one in limits:
        free &= np.abs(np.diff(one)) <= _ALIKE * one[:-1]
    return free
