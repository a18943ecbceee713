"""Neck, shank and holder: whether they go where stock still stands beside a deep cut.

A cut whose flutes end below the plate's top carries its body into the plate.  That is fine where the same path has
been cut before, level by level, with the flutes of a cutter no narrower than the body; every other such cut is
swept with its body, `RUB` slimmer, and must meet nothing that stood before it.
"""

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.catalogue.records import Machine
from camplan.simulation import solids
from camplan.simulation.bands import Band, body_bands, holder_band, slimmer, straight, widest
from camplan.simulation.chords import ends_of
from camplan.simulation.records import Hit
from camplan.simulation.solids import Ints
from camplan.simulation.stock import Stock, heights_to_ask, standing
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in, cutting
from camplan.units import Mm

RUB: Mm = 0.010
"""How deep the body may press into a wall in the proof; less is taken for the chords of arcs and cutters' own sizes."""
_LEAST = 1e-6
_BLOCK = 256


def bodies_in_stock(stock: Stock, *, machine: Machine) -> tuple[Hit, ...]:
    """Every cut whose neck, shank or holder meets standing material; one for each run of moves on one level."""
    track = stock.track
    flutes = np.array([cutter.flute_length for cutter in track.cutters])
    deep = cutting(track) & (track.low + flutes[track.cutter] < -tolerance.GOUGE) if len(track) else np.zeros(0, bool)
    if not deep.any():
        return ()
    free = _cut_level_by_level(track, deep=deep)
    hits = []
    for block in _blocks(track, rows=np.flatnonzero(deep & ~free)):
        hit = _hit(stock, block=block, machine=machine)
        if hit is not None:
            hits.append(hit)
    return tuple(hits)


def _cut_level_by_level(track: Track, *, deep: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Rows whose every chord was cut before on the same line, from the plate's top down, no step longer than the
    flutes, and whose body is no wider than the cut."""
    chords = track.chords
    flutes = np.array([cutter.flute_length for cutter in track.cutters])
    usable = np.array([_no_wider(track, number=number, deep=deep) for number in range(len(track.cutters))])
    owner = track.cutter[chords.row]
    taking = np.flatnonzero(cutting(track)[chords.row] & usable[owner])
    order = taking[np.lexsort((taking, owner[taking], chords.key[taking]))]
    if not len(order):
        return np.zeros(len(track), dtype=bool)
    near, far = ends_of(chords, which=order)
    reach = flutes[owner[order]]
    begins = np.minimum(near, far) + reach >= 0.0
    follows = np.zeros(len(order), dtype=bool)
    same = (chords.key[order[1:]] == chords.key[order[:-1]]) & (owner[order[1:]] == owner[order[:-1]])
    for tip in (near, far):
        drop = tip[:-1] - tip[1:]
        same &= (drop >= -1e-9) & (drop <= reach[1:])
    follows[1:] = same
    anchor = np.maximum.accumulate(np.where(begins | ~follows, np.arange(len(order)), 0))
    pure = np.zeros(len(chords), dtype=bool)
    pure[order] = begins[anchor]
    found: NDArray[np.bool_] = np.logical_and.reduceat(pure, track.first[:-1])
    return found


def _no_wider(track: Track, *, number: int, deep: NDArray[np.bool_]) -> bool:
    """Whether what a straight cutter brings into the plate above its flutes is no wider than its cut."""
    cutter, bands = track.cutters[number], track.bands[number]
    lowest = float(track.low[deep & (track.cutter == number)].min(initial=0.0))
    inside = [band for band in body_bands(cutter) if lowest + band.low < 0.0]
    slim = all(band.low_radius <= widest(bands) + 1e-9 for band in inside)
    return straight(bands) and slim and lowest + cutter.stick_out >= 0.0


def _blocks(track: Track, *, rows: Ints) -> list[Ints]:
    """Runs of level rows at one height; sloped rows one by one."""
    if not len(rows):
        return []
    level = track.start[rows, 2] == track.end[rows, 2]
    joined = np.zeros(len(rows), dtype=bool)
    joined[1:] = (np.diff(rows) == 1) & level[1:] & level[:-1] & (track.low[rows[1:]] == track.low[rows[:-1]])
    joined[1:] &= track.cutter[rows[1:]] == track.cutter[rows[:-1]]
    begin = np.maximum.accumulate(np.where(joined, 0, np.arange(len(rows))))
    joined &= (np.arange(len(rows)) - begin) % _BLOCK != 0
    return np.split(rows, np.flatnonzero(~joined)[1:])


def _hit(stock: Stock, *, block: Ints, machine: Machine) -> Hit | None:
    track = stock.track
    first = int(block[0])
    cutter = track.cutters[int(track.cutter[first])]
    chords = chords_in(track, rows=block)
    low, high = float(track.low[block].min()), float(np.maximum(track.start[block, 2], track.end[block, 2]).max())
    for band, name in _parts(stock, first=first, machine=machine):
        slim = slimmer((band,), by=RUB)
        tips = np.linspace(low, high, 5) if high > low else np.array([low])
        whole = solids.united(pieces(chords, bands=slim, z=max(low + band.low + tolerance.GOUGE, -1e9)).shapes)
        edges = np.concatenate((tips + band.low + tolerance.GOUGE, [-tolerance.GOUGE]))
        for z in heights_to_ask(stock, where=whole, before=first, lowest=low + band.low, edges=edges):
            shape = solids.united(pieces(chords, bands=slim, z=z).shapes)
            left = standing(stock, where=shape, z=z, before=first)
            if solids.area(left) <= _LEAST:
                continue
            part = max(solids.parts(left), key=solids.area)
            x, y = solids.inside_point(part)
            message = (
                f"the {name} of {cutter.name} meets material that stands beside it, {z - low:.3f} mm above its tip"
            )
            return Hit(
                row=_touching(track, block=block, bands=slim, z=z, part=part),
                code=f"{name}-in-stock",
                message=message,
                at=(x, y, z),
            )
    return None


def _parts(stock: Stock, *, first: int, machine: Machine) -> list[tuple[Band, str]]:
    cutter = stock.track.cutters[int(stock.track.cutter[first])]
    named = [(band, "neck" if band.low < cutter.reach - 1e-9 else "shank") for band in body_bands(cutter)]
    return [*named, (holder_band(cutter, machine=machine), "holder")]


def _touching(track: Track, *, block: Ints, bands: tuple[Band, ...], z: Mm, part: object) -> int:
    found = pieces(chords_in(track, rows=block), bands=bands, z=z, chunk=1)
    first = solids.first_hit(found.shapes, number=found.row, target=part)
    return int(block[0]) if first is None else first
