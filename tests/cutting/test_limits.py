"""Limits of mill and custom."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camplan.catalogue.records import Machine
from camplan.cutting.limits import (
    Bound,
    customary,
    firmness,
    overhang_share,
    power_at,
    reachable_feed,
    reason_of,
    whole_feed,
)


def test_power_is_straight_between_the_points_of_the_curve_and_falls_to_nothing_below(
    machines: dict[str, Machine],
) -> None:
    bench = machines["bench-mill"]
    assert power_at(bench, rpm=6000.0) == 560.0
    assert power_at(bench, rpm=9000.0) == pytest.approx(630.0)
    assert power_at(bench, rpm=18_000.0) == 700.0
    assert power_at(bench, rpm=750.0) == pytest.approx(90.0)


def test_a_feed_is_reachable_from_which_the_mill_stops_within_half_a_cutter(machines: dict[str, Machine]) -> None:
    bench = machines["bench-mill"]
    mm_s = reachable_feed(bench, diameter=2.0) / 60.0
    assert mm_s**2 / (2.0 * 500.0) == pytest.approx(1.0)


@given(soft=st.floats(0.1, 50.0), more=st.floats(0.0, 50.0))
def test_a_stiffer_mill_takes_no_less(soft: float, more: float) -> None:
    assert 0.0 <= firmness(soft) <= firmness(soft + more) <= 1.0
    assert customary(0.15, high=0.5, stiffness=soft) <= customary(0.15, high=0.5, stiffness=soft + more) + 1e-12


@given(slender=st.floats(0.1, 60.0), more=st.floats(0.0, 60.0))
def test_a_more_slender_cutter_takes_no_more(slender: float, more: float) -> None:
    assert 1.0 >= overhang_share(slender) >= overhang_share(slender + more) > 0.0


def test_a_reason_names_the_tightest_bound_and_the_next() -> None:
    bounds = (
        Bound(most=2.0, what="the second", source="B"),
        Bound(most=1.0, what="the first", source="A"),
        Bound(most=3.0, what="the third", source="C"),
    )
    reason = reason_of("step_down", said="1.00 mm", bounds=bounds, unit=" mm", digits=2)
    assert reason.sentence == "1.00 mm: the first; next, the second, at 2.00 mm"
    assert reason.source == "A"


@given(feed=st.floats(0.1, 9000.0))
def test_feeds_are_rounded_downward_by_less_than_one(feed: float) -> None:
    assert feed - 1.0 < whole_feed(feed) <= feed + 1e-9
