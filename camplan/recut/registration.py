"""Where a plate lies: rotation and shift from marks that were measured, without a scale.

``drawn`` and ``measured`` are (n, 2) arrays in mm, n >= 2, the same mark in the same row.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.units import Mm, Rad

Places = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """A plate turned by ``turn`` about its zero, counter-clockwise, and then shifted by ``shift``."""

    turn: Rad
    shift: tuple[Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Registration:
    """A `Pose` and what stands behind it.

    ``residuals`` (n, 2): measured less placed.  ``centre``: the middle of the drawn marks.  ``spread``: the sum of
    the marks' squared distances from it, mm2.  ``count``: how many marks.
    """

    pose: Pose
    residuals: Places
    centre: tuple[Mm, Mm]
    spread: float
    count: int


def registered(drawn: Places, *, measured: Places) -> Registration:
    """The rotation and shift with the least sum of squared residuals, in closed form.

    With both sets about their middles the best turn is atan2(sum of cross products, sum of dot products).  Source:
    the orthogonal Procrustes problem without reflection in two dimensions; Schoenemann, *Psychometrika* 31 (1966),
    Kabsch, *Acta Crystallographica* A32 (1976).  ValueError for less than two marks or marks at one place.

    >>> square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]])
    >>> found = registered(square, measured=np.array([[5.0, 5.0], [5.0, 15.0], [-5.0, 15.0]]))
    >>> round(math.degrees(found.pose.turn), 9), tuple(round(value, 9) for value in found.pose.shift)
    (90.0, (5.0, 5.0))
    """
    if drawn.shape != measured.shape or drawn.ndim != 2 or len(drawn) < 2:
        raise ValueError(f"marks come in pairs of (n, 2), two or more: {drawn.shape} and {measured.shape}")
    middle, found = drawn.mean(axis=0), measured.mean(axis=0)
    own, theirs = drawn - middle, measured - found
    spread = float((own**2).sum())
    if spread <= 0.0:
        raise ValueError("all marks are at one place")
    cross = float((own[:, 0] * theirs[:, 1] - own[:, 1] * theirs[:, 0]).sum())
    turn = math.atan2(cross, float((own * theirs).sum()))
    shift = found - rotated(middle[None, :], by=turn)[0]
    pose = Pose(turn=turn, shift=(float(shift[0]), float(shift[1])))
    return Registration(
        pose=pose,
        residuals=measured - placed(drawn, pose=pose),
        centre=(float(middle[0]), float(middle[1])),
        spread=spread,
        count=len(drawn),
    )


def rotated(places: Places, *, by: Rad) -> Places:
    """Places (n, 2) turned counter-clockwise about (0, 0)."""
    cos, sin = math.cos(by), math.sin(by)
    turned: Places = places @ np.array([[cos, sin], [-sin, cos]])
    return turned


def placed(places: Places, *, pose: Pose) -> Places:
    """Places of the plate (n, 2) as the machine finds them."""
    found: Places = rotated(places, by=pose.turn) + np.array(pose.shift)
    return found


def predicted_error(found: Registration, *, at: tuple[Mm, Mm], sigma: Mm) -> Mm:
    """The standard error of a place on the plate, per axis: sigma sqrt(1/N + d2 / (2 S)).

    ``sigma`` is the standard error of one measured coordinate, d the distance from the middle of the marks and S the
    sum of the marks' squared distances from it: the shift is known to sigma / sqrt(N), the turn to sigma / sqrt(S),
    and a turn moves the place by d across, half of that in square on either axis.  Source: propagation of errors;
    Fitzpatrick, West and Maurer, *IEEE Transactions on Medical Imaging* 17 (1998), its case of two dimensions.

    >>> square = np.array([[0.0, 0.0], [100.0, 0.0]])
    >>> round(predicted_error(registered(square, measured=square), at=(100.0, 0.0), sigma=0.020), 6)
    0.017321
    """
    distance = math.dist(at, found.centre)
    return sigma * math.sqrt(1.0 / found.count + distance**2 / (2.0 * found.spread))


def turn_error(found: Registration, *, sigma: Mm) -> Rad:
    """The standard error of the turn: sigma / sqrt(S)."""
    return sigma / math.sqrt(found.spread)


def spread_of_residuals(found: Registration) -> Mm | None:
    """The standard error of one coordinate as the residuals show it; None for two marks, which leave one freedom only
    along the line through both.

    2 N coordinates less three that were fitted.
    """
    if found.count < 3:
        return None
    return math.sqrt(float((found.residuals**2).sum()) / (2 * found.count - 3))


def scale_of(drawn: Places, *, measured: Places) -> float:
    """How many times bigger the measured figure is than the drawn one, at the best turn and shift.

    Least squares in the scale: |sum of conjugate products| over S.  Source: Umeyama, *IEEE Transactions on Pattern
    Analysis and Machine Intelligence* 13 (1991), in the symmetric form: the root of the ratio of both spreads when
    neither figure is free of error would be larger by the noise.
    """
    own, theirs = drawn - drawn.mean(axis=0), measured - measured.mean(axis=0)
    cross = float((own[:, 0] * theirs[:, 1] - own[:, 1] * theirs[:, 0]).sum())
    return math.hypot(cross, float((own * theirs).sum())) / float((own**2).sum())


def scale_error(found: Registration, *, sigma: Mm) -> float:
    """The standard error of the scale: sigma / sqrt(S)."""
    return sigma / math.sqrt(found.spread)
