"""The removed section, height by height upwards."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from camplan.simulation import solids
from camplan.simulation.bands import Band, straight
from camplan.simulation.chords import Chords, taken
from camplan.simulation.solids import Floats, Ints, Solid
from camplan.simulation.sweep import Chosen, chosen, pieces_of
from camplan.simulation.track import Track, chords_in
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    """What one cutter has removed with ``whole`` chords, each with its radius, and besides with parts of others."""

    whole: Chosen
    by_whole: Solid
    by_parts: Solid


def removed_upwards(track: Track, *, rows: Ints, heights: Sequence[Mm]) -> Iterator[Solid]:
    """What some rows have removed in the end at each height, heights rising.

    A straight cutter removes at each height all that it removes below, so only what is new is worked out; where
    nothing is new, the same object comes again.
    """
    numbers = np.unique(track.cutter[rows]).tolist()
    chords = {number: chords_in(track, rows=rows[track.cutter[rows] == number]) for number in numbers}
    cuts: dict[int, _Cut] = {}
    whole: Solid = solids.NOTHING
    for z in heights:
        before = [cuts.get(number) for number in numbers]
        for number in numbers:
            cuts[number] = _cut(chords[number], bands=track.bands[number], z=z, below=cuts.get(number))
        now = [cuts[number] for number in numbers]
        if any(_differs(old, new) for old, new in zip(before, now, strict=True)):
            shapes = [shape for cut in now for shape in (cut.by_whole, cut.by_parts) if not shape.is_empty]
            whole = solids.united(shapes)
        yield whole


def _cut(chords: Chords, *, bands: tuple[Band, ...], z: Mm, below: _Cut | None) -> _Cut:
    found = chosen(chords, bands=bands, z=z)
    none = taken(chords, which=np.zeros(0, dtype=np.int64))
    parts = solids.NOTHING
    if len(found.partial):
        partial = Chosen(whole=none, radii=np.zeros(0), partial=found.partial)
        parts = solids.united(pieces_of(partial, bands=bands, z=z).shapes)
    fresh = np.ones(len(found.whole), dtype=bool)
    base: list[Solid] = []
    if below is not None and straight(bands) and np.isin(below.whole.whole.key, found.whole.key).all():
        fresh = ~np.isin(found.whole.key, below.whole.whole.key)
        base = [below.by_whole]
    if base and not fresh.any():
        return _Cut(whole=found, by_whole=base[0], by_parts=parts)
    new = Chosen(whole=taken(found.whole, which=fresh), radii=found.radii[fresh], partial=none)
    shapes = pieces_of(new, bands=bands, z=z).shapes.tolist()
    solid = solids.united([shape for shape in (*base, *shapes) if not shape.is_empty])
    return _Cut(whole=found, by_whole=solid, by_parts=parts)


def _differs(old: _Cut | None, new: _Cut) -> bool:
    return old is None or old.by_whole is not new.by_whole or not (old.by_parts.is_empty and new.by_parts.is_empty)


def radii_of(track: Track) -> Floats:
    """The widest cutting radius of each cutter."""
    return np.array([max(max(band.low_radius, band.high_radius) for band in bands) for bands in track.bands])
