import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from camplan.recut.registration import (
    Pose,
    placed,
    predicted_error,
    registered,
    scale_error,
    scale_of,
    spread_of_residuals,
    turn_error,
)

LAYOUTS = {
    2: [(10.0, 10.0), (140.0, 90.0)],
    3: [(10.0, 10.0), (140.0, 10.0), (75.0, 90.0)],
    4: [(10.0, 10.0), (140.0, 10.0), (140.0, 90.0), (10.0, 90.0)],
    6: [(10.0, 10.0), (75.0, 10.0), (140.0, 10.0), (140.0, 90.0), (75.0, 90.0), (10.0, 90.0)],
}

coordinate = st.floats(min_value=-300.0, max_value=300.0)


@given(
    marks=st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=8, unique=True),
    turn=st.floats(min_value=-3.1, max_value=3.1),
    x=coordinate,
    y=coordinate,
)
@settings(max_examples=60)
def test_exact_marks_give_back_the_pose_that_moved_them(
    marks: list[tuple[float, float]], turn: float, x: float, y: float
) -> None:
    drawn = np.array(marks)
    if float(((drawn - drawn.mean(axis=0)) ** 2).sum()) < 1.0:
        return
    found = registered(drawn, measured=placed(drawn, pose=Pose(turn=turn, shift=(x, y))))
    assert math.isclose(math.remainder(found.pose.turn - turn, math.tau), 0.0, abs_tol=1e-9)
    assert np.abs(found.residuals).max() < 1e-6


@pytest.mark.parametrize("count", LAYOUTS)
def test_the_turn_is_that_of_scipys_own_fit_of_vectors(count: int) -> None:
    """scipy.spatial.transform.Rotation.align_vectors (Kabsch 1976), in a plane of three dimensions."""
    drawn = np.array(LAYOUTS[count])
    random = np.random.default_rng(count)
    measured = placed(drawn, pose=Pose(turn=0.4, shift=(3.0, -8.0))) + random.normal(0.0, 0.02, drawn.shape)
    found = registered(drawn, measured=measured)
    flat = [np.column_stack((one - one.mean(axis=0), np.zeros(len(one)))) for one in (measured, drawn)]
    # a mark on the axis of the plane keeps two marks from turning about their own line
    upright = [np.vstack((one, [0.0, 0.0, 1e3])) for one in flat]
    theirs, _ = Rotation.align_vectors(upright[0], upright[1])
    assert found.pose.turn == pytest.approx(theirs.as_euler("zyx")[0], abs=1e-9)


@pytest.mark.parametrize("count", LAYOUTS)
def test_the_fit_is_that_of_singular_values_in_numpy(count: int) -> None:
    """numpy.linalg.svd of the covariance: the orthogonal Procrustes problem (Schoenemann 1966)."""
    drawn = np.array(LAYOUTS[count])
    random = np.random.default_rng(100 + count)
    measured = placed(drawn, pose=Pose(turn=-1.2, shift=(40.0, 5.0))) + random.normal(0.0, 0.05, drawn.shape)
    left, _, right = np.linalg.svd((drawn - drawn.mean(axis=0)).T @ (measured - measured.mean(axis=0)))
    turn = right.T @ np.diag([1.0, np.sign(np.linalg.det(right.T @ left.T))]) @ left.T
    shift = measured.mean(axis=0) - turn @ drawn.mean(axis=0)
    found = registered(drawn, measured=measured)
    assert np.allclose(placed(drawn, pose=found.pose), drawn @ turn.T + shift, atol=1e-9)


@pytest.mark.parametrize(("count", "wanted_um"), [(2, 27.0), (3, 17.0), (4, 12.5), (6, 10.5)])
def test_the_error_at_the_farthest_corner_is_what_twenty_thousand_trials_show(count: int, wanted_um: float) -> None:
    """A plate of 150 mm, marks measured to 20 um an axis; within 2 % of the formula."""
    drawn, sigma, far = SPREAD[count], 0.020, (150.0, 150.0)
    exact = registered(drawn, measured=drawn)
    random = np.random.default_rng(7)
    noise = random.normal(0.0, sigma, (20_000, *drawn.shape))
    own = drawn - drawn.mean(axis=0)
    measured = own[None] + noise
    middle = noise.mean(axis=1)
    theirs = measured - measured.mean(axis=1)[:, None, :]
    cross = (own[None, :, 0] * theirs[..., 1] - own[None, :, 1] * theirs[..., 0]).sum(axis=1)
    turn = np.arctan2(cross, (own[None] * theirs).sum(axis=(1, 2)))
    away = np.array(far) - drawn.mean(axis=0)
    x = np.cos(turn) * away[0] - np.sin(turn) * away[1] - away[0] + middle[:, 0]
    y = np.sin(turn) * away[0] + np.cos(turn) * away[1] - away[1] + middle[:, 1]
    seen = math.sqrt(float((x**2 + y**2).mean()) / 2.0)
    assert predicted_error(exact, at=far, sigma=sigma) == pytest.approx(seen, rel=0.02)
    assert predicted_error(exact, at=far, sigma=sigma) * 1000.0 == pytest.approx(wanted_um, rel=0.15)


SPREAD = {
    2: np.array([(15.0, 15.0), (135.0, 75.0)]),
    3: np.array([(15.0, 15.0), (135.0, 15.0), (75.0, 135.0)]),
    4: np.array([(15.0, 15.0), (135.0, 15.0), (135.0, 135.0), (15.0, 135.0)]),
    6: np.array([(15.0, 15.0), (75.0, 15.0), (135.0, 15.0), (135.0, 135.0), (75.0, 135.0), (15.0, 135.0)]),
}


def test_turn_and_scale_are_as_uncertain_as_the_marks_are_close() -> None:
    drawn = np.array(LAYOUTS[4])
    exact = registered(drawn, measured=drawn)
    random = np.random.default_rng(3)
    turns, scales = [], []
    for _ in range(4000):
        measured = drawn + random.normal(0.0, 0.02, drawn.shape)
        turns.append(registered(drawn, measured=measured).pose.turn)
        scales.append(scale_of(drawn, measured=measured))
    assert np.std(turns) == pytest.approx(turn_error(exact, sigma=0.02), rel=0.05)
    assert np.std(scales) == pytest.approx(scale_error(exact, sigma=0.02), rel=0.05)


def test_residuals_of_three_marks_and_more_show_the_spread_and_those_of_two_do_not() -> None:
    drawn = np.array(LAYOUTS[6])
    random = np.random.default_rng(5)
    seen = [
        spread_of_residuals(registered(drawn, measured=drawn + random.normal(0.0, 0.02, drawn.shape)))
        for _ in range(2000)
    ]
    assert math.sqrt(np.mean(np.square(np.array(seen, dtype=float)))) == pytest.approx(0.02, rel=0.05)
    pair = np.array(LAYOUTS[2])
    assert spread_of_residuals(registered(pair, measured=pair)) is None


def test_a_scale_is_found_whatever_the_turn() -> None:
    drawn = np.array(LAYOUTS[3])
    turned = placed(drawn * 25.4, pose=Pose(turn=2.0, shift=(1.0, 2.0)))
    assert scale_of(drawn, measured=turned) == pytest.approx(25.4)


@pytest.mark.parametrize("marks", [[(0.0, 0.0)], [(1.0, 1.0), (1.0, 1.0)]])
def test_marks_at_one_place_locate_nothing(marks: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match=r"marks|place"):
        registered(np.array(marks), measured=np.array(marks))
