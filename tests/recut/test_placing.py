import math

import numpy as np
import pytest

from camplan.errors import InputError
from camplan.features.marks import Mark
from camplan.recut.placing import NEGLIGIBLE, Found, MarkReading, found_plate
from camplan.recut.registration import Pose, placed, predicted_error

MARKS = tuple(
    Mark(name=f"marks {number}", feature="marks", x=x, y=y)
    for number, (x, y) in enumerate([(10.0, 10.0), (140.0, 12.0), (75.0, 90.0)], start=1)
)
CORNERS = np.array([(0.0, 0.0), (150.0, 0.0), (150.0, 100.0), (0.0, 100.0)])


def found(*, turn: float, noise: float = 0.0, grown: float = 0.0, sigma: float = 0.01) -> Found:
    drawn = np.array([(mark.x, mark.y) for mark in MARKS])
    random = np.random.default_rng(9)
    places = placed(drawn * (1.0 + grown), pose=Pose(turn=turn, shift=(30.0, 20.0)))
    places += random.normal(0.0, 1.0, drawn.shape) * noise
    readings = [MarkReading(name=mark.name.upper(), x=x, y=y) for mark, (x, y) in zip(MARKS, places, strict=True)]
    return found_plate(readings, marks=MARKS, corners=CORNERS, sigma=sigma)


def test_a_turn_that_moves_no_feature_by_two_micrometres_is_left_out() -> None:
    small = 0.9 * NEGLIGIBLE / 100.0
    one = found(turn=small)
    assert not one.turned
    assert 0.0 < one.ignored <= NEGLIGIBLE
    assert found(turn=4.0 * small).turned


def test_without_the_turn_the_middle_of_the_marks_is_where_it_was_found() -> None:
    """So a turn that is left out moves both ends of the plate by half of what it would from one of them."""
    one = found(turn=1e-5)
    middle = np.array(one.registration.centre)
    by_shift = middle + np.array(one.zero)
    by_pose = placed(middle[None, :], pose=one.registration.pose)[0]
    assert np.allclose(by_shift, by_pose, atol=1e-9)


def test_the_error_is_asked_at_the_corner_farthest_from_the_middle_of_the_marks() -> None:
    one = found(turn=0.01)
    errors = [predicted_error(one.registration, at=(x, y), sigma=one.sigma) for x, y in CORNERS.tolist()]
    assert one.error == pytest.approx(max(errors))


def test_residuals_much_larger_than_stated_are_said() -> None:
    assert [finding.code for finding in found(turn=0.01, noise=0.010, sigma=0.005).findings] == ["marks-spread"]
    assert found(turn=0.01, noise=0.005, sigma=0.01).findings == ()


@pytest.mark.parametrize(("grown", "said"), [(5e-4, "K warmer"), (-5e-4, "a mark read wrong")])
def test_a_scale_beyond_its_uncertainty_is_said(grown: float, said: str) -> None:
    codes = {finding.code: finding.message for finding in found(turn=0.01, grown=grown, sigma=0.012).findings}
    assert said in codes["scale-off"]


def test_everything_wrong_with_the_marks_is_said_at_once() -> None:
    readings = [
        MarkReading(name="marks 1", x=1.0, y=2.0),
        MarkReading(name="Marks 1", x=1.0, y=2.0),
        MarkReading(name="pin", x=math.nan, y=2.0),
    ]
    with pytest.raises(InputError) as caught:
        found_plate(readings, marks=MARKS, corners=CORNERS, sigma=0.01)
    said = [problem.message for problem in caught.value.problems]
    assert said == ["'Marks 1' stands twice", "there is no mark 'pin' on this plate", "'pin' has no place"]
    assert "marks 3 (X 75.000 Y 90.000)" in caught.value.problems[1].accepted
