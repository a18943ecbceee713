"""A plane floor that falls, and the wall round it: the tip's upper edge keeps to the plane wherever the cutter goes."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from camplan import tolerance
from camplan.features.inclines import depth_under, downhill, incline_angle
from camplan.features.records import Slope
from camplan.features.slopes import reached, with_vertices
from camplan.features.specs import Incline
from camplan.geometry import clipper
from camplan.geometry.along import at_length
from camplan.geometry.chains import STRAIGHT, Chain, Points, arcs, chain, segment_lengths
from camplan.geometry.clipper import Area
from camplan.passes.entry import Descent, straight_down
from camplan.passes.ramps import lapped, ramped_pass
from camplan.passes.records import Feed, Pass
from camplan.units import Mm

_GAP: Mm = 0.2
_OFF: Mm = 0.0005
"""How far the height along a piece of an arc may be off the plane's."""
_SAMPLES = 24
_HALVINGS = 20


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """A plane floor that a flat tip of ``radius`` cuts; all is cleared down to ``top``, and to ``skin`` above the floor
    if that is given."""

    incline: Incline
    radius: Mm
    top: Mm
    descent: Descent
    skin: Mm | None = None


def floor_passes(plane: Plane, *, work: Area, step: Mm) -> tuple[Pass, ...]:
    """Paths down the fall, at most ``step`` apart, over ``work`` in which the tool's centre may be."""
    if not work:
        return ()
    _, way = downhill(plane.incline)
    along, across = np.asarray(way), np.array([-way[1], way[0]])
    points = np.vstack(work)
    low, high = float((points @ across).min()), float((points @ across).max())
    near, far = float((points @ along).min()) - 1.0, float((points @ along).max()) + 1.0
    count = max(math.ceil((high - low) / step - 1e-9), 1)
    lines = [
        np.array([near * along + at * across, far * along + at * across])
        for at in low + (high - low) * (np.arange(count) + 0.5) / count
    ]
    found: list[Pass] = []
    for line in lines:
        parts = clipper.cut_lines([line], area=work, inside=True)
        for part in sorted(parts, key=lambda one: float(one[0] @ along)):
            if float(np.hypot(*(part[-1] - part[0]))) > tolerance.JOIN:
                found.append(_stroke(plane, part=part))
    return tuple(found)


def wall_pass(plane: Plane, *, lap: Chain, levels: tuple[Mm, ...], clear: bool) -> tuple[Pass, ...]:
    """A lap along a wall at each of ``levels``, and lifted to the floor wherever that is higher; a lap that starts in
    material is gone down along."""
    slope = on_plane(plane, path=lap)
    lead = float(segment_lengths(lap)[0])
    found = []
    above = plane.top
    for level in levels:
        lifted = capped(slope, depth=-level)
        if clear:
            x, y = lifted.path.points[0]
            height = -float(lifted.depths[0])
            down = straight_down((float(x), float(y)), start=max(above, height) + _GAP, end=height, feed=Feed.FREE)
            strokes = (down, *lapped(lifted, lead=lead, descent=plane.descent))
            found.append(Pass(strokes=strokes, free=plane.top))
        else:
            found.append(ramped_pass(lifted, top=above, shares=(1.0,), descent=plane.descent))
        above = max(level, -float(slope.depths.min()))
    return tuple(found)


def on_plane(plane: Plane, *, path: Chain) -> Slope:
    """An open path with the depth that the tip may have at each vertex; split where the plane begins or ends and so
    finely on arcs that between vertices it is no more than half a micrometre off."""
    total = reached(path)
    found = arcs(path)
    steep = math.tan(incline_angle(plane.incline))
    lengths: list[float] = []
    for number, (begin, end) in enumerate(pairwise(total.tolist())):
        pieces = 1
        if abs(path.bulges[number]) >= STRAIGHT:
            widest = math.sqrt(8.0 * _OFF / max(float(found.radii[number]) * steep, 1e-9))
            pieces = max(math.ceil(abs(float(found.sweeps[number])) / min(widest, math.pi / 4.0)), 1)
        edges = np.linspace(begin, end, pieces + 1)
        lengths.extend(edges[1:-1].tolist())
        lengths.extend(_kinks(plane, path=path, between=(begin, end)))
    whole = with_vertices(path, at=np.array(sorted(lengths)))
    depths = depth_under(plane.incline, places=whole.points, radius=plane.radius)
    return Slope(path=whole, depths=depths)


def capped(slope: Slope, *, depth: Mm) -> Slope:
    """A slope that goes no deeper than ``depth``."""
    over = slope.depths - depth
    at = reached(slope.path)
    crossings = [
        begin + (end - begin) * first / (first - last)
        for (begin, end), (first, last) in zip(pairwise(at.tolist()), pairwise(over.tolist()), strict=True)
        if first * last < 0.0
    ]
    whole = with_vertices(slope.path, at=np.array(crossings)) if crossings else slope.path
    return Slope(path=whole, depths=np.minimum(np.interp(reached(whole), at, slope.depths), depth))


def _stroke(plane: Plane, *, part: Points) -> Pass:
    slope = on_plane(plane, path=chain(part))
    top = plane.top if plane.skin is None else min(plane.top, plane.skin - float(slope.depths[0]))
    return ramped_pass(slope, top=top, shares=(1.0,), descent=plane.descent)


def _kinks(plane: Plane, *, path: Chain, between: tuple[Mm, Mm]) -> list[Mm]:
    """The lengths along a segment at which the tip's upper edge passes the beginning or the end of the fall."""
    begin, end = between
    lengths = np.linspace(begin, end, _SAMPLES + 1)
    high, way = downhill(plane.incline)

    def along(size: Mm) -> Mm:
        place = np.asarray(at_length(path, length=size).point)
        return float((place - np.asarray(high)) @ np.asarray(way)) - plane.radius

    fallen = np.array([along(size) for size in lengths.tolist()])
    run = math.dist(plane.incline.start, plane.incline.end)
    found = []
    for edge in (0.0, run):
        off = fallen - edge
        for number in np.flatnonzero(off[:-1] * off[1:] < 0.0).tolist():
            low, top = float(lengths[number]), float(lengths[number + 1])
            for _ in range(_HALVINGS):
                middle = (low + top) / 2.0
                before = (along(middle) - edge) * off[number] > 0.0
                low, top = (middle, top) if before else (low, middle)
            found.append((low + top) / 2.0)
    return found
