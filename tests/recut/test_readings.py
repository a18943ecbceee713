import math

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.errors import InputError
from camplan.recut.readings import ROUNDED, checked_readings, size_of


@given(st.lists(st.floats(min_value=59.0, max_value=63.0), min_size=2, max_size=9))
@settings(max_examples=80)
def test_the_range_of_repeated_readings_is_students(readings: list[float]) -> None:
    """Against scipy.stats: ttest_1samp's own confidence interval."""
    found = size_of(readings, instrument=1e-9)
    spread = np.std(readings, ddof=1)
    if spread < 1e-6:
        return
    range_ = scipy.stats.ttest_1samp(readings, popmean=60.0).confidence_interval(0.95)
    assert found.mean == pytest.approx(np.mean(readings))
    assert found.mean - found.half_width == pytest.approx(range_.low, rel=1e-9)
    assert found.mean + found.half_width == pytest.approx(range_.high, rel=1e-9)


def test_readings_that_agree_better_than_the_instrument_can_are_believed_no_more_than_it() -> None:
    found = size_of([60.91, 60.91, 60.91, 60.91], instrument=0.02)
    assert found.error == pytest.approx(0.01)
    assert found.half_width == pytest.approx(1.959964 * 0.01, rel=1e-6)


def test_a_single_reading_is_as_sure_as_its_instrument() -> None:
    found = size_of([12.5], instrument=0.02)
    assert (found.mean, found.error, found.count) == (12.5, 0.02, 1)
    assert found.half_width == pytest.approx(0.0392, abs=1e-4)


def test_the_range_holds_the_true_size_in_95_of_100_cases() -> None:
    random = np.random.default_rng(2)
    held = 0
    for _ in range(4000):
        found = size_of((61.5 + random.normal(0.0, 0.02, 3)).tolist(), instrument=1e-6)
        held += abs(found.mean - 61.5) <= found.half_width
    assert held / 4000 == pytest.approx(0.95, abs=0.012)


def test_rounding_to_a_digit_is_an_even_distribution() -> None:
    random = np.random.default_rng(4)
    true = random.uniform(0.0, 1.0, 200_000)
    assert np.std(np.round(true) - true) == pytest.approx(ROUNDED, rel=0.01)


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (2.398, "looks like inches: 60.909 mm"),
        (-60.91, "its sign looks turned"),
        (-3.0, "is below 0"),
        (1547.1, "25.4 times"),
        (30.0, "far from what was cut"),
        (0.0, "is no size"),
        (math.nan, "is no size"),
    ],
)
def test_a_reading_that_cannot_be_meant_is_refused(reading: float, said: str) -> None:
    with pytest.raises(InputError) as caught:
        checked_readings([60.91, reading], expected=60.9, key="--measured")
    (problem,) = caught.value.problems
    assert said in problem.message
    assert problem.accepted


def test_every_reading_that_cannot_be_meant_is_said_in_one_go() -> None:
    with pytest.raises(InputError) as caught:
        checked_readings([2.398, -60.9, 60.9], expected=60.9, key="--measured")
    assert len(caught.value.problems) == 2


def test_small_sizes_may_be_off_by_a_millimetre() -> None:
    checked_readings([0.6, 1.9], expected=1.0, key="--measured")
