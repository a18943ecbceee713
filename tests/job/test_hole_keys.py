"""The keys of holes that hold something: what they become, and what is said of those that cannot be."""

from collections.abc import Callable
from typing import Any

import pytest

from camplan.features.holds import Fit, Magnet, Screw, Thread
from camplan.features.specs import HoleSpec
from camplan.job import Job

Read = Callable[[str], Job]
Said = Callable[..., list[str]]


def table(keys: str) -> str:
    return f'\n[[feature]]\nname = "pins"\nkind = "hole"\nlayer = "PINS"\n{keys}\n'


@pytest.fixture
def hole(read: Read, cavity: str) -> Callable[[str], Any]:
    def one(keys: str) -> HoleSpec:
        spec = read(cavity + table(keys)).features[1]
        assert isinstance(spec, HoleSpec)
        return spec

    return one


@pytest.fixture
def wrong(said: Said) -> Callable[[str], list[str]]:
    return lambda keys: [one.removeprefix("feature[2].") for one in said(add=table(keys))]


def test_a_fit_is_looked_up(hole: Callable[[str], Any]) -> None:
    holds = hole('depth = "through"\nfit = "H7"').holds
    assert isinstance(holds, Fit)
    assert (holds.fit.name, holds.pin) == ("H7", None)


@pytest.mark.parametrize(("way", "name"), [("press", "H7"), ("slip", "G7")])
def test_a_dowel_is_a_fit_for_a_pin_m6(hole: Callable[[str], Any], way: str, name: str) -> None:
    """Pins m6 (ISO 8734:1997); press in H7, slip in G7 (common practice, no source)."""
    holds = hole(f'depth_mm = 8\ndowel = "{way}"').holds
    assert isinstance(holds, Fit)
    assert holds.pin is not None
    assert (holds.fit.name, holds.pin.name, holds.way) == (name, "m6", way)


def test_a_thread_takes_what_the_depth_leaves_above_three_pitches(hole: Callable[[str], Any]) -> None:
    spec = hole('depth_mm = 8\nthread = "M5"')
    assert isinstance(spec.holds, Thread)
    assert spec.holds.depth == pytest.approx(8.0 - 3 * 0.8)


def test_a_threads_depth_alone_makes_the_hole_three_pitches_deeper(hole: Callable[[str], Any]) -> None:
    spec = hole('thread_depth_mm = 5\nthread = "M5"')
    assert spec.depth == pytest.approx(5.0 + 3 * 0.8)
    assert spec.holds.depth == 5.0


def test_a_thread_through_is_full_through(hole: Callable[[str], Any]) -> None:
    spec = hole('depth = "through"\nthread = "M5"')
    assert spec.depth is None
    assert spec.holds.depth is None


def test_a_counterbore_goes_through_and_its_head_ends_below_the_top(hole: Callable[[str], Any]) -> None:
    """Head of M5 5 mm high (ISO 4762), 0.4 mm below (common practice, no source)."""
    spec = hole('counterbore = "M5"')
    assert isinstance(spec.holds, Screw)
    assert spec.depth is None
    assert (spec.holds.series, spec.holds.head) == ("medium", pytest.approx(5.4))


def test_a_counterbore_in_a_pocket_starts_at_its_floor(hole: Callable[[str], Any]) -> None:
    assert hole('top_mm = 2\ncounterbore = "M4"\nclearance = "fine"').holds.head == pytest.approx(6.4)
    assert hole('counterbore = "M4"\ncounterbore_depth_mm = 6').holds.head == 6.0


def test_a_plain_clearance_hole_has_no_head(hole: Callable[[str], Any]) -> None:
    holds = hole('clearance_for = "M2.5"\nclearance = "coarse"').holds
    assert isinstance(holds, Screw)
    assert (holds.size.name, holds.series, holds.head) == ("M2.5", "coarse", None)


def test_a_magnet_has_a_gap_by_the_way_it_is_held_or_the_one_that_is_said(hole: Callable[[str], Any]) -> None:
    assert hole('depth_mm = 3\nmagnet = "glue"').holds == Magnet(way="glue", gap=0.1)
    assert hole('depth_mm = 3\nmagnet = "press"').holds == Magnet(way="press", gap=-0.02)
    assert hole('depth_mm = 3\nmagnet = "press"\ngap_um = 35').holds == Magnet(way="press", gap=-0.035)


def test_a_fit_beside_a_thread_is_refused(wrong: Callable[[str], list[str]]) -> None:
    (only,) = wrong('depth_mm = 8\nfit = "H7"\nthread = "M5"')
    assert only.startswith("thread: stands beside fit")
    assert "one of fit, dowel, thread, counterbore, clearance_for, magnet" in only


@pytest.mark.parametrize(
    ("keys", "key", "accepted"),
    [
        ('depth_mm = 8\nthread = "M7"', "thread", "M2, M2.5, M3, M4, M5, M6, M8, M10"),
        ('depth_mm = 8\nfit = "Z9"', "fit", "H6, H7, H8, H9, G6, G7, F7, F8"),
        ('depth_mm = 8\nfit = "H7"\ntolerance_um = 5', "tolerance_um", "leave it out"),
        ('depth_mm = 8\ndowel = "loose"', "dowel", "press, slip"),
        ('counterbore = "M2"', "counterbore", "M3, M4, M5, M6, M8, M10"),
        ('counterbore = "M10"', "counterbore", "counterbore_depth_mm below 10, or a smaller screw"),
        ('counterbore = "M5"\ncounterbore_depth_mm = 10', "counterbore_depth_mm", "below 10"),
        ('counterbore = "M5"\ndepth_mm = 8', "depth_mm", 'depth = "through", or no depth'),
        ('clearance_for = "M5"\nclearance = "wide"', "clearance", "fine, medium, coarse"),
        ('depth_mm = 8\nthread = "M5"\nthread_depth_mm = 7', "thread_depth_mm", "depth_mm of 9.4 and more"),
        ('depth_mm = 3\nthread = "M5"', "depth_mm", "depth_mm of 3.2 and more"),
        ('thread = "M5"\nthread_depth_mm = 9', "thread_depth_mm", 'up to 7.6; or depth = "through"'),
        ('depth = "through"\nmagnet = "glue"', "depth", "less than the plate's thickness"),
        ('depth_mm = 10\nmagnet = "glue"', "depth_mm", "less than the plate's thickness"),
        ('depth_mm = 3\nmagnet = "glue"\ngap_um = -5', "gap_um", "0 or more"),
        ('depth_mm = 3\nclearance = "fine"', "clearance", "beside counterbore or clearance_for"),
        ("depth_mm = 3\ngap_um = 20", "gap_um", "beside magnet"),
        ('depth_mm = 3\nfit = "H7"\nthread_depth_mm = 2', "thread_depth_mm", "beside thread"),
        ('fit = "H7"', "depth_mm", 'depth = "through"'),
        ("depth_mm = 3\nthread = 5", "thread", "M2, M2.5"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(
    wrong: Callable[[str], list[str]], keys: str, key: str, accepted: str
) -> None:
    (only,) = wrong(keys)
    assert only.startswith(f"{key}: ")
    assert accepted in only.partition("(accepted: ")[2]


def test_all_problems_of_a_hole_come_in_one_run(wrong: Callable[[str], list[str]]) -> None:
    found = wrong('thread = "M7"\ndepth_mm = 40\nfit = "H7"\ngap_um = 5\nspott = false')
    assert [one.partition(":")[0] for one in found] == ["thread", "gap_um", "depth_mm", "spott"]


def test_lengths_are_in_the_units_of_the_job(read: Read, cavity: str) -> None:
    text = cavity.replace("thickness_mm = 10.0", "thickness_mm = 0.5").replace("depth_mm = 6.5", "depth_mm = 0.2")
    spec = read('units = "inch"\n' + text + table('counterbore = "M5"\ncounterbore_depth_mm = 0.25')).features[1]
    assert isinstance(spec, HoleSpec)
    assert isinstance(spec.holds, Screw)
    assert spec.holds.head == pytest.approx(6.35)
