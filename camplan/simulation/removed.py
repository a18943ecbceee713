"""The removed section, height by height upwards."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.simulation import solids
from camplan.simulation.bands import Band, straight
from camplan.simulation.chords import Chords, taken
from camplan.simulation.solids import Floats, Ints, Solid
from camplan.simulation.sweep import Chosen, chosen, pieces_of, upright
from camplan.simulation.track import Track, chord_numbers
from camplan.units import Mm

_SAME = 1e6
"""Parts of a mm within which two ends are one place."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Removed:
    """What has been removed at a height; ``changed`` covers all places where that differs from the height below."""

    solid: Solid
    changed: tuple[Solid, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cut:
    """What one cutter has removed with ``whole`` chords, each with its radius, and besides with parts of others."""

    whole: Chords
    by_whole: Solid
    by_parts: Solid


def removed_upwards(track: Track, *, rows: Ints, heights: Sequence[Mm]) -> Iterator[Removed]:
    """What some rows have removed in the end at each height, heights rising.

    A straight cutter removes at each height all that it removes below, so only what is new is worked out; where
    nothing is new, the same figure comes again.
    """
    numbers = np.unique(track.cutter[rows]).tolist()
    chords = {number: chord_numbers(track, rows=rows[track.cutter[rows] == number]) for number in numbers}
    cuts: dict[int, _Cut] = {}
    kept: tuple[tuple[Solid, ...], Solid] = ((), solids.NOTHING)
    whole: Solid = solids.NOTHING
    for z in heights:
        before = dict(cuts)
        for number in numbers:
            cuts[number] = _cut(
                track.chords, which=chords[number], bands=track.bands[number], z=z, below=cuts.get(number)
            )
        old, new = _shapes(before.values()), _shapes(cuts.values())
        changed = (*_others(old, than=new), *_others(new, than=old))
        if changed:
            # what stays from height to height is united once
            staying = _others(new, than=_others(new, than=old))
            if len(staying) != len(kept[0]) or _others(staying, than=kept[0]):
                kept = (staying, solids.united(staying))
            whole = solids.united([kept[1], *_others(new, than=staying)] if staying else new)
        yield Removed(solid=whole, changed=changed)


def _cut(chords: Chords, *, which: Ints, bands: tuple[Band, ...], z: Mm, below: _Cut | None) -> _Cut:
    found = chosen(chords, which=which, bands=bands, z=z)
    whole, radii, partial = found.whole, found.radii, found.partial
    none = taken(partial, which=np.zeros(0, dtype=np.int64))
    fresh = np.ones(len(whole), dtype=bool)
    base: list[Solid] = []
    if straight(bands):
        # a way down along a line that is cut whole, or at an end of one, adds nothing
        partial = taken(partial, which=~np.isin(partial.key, whole.key))
        kept = ~_at_ends(whole)
        reused = below is not None and bool(np.isin(below.whole.key, whole.key).all())
        whole, radii, fresh = taken(whole, which=kept), radii[kept], fresh[kept]
        if below is not None and reused:
            fresh = ~np.isin(whole.key, below.whole.key)
            base = [below.by_whole]
    parts = solids.NOTHING
    if len(partial):
        shapes = pieces_of(Chosen(whole=none, radii=np.zeros(0), partial=partial), bands=bands, z=z).shapes
        parts = solids.united(shapes)
    if base and not fresh.any():
        return _Cut(whole=whole, by_whole=base[0], by_parts=parts)
    new = Chosen(whole=taken(whole, which=fresh), radii=radii[fresh], partial=none)
    figures = pieces_of(new, bands=bands, z=z).shapes.tolist()
    solid = solids.united([shape for shape in (*base, *figures) if not shape.is_empty])
    return _Cut(whole=whole, by_whole=solid, by_parts=parts)


def _at_ends(whole: Chords) -> NDArray[np.bool_]:
    """Chords that stay at a place where another one, that goes elsewhere, begins or ends."""
    still = upright(whole, which=np.arange(len(whole)))
    found = np.zeros(len(whole), dtype=bool)
    if still.any():
        ends = np.rint(np.vstack((whole.start[~still, :2], whole.end[~still, :2])) * _SAME)
        places = np.rint(whole.start[still, :2] * _SAME)
        ends = ends[np.isin(ends[:, 0], places[:, 0])]
        found[still] = np.isin(places[:, 0] + 1j * places[:, 1], ends[:, 0] + 1j * ends[:, 1])
    return found


def _shapes(cuts: Iterable[_Cut]) -> tuple[Solid, ...]:
    return tuple(shape for cut in cuts for shape in (cut.by_whole, cut.by_parts) if not shape.is_empty)


def _others(shapes: Sequence[Solid], *, than: Sequence[Solid]) -> tuple[Solid, ...]:
    """Those figures that are not among others: the same object, not only the same extent."""
    known = {id(shape) for shape in than}
    return tuple(shape for shape in shapes if id(shape) not in known)


def radii_of(track: Track) -> Floats:
    """The widest cutting radius of each cutter."""
    return np.array([max(max(band.low_radius, band.high_radius) for band in bands) for bands in track.bands])
