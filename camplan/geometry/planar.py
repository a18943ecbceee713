"""Chains as plane figures of straight lines: the door to shapely for all rooms but those that prove.

Arcs become chords of a given sagitta on the way in; nothing comes back as an arc.
"""

from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray

from camplan.geometry.chains import Chain, Points, tessellated
from camplan.units import Mm

_AT_A_TIME = 1000


class Outlined(Protocol):
    """An outer closed chain and islands in it."""

    @property
    def outer(self) -> Chain:
        """The outer chain."""
        ...

    @property
    def islands(self) -> tuple[Chain, ...]:
        """The chains of the islands."""
        ...


def polygon(region: Outlined, *, chord: Mm) -> shapely.Polygon:
    """The region with arcs as chords of at most that sagitta."""
    return shapely.Polygon(
        tessellated(region.outer, chord=chord), [tessellated(island, chord=chord) for island in region.islands]
    )


def line(path: Chain, *, chord: Mm) -> shapely.LineString:
    """The chain as a line; a closed one comes back to its first point."""
    points = tessellated(path, chord=chord)
    return shapely.LineString(np.vstack((points, points[:1])) if path.closed else points)


def filled(path: Chain, *, chord: Mm) -> shapely.Polygon:
    """The inside of a closed chain; empty if it runs there and back along one line."""
    return bounded(line(path, chord=chord))


def bounded(ring: shapely.LineString) -> shapely.Polygon:
    """What a line that comes back to its first point encloses."""
    points = shapely.get_coordinates(ring)
    return shapely.Polygon(points) if len(points) > 3 else shapely.Polygon()


def polygons(shape: shapely.Geometry) -> tuple[shapely.Polygon, ...]:
    """The polygons in any shape, lines and points left away."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    return tuple(part for part in parts if isinstance(part, shapely.Polygon) and not part.is_empty)


def distances(points: Points, *, to: Chain, chord: Mm) -> NDArray[np.float64]:
    """How far each of (n, 2) points is from a chain's curve, (n,)."""
    vertices = tessellated(to, chord=chord)
    ahead = np.roll(vertices, -1, axis=0) if to.closed else vertices[1:]
    segments = shapely.linestrings(np.stack((vertices[: len(ahead)], ahead), axis=1))
    pairs, found = shapely.STRtree(segments).query_nearest(
        shapely.points(points), return_distance=True, all_matches=False
    )
    result = np.empty(len(points))
    result[pairs[0]] = found
    return result


def boxes(low: Points, high: Points) -> NDArray[np.object_]:
    """Rectangles from their lower left and upper right corners, (n, 2) each."""
    return np.asarray(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))


def inside_boxes(points: Points, *, low: Points, high: Points) -> Iterator[NDArray[np.int64]]:
    """Which points are in which rectangles: (2, n) numbers of points and of rectangles, some points at a time."""
    tree = shapely.STRtree(boxes(low, high))
    for first in range(0, len(points), _AT_A_TIME):
        found = np.asarray(tree.query(shapely.points(points[first : first + _AT_A_TIME])), dtype=np.int64)
        found[0] += first
        yield found


def crossing_places(lines: Sequence[shapely.LineString]) -> list[tuple[Mm, Mm]]:
    """Where lines cross themselves or one another, sorted."""
    noded = shapely.node(shapely.MultiLineString(list(lines)))
    tips = shapely.get_coordinates([shapely.get_point(part, end) for part in noded.geoms for end in (0, -1)])
    places, count = np.unique(tips, axis=0, return_counts=True)
    return [(float(x), float(y)) for x, y in places[count > 2]]


def faces(lines: Sequence[shapely.LineString]) -> tuple[shapely.Polygon, ...]:
    """Everything that lines enclose, cut along each of them."""
    noded = shapely.node(shapely.MultiLineString(list(lines)))
    return polygons(shapely.polygonize(shapely.get_parts(noded)))
