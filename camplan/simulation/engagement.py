"""What the cutter's edge really meets: the arc and the depth of it that stand in the stock at a moment of a move.

Measured from the motions alone, in the order in which they run.  The stock at a place is as high as the lowest that
any earlier move, and this one up to the moment, has left there: a move leaves, at a distance d from its path, the
tip's height plus the height at which the cutter is as wide as d.  Nothing is carried on a grid, so the only errors
are those of chords (`_THINNED` of the proof's joined, at most 2.5 um inside an arc) and of the angles asked.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.features.records import Plate
from camplan.simulation import solids
from camplan.simulation.bands import Band, straight, widest
from camplan.simulation.blank import Blank, blank_of, blank_tops
from camplan.simulation.chords import Chords
from camplan.simulation.solids import Floats, Ints
from camplan.simulation.track import Track, cutting
from camplan.units import Mm, Rad

ANGLES: Floats = np.radians(np.arange(-88.5, 90.0, 3.0))
"""The middles (a,) of equal parts of the leading half of the edge, from the feed's direction, positive to its left."""

ANGLE: Rad = math.radians(3.0)

_AHEAD: Mm = 0.08
"""The edge is asked where it is after so much more of its path: what it is about to cut."""
_CLOSE: Mm = 0.003
"""Nearer than this to what an earlier move swept there is nothing left: chords lie inside their arcs."""
_THINNED = 3
"""Chords of an arc that are taken as one."""
_SLICES = 12
_DESCENT = (0.0, 0.25, 0.5, 0.75, 1.0)
_LEVEL: Mm = 1e-9
_RINGS = np.array([0.15, 0.45, 0.75, 0.95])
_SPOKES = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contact:
    """The edge in the stock at one moment of the feed motion ``row`` of the track, the tip at ``at``.

    ``depths`` (k, a): how much of each of k slices of the edge, measured along the axis, stands in stock at each of
    `ANGLES`; ``heights`` (k + 1,) bound the slices above the tip and ``radii`` (k,) are the edge's there.  A straight
    cutter has one slice, others many, of which each stands in stock in whole or not at all.  ``fall`` is how far the
    tip goes down a mm of the motion's length (1: straight down, negative: up), ``under`` the share of its width under
    which there is stock to go down into.
    """

    row: int
    at: tuple[Mm, Mm, Mm]
    depths: Floats
    heights: Floats
    radii: Floats
    fall: float
    under: float

    @property
    def depth(self) -> Mm:
        """The axial depth: the most of the edge that stands in stock at one angle."""
        return float(self.depths.sum(axis=0).max(initial=0.0))

    @property
    def arc(self) -> Rad:
        """The radial engagement: the part of the edge, seen from above, that stands in stock."""
        return ANGLE * float(np.count_nonzero(self.depths.max(axis=0, initial=0.0) > _LEVEL))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shape:
    """At a distance from the axis, the height above the tip at which the cutter is as wide: radii (j,) rising."""

    radii: Floats
    heights: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Scene:
    """Thinned chords of every cutting row (n,), the cutter of each, and what stood before; ``reached`` (n + 1,) is
    the length of all chords before each, ``until`` (n,) the same where the run without a break ends."""

    start: Floats
    end: Floats
    row: Ints
    cutter: Ints
    reached: Floats
    until: Floats
    shapes: tuple[_Shape, ...]
    tree: solids.Tree
    blank: Blank
    bottom: Mm


def contacts(track: Track, *, plate: Plate, apart: Mm) -> Iterator[Contact]:
    """Contacts along every feed motion below the plate's top, at its ends and at most ``apart`` between; moments at
    which nothing is met are left out.  Rapids cut nothing here: the proof refuses those in stock."""
    scene = _scene(track, plate=plate)
    for row in np.flatnonzero(cutting(track) & (track.low < 0.0)).tolist():
        bands = track.bands[int(track.cutter[row])]
        for chord, at, later in _moments(scene, row=row, apart=apart):
            found = _contact(scene, chord=chord, at=at, later=later, bands=bands)
            if found is not None:
                yield found


def _scene(track: Track, *, plate: Plate) -> _Scene:
    start, end, row = _thinned(track.chords)
    cuts = cutting(track)[row] & (np.minimum(start[:, 2], end[:, 2]) < 0.0)
    start, end, row = start[cuts], end[cuts], row[cuts]
    cutter = track.cutter[row]
    radii = np.array([widest(bands) for bands in track.bands])
    low, high = np.minimum(start, end)[:, :2], np.maximum(start, end)[:, :2]
    reach = radii[cutter][:, None] if len(cutter) else np.zeros((0, 1))
    reached = np.concatenate(([0.0], np.cumsum(np.linalg.norm(end - start, axis=1))))
    breaks = np.any(np.abs(start[1:] - end[:-1]) > _CLOSE, axis=1) | (cutter[1:] != cutter[:-1])
    lasts = np.append(np.flatnonzero(breaks), len(start) - 1)
    return _Scene(
        start=start,
        end=end,
        row=row,
        cutter=cutter,
        reached=reached,
        until=reached[lasts[np.searchsorted(lasts, np.arange(len(start)))] + 1],
        shapes=tuple(_shape(bands) for bands in track.bands),
        tree=solids.Tree(np.hstack((low - reach, high + reach))),
        blank=blank_of(plate),
        bottom=-plate.thickness,
    )


def _thinned(chords: Chords) -> tuple[Floats, Floats, Ints]:
    """Start, end and row of chords, `_THINNED` neighbours of one row joined."""
    first = np.searchsorted(chords.row, chords.row)
    opens = (np.arange(len(chords)) - first) % _THINNED == 0
    begin = np.flatnonzero(opens)
    last = np.append(begin[1:], len(chords)) - 1
    return chords.start[begin], chords.end[last], chords.row[begin]


def _shape(bands: tuple[Band, ...]) -> _Shape:
    radii = np.array([radius for band in bands for radius in (band.low_radius, band.high_radius)])
    heights = np.array([height for band in bands for height in (band.low, band.high)])
    wide, place = np.unique(radii, return_index=True)
    return _Shape(radii=wide, heights=heights[place])


def _moments(scene: _Scene, *, row: int, apart: Mm) -> Iterator[tuple[int, Floats, Floats]]:
    """Chord, place of the tip, and its place a little later, near the row's ends and between."""
    low, high = np.searchsorted(scene.row, [row, row + 1]).tolist()
    first, last = scene.reached[[low, high]].tolist()
    if last - first <= _LEVEL:
        return
    # what is met at the row's very end is cut by the next one
    end = max(last - _AHEAD, first)
    for place in np.linspace(first, end, math.ceil((end - first) / apart) + 1).tolist():
        chord = min(max(int(np.searchsorted(scene.reached, place, side="right")) - 1, low), high - 1)
        later = min(place + _AHEAD, float(scene.until[chord]))
        then = max(int(np.searchsorted(scene.reached, later, side="left")) - 1, chord)
        yield chord, _place(scene, place=place, chord=chord), _place(scene, place=later, chord=then)


def _place(scene: _Scene, *, place: Mm, chord: int) -> Floats:
    size = max(float(scene.reached[chord + 1] - scene.reached[chord]), _LEVEL)
    part = (place - float(scene.reached[chord])) / size
    found: Floats = scene.start[chord] + part * (scene.end[chord] - scene.start[chord])
    return found


def _contact(scene: _Scene, *, chord: int, at: Floats, later: Floats, bands: tuple[Band, ...]) -> Contact | None:
    heights = _heights(bands, deepest=-float(at[2]))
    if len(heights) < 2:
        return None
    radii = _radii(bands, heights=(heights[1:] + heights[:-1]) / 2.0)
    before = _before(scene, chord=chord, at=at, reach=float(radii.max()) + _AHEAD)
    depths = np.zeros((len(radii), len(ANGLES)))
    step = later[:2] - at[:2]
    if math.hypot(*step) > 2.0 * _CLOSE:
        turned = ANGLES + math.atan2(step[1], step[0])
        ring = np.stack((np.cos(turned), np.sin(turned)), axis=1)
        places = (later[:2] + radii[:, None, None] * ring).reshape(-1, 2)
        tops = _tops(scene, places=places, chords=before, own=(chord, at)).reshape(depths.shape)
        low = np.maximum(at[2] + heights[:-1], scene.bottom)[:, None]
        high = np.maximum(at[2] + heights[1:, None], low)
        middle = at[2] + (heights[1:, None] + heights[:-1, None]) / 2.0
        tops = tops if len(radii) == 1 else np.where(tops > middle, high, low)
        depths = np.clip(tops - low, 0.0, high - low)
    along = scene.end[chord] - scene.start[chord]
    fall = -float(along[2] / np.linalg.norm(along))
    under = _under(scene, at=at, radius=float(radii[0]), chords=before, own=(chord, at)) if fall > _LEVEL else 0.0
    if depths.max() <= _LEVEL and under == 0.0:
        return None
    return Contact(
        row=int(scene.row[chord]),
        at=(float(at[0]), float(at[1]), float(at[2])),
        depths=depths,
        heights=heights,
        radii=radii,
        fall=fall,
        under=under,
    )


def _heights(bands: tuple[Band, ...], *, deepest: Mm) -> Floats:
    """The bounds of the slices, from the tip to where the flutes or the plate end."""
    top = min(bands[-1].high, deepest)
    if top <= _LEVEL:
        return np.zeros(1)
    return np.linspace(0.0, top, (1 if straight(bands) else _SLICES) + 1)


def _radii(bands: tuple[Band, ...], *, heights: Floats) -> Floats:
    known = np.array([height for band in bands for height in (band.low, band.high)])
    radii = np.array([radius for band in bands for radius in (band.low_radius, band.high_radius)])
    found: Floats = np.interp(heights, known, radii)
    return found


def _before(scene: _Scene, *, chord: int, at: Floats, reach: Mm) -> Ints:
    """Earlier chords that may have swept a place within ``reach``."""
    x, y = float(at[0]), float(at[1])
    near = scene.tree.near((x - reach, y - reach, x + reach, y + reach))
    found: Ints = near[near < chord]
    return found


def _tops(scene: _Scene, *, places: Floats, chords: Ints, own: tuple[int, Floats]) -> Floats:
    """How high the stock stands at each of (p, 2) places: minus infinity beside the plate."""
    number, at = own
    tops = blank_tops(scene.blank, places=places)
    every = np.append(chords, number)
    ends = np.vstack((scene.end[chords], at))
    for cutter in np.unique(scene.cutter[every]).tolist():
        mine = scene.cutter[every] == cutter
        left = _left(places, start=scene.start[every[mine]], end=ends[mine], shape=scene.shapes[cutter])
        tops = np.minimum(tops, left)
    return tops


def _left(places: Floats, *, start: Floats, end: Floats, shape: _Shape) -> Floats:
    """The lowest that a cutter of a shape leaves at (p, 2) places along (m, 3) chords."""
    along = end - start
    square = along[:, 0] ** 2 + along[:, 1] ** 2
    upright = square <= _LEVEL
    level = (np.abs(along[:, 2]) <= _LEVEL) | upright
    found = np.where(upright, np.minimum(start[:, 2], end[:, 2]), start[:, 2])
    lowest = np.full(len(places), math.inf)
    if level.any():
        away = _away(places, start=start[level], along=along[level], square=square[level])
        lowest = (found[level] + _height(np.hypot(away.x, away.y), shape=shape)).min(axis=1)
    if not level.all():
        sloped = ~level
        away = _away(places, start=start[sloped], along=along[sloped], square=square[sloped])
        lowest = np.minimum(lowest, _left_falling(away, start=start[sloped], along=along[sloped], shape=shape))
    return lowest


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Away:
    """Of p places from m chords, (p, m): the part of the chord nearest to each, and the way from there."""

    part: Floats
    x: Floats
    y: Floats


def _away(places: Floats, *, start: Floats, along: Floats, square: Floats) -> _Away:
    x, y = places[:, :1] - start[:, 0], places[:, 1:] - start[:, 1]
    part = np.clip((x * along[:, 0] + y * along[:, 1]) / np.maximum(square, _LEVEL), 0.0, 1.0)
    return _Away(part=part, x=x - part * along[:, 0], y=y - part * along[:, 1])


def _left_falling(away: _Away, *, start: Floats, along: Floats, shape: _Shape) -> Floats:
    """The same along chords that fall or rise: asked from the nearest point to the lowest within reach; for a flat
    tip the lowest alone counts."""
    size = np.hypot(along[:, 0], along[:, 1])
    reach = (shape.radii[-1] + 0.9 * _CLOSE) ** 2
    spare = np.sqrt(np.maximum(reach - away.x**2 - away.y**2, 0.0)) / size
    goal = np.clip(away.part - np.sign(along[:, 2]) * spare, 0.0, 1.0)
    lowest = np.full(len(goal), math.inf)
    for share in (1.0,) if len(shape.radii) == 1 else _DESCENT:
        on = share * (goal - away.part)
        off = np.hypot(away.x - on * along[:, 0], away.y - on * along[:, 1])
        left = start[:, 2] + (away.part + on) * along[:, 2] + _height(off, shape=shape)
        lowest = np.minimum(lowest, left.min(axis=1))
    return lowest


def _height(distances: NDArray[np.float64], *, shape: _Shape) -> NDArray[np.float64]:
    """Height above the tip at which the cutter is as wide as a distance; infinite where it never is."""
    if len(shape.radii) == 1:
        return np.where(distances <= shape.radii[0] + _CLOSE, 0.0, math.inf)
    near = np.maximum(distances - _CLOSE, 0.0)
    found: NDArray[np.float64] = np.interp(near, shape.radii, shape.heights, left=0.0, right=math.inf)
    return found


def _under(scene: _Scene, *, at: Floats, radius: Mm, chords: Ints, own: tuple[int, Floats]) -> float:
    """The share of the tip's width under which there is stock."""
    turn = np.arange(_SPOKES) * (math.tau / _SPOKES)
    spokes = np.stack((np.cos(turn), np.sin(turn)), axis=1)
    places = at[:2] + (radius * _RINGS[:, None, None] * spokes).reshape(-1, 2)
    tops = _tops(scene, places=places, chords=chords, own=(own[0], at))
    stands = (tops >= at[2] - _CLOSE) & (at[2] > scene.bottom)
    width = np.repeat(_RINGS, _SPOKES)
    return float(np.sum(width[stands]) / np.sum(width))
