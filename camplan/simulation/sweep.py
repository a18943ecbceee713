"""The plane figure that a cutter sweeps at one height.

At height z a cutter whose tip is at t shows the radius it has at z - t above its tip, so a move sweeps the union of
those discs over the part of its path where the tip is below z.  The error is bounded: paths of arcs are chords at
most 0.25 um inside, round edges chords at most 0.25 um inside, and round cutters straight pieces at most 0.25 um
inside (square to their surface), so a surface is never more than 0.75 um (0.5 um for cutters with a straight profile)
farther out than is said.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.moves.table import Kind, MotionTable
from camplan.simulation import solids
from camplan.simulation.bands import Band, cutting_bands
from camplan.simulation.chords import Chords, chords_of, taken
from camplan.simulation.solids import Floats, Ints, Solid, Solids
from camplan.units import Mm

CHUNK = 128
"""Chords widened as one polyline: long ones that cross themselves often take minutes."""
_SAME: Mm = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chosen:
    """What is in reach of a height: ``whole`` chords, each with one radius, none twice; ``partial`` ones to be cut."""

    whole: Chords
    radii: Floats
    partial: Chords


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Swept figures and the (first) motion each belongs to."""

    shapes: Solids
    row: Ints


def swept(motions: MotionTable, *, cutter: Cutter, z: Mm) -> Solid:
    """What the cutting part removes at height ``z`` in all cutting motions (rapids do not cut)."""
    feeds = motions.kind != Kind.RAPID
    chords = chords_of(motions)
    chords = taken(chords, which=feeds[chords.row])
    return solids.united(pieces(chords, bands=cutting_bands(cutter), z=z).shapes)


def pieces(chords: Chords, *, bands: tuple[Band, ...], z: Mm, chunk: int = CHUNK) -> Pieces:
    """The figures swept at ``z``, of up to ``chunk`` chords each."""
    return pieces_of(chosen(chords, which=np.arange(len(chords)), bands=bands, z=z), bands=bands, z=z, chunk=chunk)


def chosen(chords: Chords, *, which: Ints, bands: tuple[Band, ...], z: Mm) -> Chosen:
    """Those of some chords that count at ``z``; of those of one key only the widest, the first if equal."""
    least, most = _heights(chords, which=which, z=z)
    near = (most >= bands[0].low) & (least <= bands[-1].high)
    which = which[near]
    radii = _radii(chords, which=which, bands=bands, least=least[near], most=most[near])
    del least, most, near  # of programs of a million chords
    solid = radii > 0.0
    whole, partial, radii = which[solid], which[radii < 0.0], radii[solid]
    keys = chords.key[whole]
    order = np.lexsort((whole, -radii, keys))
    new = np.ones(len(order), dtype=bool)
    new[1:] = keys[order[1:]] != keys[order[:-1]]
    kept = np.sort(order[new])
    return Chosen(whole=taken(chords, which=whole[kept]), radii=radii[kept], partial=taken(chords, which=partial))


def _heights(chords: Chords, *, which: Ints, z: Mm) -> tuple[Floats, Floats]:
    """The least and the greatest height of ``z`` above the tips of some chords."""
    first, last = z - chords.start[which, 2], z - chords.end[which, 2]
    return np.minimum(first, last), np.maximum(first, last)


def _radii(chords: Chords, *, which: Ints, bands: tuple[Band, ...], least: Floats, most: Floats) -> Floats:
    """The radius that each chord shows all along; -1 where that changes."""
    still = least == most
    still[~still] = upright(chords, which=which[~still])
    radii = np.full(len(which), -1.0)
    for band in bands:
        if band.low_radius == band.high_radius:
            within = (least >= band.low) & (most <= band.high) | still & (least <= band.high) & (most >= band.low)
            radii[within] = np.maximum(radii[within], band.low_radius)
            continue
        # a disc that only goes up and down shows the widest radius that it brings to this height
        within = still & (least <= band.high) & (most >= band.low)
        for above in (np.maximum(least[within], band.low), np.minimum(most[within], band.high)):
            share = (above - band.low) / (band.high - band.low)
            radius = band.low_radius + share * (band.high_radius - band.low_radius)
            radii[within] = np.maximum(radii[within], radius)
    return radii


def upright(chords: Chords, *, which: Ints) -> NDArray[np.bool_]:
    """Which of some chords stay at one place of the plane."""
    away = np.abs(chords.end[which, :2] - chords.start[which, :2])
    found: NDArray[np.bool_] = (away[:, 0] < _SAME) & (away[:, 1] < _SAME)
    return found


def pieces_of(found: Chosen, *, bands: tuple[Band, ...], z: Mm, chunk: int = CHUNK) -> Pieces:
    """The figures of chosen chords."""
    shapes, rows = _whole(found, chunk=chunk)
    if len(found.partial):
        for band in bands:
            more, more_rows = _in_band(found.partial, band=band, z=z)
            shapes += more
            rows += more_rows
    return Pieces(
        shapes=np.concatenate(shapes) if shapes else np.empty(0, dtype=object),
        row=np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64),
    )


def _whole(found: Chosen, *, chunk: int) -> tuple[list[Solids], list[Ints]]:
    chords, radii = found.whole, found.radii
    if not len(chords):
        return [], []
    still = upright(chords, which=np.arange(len(chords)))
    shapes = [solids.widened(solids.points(chords.start[still, :2]), radii=radii[still])]
    rows = [chords.row[still]]
    flat = taken(chords, which=~still)
    if len(flat):
        radii = radii[~still]
        fresh = np.ones(len(flat), dtype=bool)
        fresh[1:] = np.any(flat.start[1:, :2] != flat.end[:-1, :2], axis=1) | (radii[1:] != radii[:-1])
        begin = np.maximum.accumulate(np.where(fresh, np.arange(len(flat)), 0))
        fresh |= (np.arange(len(flat)) - begin) % chunk == 0
        path = np.cumsum(fresh) - 1
        places = np.vstack((flat.start[fresh, :2], flat.end[:, :2]))
        order = np.argsort(np.concatenate((path[fresh], path)), kind="stable")
        polylines = solids.lines(places[order], path=np.concatenate((path[fresh], path))[order])
        shapes.append(solids.widened(polylines, radii=radii[fresh]))
        rows.append(flat.row[fresh])
    return shapes, rows


def _in_band(chords: Chords, *, band: Band, z: Mm) -> tuple[list[Solids], list[Ints]]:
    """The parts of sloped chords whose tip is a band's distance below ``z``."""
    first, last = z - chords.start[:, 2], z - chords.end[:, 2]
    rise = np.where(first == last, 1.0, last - first)
    enter, leave = (band.low - first) / rise, (band.high - first) / rise
    low, high = np.maximum(np.minimum(enter, leave), 0.0), np.minimum(np.maximum(enter, leave), 1.0)
    level = (first == last) & ((first < band.low) | (first > band.high))
    inside = (low <= high) & ~level
    if not inside.any():
        return [], []
    low, high, row = low[inside, None], high[inside, None], chords.row[inside]
    start, end = chords.start[inside, :2], chords.end[inside, :2]
    along = end - start
    begin, finish = start + low * along, start + high * along
    if band.low_radius == band.high_radius:
        radii = np.full(len(row), band.low_radius)
        short = np.hypot(*(finish - begin).T) < 1e-9
        count = int((~short).sum())
        paths = np.empty(len(row), dtype=object)
        paths[short] = solids.points(begin[short])
        if count:
            both = np.stack((begin[~short], finish[~short]), axis=1).reshape(-1, 2)
            paths[~short] = solids.lines(both, path=np.repeat(np.arange(count), 2))
        return [solids.widened(paths, radii=radii)], [row]
    steep = (band.high_radius - band.low_radius) / (band.high - band.low)
    heights = np.column_stack((first[inside], last[inside]))
    heights = heights[:, :1] + np.column_stack((low, high)) * (heights[:, 1:] - heights[:, :1])
    radii = np.maximum(band.low_radius + (heights - band.low) * steep, 0.0)
    wide = radii.max(axis=1) > 1e-9
    if not wide.any():
        return [], []
    hulls = solids.cones(start=begin[wide], start_radii=radii[wide, 0], end=finish[wide], end_radii=radii[wide, 1])
    return [hulls], [row[wide]]
