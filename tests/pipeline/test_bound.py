"""The yardstick of a plan's time against plane and solid geometry, and against the plan that it belongs to."""

import math
from pathlib import Path

import pytest
from acceptance import plates

from camplan.pipeline import plan_job
from camplan.pipeline.bench import load_bench, shop_of
from camplan.pipeline.bound import time_bound
from camplan.pipeline.faces import picked_faces
from camplan.planned import TimeBound

SQUARE = [(0.0, 0.0), (80.0, 0.0), (80.0, 60.0), (0.0, 60.0)]
HOLES = """
[[feature]]
name = "screws"
kind = "hole"
layer = "SCREWS"
depth_mm = 6
diameter_mm = 4.2
"""


def bound_of(job: Path) -> TimeBound:
    bench = load_bench(job)
    return time_bound(picked_faces(bench, shop=shop_of(bench)))


def bound_of_drawn(folder: Path, text: str, **layers: object) -> TimeBound:
    plates.drawn(folder / "plate.dxf", **{"closed": [("PLATE", SQUARE)], **layers})
    return bound_of(plates.job(folder, plates.HEAD + text))


def test_a_pocket_takes_its_area_over_its_depth_and_its_wall_is_its_contour(tmp_path: Path) -> None:
    found = bound_of(plates.plain(tmp_path))
    # 30 x 24 with corners of 4 mm: a square of side 8 less a circle is missing
    assert found.volume == pytest.approx(3.0 * (30.0 * 24.0 - (4.0 - math.pi) * 16.0), rel=2e-4)
    assert found.walls == pytest.approx(2.0 * (22.0 + 16.0) + 2.0 * math.pi * 4.0, rel=2e-4)
    assert found.drilling == 0.0


def test_a_leaning_wall_makes_a_frustum(tmp_path: Path) -> None:
    text = '\n[[feature]]\nname = "well"\nkind = "pocket"\nlayer = "WELL"\ndepth_mm = 4\ndraft_deg = 5\n'
    found = bound_of_drawn(tmp_path, text, circles=[("WELL", 40.0, 30.0, 40.0)])
    wide, narrow = 20.0, 20.0 - 4.0 * math.tan(math.radians(5.0))
    frustum = math.pi * 4.0 / 3.0 * (wide**2 + wide * narrow + narrow**2)
    assert found.volume == pytest.approx(frustum, rel=1e-3)
    assert found.walls == pytest.approx(math.pi * (wide + narrow), rel=1e-3)


def test_what_two_features_share_is_taken_once_and_beside_the_plate_there_is_nothing_to_take(tmp_path: Path) -> None:
    both = "".join(
        f'\n[[feature]]\nname = "{name}"\nkind = "pocket"\nlayer = "{name}"\ndepth_mm = {depth}\ntop_mm = {top}\n'
        for name, top, depth in (("OUTER", 0, 3), ("INNER", 3, 5))
    )
    found = bound_of_drawn(
        tmp_path,
        both,
        closed=[
            ("PLATE", SQUARE),
            ("OUTER", [(0.0, 10.0), (50.0, 10.0), (50.0, 50.0), (0.0, 50.0)]),
            ("INNER", [(15.0, 20.0), (35.0, 20.0), (35.0, 40.0), (15.0, 40.0)]),
        ],
    )
    assert found.volume == pytest.approx(50.0 * 40.0 * 3.0 + 20.0 * 20.0 * 2.0, rel=1e-6)


def test_drilled_holes_count_by_their_feed_alone(tmp_path: Path) -> None:
    job = tmp_path / "plate.dxf"
    plates.drawn(job, closed=[("PLATE", SQUARE)], circles=[("SCREWS", 20.0, 20.0, 4.2), ("SCREWS", 40.0, 20.0, 4.2)])
    made = plates.job(tmp_path, plates.HEAD + HOLES)
    found = bound_of(made)
    assert (found.volume, found.walls) == (0.0, 0.0)
    seconds = 0.0
    for program in plan_job(made).programs:
        for one in program.operations:
            seconds += 2.0 * -one.levels[-1] / one.feed * 60.0
    assert found.drilling == pytest.approx(seconds)
    assert found.seconds == found.drilling > 0.0


def test_the_rates_are_the_best_of_the_plan_and_its_programs_take_longer(tmp_path: Path) -> None:
    plan = plan_job(plates.plain(tmp_path))
    operations = [one for program in plan.programs for one in program.operations]
    assert plan.bound is not None and plan.over_bound is not None
    roughing = [one for one in operations if one.purpose == "rough"]
    assert plan.bound.removal == max(one.step_over * one.step_down * one.feed for one in roughing)
    assert plan.bound.finish_feed in [one.feed for one in operations if one.purpose == "finish"]
    removing = plan.bound.volume / plan.bound.removal * 60.0
    finishing = plan.bound.walls / plan.bound.finish_feed * 60.0
    assert plan.bound.seconds == pytest.approx(max(removing, finishing))
    assert plan.over_bound == pytest.approx(plan.seconds / plan.bound.seconds)
    assert plan.over_bound > 1.0
