"""A plate that was found again: how it lies, how sure that is, and whether its programs have to be turned."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.errors import InputError, Problem
from camplan.features.marks import Mark
from camplan.findings import Finding, Severity
from camplan.recut.registration import (
    Places,
    Registration,
    predicted_error,
    registered,
    rotated,
    scale_error,
    scale_of,
    spread_of_residuals,
    turn_error,
)
from camplan.recut.suspicions import suspicion
from camplan.units import UM_PER_MM, Mm, Rad

NEGLIGIBLE: Mm = tolerance.GOUGE
"""A turn that moves no feature by more is not worth other programs."""
_SURE = 3.0
_SPREAD_DOUBT = 2.0
_ALUMINIUM = 23.6e-6
"""Linear expansion per kelvin (handbook value, from memory)."""
_WARM_K = 60.0
"""Warmer than this no plate lies on a mill (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkReading:
    """A mark as it was measured, in the machine's coordinates."""

    name: str
    x: Mm
    y: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """Where the plate is.

    ``turned``: whether its programs have to be; ``zero``: the plate's zero in the machine's coordinates, for turned
    programs or for those that were planned.  ``farthest`` is the place of a feature that is farthest from the middle
    of the marks, ``error`` the standard error per axis there, ``ignored`` how far it is moved by a turn that is left
    out.  ``scale`` is measured over drawn, with its standard error.
    """

    registration: Registration
    names: tuple[str, ...]
    turned: bool
    zero: tuple[Mm, Mm]
    sigma: Mm
    farthest: tuple[Mm, Mm]
    error: Mm
    ignored: Mm
    turn_error: Rad
    scale: float
    scale_error: float
    findings: tuple[Finding, ...]


def found_plate(
    readings: Sequence[MarkReading],
    *,
    marks: Sequence[Mark],
    corners: Places,
    sigma: Mm,
    expected_turn: Rad = 0.0,
) -> Found:
    """How the plate lies; ``corners`` (n, 2) are places on the features, of which the farthest is asked.

    InputError for names that are no marks, one mark alone, a mark twice, and marks that cannot be what they are called.
    """
    measured, drawn = _paired(readings, marks=marks)
    names = tuple(one.name for one in readings)
    doubt = suspicion(names, drawn=drawn, measured=measured, sigma=sigma, expected_turn=expected_turn)
    if doubt is not None:
        raise InputError(doubt.problem())
    found = registered(drawn, measured=measured)
    away = np.hypot(*(corners - np.array(found.centre)).T)
    far = corners[int(np.argmax(away))]
    # for a turn that is left out, the marks' middle is put where it was found
    ignored = 2.0 * abs(math.sin(found.pose.turn / 2.0)) * float(away.max())
    turned = ignored > NEGLIGIBLE
    middle = np.array(found.centre)
    straight = rotated(middle[None, :], by=found.pose.turn)[0] + np.array(found.pose.shift) - middle
    zero = found.pose.shift if turned else (float(straight[0]), float(straight[1]))
    scale = scale_of(drawn, measured=measured)
    return Found(
        registration=found,
        names=names,
        turned=turned,
        zero=zero,
        sigma=sigma,
        farthest=(float(far[0]), float(far[1])),
        error=predicted_error(found, at=(float(far[0]), float(far[1])), sigma=sigma),
        ignored=0.0 if turned else ignored,
        turn_error=turn_error(found, sigma=sigma),
        scale=scale,
        scale_error=scale_error(found, sigma=sigma),
        findings=(
            *_scale_findings(scale - 1.0, error=scale_error(found, sigma=sigma)),
            *_spread_findings(found, sigma=sigma),
        ),
    )


def _paired(readings: Sequence[MarkReading], *, marks: Sequence[Mark]) -> tuple[Places, Places]:
    """Measured and drawn places of the same marks, (n, 2) each."""
    known = {mark.name.casefold(): mark for mark in marks}
    listed = (
        ", ".join(f"{mark.name} (X {mark.x:.3f} Y {mark.y:.3f})" for mark in marks) or "none: the plan has no marks"
    )
    problems = []
    for place, one in enumerate(readings):
        if one.name.casefold() not in known:
            message = f"there is no mark {one.name!r} on this plate"
            problems.append(Problem(message=message, key="--mark", accepted=listed))
        if one.name.casefold() in [other.name.casefold() for other in readings[:place]]:
            message = f"{one.name!r} stands twice"
            problems.append(Problem(message=message, key="--mark", accepted="each mark once; the mean of its readings"))
        if not (math.isfinite(one.x) and math.isfinite(one.y)):
            problems.append(Problem(message=f"{one.name!r} has no place", key="--mark", accepted="NAME X Y in mm"))
    if len(readings) < 2 and not problems:
        message = "one mark says where a plate is, not how it is turned"
        problems.append(Problem(message=message, key="--mark", accepted=f"two marks or more, far apart, of {listed}"))
    drawn = np.array([(known[one.name.casefold()].x, known[one.name.casefold()].y) for one in readings if not problems])
    if not problems and float(np.ptp(drawn, axis=0).max()) < tolerance.JOIN:
        problems.append(Problem(message="all marks are drawn at one place", key="--mark", accepted=listed))
    if problems:
        raise InputError(tuple(problems))
    return np.array([(one.x, one.y) for one in readings]), drawn


def _scale_findings(off: float, *, error: float) -> list[Finding]:
    """A plate that is measured bigger or smaller than it was drawn."""
    if abs(off) <= _SURE * error:
        return []
    warm = off / _ALUMINIUM
    maybe = f" (as aluminium {warm:.0f} K warmer than when it was cut would)" if 0.0 < warm <= _WARM_K else ""
    message = (
        f"the marks lie {off * 100.0:+.3f} % farther apart than drawn, {abs(off) / error:.0f} times the uncertainty of "
        f"that{maybe}: a warm plate, a mark read wrong, or axes that are not of one scale; measure again"
    )
    return [Finding(severity=Severity.CAUTION, code="scale-off", message=message)]


def _spread_findings(found: Registration, *, sigma: Mm) -> list[Finding]:
    """Residuals that are larger than what was stated, though not impossible."""
    spread = spread_of_residuals(found)
    if spread is None or spread <= _SPREAD_DOUBT * sigma:
        return []
    message = (
        f"the residuals show {spread * UM_PER_MM:.0f} um a coordinate, where {sigma * UM_PER_MM:.0f} um were stated: "
        f"the error at the features is {spread / sigma:.1f} times what is said here"
    )
    return [Finding(severity=Severity.CAUTION, code="marks-spread", message=message)]
