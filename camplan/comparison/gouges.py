"""What was removed and may not be: how deep, where, and by which move."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from camplan import tolerance
from camplan.comparison.clusters import Cluster, Layer
from camplan.comparison.wanted import Wanted, allowed, curved, remembered
from camplan.features.existing import gone_number
from camplan.features.sections import shallow_floor
from camplan.features.specs import EdgeSpec
from camplan.simulation import solids
from camplan.simulation.blank import blank_at, gone_at
from camplan.simulation.solids import Ints, Solid
from camplan.simulation.sweep import Pieces, pieces
from camplan.simulation.track import Track, chords_in
from camplan.units import Mm

_LEAST = 1e-9
_HALVINGS = 8
_ABOUT: tuple[Mm, ...] = (0.01, 0.1, 1.0)
"""How far about a place it is asked which move cuts there; farther where so little is cut that it cannot be told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gouge:
    """``depth``: how far from the nearest place that may be removed, sideways or upwards, and never more than the cut
    is below the plate's top; ``row`` cuts at the place ``at``."""

    row: int
    depth: Mm
    at: tuple[Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limits:
    """What may be gone in a cluster at one height, the same with the grant for chords of arcs, and ``plain`` what may
    be without the edges that are broken: no other cutter is asked to use the room that these make."""

    may: Solid
    granted: Solid
    plain: Solid


def limits(wanted: Wanted, *, members: tuple[int, ...], z: Mm) -> Limits:
    """The union of what all features of a cluster may remove, and of what was gone before: beside that a bite of a
    hair is no deeper for being far from the features."""
    drawn = _of_features(wanted, members=members, z=z)
    gone = gone_number(wanted.plate.plate, z=z)
    if not gone:
        return drawn
    beside = wanted.plate.gone[gone - 1]

    def widened() -> Solid:
        return solids.united([drawn.may, beside])

    if len(members) > 1:
        may = widened()
        return replace(drawn, may=may, granted=solids.grown(may, by=tolerance.GOUGE))
    may = remembered(wanted, kind=f"may beside {gone}", number=members[0], z=z, work=widened)
    granted = remembered(
        wanted,
        kind=f"granted beside {gone}",
        number=members[0],
        z=z,
        work=lambda: solids.grown(may, by=tolerance.GOUGE),
    )
    return replace(drawn, may=may, granted=granted)


def _of_features(wanted: Wanted, *, members: tuple[int, ...], z: Mm) -> Limits:
    if len(members) == 1:
        may = allowed(wanted, number=members[0], z=z)
        granted = remembered(
            wanted, kind="granted", number=members[0], z=z, work=lambda: solids.grown(may, by=tolerance.GOUGE)
        )
        return Limits(may=may, granted=granted, plain=may)
    each = {number: allowed(wanted, number=number, z=z) for number in members}
    may = solids.united([one for one in each.values() if not one.is_empty])
    plain = may
    if any(isinstance(wanted.features[number].spec, EdgeSpec) for number in members):
        others = [one for number, one in each.items() if not isinstance(wanted.features[number].spec, EdgeSpec)]
        plain = solids.united([one for one in others if not one.is_empty])
    return Limits(may=may, granted=solids.grown(may, by=tolerance.GOUGE), plain=plain)


def gouges_in(
    cluster: Cluster, *, removed: Solid, limit: Limits, wanted: Wanted, track: Track, z: Mm
) -> Iterator[Gouge]:
    """Every connected gouge at a height; a floor cut too deep is measured from where it should be."""
    for part in solids.parts(solids.less(removed, limit.granted), least=_LEAST):
        yield from _gouges(part, rows=cluster.rows, may=limit.may, wanted=wanted, track=track, z=z)


def _gouges(part: Solid, *, rows: Ints, may: Solid, wanted: Wanted, track: Track, z: Mm) -> Iterator[Gouge]:
    """A connected piece: what the move does that was first, and what the one does that cuts deepest."""
    first = first_row(track, rows=rows, part=part, z=z)
    at, away = farthest(part, of=may)
    own, own_away = farthest(_cut_by(track, row=first, part=part, z=z), of=may)
    found = [(first, own, own_away)]
    if np.isinf(own_away) or away - own_away <= tolerance.GOUGE:
        found = [(first, own, away)]
    else:
        found.append((_row_at(track, rows=rows, part=part, at=at, z=z, otherwise=first), at, away))
    floor = _floor_above(part, wanted=wanted, z=z)
    for row, (x, y), sideways in found:
        low = _lowest_tip(track, row=row, wanted=wanted, z=z)
        yield Gouge(row=row, depth=min(sideways, floor - low, -low), at=(x, y, z))


def _row_at(track: Track, *, rows: Ints, part: Solid, at: tuple[Mm, Mm], z: Mm, otherwise: int) -> int:
    """The first of some rows that sweeps a piece where a place on its edge is; ``otherwise`` of a hairline."""
    x, y = at
    for by in _ABOUT:
        local = solids.common(part, solids.box((x - by, y - by, x + by, y + by)))
        row = first_row(track, rows=rows, part=local, z=z) if solids.area(local) > _LEAST else None
        if row is not None:
            return row
    return otherwise


def _cut_by(track: Track, *, row: int, part: Solid, z: Mm) -> Solid:
    """The largest piece of a piece that one row cuts."""
    chords = chords_in(track, rows=np.array([row]))
    swept = solids.united(pieces(chords, bands=track.bands[int(track.cutter[row])], z=z).shapes)
    return max(solids.parts(solids.common(part, swept)), key=solids.area)


def _lowest_tip(track: Track, *, row: int, wanted: Wanted, z: Mm) -> Mm:
    """The lowest height of a row's tip; beside floors that fall, of one that goes down along a slope no more than the
    height at which it is seen, as elsewhere it may well be deeper."""
    low = float(track.low[row])
    if all(shallow_floor(feature) is None for feature in wanted.features):
        return low
    chords = chords_in(track, rows=np.array([row]))
    away = np.hypot(*(chords.end[:, :2] - chords.start[:, :2]).T)
    falls = np.abs(chords.end[:, 2] - chords.start[:, 2])
    sloping = (away > tolerance.SAME_POINT) & (falls > tolerance.SAME_POINT)
    return z if sloping.any() else low


def _floor_above(part: Solid, *, wanted: Wanted, z: Mm) -> Mm:
    """The lowest height above ``z`` from which on a piece may be gone, or was gone before; infinite if nowhere."""
    low = z
    highest = -2.0 * tolerance.GOUGE
    floors = [-one.depth for one in wanted.plate.plate.existing]
    for edge in sorted({highest, *floors, *(edge for edges in wanted.edges for edge in edges if edge < 0.0)}):
        if edge <= z:
            continue
        if _may_be_gone(part, wanted=wanted, z=edge):
            numbers = range(len(wanted.features))
            changing = any(curved(wanted, number=number, z=(low + edge) / 2.0) for number in numbers)
            return _lowest(part, wanted=wanted, low=low, high=edge) if changing else edge
        low = edge
    return float("inf")


def _lowest(part: Solid, *, wanted: Wanted, low: Mm, high: Mm) -> Mm:
    """The lowest height between two at which a piece may be gone, to a 256th of the way: it may at ``high``."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _may_be_gone(part, wanted=wanted, z=middle):
            high = middle
        else:
            low = middle
    return high


def _may_be_gone(part: Solid, *, wanted: Wanted, z: Mm) -> bool:
    """Whether a piece may be gone just above a height, or was before."""
    each = [allowed(wanted, number=number, z=z + tolerance.GOUGE) for number in range(len(wanted.features))]
    box = solids.bounds(part)
    each.append(gone_at(wanted.plate, z=z + tolerance.GOUGE))
    local = [solids.near(one, to=box) for one in each if not one.is_empty]
    return solids.contains(solids.grown(solids.united(local), by=tolerance.GOUGE), part)


def stray_gouges(layer: Layer, *, wanted: Wanted, track: Track, removed: Solid, z: Mm) -> Iterator[Gouge]:
    """Every connected gouge outside the domains of all features."""
    outside = solids.common(removed, blank_at(wanted.plate, z=z))
    if outside.is_empty:
        return
    gone = gone_at(wanted.plate, z=z)
    held = solids.united([*(cluster.domain for cluster in layer.clusters), solids.grown(gone, by=tolerance.GOUGE)])
    for part in solids.parts(solids.less(outside, held), least=_LEAST):
        each = [allowed(wanted, number=number, z=z) for number in range(len(wanted.features))]
        may = solids.united([*(one for one in each if not one.is_empty), gone])
        yield from _gouges(part, rows=layer.stray, may=may, wanted=wanted, track=track, z=z)


def overcut(removed: Solid, *, may: Solid) -> Mm:
    """The greatest distance of vertices of the removed figure outside the allowed one from it; 0 if there are none."""
    if may.is_empty:
        return 0.0
    return float(solids.distances(solids.coordinates(removed), to=may).max(initial=0.0))


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
    missed: list[Pieces] = []
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
        missed += [swept] if len(swept.row) else []
    if found:
        return min(found)
    nearest: list[tuple[Mm, int]] = []
    for swept in missed:
        away = solids.line_distances(swept.shapes, to=part)
        nearest.append((float(away.min()), int(swept.row[away <= away.min()].min())))
    return min(nearest)[1]
