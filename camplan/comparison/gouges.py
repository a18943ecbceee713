"""What was removed and may not be: how deep, where, and by which move."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.comparison.clusters import Cluster, Layer
from camplan.comparison.wanted import Wanted, allowed, remembered
from camplan.simulation import solids
from camplan.simulation.solids import Ints, Solid
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in
from camplan.units import Mm

_LEAST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Gouge:
    """``depth``: how far from the nearest place that may be removed, sideways or upwards, and never more than the cut
    is below the plate's top; ``row`` the first move that cuts there."""

    row: int
    depth: Mm
    at: tuple[Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """What may be gone in a cluster at one height, and the same with the grant for chords of arcs."""

    may: Solid
    granted: Solid


def limits(wanted: Wanted, *, members: tuple[int, ...], z: Mm) -> Limits:
    """The union of what all features of a cluster may remove."""
    if len(members) == 1:
        may = allowed(wanted, number=members[0], z=z)
        granted = remembered(
            wanted, kind="granted", number=members[0], z=z, work=lambda: solids.grown(may, by=tolerance.GOUGE)
        )
        return Limits(may=may, granted=granted)
    each = [allowed(wanted, number=number, z=z) for number in members]
    may = solids.united([one for one in each if not one.is_empty])
    return Limits(may=may, granted=solids.grown(may, by=tolerance.GOUGE))


def gouges_in(
    cluster: Cluster, *, removed: Solid, limit: Limits, wanted: Wanted, track: Track, z: Mm
) -> Iterator[Gouge]:
    """Every connected gouge at a height; a floor cut too deep is measured from where it should be."""
    for part in solids.parts(solids.less(removed, limit.granted), least=_LEAST):
        row = first_row(track, rows=cluster.rows, part=part, z=z)
        (x, y), depth = farthest(part, of=limit.may)
        depth = min(depth, _floor_above(part, wanted=wanted, z=z) - float(track.low[row]))
        yield Gouge(row=row, depth=min(depth, -float(track.low[row])), at=(x, y, z))


def _floor_above(part: Solid, *, wanted: Wanted, z: Mm) -> Mm:
    """The lowest height above ``z`` from which on a piece may be gone; infinite if nowhere."""
    x0, y0, x1, y1 = solids.bounds(part)
    for edge in sorted({edge for edges in wanted.edges for edge in edges if z < edge < 0.0}):
        each = [allowed(wanted, number=number, z=edge + tolerance.GOUGE) for number in range(len(wanted.features))]
        local = [solids.near(one, to=(x0, y0, x1, y1)) for one in each if not one.is_empty]
        if solids.contains(solids.grown(solids.united(local), by=tolerance.GOUGE), part):
            return edge
    return float("inf")


def stray_gouges(layer: Layer, *, wanted: Wanted, track: Track, removed: Solid, z: Mm) -> Iterator[Gouge]:
    """Every connected gouge outside the domains of all features."""
    outside = solids.common(removed, wanted.plate)
    if outside.is_empty:
        return
    held = solids.united([cluster.domain for cluster in layer.clusters])
    for part in solids.parts(solids.less(outside, held), least=_LEAST):
        row = first_row(track, rows=layer.stray, part=part, z=z)
        each = [allowed(wanted, number=number, z=z) for number in range(len(wanted.features))]
        (x, y), depth = farthest(part, of=solids.united([one for one in each if not one.is_empty]))
        depth = min(depth, _floor_above(part, wanted=wanted, z=z) - float(track.low[row]))
        yield Gouge(row=row, depth=min(depth, -float(track.low[row])), at=(x, y, z))


def overcut(removed: Solid, *, may: Solid) -> Mm:
    """The greatest distance of vertices of the removed figure outside the allowed one from it; 0 if there are none."""
    beyond = solids.less(removed, may)
    if beyond.is_empty or may.is_empty:
        return 0.0
    return float(solids.distances(solids.coordinates(beyond), to=may).max(initial=0.0))


def farthest(part: Solid, *, of: Solid) -> tuple[tuple[Mm, Mm], Mm]:
    """The place in a piece that is farthest from a figure, and how far; sought at its vertices and its middle."""
    places = solids.coordinates(part)
    middle, _ = solids.inscribed(part)
    places = np.vstack((places, np.array([middle])))
    away = solids.distances(places, to=of)
    if np.isinf(away).all():
        return middle, float("inf")
    worst = int(np.argmax(np.round(away, 9)))
    return (float(places[worst, 0]), float(places[worst, 1])), float(away[worst])


def first_row(track: Track, *, rows: Ints, part: Solid, z: Mm) -> int:
    """The earliest of some rows that sweeps a piece at a height.

    A sliver may share too little with each of several rows to be laid to one: it is that of the nearest, the earliest
    of these.
    """
    x0, y0, x1, y1 = solids.bounds(part)
    found: list[int] = []
    nearest: list[tuple[Mm, int]] = []
    for number in np.unique(track.cutter[rows]).tolist():
        bands = track.bands[number]
        reach = max(max(band.low_radius, band.high_radius) for band in bands)
        box = track.boxes[rows]
        near = (track.cutter[rows] == number) & (track.low[rows] <= z)
        near &= (box[:, 0] <= x1 + reach) & (box[:, 2] >= x0 - reach)
        near &= (box[:, 1] <= y1 + reach) & (box[:, 3] >= y0 - reach)
        swept = pieces(chords_in(track, rows=rows[near]), bands=bands, z=z, chunk=1)
        first = solids.first_hit(swept.shapes, number=swept.row, target=part)
        found += [] if first is None else [first]
        if first is None and len(swept.row):
            away = solids.line_distances(swept.shapes, to=part)
            nearest.append((float(away.min()), int(swept.row[away <= away.min()].min())))
    return min(found) if found else min(nearest)[1]
