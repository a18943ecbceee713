"""Tables over sets of cutters against plain enumeration."""

import doctest
import itertools
import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.operations import relays as room
from camplan.operations.relays import Steps, alone, best_within, least, members, relays, wall_of

SECONDS = st.one_of(st.floats(0.0, 500.0), st.just(math.inf))


@st.composite
def steps(draw: st.DrawFn) -> Steps:
    count = draw(st.integers(1, 5))
    row = st.lists(SECONDS, min_size=count, max_size=count)
    flags = st.lists(st.booleans(), min_size=count, max_size=count)
    rest = np.array(draw(st.lists(row, min_size=count, max_size=count)))
    return Steps(
        cutters=(),
        first=np.array(draw(row)),
        rest=np.where(np.triu(np.ones((count, count)), k=1) > 0.0, rest, np.inf),
        wall=np.array(draw(row)),
        last=np.array(draw(flags)),
        after=np.array(draw(flags)),
    )


def by_hand(made: Steps, chosen: tuple[int, ...]) -> float:
    """The cheapest relay of exactly these cutters, widest first, each place for the wall tried in turn."""
    if not chosen or not made.last[chosen[-1]]:
        return math.inf
    cleared = made.first[chosen[0]] + sum(made.rest[pair] for pair in itertools.pairwise(chosen))
    walls = [
        made.wall[place]
        for number, place in enumerate(chosen)
        if all(made.after[later] for later in chosen[number + 1 :])
    ]
    return float(cleared + min(walls, default=math.inf))


def test_the_example_in_the_docstring_holds() -> None:
    assert doctest.testmod(room, extraglobs={"np": np}).failed == 0


@settings(max_examples=60, deadline=None)
@given(steps())
def test_every_set_takes_what_its_steps_add_up_to(made: Steps) -> None:
    found = relays(made)
    for number in range(len(found)):
        np.testing.assert_allclose(found[number], by_hand(made, tuple(members(number))))


@settings(max_examples=60, deadline=None)
@given(steps())
def test_the_wall_goes_to_the_cutter_that_makes_the_relay_as_fast_as_said(made: Steps) -> None:
    found = relays(made)
    for number in np.flatnonzero(np.isfinite(found)).tolist():
        chosen = members(number)
        wall = wall_of(made, relay=number)
        cleared = made.first[chosen[0]] + sum(made.rest[pair] for pair in itertools.pairwise(chosen))
        np.testing.assert_allclose(cleared + made.wall[wall], found[number])
        assert all(made.after[later] for later in chosen if later > wall)


@settings(max_examples=60, deadline=None)
@given(steps())
def test_the_least_within_a_set_is_that_of_its_best_subset(made: Steps) -> None:
    found = relays(made)
    within = best_within(found)
    for number in range(len(found)):
        subsets = [found[other] for other in range(len(found)) if other & ~number == 0]
        assert within[number] == min(subsets)


@settings(max_examples=60, deadline=None)
@given(steps())
def test_no_relay_is_faster_than_the_bound_on_all(made: Steps) -> None:
    assert least(made) <= np.min(relays(made)) + 1e-9


@settings(max_examples=60, deadline=None)
@given(steps(), st.floats(0.0, 300.0))
def test_alone_a_figure_gets_the_set_with_the_least_time_and_changes(made: Steps, change: float) -> None:
    found = relays(made)
    cost = [found[number] + change * number.bit_count() for number in range(len(found))]
    assert cost[alone(made, change=change)] == min(cost)
