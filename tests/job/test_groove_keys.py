"""Keys of grooves that fall or lean: read, or refused with what would be accepted, all in one run."""

import math
from pathlib import Path

import pytest

from camplan.errors import Problem
from camplan.features.specs import Fall, GrooveSpec
from camplan.fields import Fields
from camplan.job.features import Ground, read_feature

USUAL = {"name": "runner", "kind": "groove", "layer": "RUNNER", "width_mm": 4.0, "depth_mm": 2.0}


def read(thickness: float | None = 10.0, unit: float = 1.0, **changes: object) -> tuple[GrooveSpec, list[str]]:
    problems: list[Problem] = []
    fields = Fields({**USUAL, **changes}, file="job.toml", problems=problems)
    spec = read_feature(fields, ground=Ground(unit=unit, thickness=thickness, cutters=None, folder=Path()))
    assert isinstance(spec, GrooveSpec)
    return spec, [f"{one.key}: {one.message} ({one.accepted})" for one in problems]


def test_two_depths_fall_from_the_first_end_to_the_other() -> None:
    spec, problems = read(depth_mm=[2.5, 1.5])
    assert (problems, spec.fall, spec.depth) == ([], Fall(first=2.5, last=1.5, deepest_at=None), 2.5)
    spec, problems = read(depth_mm=[1.5, 2.5])
    assert (problems, spec.depth) == ([], 2.5)


def test_two_widths_narrow_along_the_line() -> None:
    spec, problems = read(width_mm=[2, 4])
    assert (problems, spec.widths, spec.width) == ([], (2.0, 4.0), 4.0)


def test_inches_reach_every_length() -> None:
    spec, problems = read(thickness=25.4, unit=25.4, width_mm=0.1, depth_mm=[0.1, 0.05], deepest_at=[1, 2])
    assert problems == []
    assert spec.fall == Fall(first=pytest.approx(2.54), last=pytest.approx(1.27), deepest_at=(25.4, 50.8))


def test_a_trapezoid_leans() -> None:
    spec, problems = read(section="trapezoid", draft_deg=5)
    assert (problems, spec.section, spec.draft) == ([], "trapezoid", pytest.approx(math.radians(5.0)))


@pytest.mark.parametrize(
    ("changes", "key", "says", "accepted"),
    [
        ({"depth_mm": [2.5]}, "depth_mm", "must be two numbers", "two depths"),
        ({"depth_mm": [2.5, "x"]}, "depth_mm", "must be two numbers", "two depths"),
        ({"depth_mm": [12, 1]}, "depth_mm", "12 is below the plate", "up to 10"),
        ({"depth_mm": [2.5, 0]}, "depth_mm", "0 is not below the feature's top", "above 0"),
        ({"depth_mm": [2.5, 1.5], "top_mm": 2}, "depth_mm", "1.5 is not below", "above 2"),
        (
            {"depth_mm": [1.5, 2.5], "deepest_at": [0, 0]},
            "depth_mm",
            "deeper at the far ends",
            "at deepest_at first",
        ),
        ({"deepest_at": [0, 0]}, "deepest_at", "has no use with one depth", "depth_mm = ["),
        ({"depth_mm": [2, 1], "deepest_at": [0, True]}, "deepest_at", "must be two numbers", "drawing's coordinates"),
        ({"section": "trapezoid"}, "draft_deg", "is missing", "degrees a side"),
        ({"section": "round", "draft_deg": 3}, "draft_deg", "do not lean", "trapezoid"),
        # 2 h tan a = 2 x 2 x tan 45 = 4 mm, all of the width
        ({"section": "trapezoid", "draft_deg": 45}, "draft_deg", "leave no floor", "below 45.00"),
        ({"depth_mm": [2, 1], "depth": "through"}, "depth", "stands beside depth_mm", "depth_mm"),
        ({"width_mm": [4]}, "width_mm", "must be two numbers", "two widths"),
        ({"width_mm": [4, 0]}, "width_mm", "0 is no width", "above 0"),
        ({"width_mm": [4, 2], "depth_mm": [2, 1]}, "width_mm", "narrows or falls", "one width_mm, or one depth_mm"),
        ({"width_mm": [4, 2], "section": "round"}, "width_mm", "only a square groove narrows", "square"),
        ({"section": "oval"}, "section", "unknown", "square, round, trapezoid"),
    ],
)
def test_what_cannot_be_is_told_with_what_would_be_accepted(
    changes: dict[str, object], key: str, says: str, accepted: str
) -> None:
    _, (only,) = read(**changes)
    assert only.startswith(f"{key}: ")
    assert says in only
    assert accepted in only


def test_all_that_is_wrong_is_told_at_once() -> None:
    _, problems = read(depth_mm=[12, 0], section="trapezoid", width_mm=-1)
    assert [one.partition(":")[0] for one in problems] == ["depth_mm", "depth_mm", "draft_deg", "width_mm"]
