"""Features that lie close together, and the heights at which each such cluster is compared.

For cutters with straight profiles the removed section only grows upwards, and between two heights at which a
feature changes the wanted one stays as it is.  So the worst gouge of a stretch is at its upper end and the most that
is left at its lower one; both ends are compared, which misses nothing between them.  Where shapes slope, heights
between the ends are added; where flutes end inside the plate, enough that each cut is seen with its flutes.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan import tolerance
from camplan.comparison.wanted import Wanted, curved, drawn
from camplan.simulation import solids
from camplan.simulation.bands import straight
from camplan.simulation.solids import Floats, Ints, Tree
from camplan.simulation.track import Track, cutting, wide_boxes
from camplan.units import Mm

Box = tuple[Mm, Mm, Mm, Mm]
"""x0, y0, x1, y1."""

Groups = list[tuple[tuple[int, ...], Box]]
"""Members and box of clusters."""

_MARGIN: Mm = 0.010
_BETWEEN = (0.04, 0.15, 0.35, 0.65, 0.9)
_MOST_TOPS = 16
_MANY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A height to compare; ``left`` whether what is left is asked for too; ``depth`` said of it."""

    z: Mm
    left: bool
    depth: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cluster:
    """``members``: numbers of features; ``box`` (x0, y0, x1, y1) holds all that they may remove; ``rows``: cutting
    rows that come into the box, ``inner`` whether all of them stay in it; ``heights`` rising."""

    members: tuple[int, ...]
    box: Box
    rows: Ints
    inner: bool
    heights: tuple[Height, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """A stretch of heights: its clusters, their boxes apart, and ``stray`` rows that come out of every box, with the
    heights at which to ask for them."""

    clusters: tuple[Cluster, ...]
    stray: Ints
    heights: tuple[Height, ...]


def layers_of(wanted: Wanted, *, track: Track, radii: Floats) -> tuple[Layer, ...]:
    """Features in clusters whose boxes do not meet, each with the rows that come near.

    A feature that covers many others (a face over a plate of pockets) parts the heights, so that it binds the others
    into one cluster only where it is cut itself.
    """
    rows = np.flatnonzero(cutting(track) & (track.low < 0.0))
    wide = wide_boxes(track, rows=rows, radii=radii)
    tree = Tree(wide)
    boxes = _boxes(wanted)
    bottom = -wanted.thickness
    edges = {z for number in _wide_features(boxes) for z in wanted.edges[number] if bottom < z < 0.0}
    layers = []
    for lower, upper in itertools.pairwise(sorted({bottom, 0.0, *edges})):
        members = tuple(
            number
            for number, own in enumerate(wanted.edges)
            if not edges or (own[0] < upper - tolerance.GOUGE and own[-1] > lower + tolerance.GOUGE)
        )
        groups = _apart([boxes[number] for number in members], members=members)
        layers.append(_layer(wanted, groups=groups, track=track, rows=rows, wide=wide, tree=tree, span=(lower, upper)))
    return tuple(layers)


def _layer(
    wanted: Wanted,
    *,
    groups: Groups,
    track: Track,
    rows: Ints,
    wide: Floats,
    tree: Tree,
    span: tuple[Mm, Mm],
) -> Layer:
    held = np.zeros(len(rows), dtype=bool)
    clusters = []
    for members, box in groups:
        mine = tree.near(box)
        within = np.all(wide[mine, :2] >= box[:2], axis=1) & np.all(wide[mine, 2:] <= box[2:], axis=1)
        held[mine[within]] = True
        clusters.append(
            Cluster(
                members=members,
                box=box,
                rows=rows[mine],
                inner=bool(within.all()),
                heights=_heights(wanted, members=members, track=track, rows=rows[mine], span=span),
            )
        )
    stray = rows[~held]
    heights = _heights(wanted, members=(), track=track, rows=stray, span=span)
    return Layer(clusters=tuple(clusters), stray=stray, heights=heights)


def _wide_features(boxes: list[Box]) -> list[int]:
    """Features whose boxes meet more than `_MANY` others."""
    table = np.array(boxes).reshape(-1, 4)
    known = np.flatnonzero(~np.isnan(table).any(axis=1))
    tree = Tree(table[known])
    return [number for number in known.tolist() if len(tree.near(boxes[number])) > _MANY + 1]


def _boxes(wanted: Wanted) -> list[Box]:
    """A box round everything that each feature may remove at any height; NaN where that is nothing."""
    found = []
    for number, edges in enumerate(wanted.edges):
        ends = [solids.bounds(drawn(wanted, number=number, z=z)) for z in _inside(wanted, number=number, edges=edges)]
        table = np.array([end for end in ends if not np.isnan(end).any()]).reshape(-1, 4)
        if len(table):
            low, high = table[:, :2].min(axis=0) - _MARGIN, table[:, 2:].max(axis=0) + _MARGIN
            found.append((float(low[0]), float(low[1]), float(high[0]), float(high[1])))
        else:
            found.append((np.nan,) * 4)
    return found


def _inside(wanted: Wanted, *, number: int, edges: Sequence[Mm]) -> list[Mm]:
    found = []
    for lower, upper in itertools.pairwise(edges):
        if curved(wanted, number=number, z=(lower + upper) / 2.0):
            found += [lower, upper]
        else:
            found.append((lower + upper) / 2.0)
    return found


def _apart(boxes: list[Box], *, members: tuple[int, ...]) -> Groups:
    """Members and box of each cluster; boxes that meet are joined until none do."""
    groups: Groups = [((number,), box) for number, box in zip(members, boxes, strict=True) if not np.isnan(box).any()]
    while True:
        table = np.array([box for _, box in groups]).reshape(-1, 4)
        tree = Tree(table)
        root = list(range(len(groups)))
        for first, (_, box) in enumerate(groups):
            for second in tree.near(box).tolist():
                low, high = sorted((_root(root, first), _root(root, second)))
                root[high] = low
        roots = [_root(root, number) for number in range(len(groups))]
        if roots == list(range(len(groups))):
            return groups
        joined: Groups = []
        for one in sorted(set(roots)):
            same = [groups[number] for number in range(len(groups)) if roots[number] == one]
            members = tuple(sorted(itertools.chain.from_iterable(names for names, _ in same)))
            edges = np.array([box for _, box in same])
            x0, y0 = edges[:, :2].min(axis=0).tolist()
            x1, y1 = edges[:, 2:].max(axis=0).tolist()
            joined.append((members, (x0, y0, x1, y1)))
        groups = joined


def _root(root: list[int], number: int) -> int:
    while root[number] != number:
        number = root[number]
    return number


def _heights(
    wanted: Wanted, *, members: tuple[int, ...], track: Track, rows: Ints, span: tuple[Mm, Mm]
) -> tuple[Height, ...]:
    breaks = set(span)
    breaks.update(z for number in members for z in wanted.edges[number] if span[0] < z < span[1])
    extra = _flute_tops(track, rows=rows)
    least = _least_flutes(track, rows=rows)
    found: list[Height] = []
    for lower, upper in itertools.pairwise(_distinct(sorted(breaks))):
        size = upper - lower
        curvy = any(curved(wanted, number=number, z=(lower + upper) / 2.0) for number in members)
        if size <= tolerance.WALL_PROOF + tolerance.GOUGE:
            found.append(Height(z=(lower + upper) / 2.0, left=size > 2.0 * tolerance.WALL_PROOF, depth=-lower))
            continue
        low, high = lower + tolerance.WALL_PROOF, upper - tolerance.GOUGE
        between = {low + share * (high - low) for share in _BETWEEN} if curvy else set()
        if least < size:
            between.update(np.linspace(low, high, int(np.ceil(size / (0.9 * least))) + 1)[1:-1].tolist())
        between.update(z for z in extra if low < z < high)
        found.append(Height(z=low, left=True, depth=-lower))
        found.extend(Height(z=z, left=curvy, depth=-z) for z in sorted(between))
        found.append(Height(z=high, left=curvy, depth=-upper))
    return tuple(found)


def _distinct(breaks: list[Mm]) -> list[Mm]:
    """Breaks more than a gouge's grant apart; of closer ones the lower, but the plate's faces stay."""
    kept = breaks[:1]
    for z in breaks[1:]:
        if z - kept[-1] > tolerance.GOUGE:
            kept.append(z)
    return kept


def _deep(track: Track, *, rows: Ints) -> Ints:
    flutes = np.array([cutter.flute_length for cutter in track.cutters])
    return rows[track.low[rows] + flutes[track.cutter[rows]] < 0.0] if len(rows) else rows


def _least_flutes(track: Track, *, rows: Ints) -> Mm:
    """The shortest flutes that end inside the plate; infinite if none do."""
    deep = np.unique(track.cutter[_deep(track, rows=rows)]).tolist()
    return min((track.cutters[number].flute_length for number in deep), default=float("inf"))


def _flute_tops(track: Track, *, rows: Ints) -> tuple[Mm, ...]:
    """Heights just below which tapered and round cutters' flutes end inside the plate, evenly thinned."""
    deep = _deep(track, rows=rows)
    tops: set[float] = set()
    for number in np.unique(track.cutter[deep]).tolist():
        if not straight(track.bands[number]):
            flutes = track.cutters[number].flute_length
            tops.update(np.round(track.low[deep[track.cutter[deep] == number]] + flutes - tolerance.GOUGE, 4).tolist())
    ordered = sorted(tops)
    if len(ordered) > _MOST_TOPS:
        ordered = [ordered[place] for place in np.linspace(0, len(ordered) - 1, _MOST_TOPS).astype(int).tolist()]
    return tuple(ordered)
