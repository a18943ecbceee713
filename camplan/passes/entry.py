"""Ways down into material: helix, ramp, plunge.

Takes where the cutter should arrive and what it bears; gives strokes that end there at full depth.  Which way was
taken, and why, is said in `Way.reason`.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.geometry import clipper
from camplan.geometry.along import stretch
from camplan.geometry.chains import Chain, Points, chain, segment_lengths
from camplan.geometry.clipper import Area
from camplan.geometry.edges import distance, edges_of
from camplan.passes.records import Feed, Stroke
from camplan.units import Mm, Rad

_COARSE: Mm = 0.02
_HALVINGS = 6
_WIDEST = 0.4
_AS_GOOD_AS_LEVEL = math.tan(math.radians(1.0))
"""A slope that needs no slower feed than a slot (common practice, no source)."""
_NARROWEST = 0.15
"""Path radius of a helix over the cutter's diameter: holes of 1.8 and 1.3 diameters (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Descent:
    """What a cutter bears on its way down: at most ``angle`` on a slope, ``pitch`` a turn of a helix."""

    diameter: Mm
    angle: Rad
    pitch: Mm
    plunges: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """Where a helix fits: the tool centre may move ``radius`` about ``centre``."""

    centre: tuple[Mm, Mm]
    radius: Mm


def roomiest(innermost: Area, *, within: Area) -> Spot | None:
    """The place in ``innermost`` that is farthest from the edge of ``within``; None if that is no area at all."""
    if not innermost:
        return None
    best = clipper.simplified(innermost, within=_COARSE)
    low, high = 0.0, math.sqrt(max(abs(clipper.ring_area(ring)) for ring in innermost)) / 2.0 + 1e-3
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        shrunk = clipper.offset(best, by=low - middle)
        if shrunk:
            low, best = middle, shrunk
        else:
            high = middle
    ring = max(best, key=lambda path: abs(clipper.ring_area(path)))
    centre = np.asarray(ring.mean(axis=0) if len(best) == 1 and _convex(ring) else ring[0])
    return Spot(centre=(float(centre[0]), float(centre[1])), radius=distance(edges_of(within), point=centre))


def _convex(ring: NDArray[np.float64]) -> bool:
    ahead = np.roll(ring, -1, axis=0) - ring
    after = np.roll(ahead, -1, axis=0)
    return bool(np.all(ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0] >= -1e-9))


def helix_fits(spot: Spot, *, descent: Descent) -> bool:
    """Whether there is room for a helix that leaves no core standing and packs no chips."""
    return spot.radius >= _NARROWEST * descent.diameter


def helix(spot: Spot, *, descent: Descent, start: Mm, end: Mm) -> tuple[Stroke, ...]:
    """Turns from height ``start`` down to ``end``, then one level turn, counter-clockwise; ends on the circle."""
    radius = _helix_radius(spot, descent=descent)
    turns = _helix_turns(radius, descent=descent, drop=start - end)
    return (
        Stroke(
            path=_turns(spot.centre, radius=radius, halves=2 * turns),
            z=np.linspace(start, end, 2 * turns + 1),
            feed=Feed.RAMP,
        ),
        Stroke(path=_turns(spot.centre, radius=radius, halves=2), z=np.full(3, end), feed=Feed.SLOT),
    )


def helix_begin(spot: Spot, *, descent: Descent) -> Points:
    """Where the helix begins and ends; (2,)."""
    return np.array([spot.centre[0] + _helix_radius(spot, descent=descent), spot.centre[1]])


def helix_length(spot: Spot, *, descent: Descent, drop: Mm) -> Mm:
    """What a helix down by ``drop`` adds to a path: its turns and the level one."""
    radius = _helix_radius(spot, descent=descent)
    return 2.0 * math.pi * radius * (_helix_turns(radius, descent=descent, drop=drop) + 1)


def round_length(lap: Chain, *, descent: Descent, drop: Mm) -> Mm:
    """What going down by ``drop`` along a lap adds to a path that cuts the lap afterwards."""
    total = float(segment_lengths(lap).sum())
    return total * _laps(total, descent=descent, drop=drop)


def _helix_radius(spot: Spot, *, descent: Descent) -> Mm:
    return min(spot.radius, _WIDEST * descent.diameter)


def _helix_turns(radius: Mm, *, descent: Descent, drop: Mm) -> int:
    """Whole turns that keep to the angle and the pitch."""
    return max(math.ceil(drop / min(descent.pitch, 2.0 * math.pi * radius * math.tan(descent.angle)) - 1e-9), 1)


def _laps(total: Mm, *, descent: Descent, drop: Mm) -> int:
    """Whole laps of a length that keep to the angle."""
    return max(math.ceil(drop / (total * math.tan(descent.angle)) - 1e-9), 1)


def _turns(centre: tuple[Mm, Mm], *, radius: Mm, halves: int) -> Chain:
    x, y = centre
    right, left = (x + radius, y), (x - radius, y)
    return chain([right if half % 2 == 0 else left for half in range(halves + 1)], bulges=np.ones(halves))


def ramp_round(lap: Chain, *, descent: Descent, start: Mm, end: Mm) -> tuple[Stroke, ...]:
    """Down along a lap (open, ending where it begins) from ``start`` to ``end``; it is still to be cut level."""
    sizes = segment_lengths(lap)
    total = float(sizes.sum())
    laps = _laps(total, descent=descent, drop=start - end)
    feed = Feed.SLOT if (start - end) / (laps * total) <= _AS_GOOD_AS_LEVEL else Feed.RAMP
    reached = np.concatenate(([0.0], np.cumsum(sizes))) / total
    strokes = []
    for number in range(laps):
        high = start + (end - start) * number / laps
        low = start + (end - start) * (number + 1) / laps
        strokes.append(Stroke(path=lap, z=high + (low - high) * reached, feed=feed))
    return tuple(strokes)


def ramp_to_and_fro(line: Chain, *, descent: Descent, start: Mm, end: Mm) -> tuple[Stroke, ...]:
    """Down along the first part of an open path, back and forth; ends at its first point at height ``end``."""
    whole = float(segment_lengths(line).sum())
    needed = max((start - end) / (2.0 * math.tan(descent.angle)), descent.diameter)
    line = stretch(line, start=0.0, end=needed) if needed < whole - descent.diameter else line
    sizes = segment_lengths(line)
    total = float(sizes.sum())
    double = max(math.ceil((start - end) / (2.0 * total * math.tan(descent.angle)) - 1e-9), 1)
    reached = np.concatenate(([0.0], np.cumsum(sizes))) / total
    back = Chain(points=line.points[::-1].copy(), bulges=-line.bulges[::-1], closed=False)
    strokes = []
    for number in range(2 * double):
        high = start + (end - start) * number / (2 * double)
        low = start + (end - start) * (number + 1) / (2 * double)
        share = reached if number % 2 == 0 else 1.0 - reached[::-1]
        strokes.append(Stroke(path=line if number % 2 == 0 else back, z=high + (low - high) * share, feed=Feed.RAMP))
    return tuple(strokes)


def straight_down(at: tuple[Mm, Mm], *, start: Mm, end: Mm, feed: Feed) -> Stroke:
    """A vertical stroke."""
    return Stroke(path=chain([at, at]), z=np.array([start, end]), feed=feed)
