"""Along a floor that falls: to and fro in ramps, each pass its share of the way down, the last along the floor."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.features.records import Slope
from camplan.features.slopes import reached, with_vertices
from camplan.geometry.along import stretch
from camplan.geometry.chains import Chain, backwards, segment_lengths
from camplan.passes.entry import Descent, ramp_to_and_fro
from camplan.passes.records import Feed, Pass, Stroke
from camplan.units import Mm

_GAP: Mm = 0.2
_AS_GOOD_AS_LEVEL = math.tan(math.radians(1.0))
"""A slope that needs no slower feed than a slot (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """A line with the height of the tip at each vertex, in the direction in which it is cut."""

    path: Chain
    z: NDArray[np.float64]


def ramped_pass(slope: Slope, *, top: Mm, shares: tuple[float, ...], descent: Descent) -> Pass:
    """One line cut without lifting: down a ramp at its end, along it, and so back and forth for each share.

    ``shares``: how far each pass is from ``top`` on its way to the floor, rising to 1.
    """
    strokes: list[Stroke] = []
    path, floor = slope.path, -slope.depths
    above = top + _GAP
    for share in shares:
        z = floor if share >= 1.0 else top + (floor - top) * share
        run = _Run(path=path, z=z)
        down = ramp_to_and_fro(path, descent=descent, start=above, end=float(z[0]))
        for number, stroke in enumerate(down):
            strokes.extend(_along(_not_below(stroke, run=run, number=number), descent=descent, feed=Feed.RAMP))
        strokes.extend(_along(run, descent=descent, feed=Feed.SLOT))
        above = float(z[-1])
        path, floor = backwards(path), floor[::-1]
    return Pass(strokes=tuple(strokes), free=top)


def lapped(slope: Slope, *, lead: Mm, descent: Descent) -> list[Stroke]:
    """Along a slope once: its first ``lead`` as a way onto a wall, the rest as a wall is cut, slower where it goes
    down."""
    on, rest = part_of(slope, start=0.0, end=lead), part_of(slope, start=lead, end=float(reached(slope.path)[-1]))
    return [
        *_along(_Run(path=on.path, z=-on.depths), descent=descent, feed=Feed.SLOT),
        *_along(_Run(path=rest.path, z=-rest.depths), descent=descent, feed=Feed.CUT),
    ]


def part_of(slope: Slope, *, start: Mm, end: Mm) -> Slope:
    """The part of a slope between two lengths along it."""
    path = stretch(slope.path, start=start, end=end)
    return Slope(path=path, depths=np.interp(start + reached(path), reached(slope.path), slope.depths))


def _not_below(stroke: Stroke, *, run: _Run, number: int) -> _Run:
    """A way down along the first part of a run, every second time backwards, lifted to where it would be below it."""
    ahead = number % 2 == 0
    path, z = (stroke.path, stroke.z) if ahead else (backwards(stroke.path), stroke.z[::-1])
    at = reached(path)
    floor = np.interp(at, reached(run.path), run.z)
    over = z - floor
    crossings = [
        begin + (end - begin) * first / (first - last)
        for (begin, end), (first, last) in zip(pairwise(at.tolist()), pairwise(over.tolist()), strict=True)
        if first * last < 0.0
    ]
    whole = with_vertices(path, at=np.array(crossings)) if crossings else path
    lengths = reached(whole)
    lifted = np.maximum(np.interp(lengths, at, z), np.interp(lengths, reached(run.path), run.z))
    if ahead:
        return _Run(path=whole, z=lifted)
    return _Run(path=backwards(whole), z=lifted[::-1].copy())


def _along(run: _Run, *, descent: Descent, feed: Feed) -> list[Stroke]:
    """A run as strokes, each at ``feed`` or what its way down bears."""
    sizes = np.maximum(segment_lengths(run.path), tolerance.SAME_POINT)
    feeds = [_feed(fall, descent=descent, level=feed) for fall in (-np.diff(run.z) / sizes).tolist()]
    found = []
    begin = 0
    for number in range(1, len(feeds) + 1):
        if number < len(feeds) and feeds[number] is feeds[begin]:
            continue
        part = slice(begin, number + 1)
        path = Chain(points=run.path.points[part], bulges=run.path.bulges[begin:number], closed=False)
        found.append(Stroke(path=path, z=run.z[part].copy(), feed=feeds[begin]))
        begin = number
    return found


def _feed(fall: float, *, descent: Descent, level: Feed) -> Feed:
    if fall <= _AS_GOOD_AS_LEVEL:
        return level
    return Feed.RAMP if fall <= math.tan(descent.angle) + 1e-9 else Feed.PLUNGE
