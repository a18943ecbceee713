"""A region whose walls have given: by so much along X and so much along Y, exactly on walls that face an axis."""

import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.polygon import orient

from camplan import tolerance
from camplan.geometry import planar
from camplan.geometry.chains import Chain, backwards
from camplan.regions import Region
from camplan.units import Mm

Axes = tuple[Mm, Mm]
"""Along X and along Y."""
_CHORD: Mm = tolerance.CHORD / 2.0
_NOTHING: Mm = 1e-6
_ROUND = 0.995
"""Of a figure's area over that of a circle as long round: a circle drawn as 40 chords has 0.998."""
_TRY: Mm = 0.01
_SQUARE = 0.02


def grown(region: Region, *, by: Axes, islands: Axes | None = None) -> tuple[Region, ...]:
    """The region with its outer wall moved outward and its islands' walls moved inward, by ``by`` along X and Y
    (negative: the other way).

    Both of one sign, by an ellipse of these half axes: a wall gives what the ellipse reaches square to it.  Else by
    what shrinks along one axis, then by what grows along the other.  An axis of nothing leaves walls that face it
    where they are.  ``islands``: by how much the walls of islands are moved, where that is something else.
    """
    if islands is not None and islands != by and region.islands:
        outer = planar.filled(region.outer, chord=_CHORD)
        cores = shapely.union_all([planar.filled(one, chord=_CHORD) for one in region.islands])
        return _regions(_moved(outer, by=by).difference(_moved(cores, by=(-islands[0], -islands[1]))))
    return _regions(_moved(planar.polygon(region, chord=_CHORD), by=by))


def island_at(region: Region, *, at: Axes) -> Region | None:
    """The island in which a place lies, as a region of its own; None if it lies in none."""
    place = shapely.Point(at)
    found = [one for one in region.islands if planar.filled(one, chord=_CHORD).contains(place)]
    return Region(outer=backwards(found[0])) if found else None


def _moved(shape: shapely.Geometry, *, by: Axes) -> shapely.Geometry:
    x, y = (0.0 if abs(one) < _NOTHING else one for one in by)
    if x * y >= 0.0:
        shape = _swollen(shape, x=x, y=y)
    else:
        shape = _swollen(shape, x=min(x, 0.0), y=min(y, 0.0))
        shape = _swollen(shape, x=max(x, 0.0), y=max(y, 0.0))
    return shape


def _regions(shape: shapely.Geometry) -> tuple[Region, ...]:
    parts = sorted(planar.polygons(shape), key=lambda part: tuple(round(edge, 6) for edge in part.bounds))
    return tuple(_region(part) for part in parts)


def across(region: Region, *, along: int, at: Axes | None) -> Mm | None:
    """The width of a region along an axis (0: X, 1: Y): between the two walls that face each other at a place, or over
    all of it; None if the place is not in it."""
    shape = planar.polygon(region, chord=_CHORD)
    x0, y0, x1, y1 = shape.bounds
    if at is None:
        return float((x1 - x0, y1 - y0)[along])
    ends = [(x0 - 1.0, at[1]), (x1 + 1.0, at[1])] if along == 0 else [(at[0], y0 - 1.0), (at[0], y1 + 1.0)]
    place = shapely.Point(at)
    for part in shapely.get_parts(shape.intersection(shapely.LineString(ends))):
        if part.geom_type == "LineString" and part.distance(place) < _NOTHING:
            return float(part.length)
    return None


def faces_along(region: Region, *, along: int, at: Axes) -> bool:
    """Whether the two walls at a place stand square to an axis: each gives along it just what it gives square to
    itself."""
    by = (_TRY, _TRY)
    before = across(region, along=along, at=at)
    after = [found for one in grown(region, by=by) if (found := across(one, along=along, at=at)) is not None]
    if before is None or not after:
        return False
    return abs((max(after) - before) / (2.0 * _TRY) - 1.0) < _SQUARE


def is_round(region: Region) -> bool:
    """Whether its outer wall is a circle, or chords of one."""
    shape = planar.filled(region.outer, chord=_CHORD)
    return bool(4.0 * math.pi * shape.area >= _ROUND * shape.length**2)


def _swollen(shape: shapely.Geometry, *, x: Mm, y: Mm) -> shapely.Geometry:
    """The figure grown (both at least 0) or shrunk (both at most 0) by an ellipse, or by a line along one axis."""
    if x == 0.0 and y == 0.0:
        return shape
    if x != 0.0 and y != 0.0:
        stretched = affinity.scale(shape, yfact=x / y, origin=(0.0, 0.0))
        swollen = stretched.buffer(x, quad_segs=_steps(abs(x)))
        return affinity.scale(swollen, yfact=y / x, origin=(0.0, 0.0))
    if x + y > 0.0:
        return _swept(shape, x=x, y=y)
    x0, y0, x1, y1 = shape.bounds
    room = shapely.box(x0 + 2.0 * (x + y), y0 + 2.0 * (x + y), x1 - 2.0 * (x + y), y1 - 2.0 * (x + y))
    return shape.difference(_swept(room.difference(shape), x=-x, y=-y))


def _swept(shape: shapely.Geometry, *, x: Mm, y: Mm) -> shapely.Geometry:
    """All that the figure covers while it is moved to and fro along one axis."""
    by = np.array([x, y])
    found = [shape]
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        points = shapely.get_coordinates(ring)
        start, end = points[:-1], points[1:]
        corners = np.stack((start - by, end - by, end + by, start + by, start - by), axis=1)
        found.extend(shapely.polygons(corners))
    return shapely.union_all([one for one in found if one.area > 0.0])


def _steps(radius: Mm) -> int:
    return max(math.ceil(math.pi / 4.0 / math.acos(max(1.0 - _CHORD / radius, 0.0))), 8)


def _region(part: shapely.Polygon) -> Region:
    turned = orient(part)
    return Region(outer=_chain(turned.exterior), islands=tuple(_chain(ring) for ring in turned.interiors))


def _chain(ring: shapely.LinearRing) -> Chain:
    points = shapely.get_coordinates(ring.simplify(0.0))[:-1]
    return Chain(points=points, bulges=np.zeros(len(points)), closed=True)
