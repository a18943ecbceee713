"""Marks that cannot be what they are called: swapped, mirrored, in another unit, or one of them wrong."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, permutations
from typing import Literal

import numpy as np
from scipy.special import chdtri

from camplan.errors import Problem
from camplan.recut.registration import Places, Registration, registered, scale_of
from camplan.units import MM_PER_INCH, UM_PER_MM, Mm, Rad, deg_from_rad

DOUBT = 1e-4
"""How seldom true marks may look as bad as this by chance alone."""
_MOST_ORDERED = 7
"""More marks than these are only tried with two of them exchanged."""
_UNIT_SHARE = 0.05
_MOST_SCALE = 0.002
"""A plate that fits but for a scale this near to 1 is told, not doubted: as much as aluminium 85 K warmer."""
_REASONABLE_TURN: Rad = math.radians(45.0)
_KEY = "mark"

Cause = Literal["unit", "swapped", "mirrored", "one-wrong", "none-fits"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspicion:
    """Why marks are not believed, in a sentence, and what would work."""

    cause: Cause
    message: str
    accepted: str

    def problem(self) -> Problem:
        return Problem(message=self.message, key=_KEY, accepted=self.accepted)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Asked:
    names: Sequence[str]
    drawn: Places
    measured: Places
    sigma: Mm
    turn: Rad


def suspicion(
    names: Sequence[str], *, drawn: Places, measured: Places, sigma: Mm, expected_turn: Rad = 0.0
) -> Suspicion | None:
    """What is wrong with marks, or None where they may be what they are called.

    ``sigma`` is the standard error of one measured coordinate.  The sum of squared residuals over its square follows
    chi-square with 2 N - 3 degrees of freedom; beyond what true marks show once in 1 / `DOUBT` times they are doubted.
    Two marks always fit turned by half a turn, so a plate that does not lie as ``expected_turn`` says, to 45 degrees,
    is doubted too.
    """
    asked = _Asked(names=names, drawn=drawn, measured=measured, sigma=sigma, turn=expected_turn)
    scale = scale_of(drawn, measured=measured)
    for factor, said in ((MM_PER_INCH, "mm for an inch drawing"), (1.0 / MM_PER_INCH, "inches")):
        if abs(scale / factor - 1.0) < _UNIT_SHARE:
            return Suspicion(
                cause="unit",
                message=f"the measured marks lie {scale:.4g} times as far apart as the drawn ones: they look like "
                f"{said}",
                accepted="the coordinates in mm (25.4 mm are an inch)",
            )
    found = registered(drawn, measured=measured)
    grown = found if abs(scale - 1.0) > _MOST_SCALE else registered(drawn * scale, measured=measured)
    fits, lies = _fits(found, sigma=sigma) or _fits(grown, sigma=sigma), _lies(found, turn=expected_turn)
    if fits and lies:
        return None
    swapped = _swapped(asked)
    if swapped is not None:
        return swapped
    if fits:
        return Suspicion(
            cause="swapped",
            message=f"the marks say that the plate lies turned by {deg_from_rad(found.pose.turn):.1f} degrees",
            accepted="marks in another order, or the turn in `--turn-deg` if the plate does lie like that",
        )
    return _mirrored(asked) or _one_wrong(asked) or _none_fits(found, asked=asked)


def _fits(found: Registration, *, sigma: Mm) -> bool:
    freedoms = 2 * found.count - 3
    total = float((found.residuals**2).sum())
    return total <= sigma**2 * float(chdtri(freedoms, DOUBT))


def _lies(found: Registration, *, turn: Rad) -> bool:
    return abs(math.remainder(found.pose.turn - turn, math.tau)) <= _REASONABLE_TURN


def _swapped(asked: _Asked) -> Suspicion | None:
    """The order of the marks in which they fit, the nearest to the given one first."""
    count = len(asked.names)
    if count <= _MOST_ORDERED:
        orders = sorted(permutations(range(count)), key=lambda order: (_moved(order), order))
    else:
        orders = [_exchanged(count, pair=pair) for pair in combinations(range(count), 2)]
    for order in orders:
        if _moved(order) == 0:
            continue
        found = registered(asked.drawn[list(order)], measured=asked.measured)
        if _fits(found, sigma=asked.sigma) and _lies(found, turn=asked.turn):
            exchanged = [asked.names[place] for place in range(count) if order[place] != place]
            listed = " and ".join((", ".join(exchanged[:-1]), exchanged[-1]))
            return Suspicion(
                cause="swapped",
                message=f"the marks fit if {listed} are exchanged: what was measured as {exchanged[0]} is "
                f"{asked.names[order[_first(order)]]}",
                accepted="each mark under its own name, as the sheet's picture shows them",
            )
    return None


def _moved(order: Sequence[int]) -> int:
    return sum(place != to for place, to in enumerate(order))


def _first(order: Sequence[int]) -> int:
    return next(place for place, to in enumerate(order) if place != to)


def _exchanged(count: int, *, pair: tuple[int, int]) -> tuple[int, ...]:
    order = list(range(count))
    order[pair[0]], order[pair[1]] = pair[1], pair[0]
    return tuple(order)


def _mirrored(asked: _Asked) -> Suspicion | None:
    mirrored = asked.drawn * np.array([-1.0, 1.0])
    if not _fits(registered(mirrored, measured=asked.measured), sigma=asked.sigma):
        return None
    return Suspicion(
        cause="mirrored",
        message="the marks fit only in a mirror: the plate lies with its other face up, or an axis was read with the "
        "wrong sign",
        accepted="the face up in which the marks were cut, X to the right and Y away from you",
    )


def _one_wrong(asked: _Asked) -> Suspicion | None:
    """The mark without which the others fit."""
    count = len(asked.names)
    culprits = []
    for place in range(count) if count > 2 else ():
        rest = [other for other in range(count) if other != place]
        found = registered(asked.drawn[rest], measured=asked.measured[rest])
        if _fits(found, sigma=asked.sigma) and _lies(found, turn=asked.turn):
            culprits.append(asked.names[place])
    if not culprits:
        return None
    said = culprits[0] if len(culprits) == 1 else "one of " + ", ".join(culprits)
    return Suspicion(
        cause="one-wrong",
        message=f"the marks fit without {said}, and do not fit with it",
        accepted=f"{said} measured again; or leave it out",
    )


def _none_fits(found: Registration, *, asked: _Asked) -> Suspicion:
    away = np.hypot(*found.residuals.T)
    worst = int(np.argmax(away))
    return Suspicion(
        cause="none-fits",
        message=f"the marks do not fit the plate: after the best turn and shift {asked.names[worst]} is still "
        f"{away[worst]:.3f} mm off, where {asked.sigma * UM_PER_MM:.0f} um a coordinate were stated",
        accepted="marks measured again, or the `--sigma-um` that they were really measured to",
    )
