"""Lines that lie partly on others of the same direction, and arcs on the same circle."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from camplan.geometry import planar
from camplan.geometry.chains import Chain, Points, chain, ends
from camplan.units import Mm

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FULL = 2.0 * math.pi
_BOXES = 48


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Single:
    """Pieces that lie on no other, and a place on each stretch that did."""

    pieces: tuple[Chain, ...]
    overlaps: tuple[tuple[Mm, Mm], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Segments:
    """Segments of all chains, one row each; ``owner`` numbers the piece, -1 for closed chains, which stay."""

    start: Points
    end: Points
    bulge: Floats
    centre: Points
    radius: Floats
    sweep: Floats
    owner: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spans:
    """Members of one line or circle as stretches of it, in mm along it: from ``low`` by ``size``.

    ``first`` and ``last`` are the ends of each at ``low`` and at ``low + size``; ``around`` is the length of the
    circle, infinite for a line; ``centre`` the circle's centre.
    """

    low: Floats
    size: Floats
    first: Points
    last: Points
    around: float
    centre: Points


def without_overlaps(pieces: Sequence[Chain], *, closed: Sequence[Chain], within: Mm) -> Single:
    """The pieces with every stretch that lies on another curve taken once; closed chains are left whole.

    Stretches shorter than twice ``within`` are no overlap: so far the ends of neighbours may reach over.
    """
    if not pieces:
        return Single(pieces=(), overlaps=())
    table = _segments(pieces, closed=closed)
    pairs = _overlapping(table, within=within)
    if not len(pairs):
        return Single(pieces=tuple(pieces), overlaps=())
    count = len(table.bulge)
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    groups = connected_components(links, directed=False)[1]
    involved = np.unique(pairs)
    tips = cKDTree(np.vstack((table.start, table.end)))
    made: dict[int, list[Chain]] = {}
    overlaps: list[tuple[Mm, Mm]] = []
    order = involved[np.lexsort((involved, groups[involved]))]
    for members in np.split(order, np.flatnonzero(np.diff(groups[order])) + 1):
        if np.all(table.owner[members] < 0):
            continue
        kept, twice = _taken_once(table, members=members, tips=tips, within=within)
        overlaps.extend(twice)
        made.setdefault(int(table.owner[members].max()), []).extend(kept)
    return Single(pieces=_put_together(pieces, table=table, involved=involved, made=made), overlaps=tuple(overlaps))


def _put_together(
    pieces: Sequence[Chain], *, table: _Segments, involved: Ints, made: dict[int, list[Chain]]
) -> tuple[Chain, ...]:
    """The pieces in their order, less the segments involved, with what was made of these."""
    removed: dict[int, list[int]] = {}
    first = np.searchsorted(table.owner[table.owner >= 0], np.arange(len(pieces)))
    for segment in involved.tolist():
        owner = int(table.owner[segment])
        if owner >= 0:
            removed.setdefault(owner, []).append(segment - int(first[owner]))
    result: list[Chain] = []
    for number, piece in enumerate(pieces):
        if number in removed:
            cuts = [-1, *removed[number], len(piece.bulges)]
            for before, after in itertools.pairwise(cuts):
                if after > before + 1:
                    part = piece.points[before + 1 : after + 1]
                    result.append(chain(part, bulges=piece.bulges[before + 1 : after]))
        else:
            result.append(piece)
        result.extend(made.get(number, ()))
    return tuple(result)


def _segments(pieces: Sequence[Chain], *, closed: Sequence[Chain]) -> _Segments:
    paths = [*pieces, *closed]
    tips = [ends(path) for path in paths]
    start, end = np.vstack([tip[0] for tip in tips]), np.vstack([tip[1] for tip in tips])
    bulge = np.concatenate([path.bulges for path in paths])
    owner = np.repeat([*range(len(pieces)), *[-1] * len(closed)], [len(path.bulges) for path in paths])
    found = _arcs_of(start, end=end, bulge=bulge)
    return _Segments(start=start, end=end, bulge=bulge, owner=owner, **found)


def _arcs_of(start: Points, *, end: Points, bulge: Floats) -> dict[str, Floats]:
    """Centre, radius and sweep of loose segments."""
    half = (end - start) / 2.0
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (1.0 - bulge**2) / (2.0 * bulge)
        centre = (start + end) / 2.0 + along[:, None] * np.column_stack((-half[:, 1], half[:, 0]))
        radius = np.hypot(*half.T) * (1.0 + bulge**2) / (2.0 * np.abs(bulge))
    return {"centre": centre, "radius": np.where(bulge == 0.0, 0.0, radius), "sweep": 4.0 * np.arctan(bulge)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Boxed:
    """Rectangles that hold the segments, long lines in several: ``low`` and ``high`` corners, and whose each is."""

    low: Points
    high: Points
    segment: Ints


def _boxed(table: _Segments, *, within: Mm) -> _Boxed:
    chord = np.hypot(*(table.end - table.start).T)
    extent = float(np.ptp(np.vstack((table.start, table.end)), axis=0).max())
    pieces = np.clip(np.ceil(chord * _BOXES / max(extent, within)), 1, _BOXES).astype(np.int64)
    pieces[table.bulge != 0.0] = 1
    segment = np.repeat(np.arange(len(chord)), pieces)
    part = np.arange(len(segment)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    step = (table.end - table.start)[segment] / pieces[segment][:, None]
    start = table.start[segment] + step * part[:, None]
    bulging = np.where(np.abs(table.bulge) > 1.0, 2.0 * table.radius, np.abs(table.bulge) * chord / 2.0)
    spare = bulging[segment][:, None] + within
    return _Boxed(
        low=np.minimum(start, start + step) - spare, high=np.maximum(start, start + step) + spare, segment=segment
    )


def _overlapping(table: _Segments, *, within: Mm) -> Ints:
    """(n, 2) pairs of segments that share a stretch.  Of two such, one has an end on the other."""
    tips = np.vstack((table.start, table.end))
    count = len(table.bulge)
    boxed = _boxed(table, within=within)
    straight = table.bulge == 0.0
    chord = table.end - table.start
    size = np.hypot(*chord.T)
    along = chord / np.maximum(size, 1e-300)[:, None]
    keys: list[Ints] = [np.zeros(0, dtype=np.int64)]
    for hits, boxes in planar.inside_boxes(tips, low=boxed.low, high=boxed.high):
        one, other = hits % count, boxed.segment[boxes]
        turned = np.abs(along[one, 0] * along[other, 1] - along[one, 1] * along[other, 0])
        parallel = turned * np.minimum(size[one], size[other]) <= 2.0 * within
        fitting = (one != other) & (straight[one] == straight[other]) & (parallel | ~straight[one])
        fitting &= (table.owner[one] >= 0) | (table.owner[other] >= 0)
        one, other = one[fitting], other[fitting]
        keys.append(np.minimum(one, other) * count + np.maximum(one, other))
    key = np.unique(np.concatenate(keys))
    pairs = np.column_stack((key // count, key % count))
    lines = straight[pairs[:, 0]]
    return np.vstack(
        (
            pairs[lines][_lines_overlap(table, pairs=pairs[lines], within=within)],
            pairs[~lines][_arcs_overlap(table, pairs=pairs[~lines], within=within)],
        )
    )


def _longer_first(pairs: Ints, *, size: Floats) -> tuple[Ints, Ints]:
    swap = size[pairs[:, 1]] > size[pairs[:, 0]]
    return np.where(swap, pairs[:, 1], pairs[:, 0]), np.where(swap, pairs[:, 0], pairs[:, 1])


def _lines_overlap(table: _Segments, *, pairs: Ints, within: Mm) -> NDArray[np.bool_]:
    size = np.hypot(*(table.end - table.start).T)
    a, b = _longer_first(pairs, size=size)
    along = (table.end[a] - table.start[a]) / np.maximum(size[a], 1e-300)[:, None]
    to_start, to_end = table.start[b] - table.start[a], table.end[b] - table.start[a]
    t0, t1 = np.sum(to_start * along, axis=1), np.sum(to_end * along, axis=1)
    h0, h1 = (along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0] for to in (to_start, to_end))
    low, high = np.maximum(0.0, np.minimum(t0, t1)), np.minimum(size[a], np.maximum(t0, t1))
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = (h1 - h0) / (t1 - t0)
        aside = np.maximum(np.abs(h0 + (low - t0) * slope), np.abs(h0 + (high - t0) * slope))
    return np.asarray((high - low > 2.0 * within) & (aside <= within))


def _arcs_overlap(table: _Segments, *, pairs: Ints, within: Mm) -> NDArray[np.bool_]:
    """The shorter arc's ends and middle lie on the longer one's circle, and their angles share a stretch."""
    if not len(pairs):
        return np.zeros(0, dtype=bool)
    a, b = _longer_first(pairs, size=np.abs(table.sweep) * table.radius)
    centre, radius = table.centre[a], table.radius[a]
    points = (table.start[b], _middles(table, which=b), table.end[b])
    off = np.max([np.abs(np.hypot(*(point - centre).T) - radius) for point in points], axis=0)
    longer, shorter = _turned(table, which=a, centre=centre), _turned(table, which=b, centre=centre)
    low = np.mod(shorter.low - longer.low, _FULL)
    high = low + shorter.size
    shared = np.maximum(np.minimum(longer.size, high) - low, np.minimum(longer.size, high - _FULL))
    return np.asarray((off <= within) & (shared * radius > 2.0 * within))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Turned:
    """Arcs seen from a centre: counter-clockwise from the angle ``low`` by ``size``; ``first`` and ``last`` tips."""

    low: Floats
    size: Floats
    first: Points
    last: Points


def _turned(table: _Segments, *, which: Ints, centre: Points) -> _Turned:
    start, end = table.start[which], table.end[which]
    angles = [_angle(point, centre=centre) for point in (start, _middles(table, which=which), end)]
    turn = _wrapped(angles[1] - angles[0]) + _wrapped(angles[2] - angles[1])
    forward = turn >= 0.0
    return _Turned(
        low=np.where(forward, angles[0], angles[2]),
        size=np.abs(turn),
        first=np.where(forward[:, None], start, end),
        last=np.where(forward[:, None], end, start),
    )


def _middles(table: _Segments, *, which: Ints) -> Points:
    start, end = table.start[which], table.end[which]
    chord = end - start
    sideways = np.column_stack((chord[:, 1], -chord[:, 0]))
    return np.asarray((start + end) / 2.0 + table.bulge[which][:, None] / 2.0 * sideways)


def _wrapped(angle: Floats) -> Floats:
    return np.asarray(np.mod(angle + math.pi, _FULL) - math.pi)


def _angle(points: Points, *, centre: Points) -> Floats:
    return np.asarray(np.arctan2(points[:, 1] - centre[:, 1], points[:, 0] - centre[:, 0]))


def _spans(table: _Segments, *, members: Ints) -> _Spans:
    start, end = table.start[members], table.end[members]
    if np.all(table.bulge[members] == 0.0):
        longest = int(np.argmax(np.hypot(*(end - start).T)))
        along = (end - start)[longest] / np.hypot(*(end - start)[longest])
        t0, t1 = (start - start[longest]) @ along, (end - start[longest]) @ along
        forward = (t1 >= t0)[:, None]
        return _Spans(
            low=np.minimum(t0, t1),
            size=np.abs(t1 - t0),
            first=np.where(forward, start, end),
            last=np.where(forward, end, start),
            around=math.inf,
            centre=np.full(2, np.nan),
        )
    longest = int(members[np.argmax(np.abs(table.sweep[members]) * table.radius[members])])
    centre, radius = table.centre[longest], float(table.radius[longest])
    seen = _turned(table, which=members, centre=centre[None, :])
    return _Spans(
        low=np.mod(seen.low, _FULL) * radius,
        size=seen.size * radius,
        first=seen.first,
        last=seen.last,
        around=_FULL * radius,
        centre=centre,
    )


def _taken_once(
    table: _Segments, *, members: Ints, tips: cKDTree, within: Mm
) -> tuple[list[Chain], list[tuple[Mm, Mm]]]:
    """One line or circle: the stretches between all ends on it, each once; and where there were several."""
    spans = _spans(table, members=members)
    places, marks = _marks(spans, within=within)
    count = len(table.bulge)
    own = set(members.tolist())
    needed = [any(hit % count not in own for hit in tips.query_ball_point(mark, within)) for mark in marks]
    loose = table.owner[members] >= 0
    circle = math.isfinite(spans.around)
    lengths = np.diff(places, append=places[0] + spans.around if circle else places[-1])
    kept: list[bool] = []
    overlaps: list[tuple[Mm, Mm]] = []
    for place, mark, size in zip(places, marks, lengths, strict=True):
        offset = place + size / 2.0 - spans.low
        covers = ((offset % spans.around if circle else offset) <= spans.size) & (circle | (offset >= 0.0))
        covers &= size > 0.0
        stays = bool(covers[~loose].any())
        layers = int(covers[loose].sum())
        kept.append(layers > 0 and not stays)
        if layers > 1 or (layers and stays):
            overlaps.append((float(mark[0]), float(mark[1])))
    return _stretches(spans, places=places, marks=marks, kept=kept, needed=needed), overlaps


def _marks(spans: _Spans, *, within: Mm) -> tuple[Floats, Points]:
    """The ends of all members in order along the line or circle, those within the tolerance as one."""
    places = np.concatenate((spans.low, spans.low + spans.size))
    if math.isfinite(spans.around):
        places = np.mod(places, spans.around)
    points = np.vstack((spans.first, spans.last))
    order = np.argsort(places, kind="stable")
    places, points = places[order], points[order]
    fresh = np.concatenate(([True], np.diff(places) > within))
    if math.isfinite(spans.around) and fresh.sum() > 1 and places[0] + spans.around - places[-1] <= within:
        fresh[np.flatnonzero(fresh)[-1]] = False
    return places[fresh], points[fresh]


def _stretches(spans: _Spans, *, places: Floats, marks: Points, kept: list[bool], needed: list[bool]) -> list[Chain]:
    """Chains along the kept stretches, those that follow each other as one unless something else meets there."""
    count = len(places)
    breaks = [needed[k] or not (kept[k - 1] and kept[k]) for k in range(count)]
    if not any(breaks):
        breaks[0] = True
    result: list[Chain] = []
    starts = [k for k in range(count) if breaks[k] and kept[k]]
    for k in starts:
        stop = k + 1
        while not breaks[stop % count]:
            stop += 1
        begin, finish = marks[k], marks[stop % count]
        if not math.isfinite(spans.around):
            result.append(chain([begin, finish]))
            continue
        length = places[stop % count] - places[k]
        length = length if length > 0.0 else length + spans.around
        sweep = _FULL * length / spans.around
        steps = max(math.ceil(sweep / math.pi - 1e-9), 1)
        turns = sweep * np.arange(1, steps) / steps
        arm = begin - spans.centre
        between = spans.centre + np.column_stack(
            (arm[0] * np.cos(turns) - arm[1] * np.sin(turns), arm[0] * np.sin(turns) + arm[1] * np.cos(turns))
        )
        result.append(chain(np.vstack((begin, between, finish)), bulges=np.full(steps, math.tan(sweep / steps / 4.0))))
    return result
