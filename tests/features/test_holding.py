"""Drawn circles made holes that hold something, and the sections of these holes, height by height."""

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from camplan.catalogue.standards import Standards, load_standards
from camplan.errors import InputError
from camplan.features.build import build, with_mouth
from camplan.features.holding import by_hand, kept_by
from camplan.features.holds import Fit, Magnet, Screw, Thread
from camplan.features.records import Built, Feature
from camplan.features.sections import curved_between, heights, may, must

STANDARDS: Standards = load_standards(beside=Path("nowhere"))
CAP = Screw(size=STANDARDS.screws["M5"], series="medium", head=5.4)
TAP = Thread(size=STANDARDS.threads["M5"], depth=None)


def built(make: SimpleNamespace, holds: Any, *, circles: Any = (), points: Any = (), **changes: Any) -> Built:
    layer = make.layer("PINS", circles=circles, points=points)
    return build((make.hole(holds=holds, **changes),), plate=make.plate(), drawing=make.drawing(layer))


def one(make: SimpleNamespace, holds: Any, **more: Any) -> Feature:
    return built(make, holds, **more).features[0]


def area(make: SimpleNamespace, section: Any) -> float:
    return float(make.figure(section).area)


def disc(diameter: float) -> float:
    return math.pi * diameter**2 / 4.0


def test_holes_of_a_fit_have_the_middle_size_and_a_quarter_of_the_tolerance_at_each_wall(make: SimpleNamespace) -> None:
    """H7: 12 um at 6 mm, 15 um at 8 mm (ISO 286-2); the tighter one binds."""
    feature = one(make, Fit(fit=STANDARDS.holes["H7"]), circles=[(50, 50, 6), (60, 50, 8)])
    assert [size for _, _, size in feature.circles] == [6.006, 8.0075]
    assert feature.spec.tolerance == pytest.approx(0.003)
    assert [gauge.name for gauge in feature.gauges] == ["6 H7", "8 H7"]
    assert area(make, may(feature, z=-1.0)) == pytest.approx(disc(6.006) + disc(8.0075), rel=1e-5)


def test_a_sunk_head_is_wide_above_its_floor_and_a_clearance_hole_below(make: SimpleNamespace) -> None:
    feature = one(make, CAP, circles=[(50, 50, 5)], depth=None)
    assert feature.sunk == ((10.0, 5.4),)
    assert -5.4 in heights(feature)
    for section in (may, must):
        assert area(make, section(feature, z=-5.4)) == pytest.approx(disc(10.0), rel=1e-5)
        assert area(make, section(feature, z=-5.41)) == pytest.approx(disc(5.5), rel=1e-5)
    assert curved_between(feature) == ()


def test_a_plate_too_thin_under_a_head_is_told_of(make: SimpleNamespace) -> None:
    """10 mm less a bore of 8 leaves 2 mm, less than half of M5 (common practice, no source)."""
    deep = Screw(size=STANDARDS.screws["M5"], series="medium", head=8.0)
    (told,) = [one for one in built(make, deep, circles=[(50, 50, 5)], depth=None).findings if "thin" in one.code]
    assert "only 2 mm of the plate stay under the head of M5" in told.message
    assert all("thin" not in one.code for one in built(make, CAP, circles=[(50, 50, 5)], depth=None).findings)


def test_a_chamfered_mouth_closes_to_the_hole_by_the_angle_of_its_cutter(make: SimpleNamespace) -> None:
    """A right-angled cone 5.25 mm wide is as deep as half of what it is wider than the hole (plane geometry)."""
    feature = with_mouth(one(make, TAP, circles=[(50, 50, 5)]), diameter=5.25, angle=math.pi / 2.0)
    deep = (5.25 - 4.2) / 2.0
    assert curved_between(feature)[0] == (0.0, pytest.approx(-deep))
    for depth in (0.0, 0.1, 0.3, 0.5):
        assert area(make, may(feature, z=-depth)) == pytest.approx(disc(5.25 - 2.0 * depth), rel=1e-4)
    assert area(make, may(feature, z=-0.6)) == pytest.approx(disc(4.2), rel=1e-5)


def test_a_chamfer_is_no_cone_without_an_angle(make: SimpleNamespace) -> None:
    with pytest.raises(ValueError, match="a chamfer of"):
        with_mouth(one(make, TAP, circles=[(50, 50, 5)]), diameter=5.25, angle=math.pi)


def test_points_get_their_size_from_the_thread(make: SimpleNamespace) -> None:
    assert [size for _, _, size in one(make, TAP, points=[(50, 50)]).circles] == [4.2]


def test_diameter_mm_that_contradicts_the_thread_is_refused_as_a_circle_is(make: SimpleNamespace) -> None:
    with pytest.raises(InputError) as raised:
        built(make, TAP, points=[(50, 50)], diameter=6.0)
    (problem,) = raised.value.problems
    assert "6.000 mm is not M5" in problem.message


def test_every_circle_that_cannot_be_is_refused_in_one_run(make: SimpleNamespace) -> None:
    with pytest.raises(InputError) as raised:
        built(make, TAP, circles=[(50, 50, 6), (60, 50, 7)])
    assert [problem.message[:20] for problem in raised.value.problems] == [
        "a circle of 6.000 mm",
        "a circle of 7.000 mm",
    ]


def test_a_thread_is_left_to_the_hand_and_that_is_said(make: SimpleNamespace) -> None:
    found = built(make, TAP, circles=[(50, 50, 5), (60, 50, 5)], depth=None)
    (note,) = [finding for finding in found.findings if finding.code == "tap-by-hand"]
    assert note.message.startswith("tap 2 holes M5 x 0.8 by hand, through")
    assert "nothing is tapped by the machine" in note.message
    assert kept_by(found.features[0]) == "M5 thread"


def test_a_blind_thread_says_how_deep_it_is_and_how_deep_its_hole(make: SimpleNamespace) -> None:
    (sentence,) = by_hand(one(make, Thread(size=STANDARDS.threads["M5"], depth=5.6), points=[(50, 50)], depth=8.0))
    assert "5.6 mm deep, full thread; the holes are 4.2 mm, 8 mm deep" in sentence


def test_a_pin_says_how_tight_and_how_loose_it_may_sit(make: SimpleNamespace) -> None:
    """6 H7/m6: 12 um tight to 8 um loose (ISO 286-2)."""
    dowel = Fit(fit=STANDARDS.holes["H7"], pin=STANDARDS.pins["m6"], way="press")
    feature = one(make, dowel, circles=[(50, 50, 6)])
    (sentence,) = by_hand(feature)
    assert "pin 6 m6 (ISO 8734), 6.004 to 6.012: sits from 12 um tight to 8 um loose in 6 H7" in sentence
    assert kept_by(feature) == "press fit of dowel pins, 6 H7"


def test_a_magnets_socket_is_milled_so_no_drills_point_is_warned_of(make: SimpleNamespace) -> None:
    found = built(make, Magnet(way="glue", gap=0.1), circles=[(50, 50, 8)], depth=9.0)
    assert [size for _, _, size in found.features[0].circles] == [8.1]
    assert "point-comes-out" not in [finding.code for finding in found.findings]
    assert "100 um wider than the magnet" in by_hand(found.features[0])[0]


@pytest.mark.parametrize(
    ("holds", "words"),
    [
        (CAP, "M5 cap screw, head sunk"),
        (Screw(size=STANDARDS.screws["M5"], series="fine", head=None), "M5 screw, fine clearance"),
        (Fit(fit=STANDARDS.holes["H7"]), "5 H7"),
        (Magnet(way="press", gap=-0.02), "magnet, pressed in"),
        (None, ""),
    ],
)
def test_what_a_hole_holds_is_said_in_a_few_words(make: SimpleNamespace, holds: Any, words: str) -> None:
    assert kept_by(one(make, holds, circles=[(50, 50, 5)])) == words
