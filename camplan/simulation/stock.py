"""The stock: what earlier moves have left where a later move goes.

The plate is asked place by place, not carried along: of all earlier cutting moves only those near the asked figure
are swept, at the asked height.
"""

from dataclasses import dataclass

import numpy as np

from camplan.features.records import Plate
from camplan.simulation import solids
from camplan.simulation.bands import straight, widest
from camplan.simulation.blank import Blank, blank_at, blank_of
from camplan.simulation.solids import Floats, Ints, Solid, Tree
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in, cutting, wide_boxes
from camplan.units import Mm

MOST_HEIGHTS = 24
"""Heights at which one move is held against the stock where shapes vary."""
_CLOSE = 24
"""Rows that are tried before all that may matter."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stock:
    """A plate and every row that cuts into it, found by place."""

    track: Track
    plate: Plate
    blank: Blank
    rows: Ints
    tree: Tree
    radii: Floats


def stock_of(track: Track, *, plate: Plate) -> Stock:
    """The stock of a plate under a track."""
    rows = np.flatnonzero(cutting(track) & (track.low < 0.0))
    radii = np.array([widest(bands) for bands in track.bands])
    return Stock(
        track=track,
        plate=plate,
        blank=blank_of(plate),
        rows=rows,
        tree=Tree(wide_boxes(track, rows=rows, radii=radii)),
        radii=radii,
    )


def standing(stock: Stock, *, where: Solid, z: Mm, before: int) -> Solid:
    """What of the plate stands in a figure at height ``z`` before row ``before`` runs."""
    if z >= 0.0 or z <= -stock.plate.thickness or where.is_empty:
        return solids.NOTHING
    left = solids.common(where, blank_at(stock.blank, z=z))
    if left.is_empty:
        return left
    near = earlier(stock, where=left, before=before)
    near = near[stock.track.low[near] <= z]
    if len(near) > _CLOSE:
        # the rows that run nearest mostly clear the whole figure
        left = _less_swept(stock, left, rows=_closest(stock, rows=near, to=left), z=z)
    return left if left.is_empty else _less_swept(stock, left, rows=near, z=z)


def _closest(stock: Stock, *, rows: Ints, to: Solid) -> Ints:
    """The rows whose paths' boxes lie nearest to the middle of a figure."""
    x0, y0, x1, y1 = solids.bounds(to)
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    boxes = stock.track.boxes[rows]
    off_x = np.maximum(np.maximum(boxes[:, 0] - x, x - boxes[:, 2]), 0.0)
    off_y = np.maximum(np.maximum(boxes[:, 1] - y, y - boxes[:, 3]), 0.0)
    found: Ints = rows[np.argsort(np.hypot(off_x, off_y), kind="stable")[:_CLOSE]]
    return found


def _less_swept(stock: Stock, left: Solid, *, rows: Ints, z: Mm) -> Solid:
    """A figure less what some rows sweep at height ``z``."""
    for cutter in np.unique(stock.track.cutter[rows]).tolist():
        own = rows[stock.track.cutter[rows] == cutter]
        found = pieces(chords_in(stock.track, rows=own), bands=stock.track.bands[cutter], z=z)
        if len(found.shapes):
            left = solids.less(left, solids.united(found.shapes))
        if left.is_empty:
            break
    return left


def earlier(stock: Stock, *, where: Solid, before: int) -> Ints:
    """Cutting rows before a row whose sweep may meet a figure."""
    near = stock.rows[stock.tree.near(solids.bounds(where))]
    return near[near < before]


def only_straight(stock: Stock, *, where: Solid, before: int) -> bool:
    """Whether all cutters that worked near a figure before a row have straight sides from their tips up."""
    near = earlier(stock, where=where, before=before)
    return all(straight(stock.track.bands[cutter]) for cutter in np.unique(stock.track.cutter[near]).tolist())


def heights_to_ask(stock: Stock, *, where: Solid, before: int, lowest: Mm, edges: Floats) -> tuple[Mm, ...]:
    """Heights that decide whether a move meets the stock: just above its tip, and where it or the stock changes.

    With straight cutters the stock only shrinks upwards, so the lowest height of each of the move's ``edges`` is
    enough; others add the tips of earlier cuts nearby, evenly thinned to `MOST_HEIGHTS`.
    """
    found = edges
    if not only_straight(stock, where=where, before=before):
        near = earlier(stock, where=where, before=before)
        found = np.concatenate((edges, np.unique(np.round(stock.track.low[near], 4))))
    found = np.unique(found[(found >= lowest) & (found < 0.0)])
    if len(found) > MOST_HEIGHTS:
        found = found[np.unique(np.linspace(0, len(found) - 1, MOST_HEIGHTS).astype(np.int64))]
    return tuple(found.tolist())
