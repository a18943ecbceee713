"""Motions as straight chords: what sweeping works on.

Arcs and helices become chords inside the arc, at most `camplan.simulation.solids.SAGITTA` from it.  Chords of
motions that take the same way in the plane share a key, whatever their direction and height, so that a ring repeated
level by level is worked out once.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.moves.table import Kind, MotionTable
from camplan.simulation.solids import SAGITTA, Floats, Ints
from camplan.units import Mm

_SAME = 1e6
"""Parts of a mm within which two ends are one place."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chords:
    """m chords: ``start`` and ``end`` (m, 3); ``row`` the motion each belongs to, rising; ``key`` equal for chords of
    motions that take the same way in the plane, ``swap`` where that is taken from the other end."""

    start: Floats
    end: Floats
    row: Ints
    key: Ints
    swap: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.row)


def ends_of(chords: Chords, *, which: Ints) -> tuple[Floats, Floats]:
    """The tip's heights at both ends of some chords, in an order that is the same for chords of one key."""
    start, end, swap = chords.start[which, 2], chords.end[which, 2], chords.swap[which]
    return np.where(swap, end, start), np.where(swap, start, end)


def taken(chords: Chords, *, which: Ints | NDArray[np.bool_]) -> Chords:
    """Some of the chords, in the order of ``which``."""
    return Chords(
        start=chords.start[which],
        end=chords.end[which],
        row=chords.row[which],
        key=chords.key[which],
        swap=chords.swap[which],
    )


def chords_of(motions: MotionTable, *, sagitta: Mm = SAGITTA) -> Chords:
    """The chords of every motion, in order; a motion without length gives one chord without length."""
    start, end = motions.start, motions.end
    arcs = (motions.kind == Kind.CLOCKWISE) | (motions.kind == Kind.COUNTER_CLOCKWISE)
    steps = np.ones(len(start), dtype=np.int64)
    turn = np.zeros(len(start))
    radius = np.zeros((len(start), 2))
    first = np.zeros(len(start))
    if arcs.any():
        arm, leg = start[arcs, :2] - motions.centre[arcs], end[arcs, :2] - motions.centre[arcs]
        first[arcs] = np.arctan2(arm[:, 1], arm[:, 0])
        turn[arcs] = _turns(arm, leg, start=start[arcs], end=end[arcs], clockwise=motions.kind[arcs] == Kind.CLOCKWISE)
        radius[arcs] = np.column_stack((np.hypot(*arm.T), np.hypot(*leg.T)))
        widest = np.maximum(radius[arcs].max(axis=1), 2.0 * sagitta)
        step = np.minimum(2.0 * np.arccos(1.0 - sagitta / widest), math.pi / 4.0)
        steps[arcs] = np.maximum(np.ceil(np.abs(turn[arcs]) / step - 1e-9), 1).astype(np.int64)
    row = np.repeat(np.arange(len(start)), steps)
    offset = np.concatenate(([0], np.cumsum(steps)[:-1])) if len(steps) else steps
    number = np.arange(len(row)) - offset[row]
    ends = np.empty((len(row), 3))
    part = (number + 1) / steps[row]
    ends[:, 2] = start[row, 2] + (end[row, 2] - start[row, 2]) * part
    angle = first[row] + turn[row] * part
    reach = radius[row, 0] + (radius[row, 1] - radius[row, 0]) * part
    ends[:, 0] = motions.centre[row, 0] + reach * np.cos(angle)
    ends[:, 1] = motions.centre[row, 1] + reach * np.sin(angle)
    last = number + 1 == steps[row]
    ends[last] = end[row[last]]
    starts = np.vstack((ends[:1], ends[:-1]))
    opening = number == 0
    starts[opening] = start[row[opening]]
    like, swap = _alike(motions, arcs=arcs, steps=steps)
    key = offset[like][row] + np.where(swap[row], steps[row] - 1 - number, number)
    return Chords(start=starts, end=ends, row=row, key=key, swap=swap[row])


def _alike(motions: MotionTable, *, arcs: NDArray[np.bool_], steps: Ints) -> tuple[Ints, NDArray[np.bool_]]:
    """Of each motion one that takes the same way in the plane, and whether it is taken from the other end."""
    flat = np.rint(np.column_stack((motions.start[:, :2], motions.end[:, :2])) * _SAME).astype(np.int64)
    back = (flat[:, 0] > flat[:, 2]) | ((flat[:, 0] == flat[:, 2]) & (flat[:, 1] > flat[:, 3]))
    swap = np.where(arcs, motions.kind == Kind.CLOCKWISE, back)
    flat[swap] = flat[swap][:, [2, 3, 0, 1]]
    centre = np.where(arcs[:, None], np.rint(np.nan_to_num(motions.centre) * _SAME), 0.0).astype(np.int64)
    way = np.column_stack((flat, centre, arcs, steps))
    order = np.lexsort(way.T)
    new = np.ones(len(order), dtype=bool)
    new[1:] = np.any(way[order[1:]] != way[order[:-1]], axis=1)
    like = np.empty(len(order), dtype=np.int64)
    like[order] = order[np.maximum.accumulate(np.where(new, np.arange(len(order)), 0))]
    return like, swap


def _turns(arm: Floats, leg: Floats, *, start: Floats, end: Floats, clockwise: NDArray[np.bool_]) -> Floats:
    """Signed angle of each arc; a full turn where XY returns to its start."""
    angle = np.arctan2(arm[:, 0] * leg[:, 1] - arm[:, 1] * leg[:, 0], np.sum(arm * leg, axis=1))
    full = np.hypot(*(end[:, :2] - start[:, :2]).T) < 1.0 / _SAME
    angle = np.where(full, 0.0, angle)
    left = np.where(angle > 0.0, angle, angle + 2.0 * math.pi)
    right = np.where(angle < 0.0, angle, angle - 2.0 * math.pi)
    return np.where(clockwise, right, left)
