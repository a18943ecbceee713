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
from camplan.comparison.floors import doubtful
from camplan.comparison.wanted import Wanted, curved, drawn
from camplan.simulation import solids
from camplan.simulation.bands import straight
from camplan.simulation.blank import floors_in
from camplan.simulation.solids import Floats, Ints, Solid, Tree
from camplan.simulation.track import Track, cutting, wide_boxes
from camplan.units import Mm

Box = tuple[Mm, Mm, Mm, Mm]
"""x0, y0, x1, y1."""

_MARGIN: Mm = 0.010
_BETWEEN = {0.0: (0.5,), 0.1: (0.15, 0.5, 0.85), 0.5: (0.04, 0.15, 0.35, 0.65, 0.9)}
"""Where between the ends of a stretch, of at least so many mm, sections that change continuously are compared."""
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
    """``members``: numbers of features; ``domain`` holds all that they may remove, and nothing of other clusters;
    ``rows``: cutting rows that come near, ``inner`` whether all of them stay in it; ``heights`` rising."""

    members: tuple[int, ...]
    domain: Solid
    rows: Ints
    inner: bool
    heights: tuple[Height, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """A stretch of heights: its clusters, and ``stray`` rows that come out of their domains, with the heights at
    which to ask for them."""

    clusters: tuple[Cluster, ...]
    stray: Ints
    heights: tuple[Height, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Group:
    """Features whose shadows meet: their united shadow, and its box."""

    members: tuple[int, ...]
    shadow: Solid
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cuts:
    """Cutting rows of a track and how far each reaches."""

    track: Track
    rows: Ints
    boxes: Floats
    tree: Tree


def layers_of(wanted: Wanted, *, track: Track, radii: Floats) -> tuple[Layer, ...]:
    """Features in clusters that do not meet, each with the rows that come near.

    A feature that covers many others (a face over a plate of pockets) parts the heights, so that it binds the others
    into one cluster only where it is cut itself.
    """
    rows = np.flatnonzero(cutting(track) & (track.low < 0.0))
    boxes = wide_boxes(track, rows=rows, radii=radii)
    cuts = _Cuts(track=track, rows=rows, boxes=boxes, tree=Tree(boxes))
    shadows = [_shadow(wanted, number=number) for number in range(len(wanted.features))]
    bottom = -wanted.plate.plate.thickness
    edges = {z for number in _covering(shadows) for z in wanted.edges[number] if bottom < z < 0.0}
    layers = []
    for lower, upper in itertools.pairwise(sorted({bottom, 0.0, *edges})):
        members = [
            number
            for number, own in enumerate(wanted.edges)
            if not edges or (own[0] < upper - tolerance.GOUGE and own[-1] > lower + tolerance.GOUGE)
        ]
        groups = _groups({number: shadows[number] for number in members if not shadows[number].is_empty})
        layers.append(_layer(wanted, groups=groups, cuts=cuts, span=(lower, upper)))
    return tuple(layers)


def _layer(wanted: Wanted, *, groups: list[_Group], cuts: _Cuts, span: tuple[Mm, Mm]) -> Layer:
    held = np.zeros(len(cuts.rows), dtype=bool)
    clusters = []
    for group, boxed in zip(groups, _boxed(groups), strict=True):
        inner = False
        if boxed:
            mine = cuts.tree.near(group.box)
            low, high = cuts.boxes[mine, :2] >= group.box[:2], cuts.boxes[mine, 2:] <= group.box[2:]
            within = low.all(axis=1) & high.all(axis=1)
            held[mine[within]] = True
            inner = bool(within.all())
        else:
            mine = cuts.tree.meeting(group.shadow)
        domain = solids.box(group.box) if boxed else group.shadow
        clusters.append(
            Cluster(
                members=group.members,
                domain=domain,
                rows=cuts.rows[mine],
                inner=inner,
                heights=_heights(
                    wanted,
                    members=group.members,
                    track=cuts.track,
                    rows=cuts.rows[mine],
                    span=span,
                    floors=floors_in(wanted.plate, domain=domain),
                ),
            )
        )
    stray = cuts.rows[~held]
    floors = floors_in(wanted.plate, domain=wanted.plate.outline)
    heights = _heights(wanted, members=(), track=cuts.track, rows=stray, span=span, floors=floors)
    return Layer(clusters=tuple(clusters), stray=stray, heights=heights)


def _shadow(wanted: Wanted, *, number: int) -> Solid:
    """All that a feature may remove at any height, and a margin."""
    edges = wanted.edges[number]
    each = [drawn(wanted, number=number, z=z) for z in _inside(wanted, number=number, edges=edges)]
    return solids.grown(solids.united([one for one in each if not one.is_empty]), by=_MARGIN)


def _covering(shadows: list[Solid]) -> list[int]:
    """Features that meet more than `_MANY` others."""
    first, _ = solids.meeting_pairs(shadows)
    count = np.bincount(first, minlength=len(shadows))
    return np.flatnonzero(count > _MANY + 1).tolist()


def _groups(shadows: dict[int, Solid]) -> list[_Group]:
    """Features joined as far as their shadows meet, in the order of their first members."""
    numbers = list(shadows)
    root = list(range(len(numbers)))
    for first, second in zip(*(side.tolist() for side in solids.meeting_pairs(list(shadows.values()))), strict=True):
        low, high = sorted((_root(root, first), _root(root, second)))
        root[high] = low
    joined: dict[int, list[int]] = {}
    for place, number in enumerate(numbers):
        joined.setdefault(_root(root, place), []).append(number)
    found = []
    for members in joined.values():
        shadow = solids.united([shadows[number] for number in members])
        found.append(_Group(members=tuple(members), shadow=shadow, box=solids.bounds(shadow)))
    return found


def _boxed(groups: list[_Group]) -> list[bool]:
    """Which groups may have their whole box as domain: the others' shadows and boxes so given stay clear of it."""
    shadows = [group.shadow for group in groups]
    boxes = [solids.box(group.box) for group in groups]
    crossed = {one for one, other in _pairs(boxes, shadows) if one != other}
    meeting: dict[int, list[int]] = {}
    for one, other in _pairs(boxes, boxes):
        meeting.setdefault(one, []).append(other)
    given = [False] * len(groups)
    for number in range(len(groups)):
        apart = not any(given[other] for other in meeting[number] if other != number)
        given[number] = number not in crossed and apart
    return given


def _pairs(shapes: list[Solid], others: list[Solid]) -> list[tuple[int, int]]:
    first, second = solids.meeting_pairs(shapes, others=others)
    return list(zip(first.tolist(), second.tolist(), strict=True))


def _inside(wanted: Wanted, *, number: int, edges: Sequence[Mm]) -> list[Mm]:
    found = []
    for lower, upper in itertools.pairwise(edges):
        if curved(wanted, number=number, z=(lower + upper) / 2.0):
            found += [lower, upper]
        else:
            found.append((lower + upper) / 2.0)
    return found


def _root(root: list[int], number: int) -> int:
    while root[number] != number:
        number = root[number]
    return number


def _heights(
    wanted: Wanted,
    *,
    members: tuple[int, ...],
    track: Track,
    rows: Ints,
    span: tuple[Mm, Mm],
    floors: Sequence[Mm],
) -> tuple[Height, ...]:
    """The heights of a cluster; ``floors`` are those at which the blank itself changes there."""
    breaks = set(span)
    breaks.update(z for z in floors if span[0] < z < span[1])
    breaks.update(z for number in members for z in wanted.edges[number] if span[0] < z < span[1])
    extra = _flute_tops(track, rows=rows)
    least = _least_flutes(track, rows=rows)
    asked = doubtful(wanted, members=members, track=track, rows=rows)
    found: list[Height] = []
    for lower, upper in itertools.pairwise(_distinct(sorted(breaks))):
        size = upper - lower
        curvy = any(curved(wanted, number=number, z=(lower + upper) / 2.0) for number in members)
        if size <= tolerance.WALL_PROOF + tolerance.GOUGE:
            found.append(Height(z=(lower + upper) / 2.0, left=size > 2.0 * tolerance.WALL_PROOF, depth=0.0 - lower))
            continue
        low, high = lower + tolerance.WALL_PROOF, upper - tolerance.GOUGE
        shares = _BETWEEN[max(least_size for least_size in _BETWEEN if least_size <= size)]
        between = {low + share * (high - low) for share in shares} if curvy else set()
        if least < size:
            between.update(np.linspace(low, high, int(np.ceil(size / (0.9 * least))) + 1)[1:-1].tolist())
        between.update(z for z in extra if low < z < high)
        between.update(z for z in asked if low < z < high)
        found.append(Height(z=low, left=True, depth=0.0 - lower))
        found.extend(Height(z=z, left=curvy, depth=0.0 - z) for z in sorted(between))
        found.append(Height(z=high, left=curvy, depth=0.0 - upper))
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
