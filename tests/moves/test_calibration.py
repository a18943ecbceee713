"""What a timed run says of accelerations: closed forms, and scales that were laid on before."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.calibration import LEAST, MOST, Explained, calibrated, scaled
from camplan.moves.records import Dwell, Line, Move
from camplan.moves.timing import Drives, Run, run_of, run_seconds

DRIVES = Drives(
    rapid=(6000.0, 6000.0, 3000.0), feed_max=3000.0, acceleration=(100.0, 100.0, 50.0), junction_deviation=0.01
)
JERKY = replace(DRIVES, jerk=(1000.0, 1000.0, 500.0))


def to_and_fro(count: int, *, way: float = 0.1, feed: float = 3000.0, wait: float = 0.0) -> Run:
    """So many short cuts, each from rest to rest."""
    moves: list[Move] = [Dwell(seconds=wait)] if wait else []
    moves += [Line(to=(way * (place % 2 == 0), 0.0, 0.0), feed=feed) for place in range(count)]
    return run_of(moves, start=(0.0, 0.0, 0.0))


def test_cuts_that_never_reach_their_feed_take_one_over_the_root_of_the_scale() -> None:
    # each 2 sqrt(L / a): a quarter of the acceleration takes twice as long, what waits not included
    run = to_and_fro(1000, wait=5.0)
    each = 2.0 * math.sqrt(0.1 / 100.0)
    found = calibrated(run, drives=DRIVES, measured=5.0 + 2.0 * 1000.0 * each)
    assert found.predicted == pytest.approx(5.0 + 1000.0 * each)
    assert found.explained is Explained.SCALED
    assert found.scale == pytest.approx(0.25, rel=1e-5)
    moving = found.measured - 5.0
    assert found.low == pytest.approx(0.25 * (moving / (moving + 1.0)) ** 2, rel=1e-4)
    assert found.high == pytest.approx(0.25 * (moving / (moving - 1.0)) ** 2, rel=1e-4)
    assert found.fastest == pytest.approx(5.0 + 1000.0 * 0.1 / 50.0, rel=1e-3)


def test_a_time_within_a_second_or_half_a_percent_agrees() -> None:
    run = to_and_fro(1000)
    predicted = run_seconds(run, drives=DRIVES)
    assert calibrated(run, drives=DRIVES, measured=predicted + 0.9).explained is Explained.AGREES
    assert calibrated(run, drives=DRIVES, measured=predicted * 1.02).explained is Explained.SCALED
    assert calibrated(run, drives=DRIVES, measured=predicted - 0.9).scale == 1.0


@settings(max_examples=30, deadline=None)
@given(scale=st.floats(0.06, 4.5), jerky=st.booleans(), way=st.floats(0.05, 3.0), feed=st.floats(300.0, 3000.0))
def test_a_scale_that_was_laid_on_is_found_again(scale: float, jerky: bool, way: float, feed: float) -> None:
    drives = JERKY if jerky else DRIVES
    run = to_and_fro(400, way=way, feed=feed)
    measured = run_seconds(run, drives=scaled(drives, by=scale))
    found = calibrated(run, drives=drives, measured=measured)
    if found.explained is Explained.AGREES:
        assert abs(found.predicted - measured) <= max(1.0, 0.005 * found.predicted)
        return
    assert found.explained is Explained.SCALED
    assert found.scale == pytest.approx(scale, rel=1e-3)
    assert found.low is not None and found.high is not None
    assert LEAST <= found.low <= scale * 1.001
    assert scale * 0.999 <= found.high <= MOST


def test_what_no_acceleration_explains_is_said_to_be_too_long_or_too_short() -> None:
    # 100 mm at 600 mm/min: 10 s but for 0.1 s of speeding up and slowing down
    run = run_of([Line(to=(100.0 * (place % 2 == 0), 0.0, 0.0), feed=600.0) for place in range(20)], start=(0, 0, 0))
    slow = calibrated(run, drives=DRIVES, measured=400.0)
    assert (slow.explained, slow.scale, slow.low, slow.high) == (Explained.TOO_LONG, None, None, None)
    # v / a more than L / v each, at a twentieth of the acceleration
    assert slow.longest == pytest.approx(20.0 * (10.0 + 0.1 / LEAST))
    # at half the feed each takes 20 s + 0.05 s
    assert slow.feed == pytest.approx(0.5, rel=5e-3)
    fast = calibrated(run, drives=DRIVES, measured=180.0)
    assert fast.explained is Explained.TOO_SHORT
    assert fast.measured < fast.fastest == pytest.approx(200.0, abs=0.01)
    assert fast.feed == pytest.approx(200.0 / 180.0, rel=0.02)
    assert calibrated(run, drives=DRIVES, measured=20.0).feed is None


def test_scales_may_be_held_closer() -> None:
    run = to_and_fro(1000)
    doubled = 2.0 * run_seconds(run, drives=DRIVES)
    assert calibrated(run, drives=DRIVES, measured=doubled, least=0.5).explained is Explained.TOO_LONG
