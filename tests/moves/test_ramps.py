"""Ramps of limited jerk against worked figures and against the best that a linear programme finds."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from camplan.moves.ramps import (
    Ways,
    at_rows,
    between_stops,
    peaks,
    ramp_length,
    ramp_seconds,
    reachable,
    seconds_to,
    way_seconds,
)

STEPS = 240


def one(value: float) -> np.ndarray:
    return np.array([value])


def way(*, length: float, first: float, last: float, top: float, acceleration: float, jerk: float) -> Ways:
    return Ways(
        length=one(length),
        first=one(first),
        last=one(last),
        top=one(top),
        acceleration=one(acceleration),
        jerk=one(jerk),
    )


def farthest(seconds: float, *, first: float, last: float, top: float, acceleration: float, jerk: float) -> float:
    """The longest way (mm) in so many seconds between two speeds, without acceleration at both ends.

    A linear programme over the acceleration at evenly spaced times, between which it changes evenly: no more than the
    jerk lets it change, with the speed as its trapezium sum.  It knows nothing of ramps.
    """
    h = seconds / STEPS
    count = STEPS + 1
    speed = np.tril(np.full((count, count), h))
    speed[:, 0] = h / 2.0
    speed[np.arange(count), np.arange(count)] = h / 2.0
    speed[0, :] = 0.0
    change = np.diff(np.eye(count), axis=0) / h
    upper = np.vstack((change, -change, speed, -speed))
    room = np.concatenate((np.full(2 * STEPS, jerk), np.full(count, top - first), np.full(count, first)))
    weight = np.full(count, h)
    weight[[0, -1]] = h / 2.0
    bounds = [(0.0, 0.0), *[(-acceleration, acceleration)] * (count - 2), (0.0, 0.0)]
    found = linprog(
        -(weight @ speed), A_ub=upper, b_ub=room, A_eq=speed[-1:], b_eq=[last - first], bounds=bounds, method="highs"
    )
    return -math.inf if found.status != 0 else first * seconds - found.fun


def test_a_gentle_ramp_never_gets_to_full_acceleration() -> None:
    # 2 sqrt(dv / j); half the change at half the time, so its way is the mean speed times that
    assert ramp_seconds(one(2.5), acceleration=one(100.0), jerk=one(1000.0)).item() == pytest.approx(0.1)
    found = ramp_length(one(10.0), end=one(12.5), acceleration=one(100.0), jerk=one(1000.0)).item()
    assert found == pytest.approx(11.25 * 0.1)


def test_a_longer_ramp_takes_a_over_j_more_than_at_constant_acceleration() -> None:
    assert ramp_seconds(one(30.0), acceleration=one(100.0), jerk=one(1000.0)).item() == pytest.approx(0.3 + 0.1)


def test_from_rest_to_rest_at_full_speed_both_ramps_add_a_over_j() -> None:
    assert between_stops(20.0, top=10.0, acceleration=100.0, jerk=1000.0) == pytest.approx(2.0 + 0.2)


def test_a_way_too_short_for_full_acceleration_takes_the_cube_root() -> None:
    # rest to rest in four phases of jerk alone: L = 2 j (T / 4)^3
    seconds = between_stops(0.01, top=50.0, acceleration=500.0, jerk=10_000.0)
    assert seconds == pytest.approx(4.0 * (0.01 / 2.0 / 10_000.0) ** (1.0 / 3.0))


SPEED = st.floats(0.0, 60.0)


@settings(max_examples=25, deadline=None)
@given(
    length=st.floats(0.05, 30.0),
    first=SPEED,
    last=SPEED,
    room=st.floats(0.1, 60.0),
    acceleration=st.floats(50.0, 2000.0),
    jerk=st.floats(1000.0, 100_000.0),
)
def test_no_motion_within_the_limits_is_faster_and_one_is_as_fast(
    length: float, first: float, last: float, room: float, acceleration: float, jerk: float
) -> None:
    limits = {"acceleration": acceleration, "jerk": jerk}
    least = ramp_length(one(first), end=one(last), acceleration=one(acceleration), jerk=one(jerk)).item()
    length = max(length, least * 1.001)
    top = max(first, last) + room
    ways = way(length=length, first=first, last=last, top=top, **limits)
    seconds = way_seconds(ways, peak=peaks(ways)).item()
    assert farthest(seconds * 0.985, first=first, last=last, top=top, **limits) < length
    assert farthest(seconds * 1.015, first=first, last=last, top=top, **limits) > length


@settings(max_examples=100, deadline=None)
@given(
    stretches=st.lists(
        st.tuples(st.floats(0.001, 20.0), st.floats(50.0, 3000.0), st.floats(500.0, 1e6)), min_size=1, max_size=12
    ),
    data=st.data(),
)
def test_every_speed_can_be_braked_from_and_sped_up_to(stretches: list[tuple[float, float, float]], data) -> None:
    inner = data.draw(st.lists(SPEED, min_size=len(stretches) - 1, max_size=len(stretches) - 1))
    corner = np.array([0.0, *inner, 0.0])
    length, acceleration, jerk = np.array(stretches).T
    speed = reachable(corner, length=length, acceleration=acceleration, jerk=jerk)
    assert np.all(speed <= corner)
    ramps = ramp_length(speed[:-1], end=speed[1:], acceleration=acceleration, jerk=jerk)
    assert np.all(ramps <= length * (1.0 + 1e-6))


@settings(max_examples=100, deadline=None)
@given(length=st.floats(0.001, 20.0), acceleration=st.floats(50.0, 3000.0), jerk=st.floats(500.0, 1e6))
def test_who_comes_faster_leaves_no_slower(length: float, acceleration: float, jerk: float) -> None:
    limits = {"length": np.full(2, length), "acceleration": np.full(2, acceleration), "jerk": np.full(2, jerk)}
    starts = np.linspace(0.0, 100.0, 80)
    first = [ramp_end(start, **limits) for start in starts]
    assert all(later >= before * (1.0 - 1e-9) for before, later in pairwise(first))
    # at most 6 % less than the ramp that just fills the length
    for start, end in zip(starts, first, strict=True):
        exact = filled(start, length=length, acceleration=acceleration, jerk=jerk)
        assert 0.94 * exact <= end <= exact * (1.0 + 1e-9)


def ramp_end(start: float, *, length: np.ndarray, acceleration: np.ndarray, jerk: np.ndarray) -> float:
    """The speed after the first of two stretches, the second of which brakes from anything to ``start``."""
    speed = reachable(
        np.array([start, 1e6, 1e6]), length=np.array([length[0], 1e9]), acceleration=acceleration, jerk=jerk
    )
    return float(speed[1])


def filled(start: float, *, length: float, acceleration: float, jerk: float) -> float:
    """The end of the ramp that just fills a length, by halving."""
    low, high = start, start + 1e5
    for _ in range(100):
        middle = (low + high) / 2.0
        fits = ramp_length(one(start), end=one(middle), acceleration=one(acceleration), jerk=one(jerk)).item() <= length
        low, high = (middle, high) if fits else (low, middle)
    return low


@settings(max_examples=60, deadline=None)
@given(
    first=SPEED,
    last=SPEED,
    acceleration=st.floats(50.0, 2000.0),
    jerk=st.floats(1000.0, 100_000.0),
)
def test_a_place_on_the_way_is_passed_when_the_speed_summed_up_says_so(
    first: float, last: float, acceleration: float, jerk: float
) -> None:
    ways = way(length=30.0, first=first, last=last, top=70.0, acceleration=acceleration, jerk=jerk)
    least = ramp_length(ways.first, end=ways.last, acceleration=ways.acceleration, jerk=ways.jerk).item()
    if least > 30.0:
        return
    peak = peaks(ways)
    whole = way_seconds(ways, peak=peak).item()
    assert seconds_to(ways, peak=peak, place=one(30.0)).item() == pytest.approx(whole, abs=1e-6)
    # jerk by jerk, summed up three times between the instants at which it changes
    instants, rates = jerks(whole=whole, first=first, last=last, peak=peak.item(), limits=(acceleration, jerk))
    times = np.unique(np.concatenate((instants, np.linspace(0.0, instants[-1], 501))))
    steps = np.diff(times)
    rate = rates[np.searchsorted(instants, times[:-1] + steps / 2.0) - 1]
    gained = np.append(0.0, np.cumsum(rate * steps))
    speed = first + np.append(0.0, np.cumsum(gained[:-1] * steps + rate * steps**2 / 2.0))
    place = np.append(0.0, np.cumsum(speed[:-1] * steps + gained[:-1] * steps**2 / 2.0 + rate * steps**3 / 6.0))
    assert (gained[-1], speed[-1], place[-1]) == pytest.approx((0.0, last, 30.0), rel=1e-6, abs=1e-6)
    found = seconds_to(
        at_rows(ways, rows=np.zeros(len(times), dtype=int)), peak=np.repeat(peak, len(times)), place=place
    )
    assert found == pytest.approx(times, abs=1e-4)


def jerks(
    *, whole: float, first: float, last: float, peak: float, limits: tuple[float, float]
) -> tuple[np.ndarray, np.ndarray]:
    """The instants at which the jerk of a double S changes, from 0 to its end, and what it is after each."""
    acceleration, jerk = limits
    spans = []
    for change, sign in ((peak - first, 1.0), (peak - last, -1.0)):
        rise = min(acceleration / jerk, math.sqrt(change / jerk))
        held = change / acceleration - acceleration / jerk if change > acceleration**2 / jerk else 0.0
        spans.append([(rise, sign * jerk), (held, 0.0), (rise, -sign * jerk)])
    up, down = spans
    level = max(whole - sum(span for span, _ in (*up, *down)), 0.0)
    lasts, rates = np.array([*up, (level, 0.0), *down]).T
    return np.append(0.0, np.cumsum(lasts)), rates
