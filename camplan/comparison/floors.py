"""Heights at which a falling floor has to be looked at because a move may have gone below it.

On a floor that falls, what is wrong at one place shows at few heights only: between where the floor should be and where
the tip was.  So the tips themselves say where to look; a program that keeps to its floors asks for none of this.
"""

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.comparison.wanted import Wanted, drawn
from camplan.features.records import Feature
from camplan.features.sections import floor_under, shallow_floor
from camplan.simulation import solids
from camplan.simulation.solids import Floats, Ints
from camplan.simulation.track import Track, chords_in
from camplan.units import Mm

_APART: Mm = 1.0
"""How far apart places on straight chords are asked for."""
_MOST_PLACES = 40
_JUST: Mm = 0.001
_SAME: Mm = 0.004
_MOST = 24


def doubtful(wanted: Wanted, *, members: tuple[int, ...], track: Track, rows: Ints) -> tuple[Mm, ...]:
    """Heights just above tips that are below a falling floor and in nothing else that may be cut, rising."""
    found: list[tuple[Mm, Mm]] = []
    places: Floats | None = None
    for number in members:
        feature = wanted.features[number]
        top = shallow_floor(feature)
        if top is None:
            continue
        places = _tips(track, rows=rows) if places is None else places
        low = places[(places[:, 2] < -top - tolerance.GOUGE) & (places[:, 2] > -wanted.plate.plate.thickness)]
        low = low[_near(feature, wanted=wanted, number=number, places=low)]
        if not len(low):
            continue
        below = -low[:, 2] - floor_under(feature, places=low[:, :2], radii=low[:, 3])
        wrong = np.flatnonzero(below > tolerance.GOUGE)
        wrong = wrong[~_elsewhere(wanted, members=members, but=number, places=low[wrong])]
        found.extend(zip(below[wrong].tolist(), (low[wrong, 2] + tolerance.GOUGE + _JUST).tolist(), strict=True))
    kept: list[Mm] = []
    for _, z in sorted(found, key=lambda one: (-round(one[0], 6), one[1])):
        if len(kept) < _MOST and all(abs(z - other) > _SAME for other in kept):
            kept.append(z)
    return tuple(sorted(kept))


def _tips(track: Track, *, rows: Ints) -> Floats:
    """Places (x, y, z) of the tip along rows and its flat radius: the ends of all chords, and between those of long
    ones."""
    chords = chords_in(track, rows=rows)
    if not len(chords):
        return np.zeros((0, 4))
    flats = np.array([cutter.tip_diameter / 2.0 for cutter in track.cutters])[track.cutter[chords.row]]
    sizes = np.hypot(*(chords.end[:, :2] - chords.start[:, :2]).T)
    counts = np.clip(np.ceil(sizes / _APART), 1, _MOST_PLACES).astype(np.int64)
    which = np.repeat(np.arange(len(counts)), counts)
    first = np.concatenate(([0], np.cumsum(counts)[:-1]))
    share = (np.arange(len(which)) - first[which] + 1.0) / counts[which]
    between = chords.start[which] + share[:, None] * (chords.end[which] - chords.start[which])
    tips = np.column_stack((np.vstack((chords.start, between)), np.concatenate((flats, flats[which]))))
    return np.unique(np.round(tips, 6), axis=0)


def _near(feature: Feature, *, wanted: Wanted, number: int, places: Floats) -> NDArray[np.bool_]:
    """Which places lie in what the feature may remove at its widest."""
    shape = drawn(wanted, number=number, z=-feature.top)
    return solids.holds(shape, places=places[:, :2]) if len(places) else np.zeros(0, dtype=bool)


def _elsewhere(wanted: Wanted, *, members: tuple[int, ...], but: int, places: Floats) -> NDArray[np.bool_]:
    """Which places of the tip lie in what other features may remove there."""
    found = np.zeros(len(places), dtype=bool)
    heights = np.round(places[:, 2], 2)
    for number in members:
        if number == but:
            continue
        for z in np.unique(heights).tolist():
            here = (heights == z) & ~found
            shape = drawn(wanted, number=number, z=z)
            if here.any() and not shape.is_empty:
                found[here] = solids.holds(shape, places=places[here, :2])
    return found
