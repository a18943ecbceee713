"""Cutters that no plate needs because another does all that they do, at least as fast.

A cutter b may be left out for a if, in every task, a takes b's place in each step without taking longer: clearing from
the full, clearing what any other left, leaving no more time to any that follows, cutting the wall, ending a relay.
Then any plan with b becomes, with a in its place, one that takes no longer: a relay x, b, y becomes x, a, y; where a
is in the relay already, b's step falls out, since what x leaves takes a no longer than b and what a leaves takes y no
longer.  Operations keep their order, so no cutter change is added where nothing lies beneath a figure; what does may
have to wait for a later step then, and the choice says that it is not sure to be the least.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.operations.alternatives import Domination
from camplan.operations.candidates import Option, Task
from camplan.operations.relays import Steps
from camplan.units import Seconds

_SAME: Seconds = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The cutters that remain, widest first, and those that are left out."""

    cutters: tuple[Cutter, ...]
    dominated: tuple[Domination, ...]


def undominated(tasks: Sequence[Task]) -> Kept:
    """The flat cutters that any task may use, less those that another dominates."""
    kept = list(flats_of(tasks))
    found: list[Domination] = []
    for cutter in reversed(kept.copy()):
        by = next(
            (other for other in kept if other is not cutter and _dominated(cutter.name, by=other.name, tasks=tasks)),
            None,
        )
        if by is not None:
            kept.remove(cutter)
            found.append(Domination(cutter=cutter.name, by=by.name))
    return Kept(cutters=tuple(kept), dominated=tuple(reversed(found)))


def flats_of(tasks: Sequence[Task]) -> tuple[Cutter, ...]:
    """The flat cutters that any task may use, widest first."""
    found: dict[str, Cutter] = {}
    for task in tasks:
        if task.room is not None:
            found.update((cutter.name, cutter) for cutter in task.room.steps.cutters)
        for option in task.options:
            found.update((one.cutter.name, one.cutter) for one in option.operations if one.cutter.name in option.flats)
    return tuple(sorted(found.values(), key=lambda cutter: (-cutter.diameter, -cutter.reach, cutter.name)))


def _dominated(cutter: str, *, by: str, tasks: Sequence[Task]) -> bool:
    return all(
        _by_options(task.options, cutter=cutter, by=by)
        and (task.room is None or dominates(task.room.steps, by=by, cutter=cutter))
        for task in tasks
    )


def _by_options(options: Sequence[Option], *, cutter: str, by: str) -> bool:
    for option in options:
        if cutter not in option.flats:
            continue
        swapped = tuple(by if name == cutter else name for name in option.flats)
        if not any(other.flats == swapped and other.seconds <= option.seconds + _SAME for other in options):
            return False
    return True


def dominates(steps: Steps, *, by: str, cutter: str) -> bool:
    """Whether ``by`` takes a cutter's place in every relay of some steps without taking longer."""
    names = [one.name for one in steps.cutters]
    if cutter not in names:
        return True
    if by not in names:
        return False
    a, b = names.index(by), names.index(cutter)
    others = [place for place in range(len(names)) if place not in (a, b)]
    return bool(
        steps.first[a] <= steps.first[b] + _SAME
        and np.all(steps.rest[others, a] <= steps.rest[others, b] + _SAME)
        and np.all(steps.rest[a, others] <= steps.rest[b, others] + _SAME)
        and steps.wall[a] <= steps.wall[b] + _SAME
        and steps.last[a] >= steps.last[b]
        and steps.after[a] >= steps.after[b]
    )
