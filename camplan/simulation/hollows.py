"""What programs have left of a plate, as hollows open to its top: the stock that a later job begins with.

Upwards what straight and opening cutters leave only widens, so a plate is nested hollows: at each height at which
something changes, all that is gone there is gone above it too.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from camplan.simulation import solids
from camplan.simulation.bands import straight
from camplan.simulation.removed import removed_upwards
from camplan.simulation.solids import Floats, Solid
from camplan.simulation.track import Track, cutting
from camplan.units import Mm

_JUST_ABOVE: Mm = 1e-6
_STEP: Mm = 0.05
"""How far apart heights are asked where cutters or their ways are not straight: 1.7 um aside on a wall of 2 degrees."""
_BERTH: Mm = 0.002
"""By so much a hollow is taken narrower than what was swept: chords of arcs lie on either side of them."""
_LEAST = 1e-3
_MOST = 400
_BENDS = 3
"""A round tip is drawn as many more bends than this, and any height is as good there."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hollow:
    """All that is gone from the plate's top down to height ``z``."""

    solid: Solid
    z: Mm


def hollows(track: Track, *, thickness: Mm) -> Iterator[Hollow]:
    """The hollows that a track leaves in a plate so thick, the deepest first; none wider than what was cut."""
    rows = np.flatnonzero(cutting(track) & (track.low < -_JUST_ABOVE))
    if not len(rows):
        return
    heights = _heights(track, rows=rows, thickness=thickness)
    lowest: dict[int, Hollow] = {}
    for z, removed in zip(heights, removed_upwards(track, rows=rows, heights=heights), strict=True):
        key = id(removed.solid)
        if key in lowest or removed.solid.is_empty:
            continue
        narrower = solids.simplified(solids.grown(removed.solid, by=-_BERTH), within=_BERTH / 2.0)
        parts = solids.parts(narrower, least=_LEAST)
        # the solid is kept so that its identity stays its own
        lowest[key] = Hollow(solid=removed.solid, z=z)
        if parts:
            yield Hollow(solid=solids.united(parts), z=max(float(z) - _JUST_ABOVE, -thickness))


def _heights(track: Track, *, rows: solids.Ints, thickness: Mm) -> list[Mm]:
    """Just above every tip and every bend of a cutter's side, and evenly between where shapes slope, rising."""
    tips = np.unique(np.round(track.low[rows], 6))
    low = max(float(tips[0]), -thickness)
    found: Floats = np.concatenate((tips[tips > -thickness], [low]))
    for number in np.unique(track.cutter[rows]).tolist():
        bends = [band.low for band in track.bands[number][1:]]
        if len(bends) <= _BENDS:
            lows = np.unique(np.round(track.low[rows[track.cutter[rows] == number]], 6))
            found = np.concatenate((found, *(lows + bend for bend in bends)))
    found = found[found >= low]
    flat = np.abs(track.start[rows, 2] - track.end[rows, 2]) < _JUST_ABOVE
    curved = not all(straight(track.bands[number]) for number in np.unique(track.cutter[rows]).tolist())
    if curved or not flat.all():
        found = np.concatenate((found, np.arange(low, 0.0, _STEP)))
    found = np.unique(np.round(found, 6))
    found = found[found < -_JUST_ABOVE]
    if len(found) > _MOST:
        found = found[np.unique(np.linspace(0, len(found) - 1, _MOST).astype(np.int64))]
    rising: list[Mm] = (found + _JUST_ABOVE).tolist()
    return rising
