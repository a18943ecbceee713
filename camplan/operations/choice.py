"""What was chosen from, said: the cutters taken, what the plate takes with them, and what others would cost."""

from collections.abc import Sequence
from dataclasses import replace

from camplan.operations.alternatives import Choice, FeatureChoice, FeatureWay, Set, listed, minutes
from camplan.operations.candidates import Task
from camplan.operations.records import Operation
from camplan.operations.selection import Picked, Selection
from camplan.operations.shop import FLATS, Shop, change_seconds, why

SHOWN = 4
"""Other ways that are told of each feature."""


def choice_of(picked: Selection, *, tasks: Sequence[Task], shop: Shop) -> Choice:
    """A selection as records that a report can say."""
    return Choice(
        taken=_set(picked.best),
        single=_set(picked.single) if picked.single is not None else None,
        without={name: _set(one) if one is not None else None for name, one in picked.without.items()},
        features=tuple(
            _feature_choice(task, place=place, picked=picked) for place, task in enumerate(tasks) if task.flat
        ),
        candidates=picked.candidates,
        dominated=picked.dominated,
        left_out=picked.left_out,
        change=change_seconds(shop),
        slack=picked.slack,
    )


def _set(picked: Picked) -> Set:
    return Set(cutters=picked.flats, cutting=picked.seconds, programs=picked.programs, total=picked.total)


def _feature_choice(task: Task, *, place: int, picked: Selection) -> FeatureChoice:
    ways = [FeatureWay(cutters=tuple(picked.names_of(way)), seconds=way.seconds) for way in picked.ways[place]]
    taken = picked.best.ways[place]
    mine = FeatureWay(cutters=tuple(picked.names_of(taken)), seconds=taken.seconds)
    others = [way for way in ways if way.cutters != mine.cutters][:SHOWN]
    return FeatureChoice(feature=task.feature.spec.name, taken=mine, others=tuple(others))


def with_reasons(operations: Sequence[Operation], *, choice: Choice) -> tuple[Operation, ...]:
    """The operations, those of flat cutters with a reason that says what the plate would take without them."""
    return tuple(
        replace(
            one, reasons=(*one.reasons[:1], why("choice", sentence(one.cutter.name, choice=choice)), *one.reasons[1:])
        )
        if one.cutter.kind in FLATS and one.cutter.name in choice.without
        else one
        for one in operations
    )


def sentence(cutter: str, *, choice: Choice) -> str:
    """Why a cutter is taken: what the plate takes with it and without it."""
    head = f"{cutter}: the plate takes {minutes(choice.taken.total)} with it, changes included"
    other = choice.without[cutter]
    if other is None:
        return f"{head}; no other listed cutter reaches all that it does"
    names = listed(other.cutters)
    alone = f"{names} alone" if len(other.cutters) == 1 else f"{names} without it"
    return f"{head}; {alone} would take {minutes(other.total)}"
