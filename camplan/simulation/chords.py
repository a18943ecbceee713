"""Motions as straight chords: what sweeping works on.

Arcs and helices become chords inside the arc, at most `camplan.simulation.solids.SAGITTA` from it.  Chords that lie
on each other in the plane share a key, whatever their direction and height, so that a ring repeated level by level
is worked out once.
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
    """m chords: ``start`` and ``end`` (m, 3); ``row`` the motion each belongs to, rising; ``key`` equal for chords on
    the same line in the plane; ``near`` and ``far`` the tip's heights at the two ends in an order that is the same for
    chords of one key."""

    start: Floats
    end: Floats
    row: Ints
    key: Ints
    near: Floats
    far: Floats

    def __len__(self) -> int:
        return len(self.row)


def taken(chords: Chords, *, which: Ints | NDArray[np.bool_]) -> Chords:
    """Some of the chords, in the order of ``which``."""
    return Chords(
        start=chords.start[which],
        end=chords.end[which],
        row=chords.row[which],
        key=chords.key[which],
        near=chords.near[which],
        far=chords.far[which],
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
    return _keyed(starts, ends, row=row)


def _turns(arm: Floats, leg: Floats, *, start: Floats, end: Floats, clockwise: NDArray[np.bool_]) -> Floats:
    """Signed angle of each arc; a full turn where XY returns to its start."""
    angle = np.arctan2(arm[:, 0] * leg[:, 1] - arm[:, 1] * leg[:, 0], np.sum(arm * leg, axis=1))
    full = np.hypot(*(end[:, :2] - start[:, :2]).T) < 1.0 / _SAME
    angle = np.where(full, 0.0, angle)
    left = np.where(angle > 0.0, angle, angle + 2.0 * math.pi)
    right = np.where(angle < 0.0, angle, angle - 2.0 * math.pi)
    return np.where(clockwise, right, left)


def _keyed(start: Floats, end: Floats, *, row: Ints) -> Chords:
    flat = np.rint(np.column_stack((start[:, :2], end[:, :2])) * _SAME).astype(np.int64)
    swap = (flat[:, 0] > flat[:, 2]) | ((flat[:, 0] == flat[:, 2]) & (flat[:, 1] > flat[:, 3]))
    flat[swap] = flat[swap][:, [2, 3, 0, 1]]
    order = np.lexsort(flat.T)
    new = np.ones(len(order), dtype=np.int64)
    new[1:] = np.any(flat[order[1:]] != flat[order[:-1]], axis=1)
    key = np.empty(len(order), dtype=np.int64)
    key[order] = np.cumsum(new) - 1
    return Chords(
        start=start,
        end=end,
        row=row,
        key=key,
        near=np.where(swap, end[:, 2], start[:, 2]),
        far=np.where(swap, start[:, 2], end[:, 2]),
    )
