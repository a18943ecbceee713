"""Short tours: in which order places are visited so that little air is crossed.

Few places in the shortest order of all.  Of more, nearest neighbour first, then 2-opt: two links are replaced by two
shorter ones for as long as any pair can be (Croes, *Operations Research* 6, 1958).  Each sweep looks at all pairs with
one link, as arrays.
"""

import numpy as np
from numpy.typing import NDArray

_MOST_SWEEPS = 60
_FEW = 7
"""So many places are tried in every order."""


def short_tour(places: NDArray[np.float64], *, start: tuple[float, float]) -> list[int]:
    """The indexes of (n, 2) places in the order of an open tour that begins at ``start``."""
    count = len(places)
    if count < 2:
        return list(range(count))
    if count <= _FEW:
        return _shortest(np.vstack((np.asarray(start)[None, :], places)))
    tour = _nearest_first(places, start=np.asarray(start))
    return _two_opt(np.vstack((np.asarray(start)[None, :], places)), tour=np.concatenate(([0], tour + 1)))


def _shortest(points: NDArray[np.float64]) -> list[int]:
    """The shortest open tour from ``points[0]`` through all others, by dynamic programming over the sets of places
    visited (Held & Karp, *Journal of SIAM* 10, 1962); of equal ones the first by number."""
    off = points[:, None, :] - points[None, :, :]
    away: list[list[float]] = np.round(np.hypot(off[..., 0], off[..., 1]), 9).tolist()
    count = len(points) - 1
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {
        (1 << last, last): (away[0][last + 1], (last,)) for last in range(count)
    }
    for _ in range(count - 1):
        longer: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {}
        for (seen, last), (way, tour) in best.items():
            for then in range(count):
                if seen & 1 << then:
                    continue
                found = (way + away[last + 1][then + 1], (*tour, then))
                key = (seen | 1 << then, then)
                if key not in longer or found < longer[key]:
                    longer[key] = found
        best = longer
    return list(min(best.values())[1])


def _nearest_first(places: NDArray[np.float64], *, start: NDArray[np.float64]) -> NDArray[np.int64]:
    waiting = np.ones(len(places), dtype=bool)
    here = start
    tour = np.zeros(len(places), dtype=np.int64)
    for step in range(len(places)):
        off = np.hypot(*(places - here).T)
        off[~waiting] = np.inf
        chosen = int(np.argmin(off))
        tour[step], waiting[chosen], here = chosen, False, places[chosen]
    return tour


def _two_opt(points: NDArray[np.float64], *, tour: NDArray[np.int64]) -> list[int]:
    """2-opt on an open tour whose first place stays first; ``points[0]`` is the start."""
    order = tour.copy()
    for _ in range(_MOST_SWEEPS):
        better = False
        for first in range(len(order) - 2):
            at = points[order]
            a, b = at[first], at[first + 1]
            tails = np.arange(first + 2, len(order))
            ends = at[tails]
            after = at[np.minimum(tails + 1, len(order) - 1)]
            last = tails == len(order) - 1
            old = np.hypot(*(b - a)) + np.where(last, 0.0, np.hypot(*(after - ends).T))
            new = np.hypot(*(ends - a).T) + np.where(last, 0.0, np.hypot(*(after - b).T))
            gain = old - new
            best = int(np.argmax(gain))
            if gain[best] > 1e-9:
                order[first + 1 : tails[best] + 1] = order[first + 1 : tails[best] + 1][::-1]
                better = True
        if not better:
            break
    return [int(place) for place in order[1:] - 1]
