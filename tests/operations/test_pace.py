"""Expected times against those of the moves that come of it, and lengths against drawn figures."""

import math
from dataclasses import replace

import numpy as np
import pytest

from camplan.geometry.chains import circle, tessellated
from camplan.operations.fits import Fit, filled, fit
from camplan.operations.pace import lift_seconds
from camplan.pipeline import plan_job


@pytest.mark.parametrize("name", ["first", "back", "nest", "scale"])
def test_a_plate_takes_about_as_long_as_expected(examples, name) -> None:
    """The moves' time comes from accelerations and corners, which are not known when cutters are chosen."""
    plan = plan_job(examples / name / f"{name}.toml")
    operations = [one for program in plan.programs for one in program.operations]
    ratio = sum(one.expected for one in operations) / sum(one.seconds for one in operations)
    assert 0.85 < ratio < 1.1


def test_with_limited_jerk_every_rapid_there_and_back_takes_a_over_j_longer(shop) -> None:
    """10 mm up and down at 50 mm/s with 300 mm/s2, 15 mm across at 50 mm/s with 500 mm/s2: all at full speed."""
    mill = replace(shop.mill(), rapid=(3000.0, 3000.0, 3000.0), acceleration=(500.0, 500.0, 300.0), jerk=None)
    free = 2.0 * (10.0 / 50.0 + 50.0 / 300.0) + 15.0 / 50.0 + 50.0 / 500.0
    assert lift_seconds(mill) == pytest.approx(free)
    jerk = (10_000.0, 10_000.0, 30_000.0)
    # full acceleration is reached where v > a^2 / j, 25 and 3 mm/s, and the way is long enough
    assert lift_seconds(replace(mill, jerk=jerk)) == pytest.approx(free + 2.0 * 300.0 / 30_000.0 + 500.0 / 10_000.0)


def fitted(made, area, *, diameter: float, step_over: float) -> Fit:
    found = fit(made.slot_drill(diameter), filled=filled(diameter, want=[area]), step_over=step_over)
    assert found is not None
    return found


@pytest.mark.parametrize("radius", [8.0, 15.0, 25.0])
def test_a_disc_is_cleared_by_circles_a_step_apart(made, radius: float) -> None:
    """Circles of radius R - r, R - r - s and so on, which A / s + P / 2 stands for."""
    disc = (tessellated(circle((0.0, 0.0), radius=radius), chord=0.001),)
    found = fitted(made, disc, diameter=6.0, step_over=2.0)
    rings = np.arange(radius - 3.0, 0.0, -2.0)
    assert found.path == pytest.approx(2.0 * math.pi * rings.sum(), rel=0.1)
    assert found.left < 0.05
    assert len(found.starts) == 1


def test_a_right_angle_keeps_what_a_circle_leaves_of_it(made) -> None:
    """(1 - pi / 4) r^2 in each of four corners (plane geometry)."""
    square = (np.array([(0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)]),)
    found = fitted(made, square, diameter=6.0, step_over=2.0)
    assert found.places == 4
    assert found.left == pytest.approx(4.0 * (1.0 - math.pi / 4.0) * 9.0, rel=0.02)


def test_a_cutter_wider_than_a_figure_does_not_fit(made) -> None:
    narrow = (np.array([(0.0, 0.0), (30.0, 0.0), (30.0, 5.0), (0.0, 5.0)]),)
    assert filled(6.0, want=[narrow]) is None
