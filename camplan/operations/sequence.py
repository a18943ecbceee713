"""The order of operations on a plate: as few cutter changes as there can be, nothing before what it builds on.

Faces come first and outlines last, edges after what they follow; a feature that starts below the plate's top waits
until what lies above it is cleared.  Among orders with as few changes, pockets come before grooves, holes and marks,
and wide cutters before narrow ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from camplan.features.records import Feature
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.operations.records import Operation
from camplan.operations.ties import Ties, ties, waits

_MOST_STATES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Operations done one after another with one cutter."""

    cutter: str
    operations: tuple[Operation, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """Batches, and whether it is sure that there can be no fewer of them."""

    batches: tuple[Batch, ...]
    fewest: bool


def batches(operations: Sequence[Operation]) -> tuple[Batch, ...]:
    """The operations in as few batches of one cutter as there can be."""
    features = {operation.feature.spec.name: operation.feature for operation in operations}
    return ordered(operations, known=ties(tuple(features.values()))).batches


def ordered(operations: Sequence[Operation], *, known: Ties) -> Order:
    """The batches, for features whose ties are known."""
    needs = waits(operations, known=known)
    search = _Search(names=[one.cutter.name for one in operations], needs=needs, seen={}, spent=[0])
    taken = _fewest(search, done=0)
    groups: list[list[int]] = []
    done = 0
    for name in taken:
        now = _with(search, name=name, done=done)
        groups.append([place for place in range(len(operations)) if (now & ~done) >> place & 1])
        done = now
    found = [_in_order(group, needs=needs) for group in _settled(groups, operations=operations, needs=needs)]
    return Order(
        batches=tuple(
            Batch(cutter=operations[group[0]].cutter.name, operations=tuple(operations[place] for place in group))
            for group in found
        ),
        fewest=search.spent[0] <= _MOST_STATES,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """Cutters and needs of operations by place; ``seen``: what is best from a set of done ones on; ``spent``: the
    number of sets that were looked at."""

    names: list[str]
    needs: list[int]
    seen: dict[int, tuple[str, ...]]
    spent: list[int]


def _fewest(search: _Search, *, done: int) -> tuple[str, ...]:
    """The cutters of the fewest batches that do what is not done yet.

    A cutter that can finish all of its operations at once is taken at once: some batch of its own it must have, and to
    have it earlier hinders nothing.  Only where there is none, every cutter that can do something is tried.
    """
    head: list[str] = []
    whole = (1 << len(search.names)) - 1
    while done != whole:
        able = {name: _with(search, name=name, done=done) for name in _ready(search, done=done)}
        full = [name for name, now in able.items() if _finished(search, name=name, done=now)]
        if not full:
            return (*head, *_tried(search, able=able, done=done))
        head.append(full[0])
        done = able[full[0]]
    return tuple(head)


def _tried(search: _Search, *, able: dict[str, int], done: int) -> tuple[str, ...]:
    known = search.seen.get(done)
    if known is not None:
        return known
    search.spent[0] += 1
    found: tuple[str, ...] | None = None
    for name, now in able.items():
        tail = (name, *_fewest(search, done=now))
        if found is None or len(tail) < len(found):
            found = tail
        if search.spent[0] > _MOST_STATES:
            break
    assert found is not None
    search.seen[done] = found
    return found


def _ready(search: _Search, *, done: int) -> list[str]:
    """The cutters for which there is something to do, in the order of operations."""
    found = {
        name: None
        for place, name in enumerate(search.names)
        if not done >> place & 1 and not search.needs[place] & ~done
    }
    return list(found)


def _with(search: _Search, *, name: str, done: int) -> int:
    """What is done once a cutter has done all that it can."""
    waiting = [place for place, other in enumerate(search.names) if other == name and not done >> place & 1]
    while waiting:
        later = []
        for place in waiting:
            if search.needs[place] & ~done:
                later.append(place)
            else:
                done |= 1 << place
        if len(later) == len(waiting):
            break
        waiting = later
    return done


def _finished(search: _Search, *, name: str, done: int) -> bool:
    return all(done >> place & 1 for place, other in enumerate(search.names) if other == name)


def _settled(groups: list[list[int]], *, operations: Sequence[Operation], needs: list[int]) -> list[list[int]]:
    """The same batches in the order of the plate, as far as they do not wait for each other."""
    waiting = list(groups)
    done = 0
    found: list[list[int]] = []
    while waiting:
        ready = []
        started: set[str] = set()
        for group in waiting:
            name = operations[group[0]].cutter.name
            inside = sum(1 << place for place in group)
            if name not in started and not any(needs[place] & ~(done | inside) for place in group):
                ready.append(group)
            started.add(name)
        group = min(ready, key=lambda one: _key(one, operations=operations))
        waiting.remove(group)
        done |= sum(1 << place for place in group)
        found.append(group)
    return found


def _key(group: list[int], *, operations: Sequence[Operation]) -> tuple[int, float, int]:
    first = min(rank(operations[place].feature) for place in group)
    return first, -operations[group[0]].cutter.diameter, group[0]


def _in_order(group: list[int], *, needs: list[int]) -> list[int]:
    """A batch's operations as they are listed, each after what it needs."""
    waiting, found = list(group), []
    left = sum(1 << place for place in group)
    while waiting:
        place = next(one for one in waiting if not needs[one] & left)
        waiting.remove(place)
        left &= ~(1 << place)
        found.append(place)
    return found


def rank(feature: Feature) -> int:
    """The place of a feature's kind on a plate: faces first, outlines last."""
    match feature.spec:
        case FaceSpec():
            return 0
        case PocketSpec():
            return 1
        case GrooveSpec():
            return 2
        case HoleSpec():
            return 3
        case MarkSpec():
            return 4
        case OutlineSpec():
            return 5
        case EdgeSpec():
            return 6
