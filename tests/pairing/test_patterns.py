"""Shared hole patterns: every hole out of its place is named, and none that is in it."""

import dataclasses
import math
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.findings import Severity
from camplan.geometry.places import place
from camplan.pairing.patterns import off_centre, pattern_found

PINS = [(20.0, 12.0), (20.0, 62.0), (80.0, 62.0), (50.0, 30.0)]
MIRRORED = [(100.0 - x, y) for x, y in PINS]


def found(make: SimpleNamespace, there: list[tuple[float, float]], **lies: object):
    plates = [make.placed("cavity", make.holes("pins", PINS)), make.placed("back", make.holes("pins", there), **lies)]
    return pattern_found(make.pattern("cavity: pins", "back: pins"), plates=plates, common="centre")


def codes(pattern: object) -> list[str]:
    return [finding.code for finding in pattern.findings]  # type: ignore[attr-defined]


def test_the_same_holes_mirrored_fit_when_the_plate_is_said_to_be_mirrored(make: SimpleNamespace) -> None:
    pattern = found(make, MIRRORED, about="y")
    assert codes(pattern) == []
    assert len(pattern.held[0].pairs) == 4
    assert max(math.hypot(*pair.off) for pair in pattern.held[0].pairs) < 1e-9


@settings(max_examples=60, deadline=None)
@given(
    number=st.integers(0, 3),
    away=st.floats(0.0051, 5.0),
    angle=st.floats(0.0, 2.0 * math.pi),
    about=st.sampled_from([None, "x", "y"]),
)
def test_a_hole_more_than_five_micrometres_off_is_always_named(
    make: SimpleNamespace, number: int, away: float, angle: float, about: str | None
) -> None:
    drawn = {None: PINS, "y": MIRRORED, "x": [(x, 80.0 - y) for x, y in PINS]}[about]
    there = list(drawn)
    x, y = there[number]
    there[number] = (x + away * math.cos(angle), y + away * math.sin(angle))
    pattern = found(make, there, about=about)
    assert pattern.findings
    assert all(one.severity is Severity.UNMET and one.where == "pins" for one in pattern.findings)
    said = " ".join(one.message for one in pattern.findings)
    assert place(there[number]) in said or place(PINS[number]) in said
    held = pattern.held[0]
    good = [pair for pair in held.pairs if not off_centre(pair, within=0.005)]
    assert len(good) == 3


@settings(max_examples=60, deadline=None)
@given(
    away=st.lists(st.tuples(st.floats(0.0, 0.005), st.floats(0.0, 2.0 * math.pi)), min_size=4, max_size=4),
    about=st.sampled_from([None, "x", "y"]),
)
def test_holes_within_five_micrometres_are_never_named(
    make: SimpleNamespace, away: list[tuple[float, float]], about: str | None
) -> None:
    drawn = {None: PINS, "y": MIRRORED, "x": [(x, 80.0 - y) for x, y in PINS]}[about]
    there = [
        (x + far * math.cos(turn), y + far * math.sin(turn)) for (x, y), (far, turn) in zip(drawn, away, strict=True)
    ]
    assert codes(found(make, there, about=about)) == []


def test_missing_and_extra_holes_are_named_with_their_places_in_either_plate(make: SimpleNamespace) -> None:
    pattern = found(make, [*MIRRORED[1:], (90.0, 70.0)], about="y")
    assert codes(pattern) == ["hole-missing", "hole-extra"]
    missing, extra = (finding.message for finding in pattern.findings)
    assert "(20.000, 12.000)" in missing
    assert "(80.000, 12.000)" in missing  # where back would have it
    assert "(90.000, 70.000)" in extra
    assert "(10.000, 70.000)" in extra


def test_a_hole_that_is_off_is_told_how_to_move_in_its_own_drawing(make: SimpleNamespace) -> None:
    there = [*MIRRORED[:3], (50.02, 30.0)]
    (finding,) = found(make, there, about="y").findings
    assert finding.code == "hole-off-centre"
    assert "20.0 um off" in finding.message
    assert "(-20.0, 0.0) um" in finding.message


def test_one_hole_a_little_off_is_that_hole_and_not_the_plate(make: SimpleNamespace) -> None:
    """Moved as a whole by 2 um all four would be within 5 um; it is one hole all the same."""
    assert codes(found(make, [*PINS[:3], (50.006, 30.0)])) == ["hole-off-centre"]


@pytest.mark.parametrize(
    ("there", "about", "said"),
    [
        (MIRRORED, None, 'mirrored about y (mirrored = true, about = "y")'),
        ([(x, 80.0 - y) for x, y in PINS], None, 'mirrored about x (mirrored = true, about = "x")'),
        (PINS, "y", "not mirrored"),
        ([(100.0 - x, 80.0 - y) for x, y in PINS], None, "turned by half a turn"),
        ([(x + 3.0, y) for x, y in PINS], None, "moved by (-3.000, 0.000) mm (x_mm = -3, y_mm = 0)"),
        ([(x + 0.01, y) for x, y in PINS], None, "moved by (-0.010, 0.000) mm (x_mm = -0.01, y_mm = 0)"),
    ],
)
def test_a_plate_that_lies_otherwise_is_recognised(
    make: SimpleNamespace, there: list[tuple[float, float]], about: str | None, said: str
) -> None:
    (finding,) = found(make, there, about=about).findings
    assert finding.code == "pattern-lies-otherwise"
    assert f'if "back" were {said}' in finding.message


def test_a_mirrored_pattern_with_a_hole_too_few_is_still_recognised(make: SimpleNamespace) -> None:
    (finding,) = found(make, MIRRORED[:3]).findings
    assert finding.code == "pattern-lies-otherwise"
    assert "all but 1 of its holes" in finding.message
    assert "mirrored about y" in finding.message


def test_holes_of_two_sizes_on_one_centre_are_one_place(make: SimpleNamespace) -> None:
    pins = make.holes("pins", PINS)
    stepped = dataclasses.replace(pins, circles=(*pins.circles, *((x, y, 8.0) for x, y in PINS)))
    plates = [make.placed("cavity", pins), make.placed("back", stepped)]
    pattern = pattern_found(make.pattern("cavity: pins", "back: pins"), plates=plates, common="centre")
    assert codes(pattern) == []
    assert {pair.other.diameters for pair in pattern.held[0].pairs} == {(4.0, 8.0)}
