"""Relays of cutters, each clearing what the one before left, and what every possible relay would take.

A relay is a set of cutters used from the widest to the narrowest: the first clears the figure, each next one what the
one before left, and one of them cuts the wall.  Sets are numbers whose bit i stands for cutter i, the widest first.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.units import Seconds

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """Seconds of every step for k cutters, widest first; infinite where a step must not be taken.

    ``first`` (k,): clearing the figure from the full; ``rest`` (k, k): [i, j] what i left, by j > i; ``wall`` (k,);
    ``last`` (k,): whether a relay may end with it; ``after`` (k,): whether it may cut corners to size once the wall
    is cut by a wider one.
    """

    cutters: tuple[Cutter, ...]
    first: Floats
    rest: Floats
    wall: Floats
    last: NDArray[np.bool_]
    after: NDArray[np.bool_]

    def of(self, places: Sequence[int]) -> "Steps":
        """The steps of some of the cutters."""
        mine = np.asarray(places, dtype=np.int64)
        return Steps(
            cutters=tuple(self.cutters[place] for place in places),
            first=self.first[mine],
            rest=self.rest[np.ix_(mine, mine)],
            wall=self.wall[mine],
            last=self.last[mine],
            after=self.after[mine],
        )


def relays(steps: Steps) -> Floats:
    """Seconds of the relay of exactly each of the 2^k sets of cutters, infinite where it is none; the work doubles
    with each cutter.

    >>> steps = Steps(cutters=(), first=np.array([60.0, 200.0]), rest=np.array([[np.inf, 20.0], [np.inf, np.inf]]),
    ...     wall=np.array([np.inf, 30.0]), last=np.array([False, True]), after=np.array([True, True]))
    >>> relays(steps).tolist()
    [inf, inf, 230.0, 110.0]
    """
    count = len(steps.first)
    cleared = np.full(1 << count, np.inf)
    walled = np.full(1 << count, np.inf)
    total = np.full(1 << count, np.inf)
    for new in range(count):
        bit = 1 << new
        for before in range(new):
            low, high = 1 << before, 2 << before
            cleared[bit + low : bit + high] = cleared[low:high] + steps.rest[before, new]
        cleared[bit] = steps.first[new]
        walled[bit : 2 * bit] = np.minimum(walled[:bit] if steps.after[new] else np.inf, steps.wall[new])
        if steps.last[new]:
            total[bit : 2 * bit] = cleared[bit : 2 * bit] + walled[bit : 2 * bit]
    return total


def wall_of(steps: Steps, *, relay: int) -> int:
    """Who of a relay cuts the wall, so that it takes the time that `relays` says; the narrower of two alike."""
    best, least = -1, np.inf
    for place in members(relay):
        kept = least if steps.after[place] else np.inf
        best, least = (place, steps.wall[place]) if steps.wall[place] <= kept else (best, kept)
    return best


def least(steps: Steps) -> Seconds:
    """What any relay takes at least."""
    cleared = steps.first.copy()
    for new in range(len(cleared)):
        cleared[new] = min([cleared[new], *(cleared[:new] + steps.rest[:new, new])])
    return float(np.min(np.where(steps.last, cleared, np.inf)) + np.min(steps.wall))


def best_within(seconds: Floats) -> Floats:
    """For each set the least of all its subsets, (2^k,)."""
    found = seconds.copy()
    step = 1
    while step < len(found):
        pairs = found.reshape(-1, 2, step)
        np.minimum(pairs[:, 1], pairs[:, 0], out=pairs[:, 1])
        step *= 2
    return found


def members(chosen: int) -> list[int]:
    """The numbers of the cutters of a set, the widest first."""
    return [place for place in range(chosen.bit_length()) if chosen >> place & 1]


def alone(steps: Steps, *, change: Seconds) -> int:
    """The set with which one figure by itself takes least, a change for every cutter included; 0 if there is none."""
    seconds = relays(steps)
    cost = seconds + change * np.array([number.bit_count() for number in range(len(seconds))])
    best = int(np.argmin(cost))
    return best if np.isfinite(cost[best]) else 0
