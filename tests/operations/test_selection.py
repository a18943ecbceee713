"""The choice for a whole plate against trying everything."""

import itertools
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.operations.candidates import Option, Task
from camplan.operations.dominance import undominated
from camplan.operations.records import Part
from camplan.operations.selection import MOST, selected
from camplan.operations.sequence import batches
from camplan.operations.shop import Shop, change_seconds
from camplan.operations.ties import ties
from camplan.pipeline.bench import load_bench, shop_of

PARTS = (Part.AREA, Part.REST, Part.WALL)
Ways = dict[tuple[int, ...], float]
Plate = list[tuple[int, int, Ways]]


@pytest.fixture(scope="module")
def shop(examples: Any) -> Shop:
    return shop_of(load_bench(examples / "first" / "first.toml"))


@st.composite
def ways(draw: st.DrawFn, sizes: int) -> Ways:
    """Relays of cutters from the widest, with their seconds."""
    relay = st.sets(st.integers(1, sizes), min_size=1, max_size=3).map(lambda one: tuple(sorted(one, reverse=True)))
    found = draw(st.lists(relay, min_size=1, max_size=4, unique=True))
    return {one: float(draw(st.integers(10, 600))) for one in found}


@st.composite
def plates(draw: st.DrawFn, sizes: int = 4) -> Plate:
    """Pockets as (column, layer, ways): those of a column lie one in the other."""
    found = []
    for column in range(draw(st.integers(1, 2))):
        for layer in range(draw(st.integers(1, 2))):
            found.append((column, layer, draw(ways(sizes))))
    return found


def tasks_of(plate: Plate, made: Any) -> list[Task]:
    found = []
    for column, layer, mine in plate:
        feature = made.pocket(f"{column} {layer}", top=2.0 * layer, bottom=2.0 * layer + 2.0, x=20.0 * column)
        options = []
        for sizes, seconds in mine.items():
            operations = tuple(
                made.operation(feature, diameter=float(size), part=PARTS[place]) for place, size in enumerate(sizes)
            )
            flats = tuple(one.cutter.name for one in operations)
            options.append(Option(feature=feature, operations=operations, flats=flats, seconds=seconds))
        found.append(Task(feature=feature, options=tuple(options)))
    return found


def total(tasks: list[Task], shop: Shop) -> float:
    named = [[task.feature.spec.name for task in tasks]]
    known = ties([task.feature for task in tasks])
    found = selected(tasks, settings=named, known=known, shop=shop)
    assert found.slack == 0.0
    return found.best.total


def by_trying_all(tasks: list[Task], shop: Shop) -> float:
    return min(
        sum(option.seconds for option in picked)
        + change_seconds(shop) * len(batches([one for option in picked for one in option.operations]))
        for picked in itertools.product(*(task.options for task in tasks))
    )


@settings(max_examples=80, deadline=None)
@given(plates())
def test_no_other_choice_of_ways_takes_less(made: Any, shop: Shop, plate: Plate) -> None:
    tasks = tasks_of(plate, made)
    assert total(tasks, shop) == pytest.approx(by_trying_all(tasks, shop))


@settings(max_examples=40, deadline=None)
@given(plates(), st.data())
def test_a_cutter_more_never_makes_a_plate_slower(made: Any, shop: Shop, plate: Plate, data: st.DataObject) -> None:
    """Ways with a fifth cutter are added to ways with four."""
    more = [(column, layer, {**data.draw(ways(5)), **mine}) for column, layer, mine in plate]
    assert total(tasks_of(more, made), shop) <= total(tasks_of(plate, made), shop) + 1e-6


@settings(max_examples=40, deadline=None)
@given(plates())
def test_the_choice_is_never_worse_than_the_best_single_cutter(made: Any, shop: Shop, plate: Plate) -> None:
    tasks = tasks_of(plate, made)
    known = ties([task.feature for task in tasks])
    found = selected(tasks, settings=[[task.feature.spec.name for task in tasks]], known=known, shop=shop)
    single = found.single.total if found.single is not None else float("inf")
    assert found.best.total <= single + 1e-6
    assert all(other is None or found.best.total <= other.total + 1e-6 for other in found.without.values())
    assert all(other is None or name not in other.flats for name, other in found.without.items())


@settings(max_examples=40, deadline=None)
@given(plates())
def test_leaving_out_dominated_cutters_costs_nothing(made: Any, shop: Shop, plate: Plate) -> None:
    tasks = tasks_of(plate, made)
    out = {one.cutter for one in undominated(tasks).dominated}
    left = [
        Task(
            feature=task.feature,
            options=tuple(option for option in task.options if not out & set(option.flats)),
        )
        for task in tasks
    ]
    assert by_trying_all(left, shop) == pytest.approx(by_trying_all(tasks, shop))


def test_a_pocket_above_is_cleared_by_the_cutter_that_what_lies_beneath_waits_for(made: Any, shop: Shop) -> None:
    """The upper pocket by slot-1 alone is as fast, but then slot-1 is fitted twice."""
    plate: Plate = [
        (0, 0, {(1,): 10.0, (4, 3, 1): 10.0}),
        (0, 1, {(3, 2, 1): 10.0}),
        (1, 0, {(4, 2, 1): 10.0}),
    ]
    assert total(tasks_of(plate, made), shop) == pytest.approx(30.0 + 4 * change_seconds(shop))


def test_with_too_many_cutters_a_bound_says_what_the_rest_could_spare(made: Any, shop: Shop) -> None:
    """Each of many pockets is fastest with a cutter of its own, by a little less each time."""
    plate: Plate = [
        (column, 0, {(size,): 500.0 - size - (300.0 if size == column + 1 else 0.0) for size in range(1, MOST + 5)})
        for column in range(MOST + 4)
    ]
    tasks = tasks_of(plate, made)
    known = ties([task.feature for task in tasks])
    found = selected(tasks, settings=[[task.feature.spec.name for task in tasks]], known=known, shop=shop)
    assert len(found.candidates) == MOST
    assert len(found.left_out) == 4
    lowest = sum(min(mine.values()) for _, _, mine in plate)
    assert found.slack >= found.best.total - by_bound(lowest, shop=shop) - 1e-6


def by_bound(lowest: float, *, shop: Shop) -> float:
    """At least one cutter has to be fitted, whatever it is."""
    return lowest + change_seconds(shop)


def test_a_cutter_that_serves_one_setting_only_is_weighed_for_each(made: Any, shop: Shop) -> None:
    """The same pocket cut in two settings costs its time twice, and a change in each."""
    tasks = tasks_of([(0, 0, {(3,): 100.0})], made)
    known = ties([task.feature for task in tasks])
    twice = selected(tasks, settings=[["0 0"], ["0 0"]], known=known, shop=shop)
    assert twice.best.total == pytest.approx(2.0 * (100.0 + change_seconds(shop)))
