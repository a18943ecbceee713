import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.recut.registration import Pose, placed
from camplan.recut.suspicions import suspicion

NAMES = ("marks 1", "marks 2", "marks 3", "marks 4")
DRAWN = np.array([(12.0, 11.0), (131.0, 14.0), (118.0, 88.0), (20.0, 71.0)])
POSE = Pose(turn=math.radians(1.3), shift=(87.0, -41.0))
SIGMA = 0.02


def said(measured: np.ndarray, *, drawn: np.ndarray = DRAWN, turn: float = 0.0) -> str | None:
    found = suspicion(NAMES[: len(drawn)], drawn=drawn, measured=measured, sigma=SIGMA, expected_turn=turn)
    return found.cause if found else None


@given(seed=st.integers(min_value=0, max_value=10_000), count=st.integers(min_value=2, max_value=4))
@settings(max_examples=60)
def test_marks_measured_as_well_as_stated_are_believed(seed: int, count: int) -> None:
    noise = np.random.default_rng(seed).uniform(-0.03, 0.03, (count, 2))
    assert said(placed(DRAWN[:count], pose=POSE) + noise, drawn=DRAWN[:count]) is None


@pytest.mark.parametrize("order", [(1, 0, 2, 3), (0, 3, 2, 1), (1, 2, 0, 3)])
def test_exchanged_marks_are_named(order: tuple[int, ...]) -> None:
    measured = placed(DRAWN[list(order)], pose=POSE)
    found = suspicion(NAMES, drawn=DRAWN, measured=measured, sigma=SIGMA)
    assert found is not None and found.cause == "swapped"
    for place, to in enumerate(order):
        assert (NAMES[place] in found.message.split(":")[0]) == (place != to)


def test_two_exchanged_marks_look_like_half_a_turn() -> None:
    measured = placed(DRAWN[[1, 0]], pose=POSE)
    found = suspicion(NAMES[:2], drawn=DRAWN[:2], measured=measured, sigma=SIGMA)
    assert found is not None
    assert found.cause == "swapped"
    assert "marks 1 and marks 2 are exchanged" in found.message
    assert said(measured, drawn=DRAWN[:2], turn=math.radians(180.0)) is None


def test_a_plate_that_lies_with_its_other_face_up_is_mirrored() -> None:
    assert said(placed(DRAWN * np.array([-1.0, 1.0]), pose=POSE)) == "mirrored"


@pytest.mark.parametrize("factor", [25.4, 1 / 25.4])
def test_inches_are_seen(factor: float) -> None:
    assert said(placed(DRAWN, pose=POSE) * factor) == "unit"


def test_one_mark_that_was_read_wrong_is_named() -> None:
    measured = placed(DRAWN, pose=POSE)
    measured[2] += (1.0, 0.0)
    found = suspicion(NAMES, drawn=DRAWN, measured=measured, sigma=SIGMA)
    assert found is not None
    assert (found.cause, "marks 3" in found.message) == ("one-wrong", True)


def test_of_two_marks_that_are_too_far_apart_none_can_be_named() -> None:
    measured = placed(DRAWN[:2], pose=POSE)
    measured[1] += (0.5, 0.0)
    found = suspicion(NAMES[:2], drawn=DRAWN[:2], measured=measured, sigma=SIGMA)
    assert found is not None
    assert found.cause == "none-fits"
    assert "0.250 mm off" in found.message


def test_doubt_is_as_rare_among_true_marks_as_it_is_meant_to_be() -> None:
    """Chi-square with 2 N - 3 degrees of freedom: one in ten thousand, so of 3,000 hardly one."""
    random = np.random.default_rng(11)
    doubted = [said(placed(DRAWN, pose=POSE) + random.normal(0.0, SIGMA, DRAWN.shape)) for _ in range(3000)]
    assert sum(one is not None for one in doubted) <= 3
