"""Why something is left: the cause that is given is the true one, for faces and for outlines."""

import json
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

Way = Sequence[tuple[float, float]]

FACE = '\n[[feature]]\nname = "skin"\nkind = "face"\nlayer = "FACE"\ndepth_mm = 0.5\n'
PARTS = '\n[[feature]]\nname = "discs"\nkind = "outline"\nlayer = "PART"\nhold = "none"\ndepth = "through"\n'
ANGLE = [(10, 10), (50, 10), (50, 20), (30, 20), (30, 30), (10, 30)]
FILLET = 1.0 - math.pi / 4.0
"""What stands between a right angle and a circle of radius 1 that touches both sides (plane geometry), in mm2."""


@pytest.fixture
def planned(tmp_path: Path, plates: Any, run: Callable[..., Any]) -> Callable[..., dict[str, Any]]:
    """The plan of a plate of 60 x 40 with some ways on one layer; slot-6 is the only flat cutter unless others are."""

    def plan(layer: str, ways: Sequence[Way], feature: str, *, cutters: str = '"slot-6"') -> dict[str, Any]:
        closed = [("PLATE", box(0, 0, 60, 40)), *((layer, way) for way in ways)]
        plates.drawn(tmp_path / "plate.dxf", closed=closed)
        head = plates.HEAD.replace('"slot-6", "spot-90-6", "drill-4.2"', cutters)
        ran = run("plan", plates.job(tmp_path, head + feature))
        assert ran.code in (0, 1), ran.out
        found: dict[str, Any] = json.loads((tmp_path / "plate-out" / "plan.json").read_text(encoding="utf-8"))
        return found

    return plan


def box(x0: float, y0: float, x1: float, y1: float) -> Way:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def left(document: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = document["features"][0]["left"]
    return found


def unmet(document: dict[str, Any]) -> list[str]:
    return [one["code"] for one in document["findings"] if one["severity"] == "unmet"]


def test_a_face_wider_than_the_plate_leaves_nothing(planned: Any) -> None:
    document = planned("FACE", [box(-5, -5, 65, 45)], FACE)
    assert (left(document), unmet(document)) == ([], [])


def test_a_face_within_the_plate_leaves_its_corners(planned: Any) -> None:
    document = planned("FACE", [box(10, 10, 50, 30)], FACE)
    assert unmet(document) == []
    assert [one["area_mm2"] for one in left(document)] == pytest.approx([FILLET * 9.0] * 4, rel=0.01)
    assert {one["cause"] for one in left(document)} == {"inner corner tighter than cutter radius 3.000 mm (slot-6)"}


def test_a_face_over_the_edge_leaves_only_the_corners_in_the_plate(planned: Any) -> None:
    document = planned("FACE", [box(-5, 10, 30, 30)], FACE)
    assert unmet(document) == []
    assert [one["area_mm2"] for one in left(document)] == pytest.approx([FILLET * 9.0] * 2, rel=0.01)


def test_a_narrow_end_of_a_face_is_not_reached(planned: Any) -> None:
    tongue = [(10, 10), (30, 10), (30, 18), (40, 18), (40, 22), (30, 22), (30, 30), (10, 30)]
    document = planned("FACE", [tongue], FACE)
    assert unmet(document) == ["not-reached"]
    assert max(left(document), key=lambda one: one["area_mm2"])["cause"].startswith("neck narrower than 6.000 mm")


@pytest.mark.parametrize("length", [8.0, 20.0])
@pytest.mark.parametrize("more", ["", "corner_mm = 1\n", "corner_mm = 3\n"])
def test_outlines_closer_than_the_cutter_leave_a_neck_between_them(planned: Any, length: float, more: str) -> None:
    ways = [box(10, 10, 28, 10 + length), box(32, 10, 50, 10 + length)]
    document = planned("PART", ways, PARTS + more)
    assert unmet(document) == ["not-reached"]
    causes = {one["cause"] for one in left(document)}
    assert causes == {"neck narrower than 6.000 mm (slot-6, the finest that reaches 8 mm)"}


def test_a_gap_between_outlines_that_a_listed_cutter_fits_is_within_reach(planned: Any) -> None:
    ways = [box(10, 10, 28, 30), box(32, 10, 50, 30)]
    document = planned("PART", ways, PARTS, cutters='"slot-6", "slot-3"')
    assert {one["cause"] for one in left(document)} <= {"within reach, but not cut"}
    assert unmet(document) in ([], ["left-uncut"])


def test_outlines_farther_apart_than_the_cutter_leave_nothing(planned: Any) -> None:
    document = planned("PART", [box(10, 10, 26, 30), box(34, 10, 50, 30)], PARTS)
    assert (left(document), unmet(document)) == ([], [])


@pytest.mark.parametrize(
    ("more", "cause"),
    [
        ("", "inner corner tighter than cutter radius 3.000 mm (slot-6)"),
        ("corner_mm = 3\n", "a corner radius of up to 3 mm is granted"),
    ],
)
def test_an_inner_corner_of_an_outline_is_a_corner(planned: Any, more: str, cause: str) -> None:
    document = planned("PART", [ANGLE], PARTS + more)
    assert unmet(document) == []
    assert [one["cause"] for one in left(document)] == [cause]


def test_a_corner_granted_to_an_outline_is_granted_whatever_else_is_listed(planned: Any) -> None:
    document = planned("PART", [ANGLE], PARTS + "corner_mm = 3\n", cutters='"slot-6", "slot-2"')
    assert unmet(document) == []
    assert {one["cause"] for one in left(document)} == {"a corner radius of up to 3 mm is granted"}


def test_a_corner_of_an_outline_rounder_than_granted_is_told(planned: Any) -> None:
    document = planned("PART", [ANGLE], PARTS + "corner_mm = 1\n")
    assert unmet(document) == ["corner-not-met"]
