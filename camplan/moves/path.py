"""Lengths and directions of motions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.moves.table import Kind, MotionTable


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Per row: length along the true path (mm), unit directions at start and end (n, 3), radius (inf for lines)."""

    length: NDArray[np.float64]
    start: NDArray[np.float64]
    end: NDArray[np.float64]
    radius: NDArray[np.float64]


def sweeps(motions: MotionTable) -> NDArray[np.float64]:
    """Signed angle each row turns about its centre in XY (rad), 0 for straight rows, a full turn where XY returns."""
    round_ = motions.kind >= Kind.CLOCKWISE
    arm = motions.start[:, :2] - motions.centre
    out = motions.end[:, :2] - motions.centre
    turn = np.arctan2(arm[:, 0] * out[:, 1] - arm[:, 1] * out[:, 0], np.sum(arm * out, axis=1))
    full = 2.0 * np.pi
    same = np.all(np.abs(motions.start[:, :2] - motions.end[:, :2]) < 1e-9, axis=1)
    left = np.where(same, full, np.where(turn < 0.0, turn + full, turn))
    right = np.where(same, -full, np.where(turn > 0.0, turn - full, turn))
    return np.where(round_, np.where(motions.kind == Kind.CLOCKWISE, right, left), 0.0)


def course(motions: MotionTable) -> Course:
    """How far and in which direction each row runs."""
    step = motions.end - motions.start
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
        unit = ray / np.where(round_, np.hypot(ray[:, 0], ray[:, 1]), 1.0)[:, None]
        heading[round_, 0] = (-sense * unit[:, 1] * flat)[round_]
        heading[round_, 1] = (sense * unit[:, 0] * flat)[round_]
    scale = np.where(length > 0.0, length, 1.0)[:, None]
    return Course(length=length, start=first / scale, end=last / scale, radius=radius)
