"""Loose pieces joined into chains.

Ends that are close become one vertex; pieces that meet two by two are walked to closed or open chains.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from camplan import tolerance
from camplan.drawing import branches
from camplan.drawing.overlaps import without_overlaps
from camplan.drawing.repeats import without_repeats
from camplan.findings import Finding, Severity
from camplan.geometry.chains import Chain, Points, chain
from camplan.geometry.places import listed
from camplan.units import Mm

Ints = NDArray[np.int64]

_KEEP_BULGE = 0.41421356237309503  # tan(90° / 4)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joined:
    """What became of a layer's pieces."""

    closed: tuple[Chain, ...]
    open: tuple[Chain, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Flat:
    """All pieces one behind the other: piece k has the points ``first[k]`` to ``last[k]`` (inclusive).

    The segment from point i to i + 1 has the bulge ``bulges[i]`` if both are of one piece.
    """

    points: Points
    bulges: NDArray[np.float64]
    first: Ints
    last: Ints


def joined(pieces: Sequence[Chain], *, closed: Sequence[Chain], layer: str, within: Mm) -> Joined:
    """Open ``pieces`` joined where their ends are ``within`` of each other; ``closed`` chains stay as they are.

    A joined chain runs as the first drawn of its pieces does and a closed one starts with it.  Where more than two
    ends meet, loops are taken only if there is one way to.
    """
    findings: list[Finding] = []

    def say(code: str, severity: Severity, message: str) -> None:
        findings.append(Finding(severity=severity, code=code, message=f'layer "{layer}": {message}', where=layer))

    lengths = np.array([_extent(piece) for piece in pieces])
    nothing = [piece for piece, size in zip(pieces, lengths, strict=True) if size <= tolerance.SAME_POINT]
    kept = [piece for piece, size in zip(pieces, lengths, strict=True) if size > tolerance.SAME_POINT]
    whole = [path for path in closed if _wide(path)]
    once = without_repeats(kept, closed=whole, within=within)
    single = without_overlaps(once.pieces, closed=once.closed, within=within)
    repeats = [*once.dropped, *single.overlaps]
    if repeats:
        say(
            "duplicate",
            Severity.NOTE,
            f"{len(repeats)} curves lie on others and are taken once, at {listed(repeats)}",
        )
    walked = _walked(single.pieces, within=within)
    nothing.extend(walked.slivers)
    nothing.extend(path for path in closed if not _wide(path))
    if nothing:
        at = listed(piece.points[0] for piece in nothing)
        say("zero-length", Severity.NOTE, f"{len(nothing)} pieces without length are left out, at {at}")
    sorted_out = branches.resolved(walked.runs)
    if sorted_out.taken:
        at = listed(sorted_out.taken)
        say(
            "branch",
            Severity.CAUTION,
            f"more than two ends meet at {at}; loops and tails were told apart in the only way there is",
        )
    if sorted_out.left:
        at = listed(sorted_out.left)
        message = f"more than two ends meet at {at}, and loops could be taken in several ways: left open"
        say("branch-open", Severity.CAUTION, message)
    return Joined(
        closed=(*once.closed, *walked.loops, *sorted_out.loops), open=sorted_out.open, findings=tuple(findings)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Walked:
    loops: tuple[Chain, ...]
    runs: tuple[branches.Run, ...]
    slivers: tuple[Chain, ...]


def _walked(pieces: Sequence[Chain], *, within: Mm) -> _Walked:
    """Pieces followed from end to end through every vertex where exactly two meet."""
    if not pieces:
        return _Walked(loops=(), runs=(), slivers=())
    tips = np.empty((2 * len(pieces), 2))
    tips[0::2] = [piece.points[0] for piece in pieces]
    tips[1::2] = [piece.points[-1] for piece in pieces]
    short = np.array([_extent(piece) <= 2.0 * within for piece in pieces])
    labels = _nodes(tips, short=short, within=within)
    tiny = short & (labels[0::2] == labels[1::2])
    slivers = tuple(piece for piece, small in zip(pieces, tiny, strict=True) if small)
    if slivers:
        rest = _walked([piece for piece, small in zip(pieces, tiny, strict=True) if not small], within=within)
        return _Walked(loops=rest.loops, runs=rest.runs, slivers=(*slivers, *rest.slivers))
    count = np.bincount(labels)
    vertices = np.column_stack([np.bincount(labels, weights=tips[:, axis]) / count for axis in (0, 1)])
    flat = _snapped(pieces, tips=vertices[labels])
    partner = np.full(len(tips), -1, dtype=np.int64)
    order = np.argsort(labels, kind="stable")
    starts = np.concatenate(([0], np.cumsum(count)[:-1]))
    pairs = starts[count == 2]
    partner[order[pairs]], partner[order[pairs + 1]] = order[pairs + 1], order[pairs]
    loops: list[Chain] = []
    runs: list[branches.Run] = []
    for steps, closed in _runs(partner.tolist()):
        path = _assembled(flat, steps=steps, closed=closed)
        if closed:
            loops.append(path)
        else:
            start, end = int(labels[steps[0]]), int(labels[steps[-1] ^ 1])
            runs.append(branches.Run(path=path, start=start, end=end))
    return _Walked(loops=tuple(loops), runs=tuple(runs), slivers=())


def _nodes(tips: Points, *, short: NDArray[np.bool_], within: Mm) -> Ints:
    """A vertex number for each end.  Nearest ends first, and wider only where an end has met no other yet, so
    that pieces shorter than the tolerance are not swallowed; nor may a ``short`` piece meet itself that way."""
    # ends in the very same place first, however many there are of them
    exact = np.round(tips / tolerance.SAME_POINT).astype(np.int64)
    labels = np.unique(exact, axis=0, return_inverse=True)[1].reshape(-1)
    for reach in (tolerance.SAME_POINT, within / 100.0, within / 10.0, within):
        count = np.bincount(labels)
        lone = count == 1
        if not lone.any():
            break
        vertices = np.column_stack([np.bincount(labels, weights=tips[:, axis]) / count for axis in (0, 1)])
        # two searches: lone ends among themselves, and lone ends beside vertices that have met
        singles = np.flatnonzero(lone)
        tree = cKDTree(vertices[singles])
        pairs = singles[tree.query_pairs(reach, output_type="ndarray")]
        met = np.flatnonzero(~lone)
        if len(met):
            near, at = cKDTree(vertices[met]).query(vertices[singles], k=1, distance_upper_bound=reach)
            tip = np.empty(len(vertices), dtype=np.int64)
            tip[labels] = np.arange(len(tips))
            tip = tip[singles]
            hits = np.isfinite(near)
            hits[hits] &= ~(short[tip[hits] >> 1] & (labels[tip[hits] ^ 1] == met[at[hits]]))
            pairs = np.vstack((pairs, np.column_stack((singles[hits], met[at[hits]]))))
        if not len(pairs):
            continue
        links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(vertices),) * 2)
        labels = connected_components(links, directed=False)[1].astype(np.int64)[labels]
    return labels


def _snapped(pieces: Sequence[Chain], *, tips: Points) -> _Flat:
    """The pieces with their ends moved to ``tips``.

    Arcs of a quarter turn or more keep their bulge, shorter ones their radius: so neither the radius nor the
    middle of an arc moves by more than the ends do.
    """
    sizes = np.array([len(piece.points) for piece in pieces])
    last = np.cumsum(sizes) - 1
    first = last - sizes + 1
    points = np.vstack([piece.points for piece in pieces])
    bulges = np.zeros(len(points))
    inner = np.ones(len(points), dtype=bool)
    inner[last] = False
    bulges[inner] = np.concatenate([piece.bulges for piece in pieces])
    moved = points.copy()
    moved[first], moved[last] = tips[0::2], tips[1::2]
    changed = np.hypot(*(moved - points).T) > 1e-12
    touched = np.flatnonzero(
        inner & (changed | np.roll(changed, -1)) & (bulges != 0.0) & (np.abs(bulges) < _KEEP_BULGE)
    )
    if len(touched):
        bulge = bulges[touched]
        before = np.hypot(*(points[touched + 1] - points[touched]).T)
        after = np.hypot(*(moved[touched + 1] - moved[touched]).T)
        sine = np.clip(np.sin(2.0 * np.arctan(bulge)) * after / np.maximum(before, 1e-300), -1.0, 1.0)
        bulges[touched] = np.tan(np.arcsin(sine) / 2.0)
    return _Flat(points=moved, bulges=bulges, first=first, last=last)


def _runs(partner: list[int]) -> list[tuple[list[int], bool]]:
    """Runs of half pieces (2k: piece k forwards, 2k + 1: backwards), each with whether it closes.

    End 2k is the start of piece k, 2k + 1 its end; ``partner`` is the end met there, -1 for none.
    """
    seen = bytearray(len(partner) // 2)
    found: list[tuple[list[int], bool]] = []
    for piece in range(len(seen)):
        if seen[piece]:
            continue
        seen[piece] = 1
        steps = [2 * piece]
        ahead = partner[2 * piece + 1]
        while ahead >= 0 and not seen[ahead >> 1]:
            seen[ahead >> 1] = 1
            steps.append(ahead)
            ahead = partner[ahead ^ 1]
        if ahead == 2 * piece:
            found.append((steps, True))
            continue
        before: list[int] = []
        behind = partner[2 * piece]
        while behind >= 0 and not seen[behind >> 1]:
            seen[behind >> 1] = 1
            before.append(behind ^ 1)
            behind = partner[behind ^ 1]
        found.append((before[::-1] + steps, False))
    return found


def _assembled(flat: _Flat, *, steps: list[int], closed: bool) -> Chain:
    """One chain along the steps of a run."""
    at: list[int] = []
    via: list[int] = []
    signs: list[float] = []
    first, last = flat.first, flat.last
    for step in steps:
        low, high = int(first[step >> 1]), int(last[step >> 1])
        if step & 1:
            at.extend(range(high, low, -1))
            via.extend(range(high - 1, low - 1, -1))
            signs.extend([-1.0] * (high - low))
        else:
            at.extend(range(low, high))
            via.extend(range(low, high))
            signs.extend([1.0] * (high - low))
    if not closed:
        final = steps[-1] >> 1
        at.append(int(first[final] if steps[-1] & 1 else last[final]))
    return chain(flat.points[at], bulges=flat.bulges[via] * np.array(signs), closed=closed)


def _wide(path: Chain) -> bool:
    return float(np.ptp(path.points, axis=0).max()) > tolerance.SAME_POINT


def _extent(piece: Chain) -> float:
    if len(piece.points) == 2 and piece.bulges[0] == 0.0:
        (ax, ay), (bx, by) = piece.points.tolist()
        return float(max(abs(bx - ax), abs(by - ay)))
    if len(piece.points) < 2:
        return 0.0
    steps = np.hypot(*np.diff(piece.points, axis=0).T)
    return float((steps * np.maximum(1.0, np.abs(piece.bulges))).sum())
