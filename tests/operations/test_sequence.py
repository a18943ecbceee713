"""Orders with as few cutter changes as there can be."""

import itertools
from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.geometry.chains import backwards
from camplan.operations.records import Operation, Part
from camplan.operations.sequence import Batch, batches
from camplan.operations.ties import ties, waits
from camplan.regions import Region

PARTS = (Part.AREA, Part.REST, Part.WALL)


def names(found: tuple[Batch, ...]) -> list[str]:
    return [batch.cutter for batch in found]


def test_a_pocket_in_another_ones_floor_waits_for_it(made: Any) -> None:
    upper, lower = made.pocket("upper", bottom=2.0), made.pocket("lower", top=2.0, bottom=4.0)
    found = batches([made.operation(lower, diameter=6.0), made.operation(upper, diameter=4.0)])
    assert names(found) == ["slot-4", "slot-6"]


def test_pockets_side_by_side_do_not_wait_for_each_other(made: Any) -> None:
    upper, lower = made.pocket("upper", bottom=2.0), made.pocket("lower", top=2.0, bottom=4.0, x=50.0)
    found = batches([made.operation(upper, diameter=4.0), made.operation(lower, diameter=6.0)])
    assert names(found) == ["slot-6", "slot-4"]


def test_a_narrow_cutter_is_taken_once_where_a_greedy_order_would_take_it_twice(made: Any) -> None:
    """The narrow cutter has most to do at the start, but what it does in the lower pocket waits for the wide one."""
    upper, lower = made.pocket("upper", bottom=2.0), made.pocket("lower", top=2.0, bottom=4.0)
    beside = [made.pocket(f"beside {number}", x=20.0 + 20.0 * number) for number in range(3)]
    found = batches(
        [
            *(made.operation(one, diameter=2.0) for one in beside),
            made.operation(upper, diameter=3.0),
            made.operation(lower, diameter=2.0),
        ]
    )
    assert names(found) == ["slot-3", "slot-2"]


def test_outlines_come_last_with_a_cutter_of_their_own_or_not(made: Any) -> None:
    inside, edge = made.pocket("inside"), made.outline("edge", size=40.0)
    found = batches([made.operation(edge, diameter=3.0, part=Part.KERF), made.operation(inside, diameter=3.0)])
    assert [one.feature.spec.name for batch in found for one in batch.operations] == ["inside", "edge"]
    assert len(found) == 1


@st.composite
def plates(draw: st.DrawFn) -> list[tuple[int, int, tuple[int, ...]]]:
    """Pockets as (column, layer, cutters from the widest): those of a column lie one in the other."""
    found = []
    for column in range(draw(st.integers(1, 3))):
        for layer in range(draw(st.integers(1, 2))):
            sizes = draw(st.sets(st.integers(1, 3), min_size=1, max_size=2))
            found.append((column, layer, tuple(sorted(sizes, reverse=True))))
    return found


def operations_of(plate: list[tuple[int, int, tuple[int, ...]]], made: Any) -> list[Operation]:
    found = []
    for column, layer, sizes in plate:
        feature = made.pocket(f"{column} {layer}", top=2.0 * layer, bottom=2.0 * layer + 2.0, x=20.0 * column)
        found.extend(
            made.operation(feature, diameter=float(size), part=PARTS[place]) for place, size in enumerate(sizes)
        )
    return found


def fewest_by_hand(operations: list[Operation]) -> int:
    """Breadth first over everything that can be done next, one operation at a time."""
    needs = waits(operations, known=ties(tuple({one.feature.spec.name: one.feature for one in operations}.values())))
    whole = (1 << len(operations)) - 1
    reached = {(0, "")}
    for changes in itertools.count():
        waiting = list(reached)
        while waiting:
            done, hand = waiting.pop()
            for place, one in enumerate(operations):
                if not done >> place & 1 and not needs[place] & ~done and one.cutter.name == hand:
                    state = (done | 1 << place, hand)
                    if state not in reached:
                        reached.add(state)
                        waiting.append(state)
        if any(done == whole for done, _ in reached):
            return changes
        reached = {(done, name) for done, _ in reached for name in {one.cutter.name for one in operations}}
    raise AssertionError


@settings(max_examples=60, deadline=None)
@given(plates())
def test_there_is_no_order_with_fewer_changes(made: Any, plate: list[tuple[int, int, tuple[int, ...]]]) -> None:
    operations = operations_of(plate, made)
    assert len(batches(operations)) == fewest_by_hand(operations)


@settings(max_examples=60, deadline=None)
@given(plates())
def test_everything_is_done_once_and_after_what_it_waits_for(
    made: Any, plate: list[tuple[int, int, tuple[int, ...]]]
) -> None:
    operations = operations_of(plate, made)
    needs = waits(operations, known=ties(tuple({one.feature.spec.name: one.feature for one in operations}.values())))
    order = [operations.index(one) for batch in batches(operations) for one in batch.operations]
    assert sorted(order) == list(range(len(operations)))
    for turn, place in enumerate(order):
        assert not needs[place] & ~sum(1 << before for before in order[:turn])


def order(operations: list[Operation]) -> list[str]:
    return [one.feature.spec.name for batch in batches(operations) for one in batch.operations]


def test_what_lies_on_an_island_is_cut_before_the_pocket_that_frees_it(made: Any) -> None:
    ring = made.pocket("ring", bottom=10.0, size=40.0)
    island = made.pocket("island", x=10.0, size=20.0).regions[0].outer
    freeing = replace(ring, through=True, regions=(Region(outer=ring.regions[0].outer, islands=(backwards(island),)),))
    on_it, beside = made.pocket("on it", x=15.0), made.pocket("beside", x=60.0)
    works = [made.operation(one, diameter=6.0) for one in (freeing, beside, on_it)]
    assert order(works) == ["beside", "on it", "ring"]
    blind = [made.operation(one, diameter=6.0) for one in (replace(freeing, through=False), beside, on_it)]
    assert order(blind) == ["ring", "beside", "on it"]


def test_a_part_within_a_part_is_cut_out_first(made: Any) -> None:
    """Else it would be cut out of a piece that is loose already."""
    outer, inner = made.outline("outer", size=40.0), made.outline("inner", x=5.0, size=10.0)
    works = [made.operation(replace(one, through=True), diameter=3.0, part=Part.KERF) for one in (outer, inner)]
    assert order(works) == ["inner", "outer"]


def test_outlines_drawn_alike_do_not_wait_for_each_other(made: Any) -> None:
    one, other = made.outline("one"), made.outline("other")
    works = [made.operation(replace(each, through=True), diameter=3.0, part=Part.KERF) for each in (one, other)]
    assert sorted(order(works)) == ["one", "other"]
