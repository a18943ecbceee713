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
"""Heights of one kind: finer than a four hundredth of the depth none is asked for."""
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
    flat = np.abs(track.start[rows, 2] - track.end[rows, 2]) < _JUST_ABOVE
    low = max(float(track.low[rows].min()), -thickness)
    found = [np.array([low]), _unique(track.low[rows[flat]])]
    sloping = _unique(track.low[rows[~flat]])
    if len(sloping) > _MOST:
        sloping = sloping[np.unique(np.linspace(0, len(sloping) - 1, _MOST).astype(np.int64))]
    found.append(sloping)
    numbers = np.unique(track.cutter[rows]).tolist()
    for number in numbers:
        bends = [band.low for band in track.bands[number][1:]]
        if len(bends) <= _BENDS:
            lows = _unique(track.low[rows[track.cutter[rows] == number]])[:_MOST]
            found += [lows + bend for bend in bends]
    if not flat.all() or not all(straight(track.bands[number]) for number in numbers):
        found.append(np.arange(low, 0.0, max(_STEP, -low / _MOST)))
    heights = _unique(np.concatenate(found))
    rising: list[Mm] = (heights[(heights >= low) & (heights < -_JUST_ABOVE)] + _JUST_ABOVE).tolist()
    return rising


def _unique(heights: Floats) -> Floats:
    found: Floats = np.unique(np.round(heights, 6))
    return found
