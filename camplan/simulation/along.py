"""How much of a cutter's edge is in the stock all along its path: a survey on a grid, for graphs and for peaks.

`engagement` asks single moments exactly and slowly; here the whole path is walked over a raster of the stock's top,
which is as good as its pixels: an arc is known to about two of them over the cutter's radius.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.features.records import Plate
from camplan.simulation.bands import Band, straight, widest
from camplan.simulation.blank import Blank, blank_of
from camplan.simulation.raster import Raster, filled, raster_of
from camplan.simulation.solids import Floats, Ints
from camplan.simulation.track import Track, cutting
from camplan.units import Mm, Rad

_FINE = 40.0
_FINEST, _COARSEST = 0.03, 0.25
_CELLS = 8e6
"""Pixels a radius of the smallest cutter, between these sizes in mm, and no more of them in all."""
_STEP = 5.0
"""Samples a radius of path."""
_TURNED: Rad = 0.35
"""A sample for so much turn."""
_MOST = 60_000
_LAG = 14.0
"""Pixels by which what the path itself clears stays behind the place that is asked: what is about to be cut stands."""
_TURN = 360
_SPOKES = 90
_SLICES = 8
"""Slices of a cutter that is not straight, finer towards its tip."""
_ABOVE: Mm = 0.004
_SAME: Mm = 1e-6
_BEFORE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Along:
    """Samples (k,) along the feed motions of a track below the plate's top, in the order in which they run: the
    ``row`` of the track, the place ``at`` (k, 3) of the tip, the ``arc`` of its leading half that stands in stock
    (rad), how ``deep`` it stands there, and the ``length`` of path that a sample speaks for."""

    row: Ints
    at: Floats
    arc: Floats
    deep: Floats
    length: Floats
    pixel: Mm


def surveyed(track: Track, *, plate: Plate) -> Along:
    """The engagement along all feed motions below the plate's top."""
    radii = np.array([widest(bands) for bands in track.bands])
    samples = _samples(track, radii=radii)
    if not len(samples.row):
        return Along(
            row=samples.row, at=samples.at, arc=samples.size, deep=samples.size, length=samples.size, pixel=0.0
        )
    raster = _stock(blank_of(plate), plate=plate, radii=radii[np.unique(track.cutter[samples.row])])
    arc, deep = _walked(samples, track=track, raster=raster)
    return Along(row=samples.row, at=samples.at, arc=arc, deep=deep, length=samples.size, pixel=raster.pixel)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Samples:
    """Places along chords: the row and the place of each, the direction of its chord, the path that it speaks for, and
    whether it begins a run: after a rapid, another cutter, or a way straight down."""

    row: Ints
    at: Floats
    heading: Floats
    size: Floats
    begins: NDArray[np.bool_]


def _samples(track: Track, *, radii: Floats) -> _Samples:
    chords = track.chords
    cuts = cutting(track)[chords.row] & (np.minimum(chords.start[:, 2], chords.end[:, 2]) < -_ABOVE)
    start, end, row = chords.start[cuts], chords.end[cuts], chords.row[cuts]
    size = np.linalg.norm(end - start, axis=1)
    keep = size > _SAME
    start, end, row, size = start[keep], end[keep], row[keep], size[keep]
    if not len(row):
        return _Samples(
            row=row, at=np.zeros((0, 3)), heading=np.zeros(0), size=np.zeros(0), begins=np.zeros(0, dtype=np.bool_)
        )
    breaks = np.ones(len(row), dtype=np.bool_)
    breaks[1:] = np.any(np.abs(start[1:] - end[:-1]) > 1e-4, axis=1) | (track.cutter[row[1:]] != track.cutter[row[:-1]])
    along = end - start
    upright = np.hypot(along[:, 0], along[:, 1]) <= _SAME
    breaks[1:] |= upright[:-1] != upright[1:]
    heading = np.arctan2(along[:, 1], along[:, 0])
    turned = np.abs((np.diff(heading, append=heading[-1]) + math.pi) % (2.0 * math.pi) - math.pi)
    # short chords share a sample; bends that are tight beside the cutter have as many as long ways
    steps = size * _STEP / radii[track.cutter[row]] + np.where(np.append(breaks[1:], True), 0.0, turned / _TURNED)
    reached = np.concatenate(([0.0], np.cumsum(steps / max(1.0, float(steps.sum()) / _MOST))))
    # a corner is a place of its own: between samples beside it the edge goes farther than from any of them
    corners = reached[1:][(turned > _TURNED) | np.append(breaks[1:], True)] - _BEFORE
    numbers = np.concatenate((np.arange(0.5, reached[-1], 1.0), corners))
    own = np.argsort(numbers, kind="stable")
    numbers, at_corner = numbers[own], (own >= len(numbers) - len(corners))
    chord = np.clip(np.searchsorted(reached, numbers, side="right") - 1, 0, len(row) - 1)
    part = (numbers - reached[chord]) / (reached[chord + 1] - reached[chord])
    run = np.cumsum(breaks)[chord]
    begins = np.ones(len(chord), dtype=np.bool_)
    begins[1:] = run[1:] != run[:-1]
    return _Samples(
        row=row[chord],
        at=start[chord] + part[:, None] * along[chord],
        heading=heading[chord],
        size=np.where(at_corner, 0.0, size[chord] / (reached[chord + 1] - reached[chord])),
        begins=begins,
    )


def _stock(blank: Blank, *, plate: Plate, radii: Floats) -> Raster:
    """The plate's top as a raster, with as much air about it as the widest cutter needs."""
    x0, y0, x1, y1 = plate.bounds
    reach = float(radii.max())
    least = math.sqrt((x1 - x0 + 2.0 * reach) * (y1 - y0 + 2.0 * reach) / _CELLS)
    pixel = max(min(max(float(radii.min()) / _FINE, _FINEST), _COARSEST), least)
    raster = raster_of((x0, y0, x1, y1), margin=2.0 * reach + 4.0 * pixel, pixel=pixel, value=-math.inf)
    filled(raster, solid=blank.outline, value=0.0)
    for one, floor in zip(plate.existing, blank.floors, strict=True):
        filled(raster, solid=floor, value=-one.depth if one.depth < plate.thickness - _SAME else -math.inf)
    return raster


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edge:
    """A cutter on a raster: how high above its tip each pixel of its ``shape`` is cleared, ``reach`` pixels about its
    middle, and by direction the ``right`` and ``up`` offsets (turns, slices, spokes) of the pixels under the leading
    half of its edge, at slices of it from ``low`` to ``high`` (slices, 1) above the tip."""

    shape: NDArray[np.float32]
    reach: int
    right: NDArray[np.int32]
    up: NDArray[np.int32]
    low: NDArray[np.float32]
    high: NDArray[np.float32]


def _edge(bands: tuple[Band, ...], *, pixel: Mm) -> _Edge:
    known = np.array([height for band in bands for height in (band.low, band.high)])
    radii = np.array([radius for band in bands for radius in (band.low_radius, band.high_radius)])
    wide = float(radii.max())
    reach = math.ceil(wide / pixel) + 1
    grid = np.arange(-reach, reach + 1) * pixel
    away = np.hypot(grid[:, None], grid[None, :])
    sizes, first = np.unique(radii, return_index=True)
    rise = np.interp(away, sizes, known[first], left=known[first][0])
    shape = np.where(away <= wide + 0.5 * pixel, rise, np.inf).astype(np.float32)
    spokes = (np.arange(_SPOKES) + 0.5) / _SPOKES * math.pi - math.pi / 2.0
    turned = np.radians(np.arange(_TURN) * (360.0 / _TURN))[:, None] + spokes[None, :]
    top = float(known.max())
    bounds = np.array([0.0, top]) if straight(bands) else top * np.linspace(0.0, 1.0, _SLICES + 1) ** 2
    middles = (bounds[1:] + bounds[:-1]) / 2.0
    at = np.array([wide]) if straight(bands) else np.interp(middles, known, radii)
    far = np.maximum(at - 1.25 * pixel, 0.0)[None, :, None]
    return _Edge(
        shape=shape,
        reach=reach,
        right=np.rint(far * np.cos(turned)[:, None, :] / pixel).astype(np.int32),
        up=np.rint(far * np.sin(turned)[:, None, :] / pixel).astype(np.int32),
        low=bounds[:-1, None].astype(np.float32),
        high=bounds[1:, None].astype(np.float32),
    )


def _walked(samples: _Samples, *, track: Track, raster: Raster) -> tuple[Floats, Floats]:
    tops, pixel = raster.values, raster.pixel
    edges = {
        number: _edge(track.bands[number], pixel=pixel) for number in np.unique(track.cutter[samples.row]).tolist()
    }
    columns = np.floor((samples.at[:, 0] - raster.x) / pixel).astype(np.int64).tolist()
    rows = np.floor((samples.at[:, 1] - raster.y) / pixel).astype(np.int64).tolist()
    turn = (np.rint(samples.heading / (2.0 * math.pi) * _TURN).astype(np.int64) % _TURN).tolist()
    heights = samples.at[:, 2].tolist()
    cutters = track.cutter[samples.row].tolist()
    lags = np.maximum(1, np.ceil(_LAG * pixel / np.maximum(samples.size, _SAME))).astype(np.int64).tolist()
    begins = samples.begins.tolist()
    count = len(rows)
    arcs, deep = np.zeros(count), np.zeros(count)
    height, width = tops.shape
    carved = 0

    def carve(upto: int) -> None:
        nonlocal carved
        while carved < upto:
            edge = edges[cutters[carved]]
            reach, row, column = edge.reach, rows[carved], columns[carved]
            if reach <= row < height - reach and reach <= column < width - reach:
                about = tops[row - reach : row + reach + 1, column - reach : column + reach + 1]
                np.minimum(about, edge.shape + np.float32(heights[carved]), out=about)
            carved += 1

    for place in range(count):
        carve(place if begins[place] else max(carved, place - lags[place]))
        edge = edges[cutters[place]]
        row, column = rows[place], columns[place]
        if not (edge.reach < row < height - edge.reach - 1 and edge.reach < column < width - edge.reach - 1):
            continue
        stands = tops[row + edge.up[turn[place]], column + edge.right[turn[place]]] - heights[place]
        engaged = np.clip(np.minimum(stands, edge.high) - edge.low, 0.0, None).sum(axis=0)
        met = engaged > _ABOVE
        if met.any():
            arcs[place] = float(np.count_nonzero(met)) * (math.pi / _SPOKES)
            deep[place] = float(engaged.max())
    return arcs, deep
