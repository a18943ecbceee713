"""What one timed program says of a mill: the scale of its accelerations that explains the time best.

Feeds are words of the program and rapids are known; accelerations, and how fast they may change, are what a mill's
file knows least.  One scale is laid on all of them.  The time of a program never grows with it, so there is one scale
at most.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from scipy.optimize import brentq

from camplan.moves.timing import Drives, Run, run_seconds
from camplan.units import Seconds

LEAST, MOST = 0.05, 5.0
"""Scales beyond which something else is amiss (common practice, no source)."""
READ: Seconds = 1.0
"""How truly a run is timed by hand (common practice, no source)."""
_AGREES = 0.005
_ENDLESS = 1e9
_SLOWEST, _FASTEST = 0.1, 2.0
_CLOSE = 1e-7


class Explained(StrEnum):
    """How a measured time is explained: it agrees, by accelerations, or not by them, as it is too short or too long."""

    AGREES = "agrees"
    SCALED = "scaled"
    TOO_SHORT = "too short"
    TOO_LONG = "too long"


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A predicted time against a ``measured`` one.

    ``scale`` of the accelerations: 1 where the times agree, None where no sane one explains it; else between ``low``
    and ``high`` if the run was timed to `READ`.  ``fastest`` is the time without any limit of acceleration,
    ``shortest`` and ``longest`` those at the ends of the sane scales, ``most`` and ``least``.  ``feed``: the share of
    all feeds that would explain it as well (None: no share from 0.1 to 2 would).
    """

    explained: Explained
    predicted: Seconds
    measured: Seconds
    fastest: Seconds
    shortest: Seconds
    longest: Seconds
    least: float
    most: float
    scale: float | None
    low: float | None
    high: float | None
    feed: float | None


def calibrated(run: Run, *, drives: Drives, measured: Seconds, least: float = LEAST, most: float = MOST) -> Calibration:
    """What a run that took ``measured`` says of its drives, by scales from ``least`` to ``most``."""

    def by_scale(scale: float) -> Seconds:
        return run_seconds(run, drives=scaled(drives, by=scale))

    def by_feed(share: float) -> Seconds:
        motions = replace(run.motions, feed=run.motions.feed * share)
        return run_seconds(replace(run, motions=motions), drives=drives)

    predicted, shortest, longest = by_scale(1.0), by_scale(most), by_scale(least)
    scale = low = high = None
    if abs(measured - predicted) <= max(READ, _AGREES * predicted):
        explained, scale = Explained.AGREES, 1.0
    elif measured > longest:
        explained = Explained.TOO_LONG
    elif measured < shortest:
        explained = Explained.TOO_SHORT
    else:
        explained = Explained.SCALED
        scale = _solved(by_scale, aim=measured, low=least, high=most)
    if explained is Explained.SCALED:
        low = _solved(by_scale, aim=measured + READ, low=least, high=most)
        high = _solved(by_scale, aim=measured - READ, low=least, high=most)
    share = _solved(by_feed, aim=measured, low=_SLOWEST, high=_FASTEST)
    return Calibration(
        explained=explained,
        predicted=predicted,
        measured=measured,
        fastest=by_scale(_ENDLESS),
        shortest=shortest,
        longest=longest,
        least=least,
        most=most,
        scale=scale,
        low=low,
        high=high,
        feed=share if math.isclose(by_feed(share), measured, abs_tol=READ) else None,
    )


def scaled(drives: Drives, *, by: float) -> Drives:
    """Drives with their accelerations, and the changes of them, ``by`` times as strong."""
    x, y, z = drives.acceleration
    jerk = drives.jerk
    return replace(
        drives,
        acceleration=(x * by, y * by, z * by),
        jerk=None if jerk is None else (jerk[0] * by, jerk[1] * by, jerk[2] * by),
    )


def _solved(seconds: Callable[[float], Seconds], *, aim: Seconds, low: float, high: float) -> float:
    """Where a time that falls comes down to ``aim``, between two scales; the nearer one if that is not between.

    Brent's bracketed search (scipy), in the logarithm of the scale: it halves at worst.
    """
    if seconds(low) <= aim:
        return low
    if seconds(high) >= aim:
        return high
    found = brentq(lambda place: seconds(math.exp(place)) - aim, math.log(low), math.log(high), xtol=_CLOSE)
    return math.exp(found)
