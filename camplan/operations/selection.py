"""The set of flat cutters with which a whole plate takes the least machine time, cutter changes included.

Every set of up to `MOST` candidates is a possible answer.  For each set the work cannot take less than every task
by its fastest way within the set, and a change for every cutter; sets are looked at in the order of that bound, the
ways of one set by branch and bound, and the search ends when no bound is below what was found.  So the answer is the
least of all, by the times expected, and never more than the best single cutter's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.operations.alternatives import Domination
from camplan.operations.candidates import Task
from camplan.operations.dominance import Kept, flats_of, undominated
from camplan.operations.pocket import relay_operations
from camplan.operations.records import Operation
from camplan.operations.relays import Steps, best_within, least, members, relays
from camplan.operations.sequence import ordered
from camplan.operations.shop import Shop, change_seconds
from camplan.operations.ties import Ties
from camplan.units import Seconds

MOST = 12
"""With more cutters than this, dominated ones are left out; with more candidates still, the least promising are, and a
bound says what that may cost."""
_LEAVES, _ALL_LEAVES = 400, 4000
"""Ways that are weighed for one set, and for all: with more, a bound says what might be spared."""
_SAME: Seconds = 1e-6
_ROOM = -1

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Way:
    """One way to cut a task: the set of candidates that it uses, its seconds, and where it is from: an option's
    place, or a relay of the room's own cutters."""

    flats: int
    seconds: Seconds
    option: int
    relay: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picked:
    """A way for every task, in the order of the tasks; ``seconds`` of cutting, ``programs`` in all settings."""

    ways: tuple[Way, ...]
    seconds: Seconds
    programs: int
    total: Seconds
    flats: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Selection:
    """``best``, and for comparison: ``single``, the best with one flat cutter (None: one is not enough); ``without``,
    for each cutter of the best, the best that does without it (None: it cannot be done without).

    ``slack``: how much less the least could be, 0 where it is proven that ``best`` is the least.
    """

    best: Picked
    single: Picked | None
    without: dict[str, Picked | None]
    candidates: tuple[str, ...]
    dominated: tuple[Domination, ...]
    left_out: tuple[str, ...]
    slack: Seconds
    ways: tuple[tuple[Way, ...], ...]
    """For each task its ways, fastest first, none with more cutters than another that is as fast."""

    def names_of(self, way: Way) -> tuple[str, ...]:
        """The flat cutters of a way, widest first."""
        return tuple(self.candidates[place] for place in members(way.flats))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Work:
    """All tasks with their ways by falling merit, bounds for every set, and what orders need."""

    tasks: tuple[Task, ...]
    ways: tuple[tuple[Way, ...], ...]
    settings: tuple[tuple[int, ...], ...]
    known: Ties
    shop: Shop
    names: tuple[str, ...]
    bounds: Floats
    made: dict[tuple[int, int, int], tuple[Operation, ...]]
    spent: list[int]


def selected(tasks: Sequence[Task], *, settings: Sequence[Sequence[str]], known: Ties, shop: Shop) -> Selection:
    """The best ways for tasks that are cut in ``settings``, each the names of the features that are cut in it."""
    every_one = flats_of(tasks)
    kept = undominated(tasks) if len(every_one) > MOST else Kept(cutters=every_one, dominated=())
    names, left_out = _candidates(kept.cutters, tasks=tasks)
    inside = tuple(
        tuple(place for place, task in enumerate(tasks) if task.feature.spec.name in named) for named in settings
    )
    ways = tuple(_ways(task, names=names) for task in tasks)
    covering = frozenset().union(*known.above.values())
    work = _Work(
        tasks=tuple(tasks),
        ways=tuple(
            one if task.feature.spec.name in covering else _worthwhile(one)
            for task, one in zip(tasks, ways, strict=True)
        ),
        settings=inside,
        known=known,
        shop=shop,
        names=names,
        bounds=_bounds(tasks, ways=ways, settings=inside, count=len(names), shop=shop),
        made={},
        spent=[0],
    )
    every = (1 << len(names)) - 1
    best, lowest = _search(work, sets=np.arange(every + 1))
    work.spent[0] = 0
    assert best is not None, "no set of cutters does every task"
    sizes = np.array([number.bit_count() for number in range(every + 1)])
    single, _ = _search(work, sets=np.flatnonzero(sizes <= 1))
    used = set().union(*(members(way.flats) for way in best.ways))
    without = {
        names[place]: _search(work, sets=np.flatnonzero(~(np.arange(every + 1) >> place) & 1))[0]
        for place in sorted(used)
    }
    loose = left_out or (kept.dominated and covering)
    slack = best.total - (_floor(tasks, settings=inside, shop=shop) if loose else lowest)
    return Selection(
        best=best,
        single=single,
        without=without,
        candidates=names,
        dominated=kept.dominated,
        left_out=left_out,
        slack=slack if slack > _SAME else 0.0,
        ways=work.ways,
    )


def operations_of(task: Task, *, way: Way, shop: Shop) -> tuple[Operation, ...]:
    """The operations of a task cut in one way."""
    if way.option != _ROOM:
        return task.options[way.option].operations
    assert task.room is not None
    return relay_operations(task.room, relay=way.relay, purpose=task.purpose, shop=shop)


def _candidates(cutters: Sequence[Cutter], *, tasks: Sequence[Task]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The names of the candidates, and of those that are left out because there are too many: kept are, task by task
    in turn, the cutters of its fastest relay, its narrowest one, and then the fastest from the full."""
    names = [cutter.name for cutter in cutters]
    if len(names) <= MOST:
        return tuple(names), ()
    wanted: dict[str, None] = {}
    listed = [_by_merit(task, names=names) for task in tasks]
    for turn in range(max(map(len, listed))):
        for merits in listed:
            wanted.update(dict.fromkeys(merits[turn : turn + 1]))
    needed = [name for name in wanted if any(_only_by(task, name=name) for task in tasks)]
    kept = set([*needed, *(name for name in wanted if name not in needed)][: max(MOST, len(needed))])
    return tuple(name for name in names if name in kept), tuple(name for name in names if name not in kept)


def _steps_of(task: Task) -> tuple[Steps, ...]:
    return (task.room.steps,) if task.room is not None else ()


def _only_by(task: Task, *, name: str) -> bool:
    """Whether nothing but one cutter can do a task, or finish it."""
    ends = {one.cutters[place].name for one in _steps_of(task) for place in np.flatnonzero(one.last).tolist()}
    ends |= {option.flats[-1] for option in task.options if option.flats}
    free = any(not option.flats for option in task.options)
    return not free and ends == {name}


def _by_merit(task: Task, *, names: Sequence[str]) -> list[str]:
    fixed = sorted((option for option in task.options if option.flats), key=lambda option: option.seconds)
    found = [name for option in fixed for name in option.flats]
    for steps in _steps_of(task):
        fastest = np.argsort(steps.first, kind="stable").tolist()
        ends = [place for place in fastest if steps.last[place]]
        for pair in zip([*ends, *fastest], [*fastest, *fastest], strict=False):
            found.extend(steps.cutters[place].name for place in pair)
    return [name for name in dict.fromkeys(found) if name in names]


def _ways(task: Task, *, names: tuple[str, ...]) -> tuple[Way, ...]:
    """Every way to cut a task with the named flat cutters."""
    places = {name: place for place, name in enumerate(names)}
    found = [
        Way(
            flats=sum(1 << places[name] for name in option.flats),
            seconds=option.seconds,
            option=number,
            relay=0,
        )
        for number, option in enumerate(task.options)
        if all(name in places for name in option.flats)
    ]
    for steps in _steps_of(task):
        mine = [place for place, cutter in enumerate(steps.cutters) if cutter.name in places]
        if not mine:
            continue
        seconds = relays(steps.of(mine))
        for number in np.flatnonzero(np.isfinite(seconds)).tolist():
            own = [mine[place] for place in members(number)]
            found.append(
                Way(
                    flats=sum(1 << places[steps.cutters[place].name] for place in own),
                    seconds=float(seconds[number]),
                    option=_ROOM,
                    relay=sum(1 << place for place in own),
                )
            )
    return tuple(sorted(found, key=lambda way: (way.seconds, way.flats.bit_count(), way.flats, way.option)))


def _worthwhile(ways: tuple[Way, ...]) -> tuple[Way, ...]:
    """The ways, fastest first, less those that use every cutter of a way as fast and more.

    Fewer steps never need more changes, as long as nothing lies beneath: what does waits for the steps that uncover it.
    """
    found: list[Way] = []
    for way in sorted(ways, key=lambda one: (one.flats.bit_count(), one.seconds, one.flats, one.option)):
        if not any(other.flats & ~way.flats == 0 and other.seconds <= way.seconds + _SAME for other in found):
            found.append(way)
    return tuple(sorted(found, key=lambda way: (way.seconds, way.flats.bit_count(), way.flats)))


def _bounds(
    tasks: Sequence[Task],
    *,
    ways: Sequence[tuple[Way, ...]],
    settings: Sequence[Sequence[int]],
    count: int,
    shop: Shop,
) -> Floats:
    """For every set what a plate takes at least that uses all of the set and no other flat cutter."""
    total = np.zeros(1 << count)
    times = [sum(place in inside for inside in settings) for place in range(len(tasks))]
    for mine, often in zip(ways, times, strict=True):
        seconds = np.full(1 << count, np.inf)
        for way in mine:
            seconds[way.flats] = min(seconds[way.flats], way.seconds)
        total += often * best_within(seconds)
    return total + change_seconds(shop) * (
        _fixed(tasks, settings=settings) + np.array([number.bit_count() for number in range(1 << count)])
    )


def _fixed(tasks: Sequence[Task], *, settings: Sequence[Sequence[int]]) -> int:
    """How many other cutters than flat ones the settings need at least, each counted for itself."""
    return sum(len(set().union(*(_others(tasks[place]) for place in inside))) for inside in settings)


def _others(task: Task) -> frozenset[str]:
    """The cutters, not flat, that every way of a task uses."""
    if task.room is not None or not task.options:
        return frozenset()
    return frozenset.intersection(
        *(
            frozenset(one.cutter.name for one in option.operations if one.cutter.name not in option.flats)
            for option in task.options
        )
    )


def _floor(tasks: Sequence[Task], *, settings: Sequence[Sequence[int]], shop: Shop) -> Seconds:
    """What the plate takes at least whatever cutters there are: every task by its fastest way of all."""
    total = change_seconds(shop) * _fixed(tasks, settings=settings)
    for place, task in enumerate(tasks):
        fastest = min((option.seconds for option in task.options), default=np.inf)
        for steps in _steps_of(task):
            fastest = min(fastest, least(steps))
        total += fastest * sum(place in inside for inside in settings)
    return float(total)


def _search(work: _Work, *, sets: NDArray[np.int64]) -> tuple[Picked | None, Seconds]:
    """The best with one of ``sets``, and what is proven to be the least possible."""
    best: Picked | None = None
    lowest = np.inf
    for flats in sets[np.argsort(work.bounds[sets], kind="stable")].tolist():
        bound = float(work.bounds[flats])
        if not np.isfinite(bound) or (best is not None and bound >= best.total - _SAME):
            break
        found, sure = _within(work, flats=flats, below=best.total if best is not None else np.inf)
        if not sure:
            lowest = min(lowest, bound)
        if found is not None and (best is None or found.total < best.total - _SAME):
            best = found
    return best, min(lowest, best.total if best is not None else np.inf)


def _within(work: _Work, *, flats: int, below: Seconds) -> tuple[Picked | None, bool]:
    """The best way for every task with the cutters of a set, if it takes less than ``below``; and whether that is
    sure."""
    mine = [[way for way in ways if not way.flats & ~flats] for ways in work.ways]
    fastest = [ways[0] for ways in mine]
    best = _picked(work, ways=fastest)
    bound = float(work.bounds[flats])
    if best.total <= bound + _SAME:
        return (best if best.total < below - _SAME else None), True
    branch = _Branch(work=work, ways=mine, often=_often(work), bound=bound, spent=[0])
    found = _branched(branch, chosen=[], above=0.0, best=best if best.total < below else None, below=below)
    return found, branch.spent[0] <= _LEAVES and work.spent[0] <= _ALL_LEAVES


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Branch:
    work: _Work
    ways: list[list[Way]]
    often: list[int]
    bound: Seconds
    spent: list[int]


def _branched(
    branch: _Branch, *, chosen: list[Way], above: Seconds, best: Picked | None, below: Seconds
) -> Picked | None:
    """The best that begins with the ways chosen, ``above`` what they take more than the fastest."""
    place = len(chosen)
    if place == len(branch.ways):
        found = _picked(branch.work, ways=chosen)
        return found if found.total < (best.total if best is not None else below) - _SAME else best
    fastest = branch.ways[place][0].seconds
    for way in branch.ways[place]:
        more = above + branch.often[place] * (way.seconds - fastest)
        limit = best.total if best is not None else below
        if branch.bound + more >= limit - _SAME:
            break
        if len(branch.ways[place]) > 1:
            branch.spent[0] += 1
            branch.work.spent[0] += 1
            if branch.spent[0] > _LEAVES or branch.work.spent[0] > _ALL_LEAVES:
                return best
            if _least(branch, chosen=[*chosen, way], more=more) >= limit - _SAME:
                continue
        best = _branched(branch, chosen=[*chosen, way], above=more, best=best, below=below)
    return best


def _least(branch: _Branch, *, chosen: list[Way], more: Seconds) -> Seconds:
    """What a plate takes at least that begins with the ways chosen: the fastest for the rest, and the changes of the
    chosen ones alone with those tasks that leave no choice."""
    work = branch.work
    sure = {place: ways[0] for place, ways in enumerate(branch.ways) if len(ways) == 1}
    ways = {**sure, **dict(enumerate(chosen))}
    seconds = sum(often * mine[0].seconds for often, mine in zip(branch.often, branch.ways, strict=True)) + more
    return seconds + change_seconds(work.shop) * _programs(work, ways=ways)


def _often(work: _Work) -> list[int]:
    return [sum(place in inside for inside in work.settings) for place in range(len(work.tasks))]


def _picked(work: _Work, *, ways: Sequence[Way]) -> Picked:
    seconds = sum(often * way.seconds for often, way in zip(_often(work), ways, strict=True))
    programs = _programs(work, ways=dict(enumerate(ways)))
    used = set().union(*(members(way.flats) for way in ways)) if ways else set()
    return Picked(
        ways=tuple(ways),
        seconds=seconds,
        programs=programs,
        total=seconds + change_seconds(work.shop) * programs,
        flats=tuple(work.names[place] for place in sorted(used)),
    )


def _programs(work: _Work, *, ways: dict[int, Way]) -> int:
    """How many programs of one cutter some tasks need, cut in some ways, in all settings."""
    count = 0
    for inside in work.settings:
        operations = [one for place in inside if place in ways for one in _made(work, place=place, way=ways[place])]
        count += len(ordered(operations, known=work.known).batches)
    return count


def _made(work: _Work, *, place: int, way: Way) -> tuple[Operation, ...]:
    key = (place, way.option, way.relay)
    if key not in work.made:
        work.made[key] = operations_of(work.tasks[place], way=way, shop=work.shop)
    return work.made[key]
