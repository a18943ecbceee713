"""Cutters left out because another does all that they do."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.operations.dominance import dominates
from camplan.operations.relays import Steps, best_within, relays

SECONDS = st.integers(0, 5).map(float)


@st.composite
def steps(draw: st.DrawFn, made: object) -> Steps:
    count = draw(st.integers(2, 4))
    row = st.lists(SECONDS, min_size=count, max_size=count)
    flags = st.lists(st.booleans(), min_size=count, max_size=count)
    rest = np.array(draw(st.lists(row, min_size=count, max_size=count)))
    return Steps(
        cutters=tuple(made.slot_drill(float(count - place)) for place in range(count)),  # type: ignore[attr-defined]
        first=np.array(draw(row)),
        rest=np.where(np.triu(np.ones((count, count)), k=1) > 0.0, rest, np.inf),
        wall=np.array(draw(row)),
        last=np.array(draw(flags)),
        after=np.array(draw(flags)),
    )


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_whatever_a_dominated_cutter_does_the_other_does_as_fast(made: object, data: st.DataObject) -> None:
    """For every set with the dominated cutter, the set with the other in its place takes no longer."""
    found = data.draw(steps(made))
    names = [cutter.name for cutter in found.cutters]
    within = best_within(relays(found))
    for b, name in enumerate(names):
        for a, by in enumerate(names):
            if a == b or not dominates(found, by=by, cutter=name):
                continue
            for number in range(len(within)):
                if number >> b & 1:
                    assert within[number & ~(1 << b) | 1 << a] <= within[number] + 1e-9


def test_a_cutter_that_alone_can_end_a_relay_is_not_dominated(made: object) -> None:
    found = Steps(
        cutters=(made.slot_drill(6.0), made.slot_drill(3.0)),  # type: ignore[attr-defined]
        first=np.array([10.0, 90.0]),
        rest=np.array([[math.inf, 5.0], [math.inf, math.inf]]),
        wall=np.array([5.0, 9.0]),
        last=np.array([False, True]),
        after=np.array([True, True]),
    )
    assert not dominates(found, by="slot-6", cutter="slot-3")
