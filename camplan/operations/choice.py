"""What was chosen from, said: the cutters taken, what the plate takes with them, and what others would cost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.operations.candidates import Task
from camplan.operations.dominance import Domination
from camplan.operations.records import Operation
from camplan.operations.selection import Picked, Selection
from camplan.operations.shop import FLATS, Shop, change_seconds, why
from camplan.units import S_PER_MIN, Seconds

SHOWN = 4
"""Other ways that are told of each feature."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """Flat cutters for a whole plate: seconds of cutting as expected, all programs, those of other cutters too, and the
    whole time with a change before each program."""

    cutters: tuple[str, ...]
    cutting: Seconds
    programs: int
    total: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureWay:
    """Flat cutters for one feature and the seconds that they take there, without changes."""

    cutters: tuple[str, ...]
    seconds: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureChoice:
    """The way taken for a feature, and the fastest others, each with other cutters."""

    feature: str
    taken: FeatureWay
    others: tuple[FeatureWay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """``single``: the best with one flat cutter; ``without``: by cutter taken, the best without it; None where that
    cannot be done.  ``change``: seconds of one change; ``slack``: how much less the least could be, 0 if this is it.
    """

    taken: Set
    single: Set | None
    without: dict[str, Set | None]
    features: tuple[FeatureChoice, ...]
    candidates: tuple[str, ...]
    dominated: tuple[Domination, ...]
    left_out: tuple[str, ...]
    change: Seconds
    slack: Seconds


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


def listed(names: Sequence[str]) -> str:
    """Names in a row, the last two joined by "and"."""
    return " and ".join((*([", ".join(names[:-1])] if names[:-1] else []), *names[-1:]))


def minutes(seconds: Seconds) -> str:
    """A time to compare: minutes to a tenth."""
    return f"{seconds / S_PER_MIN:.1f} min"
