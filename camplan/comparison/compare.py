"""Height by height: removed against wanted, cluster by cluster."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from camplan.comparison.clusters import Box, Cluster, Height, Layer, layers_of
from camplan.comparison.gouges import Gouge, gouges_in, limits, overcut, stray_gouges
from camplan.comparison.left import Left, left_at, to_be_cut
from camplan.comparison.reach import Asked, Cleared, Shop, Wall
from camplan.comparison.records import SectionVerdict
from camplan.comparison.wanted import Wanted
from camplan.features.specs import EdgeSpec
from camplan.simulation import solids
from camplan.simulation.bands import straight, widest
from camplan.simulation.blank import blank_at
from camplan.simulation.removed import radii_of, removed_upwards
from camplan.simulation.solids import Solid
from camplan.simulation.track import Track
from camplan.units import Mm

_THREADS = 2
_MANY = 16
"""Heights from which on a cluster is worth sharing out."""
_AROUND: Mm = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOf:
    """What a feature (by number) has left at a height."""

    feature: int
    height: Height
    pieces: tuple[Left, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Everything that comparing found; ``gouge`` and ``wall`` the greatest distances, granted ones included."""

    gouges: tuple[Gouge, ...]
    left: tuple[LeftOf, ...]
    sections: tuple[SectionVerdict, ...]
    gouge: Mm
    wall: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _At:
    """One height of one cluster."""

    height: Height
    gouges: tuple[Gouge, ...]
    over: Mm
    left: tuple[LeftOf, ...]
    wall: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Clean:
    """A feature of which nothing is left where ``must`` is demanded and nothing changes in the box ``around``."""

    must: Solid
    around: Box
    wall: Mm


def compared(wanted: Wanted, *, track: Track, shop: Shop) -> Compared:
    """Every cluster at each of its heights, and what was cut outside all of them."""
    layers = tuple(layers_of(wanted, track=track, radii=radii_of(track)))
    clusters = [cluster for layer in layers for cluster in layer.clusters]
    shares = [share for cluster in clusters for share in _shares(cluster, wanted=wanted, track=track)]
    # clusters know nothing of each other, and GEOS lets another thread run while it works
    with ThreadPoolExecutor(max_workers=_THREADS) as side_by_side:
        asked = side_by_side.map(lambda share: _cluster(share, wanted=wanted, track=track, shop=shop), shares)
        results = [result for each in asked for result in each]
    results += [stray for layer in layers for stray in _strays(layer, wanted=wanted, track=track)]
    gouges = tuple(gouge for result in results for gouge in result.gouges)
    return Compared(
        gouges=gouges,
        left=tuple(left for result in results for left in result.left),
        sections=_sections(results),
        gouge=max((_worst(result) for result in results), default=0.0),
        wall=max((max(result.wall, _worst(result)) for result in results), default=0.0),
    )


def _strays(layer: Layer, *, wanted: Wanted, track: Track) -> Iterator[_At]:
    """What is cut outside the domains of all features."""
    if not len(layer.stray):
        return
    sections = removed_upwards(track, rows=layer.stray, heights=[height.z for height in layer.heights])
    for height, removed in zip(layer.heights, sections, strict=True):
        gouges = tuple(stray_gouges(layer, wanted=wanted, track=track, removed=removed.solid, z=height.z))
        yield _At(height=height, gouges=gouges, over=0.0, left=(), wall=0.0)


def _worst(result: _At) -> Mm:
    return max((gouge.depth for gouge in result.gouges), default=result.over)


def _sections(results: list[_At]) -> tuple[SectionVerdict, ...]:
    by_height: dict[float, list[_At]] = defaultdict(list)
    for result in results:
        by_height[round(result.height.z, 6)].append(result)
    return tuple(
        SectionVerdict(
            z=z,
            gouge=max(_worst(result) for result in by_height[z]),
            left_area=sum(piece.area for result in by_height[z] for left in result.left for piece in left.pieces),
        )
        for z in sorted(by_height, reverse=True)
    )


def _shares(cluster: Cluster, *, wanted: Wanted, track: Track) -> tuple[Cluster, ...]:
    """A cluster of many heights as a lower and an upper one, where its cutters are no quicker one height after another:
    those that are not straight.  The height at which an edge's wall is looked at stays with the edge."""
    heights = cluster.heights
    cutters = np.unique(track.cutter[cluster.rows]).tolist()
    if len(heights) < _MANY or all(straight(track.bands[cutter]) for cutter in cutters):
        return (cluster,)
    half = len(heights) // 2
    for number in cluster.members:
        if isinstance(wanted.features[number].spec, EdgeSpec):
            below = sum(height.z < -wanted.features[number].bottom for height in heights)
            half = min(half, max(below - 1, 0))
    lower, upper = replace(cluster, heights=heights[:half]), replace(cluster, heights=heights[half:])
    return (lower, upper) if half else (cluster,)


def _cluster(cluster: Cluster, *, wanted: Wanted, track: Track, shop: Shop) -> list[_At]:
    numbers = sorted(set(track.cutter[cluster.rows].tolist()))
    worked = tuple(track.cutters[number] for number in numbers)
    used = max((widest(track.bands[number]) for number in numbers), default=0.0)
    inside = {id(one): solids.contains(one, cluster.domain) for one in wanted.plate.sections}
    heights = cluster.heights
    sections = removed_upwards(track, rows=cluster.rows, heights=[height.z for height in heights])
    results: list[_At] = []
    raw: Solid = None
    stands: Solid = None
    removed = Cleared(solids.NOTHING)
    seen: tuple[Cleared | None, Solid] = (None, None)
    over: Mm = 0.0
    gouges: tuple[Gouge, ...] = ()
    clean: dict[int, _Clean] = {}
    edges = [number for number in cluster.members if isinstance(wanted.features[number].spec, EdgeSpec)]
    walls: dict[int, Wall] = {}
    for height, section in zip(heights, sections, strict=True):
        blank = blank_at(wanted.plate, z=height.z)
        if section.solid is not raw or blank is not stands:
            raw, stands = section.solid, blank
            inner = raw if cluster.inner else solids.common(raw, cluster.domain)
            removed = Cleared(inner if inside[id(blank)] else solids.common(inner, blank))
            clean = _still_clean(clean, changed=section.changed)
        limit = limits(wanted, members=cluster.members, z=height.z)
        if removed is not seen[0] or limit.may is not seen[1]:
            over = overcut(removed.solid, may=limit.may)
            seen = (removed, limit.may)
            found = gouges_in(cluster, removed=removed.solid, limit=limit, wanted=wanted, track=track, z=height.z)
            gouges = tuple(found)
        for number in edges:
            if number not in walls or height.z < -wanted.features[number].bottom:
                walls[number] = Wall(removed=removed.solid, z=height.z)
        asked = [
            Asked(
                wanted=wanted,
                number=number,
                z=height.z,
                may=limit.may if isinstance(wanted.features[number].spec, EdgeSpec) else limit.plain,
                removed=removed,
                used=used,
                worked=worked,
                shop=shop,
                wall=walls.get(number),
            )
            for number in (cluster.members if height.left else ())
        ]
        lefts, wall = _left(asked, height=height, clean=clean)
        results.append(_At(height=height, gouges=gouges, over=over, left=lefts, wall=wall))
    return results


def _still_clean(clean: dict[int, _Clean], *, changed: Sequence[Solid]) -> dict[int, _Clean]:
    """Features about which nothing has changed since they were found clean."""
    numbers = list(clean)
    touched, _ = solids.meeting_pairs([solids.box(clean[number].around) for number in numbers], others=changed)
    gone = set(touched.tolist())
    return {number: clean[number] for place, number in enumerate(numbers) if place not in gone}


def _left(asked: Sequence[Asked], *, height: Height, clean: dict[int, _Clean]) -> tuple[tuple[LeftOf, ...], Mm]:
    """What features of a cluster have left at a height; those of which nothing is left are added to ``clean``."""
    lefts = []
    wall = 0.0
    for one in asked:
        must = to_be_cut(one)
        if must.is_empty:
            continue
        known = clean.get(one.number)
        if known is not None and known.must is must:
            wall = max(wall, known.wall)
            continue
        found = left_at(one)
        wall = max(wall, found.wall)
        if found.pieces:
            lefts.append(LeftOf(feature=one.number, height=height, pieces=found.pieces))
        else:
            around = solids.bounds(solids.grown(must, by=_AROUND))
            clean[one.number] = _Clean(must=must, around=around, wall=found.wall)
    return tuple(lefts), wall
