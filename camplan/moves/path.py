"""Lengths, directions, bounds and points of motions."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.moves.table import Kind, MotionTable
from camplan.units import Mm, Rad

SAME: Mm = 1e-9
"""An arc whose ends differ by less in X and in Y is a full turn."""
_WIDEST: Rad = math.pi / 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Per row: length along the true path (mm), unit directions at start and end (n, 3), radius (inf for lines)."""

    length: NDArray[np.float64]
    start: NDArray[np.float64]
    end: NDArray[np.float64]
    radius: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """The lowest and highest coordinate on each axis."""

    low: tuple[Mm, Mm, Mm]
    high: tuple[Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trail:
    """``points`` (m, 3) along motions, starts and ends included, and the ``row`` (m,) of each."""

    points: NDArray[np.float64]
    row: NDArray[np.int64]


def sweeps(motions: MotionTable) -> NDArray[np.float64]:
    """Signed angle each row turns about its centre in XY (rad), 0 for straight rows, a full turn where XY returns."""
    round_ = motions.kind >= Kind.CLOCKWISE
    arm = motions.start[:, :2] - motions.centre
    out = motions.end[:, :2] - motions.centre
    turn = np.arctan2(arm[:, 0] * out[:, 1] - arm[:, 1] * out[:, 0], np.sum(arm * out, axis=1))
    full = 2.0 * np.pi
    same = np.all(np.abs(motions.start[:, :2] - motions.end[:, :2]) < SAME, axis=1)
    left = np.where(same, full, np.where(turn < 0.0, turn + full, turn))
    right = np.where(same, -full, np.where(turn > 0.0, turn - full, turn))
    return np.where(round_, np.where(motions.kind == Kind.CLOCKWISE, right, left), 0.0)


def course(motions: MotionTable) -> Course:
    """How far and in which direction each row runs; no way along an axis whose place no line has said (NaN)."""
    step = np.nan_to_num(motions.end - motions.start, nan=0.0)
    turn = sweeps(motions)
    round_ = motions.kind >= Kind.CLOCKWISE
    arm = motions.start[:, :2] - motions.centre
    out = motions.end[:, :2] - motions.centre
    radius = np.where(round_, np.hypot(arm[:, 0], arm[:, 1]), np.inf)
    flat = np.where(round_, np.abs(turn) * np.where(round_, radius, 0.0), np.hypot(step[:, 0], step[:, 1]))
    length = np.hypot(flat, step[:, 2])
    sense = np.sign(turn)
    first, last = step.copy(), step.copy()
    for heading, ray in ((first, arm), (last, out)):
        reach = np.hypot(ray[:, 0], ray[:, 1])
        unit = ray / np.where(round_ & (reach > 0.0), reach, 1.0)[:, None]
        heading[round_, 0] = (-sense * unit[:, 1] * flat)[round_]
        heading[round_, 1] = (sense * unit[:, 0] * flat)[round_]
    scale = np.where(length > 0.0, length, 1.0)[:, None]
    return Course(length=length, start=first / scale, end=last / scale, radius=radius)


def lengths(motions: MotionTable) -> NDArray[np.float64]:
    """Length of each row along its true path, (n,).

    Example: a turn of a helix of radius 2 that falls by 1 is sqrt((2 pi 2)^2 + 1) = 12.606 long.
    """
    return course(motions).length


def bounds(motions: MotionTable) -> Bounds:
    """The box that all motions stay in, arcs taken to their farthest points; places not said are left out.

    ValueError if there is no place at all on an axis.
    """
    ends = np.concatenate((motions.start, motions.end))
    if not len(ends) or np.isnan(ends).all(axis=0).any():
        raise ValueError("no motion says where it is")
    low, high = np.nanmin(ends, axis=0), np.nanmax(ends, axis=0)
    rows = np.flatnonzero(motions.kind >= Kind.CLOCKWISE)
    if len(rows):
        arm = motions.start[rows, :2] - motions.centre[rows]
        turn = sweeps(motions)[rows]
        begun, radius = np.arctan2(arm[:, 1], arm[:, 0]), np.hypot(arm[:, 0], arm[:, 1])
        for quarter in range(4):
            ahead = np.sign(turn) * (quarter * np.pi / 2.0 - begun) % (2.0 * np.pi)
            met = ahead <= np.abs(turn)
            axis, side = quarter % 2, 1.0 if quarter < 2 else -1.0
            tops = motions.centre[rows, axis][met] + side * radius[met]
            low[axis] = min(low[axis], tops.min(initial=np.inf))
            high[axis] = max(high[axis], tops.max(initial=-np.inf))
    return Bounds(
        low=(float(low[0]), float(low[1]), float(low[2])), high=(float(high[0]), float(high[1]), float(high[2]))
    )


def trail(motions: MotionTable, *, chord: Mm) -> Trail:
    """Points along the motions, arcs as chords whose sagitta is at most ``chord``; each row has its start and end."""
    count = len(motions.kind)
    turn = sweeps(motions)
    round_ = motions.kind >= Kind.CLOCKWISE
    arm = motions.start[:, :2] - motions.centre
    out = motions.end[:, :2] - motions.centre
    near, far = (np.where(round_, np.hypot(ray[:, 0], ray[:, 1]), 0.0) for ray in (arm, out))
    widest = 2.0 * np.arccos(np.clip(1.0 - chord / np.maximum(near, chord), -1.0, 1.0))
    steps = np.where(round_, np.ceil(np.abs(turn) / np.minimum(widest, _WIDEST) - 1e-9), 1.0)
    steps = np.maximum(steps, 1.0).astype(np.int64)
    row = np.repeat(np.arange(count), steps + 1)
    first = np.concatenate(([0], np.cumsum(steps + 1)[:-1])) if count else np.zeros(0, dtype=np.int64)
    part = (np.arange(len(row)) - first[row]) / steps[row]
    points = motions.start[row] + (motions.end[row] - motions.start[row]) * part[:, None]
    bent = round_[row] & (part > 0.0) & (part < 1.0)
    which = row[bent]
    angle = np.arctan2(arm[which, 1], arm[which, 0]) + turn[which] * part[bent]
    reach = near[which] + (far[which] - near[which]) * part[bent]
    points[bent, 0] = motions.centre[which, 0] + reach * np.cos(angle)
    points[bent, 1] = motions.centre[which, 1] + reach * np.sin(angle)
    return Trail(points=points, row=row)
