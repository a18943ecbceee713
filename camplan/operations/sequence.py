"""The order of operations on a plate: few cutter changes, nothing before what it builds on.

A feature's operations keep their order.  A feature that starts below the plate's top waits until what lies above it
has been roughed.  Outlines wait for everything else.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from camplan.features.specs import OutlineSpec
from camplan.operations.records import Operation, Part


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Batch:
    """Operations done one after another with one cutter."""

    cutter: str
    operations: tuple[Operation, ...]


def batches(operations: Sequence[Operation]) -> tuple[Batch, ...]:
    """The operations in batches of one cutter.

    While any can be done with the cutter in hand, it stays; then comes the cutter with most to do at once, the widest
    of those, in the order of the plate.
    """
    waits = _waits(operations)
    open_ = set(range(len(operations)))
    found: list[Batch] = []
    hand: list[int] = []
    while open_:
        ready = [index for index in sorted(open_) if not waits[index] & open_]
        same = [index for index in ready if hand and operations[index].cutter.name == operations[hand[-1]].cutter.name]
        if same:
            hand.append(same[0])
            open_.discard(same[0])
            continue
        if hand:
            found.append(_batch(operations, indexes=hand))
        hand = [_next(operations, ready=ready)]
        open_.discard(hand[0])
    if hand:
        found.append(_batch(operations, indexes=hand))
    return tuple(found)


def _batch(operations: Sequence[Operation], *, indexes: list[int]) -> Batch:
    return Batch(cutter=operations[indexes[0]].cutter.name, operations=tuple(operations[index] for index in indexes))


def _next(operations: Sequence[Operation], *, ready: list[int]) -> int:
    """The first operation of the cutter that most of the ready operations want."""
    wanted: dict[str, int] = {}
    for index in ready:
        wanted[operations[index].cutter.name] = wanted.get(operations[index].cutter.name, 0) + 1
    return min(
        ready,
        key=lambda index: (
            _last(operations[index]),
            -wanted[operations[index].cutter.name],
            -operations[index].cutter.diameter,
            index,
        ),
    )


def _last(operation: Operation) -> bool:
    return isinstance(operation.feature.spec, OutlineSpec)


def _waits(operations: Sequence[Operation]) -> list[set[int]]:
    """For each operation those that must be done before it."""
    waits: list[set[int]] = [set() for _ in operations]
    for later, operation in enumerate(operations):
        name = operation.feature.spec.name
        for earlier, other in enumerate(operations):
            same = earlier < later and other.feature.spec.name == name
            above = (
                other.feature.spec.name != name
                and other.feature.top < operation.feature.top - 1e-9
                and other.feature.bottom >= operation.feature.top - 1e-9
                and other.part in (Part.AREA, Part.FLOOR)
            )
            parts = _last(operation) and not _last(other)
            if same or above or parts:
                waits[later].add(earlier)
    return waits
