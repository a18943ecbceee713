"""Ramps along a path whose acceleration rises and falls at a limited rate (jerk).

A ramp between two speeds begins and ends without acceleration: the jerk builds it up, it is held if it gets to its
limit, and is taken down again.  Two ramps and what is run at full speed between them are the double S of Biagiotti and
Melchiorri, Trajectory Planning for Automatic Machines and Robots, Springer 2008, section 3.4 (from memory).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_HALVINGS = 44
"""After so many a bracket is a part in 10^13 of what it was."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ways:
    """n stretches of a path, each from speed ``first`` to ``last`` (mm/s) and never above ``top``: ``length`` (mm),
    ``acceleration`` (mm/s2), ``jerk`` (mm/s3)."""

    length: Floats
    first: Floats
    last: Floats
    top: Floats
    acceleration: Floats
    jerk: Floats


def at_rows(ways: Ways, *, rows: NDArray[np.int64]) -> Ways:
    """Some of the stretches."""
    return Ways(
        length=ways.length[rows],
        first=ways.first[rows],
        last=ways.last[rows],
        top=ways.top[rows],
        acceleration=ways.acceleration[rows],
        jerk=ways.jerk[rows],
    )


def ramp_seconds(change: Floats, *, acceleration: Floats, jerk: Floats) -> Floats:
    """Seconds of ramps that change the speed by ``change`` (mm/s, not negative).

    2 sqrt(dv / j) up to dv = a^2 / j, where the acceleration gets to its limit; dv / a + a / j beyond (Biagiotti and
    Melchiorri, equations 3.19 to 3.22, from memory).  Example: 10 mm/s with 100 mm/s2 and 1000 mm/s3: at a^2 / j = 10,
    both give 0.2 s.
    """
    gentle = change <= acceleration**2 / jerk
    seconds: Floats = np.where(gentle, 2.0 * np.sqrt(change / jerk), change / acceleration + acceleration / jerk)
    return seconds


def ramp_length(start: Floats, *, end: Floats, acceleration: Floats, jerk: Floats) -> Floats:
    """Way of ramps from speed ``start`` to ``end``: the mean speed times the time, as both halves are alike.

    Example: from 0 to 10 mm/s with 100 mm/s2 and 1000 mm/s3: 5 mm/s for 0.2 s, 1 mm.
    """
    seconds = ramp_seconds(np.abs(end - start), acceleration=acceleration, jerk=jerk)
    return (start + end) / 2.0 * seconds


def reachable(corner: Floats, *, length: Floats, acceleration: Floats, jerk: Floats) -> Floats:
    """Speeds at the n + 1 joints of n stretches, at most ``corner``, from which each can be braked and to which each
    can speed up.

    The speed at the end of a ramp as long as a stretch falls with that at its start as long as the change is more
    than twice the latter: who comes faster has less time.  There the lowest such speed is taken, at most 6 % less,
    so that a higher speed before never asks for a lower one after.
    """
    soft = acceleration**2 / jerk
    least = np.minimum(np.cbrt(length**2 * jerk / 4.0), soft) / 2.0
    stretches = tuple(zip(length.tolist(), acceleration.tolist(), jerk.tolist(), least.tolist(), strict=True))
    speed = corner.tolist()
    for place in range(len(stretches) - 1, -1, -1):
        if speed[place] > speed[place + 1]:
            speed[place] = min(speed[place], _after(speed[place + 1], *stretches[place]))
    for place, stretch in enumerate(stretches):
        if speed[place + 1] > speed[place]:
            speed[place + 1] = min(speed[place + 1], _after(speed[place], *stretch))
    return np.array(speed)


def _after(start: float, length: float, acceleration: float, jerk: float, least: float) -> float:
    """The speed that a ramp gets to over a length from ``start``, or from ``least`` where that is more.

    Up to a change of a^2 / j its root x is that of x^3 + 2 u x = L sqrt(j), by the formula with hyperbolic functions
    for one real root; beyond, the change itself is the root of a quadratic.
    """
    u = max(start, least)
    soft = acceleration**2 / jerk
    if length > (2.0 * u + soft) * acceleration / jerk:
        return (math.sqrt((2.0 * u - soft) ** 2 + 8.0 * acceleration * length) - soft) / 2.0
    p, q = 2.0 * u, length * math.sqrt(jerk)
    third = math.sqrt(p / 3.0)
    root = 2.0 * third * math.sinh(math.asinh(q / (2.0 * third**3)) / 3.0)
    return u + root**2


def peaks(ways: Ways) -> Floats:
    """The highest speed on each stretch: ``top``, or that from which both ramps just fill the length."""
    low = np.maximum(ways.first, ways.last)
    high = ways.top.copy()
    short = np.flatnonzero(_ramps(ways, peak=high) > ways.length)
    if not len(short):
        return high
    some = at_rows(ways, rows=short)
    below, above = low[short], high[short]
    for _ in range(_HALVINGS):
        middle = (below + above) / 2.0
        fits = _ramps(some, peak=middle) <= some.length
        below, above = np.where(fits, middle, below), np.where(fits, above, middle)
    high[short] = below
    return high


def way_seconds(ways: Ways, *, peak: Floats) -> Floats:
    """Seconds of each stretch: up to its peak, on at it, down again.

    Example: 20 mm from rest to rest at 10 mm/s, with 100 mm/s2 and 1000 mm/s3: 20 / 10 + 0.2 s.
    """
    up, down = (
        ramp_seconds(peak - end, acceleration=ways.acceleration, jerk=ways.jerk) for end in (ways.first, ways.last)
    )
    level = np.maximum(ways.length - _ramps(ways, peak=peak), 0.0)
    return up + down + level / peak


def seconds_to(ways: Ways, *, peak: Floats, place: Floats) -> Floats:
    """Seconds from the start of each stretch to the ``place`` (mm) on it."""
    acceleration, jerk = ways.acceleration, ways.jerk
    up = ramp_length(ways.first, end=peak, acceleration=acceleration, jerk=jerk)
    down = ramp_length(ways.last, end=peak, acceleration=acceleration, jerk=jerk)
    whole = way_seconds(ways, peak=peak)
    rising = ramp_seconds(peak - ways.first, acceleration=acceleration, jerk=jerk)
    left = ways.length - place
    early, late = place < up, (place >= up) & (left < down)
    found = rising + (place - up) / peak
    found[early] = _into(place[early], start=ways.first[early], peak=peak[early], by=ways, rows=early)
    found[late] = whole[late] - _into(left[late], start=ways.last[late], peak=peak[late], by=ways, rows=late)
    return found


def between_stops(length: float, *, top: float, acceleration: float, jerk: float) -> float:
    """Seconds over a length (mm) from rest to rest, never above ``top`` (mm/s)."""
    ways = Ways(
        length=np.array([length]),
        first=np.zeros(1),
        last=np.zeros(1),
        top=np.array([top]),
        acceleration=np.array([acceleration]),
        jerk=np.array([jerk]),
    )
    return float(way_seconds(ways, peak=peaks(ways))[0])


def _ramps(ways: Ways, *, peak: Floats) -> Floats:
    """The way of both ramps."""
    up, down = (
        ramp_length(end, end=peak, acceleration=ways.acceleration, jerk=ways.jerk) for end in (ways.first, ways.last)
    )
    return up + down


def _into(place: Floats, *, start: Floats, peak: Floats, by: Ways, rows: NDArray[np.bool_]) -> Floats:
    """Seconds into a ramp that begins at speed ``start`` until it has come to ``place``."""
    acceleration, jerk = by.acceleration[rows], by.jerk[rows]
    whole = ramp_seconds(peak - start, acceleration=acceleration, jerk=jerk)
    rise = np.minimum(np.sqrt((peak - start) / jerk), acceleration / jerk)
    length = (start + peak) / 2.0 * whole
    held = np.maximum(whole - 2.0 * rise, 0.0)
    below, above = np.zeros(len(place)), whole.copy()
    for _ in range(_HALVINGS):
        at = (below + above) / 2.0
        first = np.minimum(at, rise)
        on = np.clip(at - rise, 0.0, held)
        gone = start * at + jerk * (first**3 / 6.0 + rise * (rise / 2.0 * on + on**2 / 2.0))
        rest = whole - at
        gone = np.where(rest < rise, length - peak * rest + jerk * rest**3 / 6.0, gone)
        short = gone < place
        below, above = np.where(short, at, below), np.where(short, above, at)
    return (below + above) / 2.0
