"""A region whose walls have given: the left, right, front and back one each by so much, exactly on walls that face an
axis."""

import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.polygon import orient

from camplan import tolerance
from camplan.geometry import planar
from camplan.geometry.chains import Chain, Points, backwards
from camplan.recut.sides import Side, Sides, both, facing
from camplan.regions import Region
from camplan.units import Mm

Place = tuple[Mm, Mm]
"""X and Y."""
_CHORD: Mm = tolerance.CHORD / 2.0
_NOTHING: Mm = 1e-6
_ROUND = 0.995
"""Of a figure's area over that of a circle as long round: a circle drawn as 40 chords has 0.998."""
_TRY: Mm = 0.01
_SQUARE = 0.02


def grown(region: Region, *, by: Sides, islands: Sides | None = None) -> tuple[Region, ...]:
    """The region with each of its outer walls moved outward ``by`` so much (negative: inward), and the walls of its
    islands moved inward by what ``islands`` says of them.

    Without ``islands`` what is open is grown as a whole: an island's right wall gives like the left one of the region,
    for both face right.  What grows does so by a figure of four quarters of ellipses that reaches so far to the left,
    right, front and back: both walls of an axis alike it is an ellipse, one wall alone a line.  A wall gives what that
    figure reaches square to it, so one that faces an axis just what is asked of it, and one of which nothing is asked
    nothing at all.  Of mixed signs what shrinks comes before what grows; the end of a wall of radius R that stays then
    stands up to a^2 / (2 R) farther in where its neighbours are moved in by a.
    """
    if region.islands and islands is not None and not (islands == by and by.even):
        outer = planar.filled(region.outer, chord=_CHORD)
        cores = shapely.union_all([planar.filled(one, chord=_CHORD) for one in region.islands])
        return _regions(_moved(outer, by=by).difference(_moved(cores, by=islands.each(lambda one: -one))))
    return _regions(_moved(planar.polygon(region, chord=_CHORD), by=by))


def island_at(region: Region, *, at: Place) -> Region | None:
    """The island in which a place lies, as a region of its own; None if it lies in none."""
    place = shapely.Point(at)
    found = [one for one in region.islands if planar.filled(one, chord=_CHORD).contains(place)]
    return Region(outer=backwards(found[0])) if found else None


def _moved(shape: shapely.Geometry, *, by: Sides) -> shapely.Geometry:
    inward = by.each(lambda one: max(-one, 0.0) if abs(one) >= _NOTHING else 0.0)
    outward = by.each(lambda one: max(one, 0.0) if abs(one) >= _NOTHING else 0.0)
    return _swollen(_shrunk(shape, by=inward), by=outward)


def _regions(shape: shapely.Geometry) -> tuple[Region, ...]:
    parts = sorted(planar.polygons(shape), key=lambda part: tuple(round(edge, 6) for edge in part.bounds))
    return tuple(_region(part) for part in parts)


def across(region: Region, *, along: int, at: Place | None) -> Mm | None:
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


def faces_along(region: Region, *, along: int, at: Place) -> bool:
    """Whether the two walls at a place stand square to an axis: each gives along it just what it gives square to
    itself."""
    return abs(gives_at(region, sides=facing(along), at=at) - 2.0) < 2.0 * _SQUARE


def faces(region: Region, *, side: Side, at: Place) -> bool:
    """Whether the wall that bounds the region on a side of a place, not one of an island, stands square to its
    axis."""
    return abs(gives_at(region, sides=(side,), at=at) - 1.0) < _SQUARE


def gives_at(region: Region, *, sides: tuple[Side, ...], at: Place) -> float:
    """How many times as much as all walls are moved those give, along their axis, that bound a place on some sides.

    1 for each that is square to its axis, more for slanting ones.  Of a single side islands stand still, so that it is
    0 where an island's wall bounds it.  NaN outside the region."""
    by = both(x=_TRY, y=_TRY)
    moved = grown(region, by=by, islands=by if len(sides) > 1 else Sides())
    total = 0.0
    for side in sides:
        before = _ahead(region, side=side, at=at)
        after = [found for one in moved if (found := _ahead(one, side=side, at=at)) is not None]
        if before is None or not after:
            return math.nan
        total += (max(after) - before) / _TRY
    return total


def _ahead(region: Region, *, side: Side, at: Place) -> Mm | None:
    """How far it is from a place to the wall on a side of it; None if the place is not in the region."""
    shape = planar.polygon(region, chord=_CHORD)
    x0, y0, x1, y1 = shape.bounds
    end = {
        Side.LEFT: (x0 - 1.0, at[1]),
        Side.RIGHT: (x1 + 1.0, at[1]),
        Side.FRONT: (at[0], y0 - 1.0),
        Side.BACK: (at[0], y1 + 1.0),
    }[side]
    place = shapely.Point(at)
    for part in shapely.get_parts(shape.intersection(shapely.LineString([at, end]))):
        if part.geom_type == "LineString" and part.distance(place) < _NOTHING:
            return float(part.length)
    return None


def is_round(region: Region) -> bool:
    """Whether its outer wall is a circle, or chords of one."""
    shape = planar.filled(region.outer, chord=_CHORD)
    return bool(4.0 * math.pi * shape.area >= _ROUND * shape.length**2)


def _swollen(shape: shapely.Geometry, *, by: Sides) -> shapely.Geometry:
    """The figure and all that the quarters of ellipses about each of its places cover."""
    x, y = by.right, by.back
    if not any(by):
        return shape
    if by.even and x > 0.0 and y > 0.0:
        stretched = affinity.scale(shape, yfact=x / y, origin=(0.0, 0.0))
        return affinity.scale(stretched.buffer(x, quad_segs=_steps(x)), yfact=y / x, origin=(0.0, 0.0))
    return _swept(shape, over=_reached(by))


def _shrunk(shape: shapely.Geometry, *, by: Sides) -> shapely.Geometry:
    """What is left of the figure if all about it swells into it."""
    x, y = by.right, by.back
    if not any(by):
        return shape
    if by.even and x > 0.0 and y > 0.0:
        stretched = affinity.scale(shape, yfact=x / y, origin=(0.0, 0.0))
        return affinity.scale(stretched.buffer(-x, quad_segs=_steps(x)), yfact=y / x, origin=(0.0, 0.0))
    away = 2.0 * max(by)
    x0, y0, x1, y1 = shape.bounds
    room = shapely.box(x0 - away, y0 - away, x1 + away, y1 + away)
    # what stands at the left of the figure gives to the right
    return shape.difference(_swollen(room.difference(shape), by=by.turned()))


def _reached(by: Sides) -> Points:
    """Places round the four quarters of ellipses that reach so far from (0, 0), counter-clockwise."""
    count = _steps(max(by))
    turn = np.arange(4 * count) * (math.pi / 2.0 / count)
    x, y = np.round(np.cos(turn), 15), np.round(np.sin(turn), 15)
    return np.column_stack((x * np.where(x > 0.0, by.right, by.left), y * np.where(y > 0.0, by.back, by.front)))


def _swept(shape: shapely.Geometry, *, over: Points) -> shapely.Geometry:
    """All that the figure covers while it is moved over a convex figure about (0, 0).

    Along each of its edges the convex hull of that figure at either end (plane geometry)."""
    found = [shape]
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        points = shapely.get_coordinates(ring)
        ends = np.concatenate((points[:-1, None, :] + over, points[1:, None, :] + over), axis=1)
        found.extend(shapely.convex_hull(shapely.multipoints(ends)))
    return shapely.union_all([one for one in found if one.area > 0.0])


def _steps(radius: Mm) -> int:
    return max(math.ceil(math.pi / 4.0 / math.acos(max(1.0 - _CHORD / radius, 0.0))), 8)


def _region(part: shapely.Polygon) -> Region:
    turned = orient(part)
    return Region(outer=_chain(turned.exterior), islands=tuple(_chain(ring) for ring in turned.interiors))


def _chain(ring: shapely.LinearRing) -> Chain:
    points = shapely.get_coordinates(ring.simplify(0.0))[:-1]
    return Chain(points=points, bulges=np.zeros(len(points)), closed=True)
