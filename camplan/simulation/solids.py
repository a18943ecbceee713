"""The door to shapely (GEOS): plane figures for the proof.

Every round edge is drawn as chords inside the true arc, at most `SAGITTA` short of it.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from camplan import tolerance
from camplan.features.specs import Axis
from camplan.units import Mm, Mm2

Solid = Any
"""A shapely geometry: polygons, possibly none."""
Solids = NDArray[np.object_]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Box = tuple[Mm, Mm, Mm, Mm]
"""x0, y0, x1, y1."""

SAGITTA: Mm = tolerance.CHORD / 2.0
"""Half of what an arc may be off; the other half is spent on the paths of moves."""

_BLOCK = 32
_SHARED: Mm2 = 1e-12

NOTHING: Solid = shapely.Polygon()


def quarter_steps(radius: Mm) -> int:
    """Chords in a quarter circle so that none is more than `SAGITTA` from its arc."""
    if radius <= SAGITTA:
        return 1
    return max(math.ceil(math.pi / 4.0 / math.acos(1.0 - SAGITTA / radius)), 2)


def widened(paths: Solids, *, radii: Floats) -> Solids:
    """What a disc sweeps along each path (lines or points); one radius a path.

    GEOS takes a line that ends where it begins for the edge of an area, and loses much of a small one that crosses
    itself: such a line is widened without its last piece, and that by itself."""
    if not len(paths):
        return np.empty(0, dtype=object)
    shapes: Solids = np.empty(len(paths), dtype=object)
    closed = np.flatnonzero(shapely.is_closed(paths) & (shapely.get_num_points(paths) > 2))
    whole, opened = [shapely.get_coordinates(path) for path in paths[closed]], paths.copy()
    opened[closed] = [shapely.LineString(places[:-1]) for places in whole]
    for radius in np.unique(radii):
        same = radii == radius
        shapes[same] = shapely.buffer(opened[same], radius, quad_segs=quarter_steps(float(radius)))
    if len(closed):
        lasts: Solids = np.array([shapely.LineString(places[-2:]) for places in whole], dtype=object)
        shapes[closed] = shapely.union(shapes[closed], widened(lasts, radii=radii[closed]))
    return shapes


def lines(points: Floats, *, path: Ints) -> Solids:
    """Polylines from (n, 2) points and the rising number of the polyline of each."""
    found: Solids = shapely.linestrings(points, indices=path)
    return found


def points(places: Floats) -> Solids:
    """(n, 2) coordinates as points."""
    found: Solids = shapely.points(places)
    return found


def point(x: Mm, y: Mm) -> Solid:
    """One place."""
    return shapely.Point(x, y)


def meets(shape: Solid, *, other: Solid) -> bool:
    """Whether two figures have a place in common."""
    return bool(shapely.intersects(shape, other))


def apart(shape: Solid, *, other: Solid) -> Mm:
    """The distance between two figures."""
    return float(shapely.distance(shape, other))


def nearest(shape: Solid, *, to: Solid) -> tuple[Mm, Mm]:
    """The place of a figure that is nearest to another."""
    x, y = shapely.get_coordinates(shapely.shortest_line(shape, to))[0].tolist()
    return x, y


def line(places: Floats, *, closed: bool) -> Solid:
    """A line through (n, 2) places, back to the first if closed; a point if there is but one."""
    if closed:
        places = np.vstack((places, places[:1]))
    return shapely.Point(places[0]) if len(places) == 1 else shapely.LineString(places)


def polygon(outer: Floats, *, holes: Sequence[Floats] = ()) -> Solid:
    """What rings of (n, 2) places enclose; mended where they cross themselves."""
    found = shapely.Polygon(outer, holes)
    return found if found.is_valid else shapely.make_valid(found, method="structure")


def cones(*, start: Floats, start_radii: Floats, end: Floats, end_radii: Floats) -> Solids:
    """What a disc sweeps on straight lines while its radius grows or shrinks evenly: the hull of both end discs."""
    steps = 4 * quarter_steps(float(max(start_radii.max(), end_radii.max())))
    angle = np.arange(steps) * (2.0 * math.pi / steps)
    circle = np.column_stack((np.cos(angle), np.sin(angle)))
    first = start[:, None, :] + start_radii[:, None, None] * circle
    last = end[:, None, :] + end_radii[:, None, None] * circle
    found: Solids = shapely.convex_hull(shapely.linestrings(np.concatenate((first, last), axis=1)))
    return found


def united(shapes: Solids | Sequence[Solid]) -> Solid:
    """All shapes as one figure."""
    if len(shapes) == 0:
        return NOTHING
    return shapes[0] if len(shapes) == 1 else shapely.union_all(np.asarray(shapes, dtype=object))


def less(shape: Solid, other: Solid) -> Solid:
    """``shape`` without ``other``."""
    if other.is_empty:
        return shape
    try:
        return shapely.difference(shape, other)
    except shapely.GEOSException:
        # shrinking a strip by just its own half width may leave a figure that crosses itself; mended it is as good
        return _areal(shapely.difference(shapely.make_valid(shape), shapely.make_valid(other)))


def common(shape: Solid, other: Solid) -> Solid:
    """What lies in both."""
    return _areal(shapely.intersection(shape, other))


def turned(shape: Solid, *, about: Axis, lies: Box, seen: Box) -> Solid:
    """A figure on a plate that ``lies`` turned over in one box, as it is ``seen`` from the other face in another."""

    def back(places: Floats) -> Floats:
        x, y = places[:, 0], places[:, 1]
        if about == "y":
            return np.column_stack((seen[0] + lies[2] - x, seen[1] + y - lies[1]))
        return np.column_stack((seen[0] + x - lies[0], seen[1] + lies[3] - y))

    return shapely.transform(shape, back)


def shifted(shape: Solid, *, by: tuple[Mm, Mm]) -> Solid:
    """The figure moved."""
    return shapely.transform(shape, lambda places: places + np.asarray(by))


def grown(shape: Solid, *, by: Mm) -> Solid:
    """The figure grown by a disc (shrunk if negative)."""
    return shape if by == 0.0 else shapely.buffer(shape, by, quad_segs=quarter_steps(abs(by)))


def box(bounds: tuple[Mm, Mm, Mm, Mm]) -> Solid:
    """A rectangle."""
    return shapely.box(*bounds)


def near(shape: Solid, *, to: tuple[Mm, Mm, Mm, Mm]) -> Solid:
    """Those connected parts of a figure whose boxes meet a rectangle, whole."""
    pieces = shapely.get_parts(shape)
    if len(pieces) < 2:
        return shape
    boxes = shapely.bounds(pieces)
    x0, y0, x1, y1 = to
    met = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
    return shapely.multipolygons(pieces[met]) if met.any() else NOTHING


def _areal(shape: Solid) -> Solid:
    """The polygons of a figure, without points and lines where others merely touched."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    return united([part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"])


def contains(shape: Solid, other: Solid) -> bool:
    """Whether ``other`` lies in ``shape``."""
    return bool(shapely.covers(shape, other))


def holds(shape: Solid, *, places: Floats) -> NDArray[np.bool_]:
    """Which of (n, 2) places lie inside."""
    shapely.prepare(shape)
    found: NDArray[np.bool_] = shapely.contains_xy(shape, places)
    return found


def area(shape: Solid) -> Mm2:
    """Area in mm2."""
    return float(shapely.area(shape))


def edge_length(shape: Solid, *, within: Solid) -> Mm:
    """How long the edges of a figure are inside another."""
    return float(shapely.length(shapely.intersection(shapely.boundary(shape), within)))


def centre_of_area(shape: Solid) -> tuple[Mm, Mm]:
    """Where a figure that is cut out would balance."""
    x, y = shapely.get_coordinates(shapely.centroid(shape))[0].tolist()
    return x, y


def bounds(shape: Solid) -> tuple[Mm, Mm, Mm, Mm]:
    """x0, y0, x1, y1 (NaN of an empty figure)."""
    x0, y0, x1, y1 = (float(edge) for edge in shapely.bounds(shape))
    return x0, y0, x1, y1


def parts(shape: Solid, *, least: Mm2 = 0.0) -> list[Solid]:
    """The connected polygons of a figure with more than ``least`` area, in a fixed order."""
    found = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > least]
    return sorted(found, key=lambda part: tuple(round(edge, 6) for edge in part.bounds))


def simplified(shape: Solid, *, within: Mm) -> Solid:
    """A figure of fewer vertices, its edges within a distance of where they were."""
    return shapely.simplify(shape, within)


def rings(part: Solid) -> tuple[Floats, tuple[Floats, ...]]:
    """Of one polygon the vertices of its outer edge, counter-clockwise, and of its holes, clockwise, none twice."""
    outer, *holes = [
        shapely.get_coordinates(ring)[:-1][:: 1 if shapely.is_ccw(ring) == first else -1]
        for first, ring in ((True, part.exterior), *((False, ring) for ring in part.interiors))
    ]
    return outer, tuple(holes)


def coordinates(shape: Solid) -> Floats:
    """Every vertex, (n, 2)."""
    found: Floats = shapely.get_coordinates(shape)
    return found


def edge_places(shape: Solid, *, apart: Mm) -> Floats:
    """Places along the edges of a figure, every vertex among them, at most ``apart`` from one to the next, (n, 2)."""
    return coordinates(shapely.segmentize(shape, apart)) if not shape.is_empty else np.zeros((0, 2))


def enclosed(shape: Solid) -> Solid:
    """What stands inside a figure: the holes of its polygons, less what of the figure lies in them."""
    holes = [shapely.Polygon(ring) for part in parts(shape) for ring in part.interiors]
    return less(united(holes), shape)


class Nearness:
    """A figure that is asked for many distances."""

    def __init__(self, shape: Solid) -> None:
        self._shape = shape
        self._edges = None if shape.is_empty else shapely.STRtree(_edges(shape))
        shapely.prepare(shape)

    def distances(self, places: Floats) -> Floats:
        """Distance of each of (n, 2) places: 0 inside the figure, infinite if it is empty."""
        if self._edges is None or not len(places):
            return np.full(len(places), math.inf)
        away = np.zeros(len(places))
        outside = np.flatnonzero(~shapely.contains_xy(self._shape, places))
        if len(outside):
            asked = shapely.points(places[outside])
            (number, _), near = self._edges.query_nearest(asked, return_distance=True, all_matches=False)
            away[outside[number]] = near
        return away


def distances(places: Floats, *, to: Solid) -> Floats:
    """Distance of each of (n, 2) places to a figure: 0 inside it, infinite if it is empty."""
    return Nearness(to).distances(places)


def deepest(shapes: Sequence[Solid], *, near: Nearness) -> Floats:
    """How far the farthest vertex of each shape is from a figure."""
    places, owner = shapely.get_coordinates(np.asarray(shapes, dtype=object), return_index=True)
    away = near.distances(places)
    found = np.zeros(len(shapes))
    np.maximum.at(found, owner, away)
    return found


def meetings(shapes: Sequence[Solid], *, other: Solid, least: Mm2) -> Ints:
    """In how many separate places of more than ``least`` area each shape meets a figure."""
    count = np.zeros(len(shapes), dtype=np.int64)
    found = parts(common(united(shapes), other), least=least)
    if found:
        tree = shapely.STRtree(np.asarray(shapes, dtype=object))
        middles = shapely.point_on_surface(np.asarray(found, dtype=object))
        np.add.at(count, tree.query(middles, predicate="intersects")[1], 1)
    return count


def shares(shapes: Sequence[Solid], *, other: Solid) -> Floats:
    """The area that each of some separate shapes has in common with a figure."""
    size = np.zeros(len(shapes))
    found = parts(common(united(shapes), other)) if len(shapes) else []
    if found:
        tree = shapely.STRtree(np.asarray(shapes, dtype=object))
        asked, met = tree.query(shapely.point_on_surface(np.asarray(found, dtype=object)), predicate="intersects")
        np.add.at(size, met, shapely.area(np.asarray(found, dtype=object)[asked]))
    return size


def _edges(shape: Solid) -> Solids:
    """Every straight edge of a figure."""
    rings = shapely.get_rings(shapely.get_parts(shape))
    coordinates, ring = shapely.get_coordinates(rings, return_index=True)
    inner = ring[1:] == ring[:-1]
    ends = np.stack((coordinates[:-1][inner], coordinates[1:][inner]), axis=1)
    found: Solids = shapely.linestrings(ends)
    return found


def inscribed(shape: Solid) -> tuple[tuple[Mm, Mm], Mm]:
    """Centre and radius of the largest circle inside a polygon, to about a hundredth of its size."""
    x0, y0, x1, y1 = shape.bounds
    line = shapely.maximum_inscribed_circle(shape, tolerance=max(min(x1 - x0, y1 - y0) / 100.0, 1e-4))
    x, y = shapely.get_coordinates(line)[0]
    return (float(x), float(y)), float(line.length)


def inside_point(shape: Solid) -> tuple[Mm, Mm]:
    """A point inside."""
    point = shapely.point_on_surface(shape)
    return float(point.x), float(point.y)


def first_hit(shapes: Solids, *, number: Ints, target: Solid) -> int | None:
    """The lowest number of the shapes that share an area with ``target``; None if none does."""
    shapely.prepare(target)
    near = np.flatnonzero(shapely.intersects(target, shapes))
    near = near[np.argsort(number[near], kind="stable")]
    for begin in range(0, len(near), _BLOCK):
        batch = near[begin : begin + _BLOCK]
        met = shapely.area(shapely.intersection(shapes[batch], target)) > _SHARED
        if met.any():
            return int(number[batch[met][0]])
    return None


def line_distances(paths: Solids, *, to: Solid) -> Floats:
    """Distance of each path to a figure."""
    found: Floats = shapely.distance(paths, to)
    return found


class Tree:
    """Boxes (n, 4) that can be asked which of them meet others; indexes come in rising order.

    Neighbours in the array are mostly neighbours in the plane, so blocks of them are sought first.
    """

    def __init__(self, boxes: Floats) -> None:
        self._boxes = boxes
        begins = np.arange(0, len(boxes), _BLOCK)
        if len(boxes):
            low = np.minimum.reduceat(boxes[:, :2], begins, axis=0)
            high = np.maximum.reduceat(boxes[:, 2:], begins, axis=0)
            self._tree = shapely.STRtree(shapely.box(*low.T, *high.T))
        else:
            self._tree = shapely.STRtree([])

    def near(self, bounds: Sequence[Mm]) -> Ints:
        """Boxes that meet a rectangle (x0, y0, x1, y1)."""
        numbers = self._in_blocks(self._tree.query(shapely.box(*bounds)))
        boxes = self._boxes[numbers]
        x0, y0, x1, y1 = bounds
        met = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
        return numbers[met]

    def meeting(self, shape: Solid) -> Ints:
        """Boxes that meet a figure itself."""
        numbers = self._in_blocks(self._tree.query(shape, predicate="intersects"))
        shapely.prepare(shape)
        found: Ints = numbers[shapely.intersects(shape, shapely.box(*self._boxes[numbers].T))]
        return found

    def _in_blocks(self, blocks: Ints) -> Ints:
        numbers: Ints = (np.sort(blocks)[:, None] * _BLOCK + np.arange(_BLOCK)).ravel()
        return numbers[numbers < len(self._boxes)]


def meeting_pairs(shapes: Sequence[Solid], *, others: Sequence[Solid] | None = None) -> tuple[Ints, Ints]:
    """Numbers of all shapes and others (the shapes themselves if None) that meet, in rising order."""
    if not len(shapes):
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    tree = shapely.STRtree(np.asarray(shapes if others is None else others, dtype=object))
    first, second = tree.query(np.asarray(shapes, dtype=object), predicate="intersects")
    order = np.lexsort((second, first))
    return first[order], second[order]
