"""Speeds and feeds that a spindle, a cutter or an axis does not bear are told with their line."""

from dataclasses import replace
from pathlib import Path

import pytest

from camplan.catalogue.cutters import load_shelf
from camplan.catalogue.machines import load_machine
from camplan.findings import Severity
from camplan.moves.expand import motions
from camplan.moves.records import Line, Rapid, Spindle
from camplan.simulation.limits import beyond_limits
from camplan.simulation.records import ProgramUnderProof

HERE = Path("/nowhere")
MACHINE = load_machine("bench-mill", beside=HERE).machine
CUTTER = replace(load_shelf(("slot-6",), beside=HERE).cutters["slot-6"], rpm_max=30_000.0)


def program(*, rpm: float, feed: float, z: float) -> ProgramUnderProof:
    moves = [
        Spindle(rpm=rpm),
        Rapid(to=(0.0, 0.0, 5.0)),
        Line(to=(0.0, 0.0, z), feed=feed),
        Line(to=(9.0, 0.0, z), feed=feed),
    ]
    return ProgramUnderProof(
        file="a.ngc",
        setting="one clamping",
        cutter=CUTTER,
        motions=motions(moves, start=(0.0, 0.0, 10.0), lines=range(1, 5)),
    )


def codes(one: ProgramUnderProof) -> dict[str, Severity]:
    return {finding.code: finding.severity for finding in beyond_limits([one], machine=MACHINE)}


def test_a_program_within_its_limits_is_not_spoken_of() -> None:
    assert codes(program(rpm=12_000.0, feed=600.0, z=-1.0)) == {}


def test_feeding_into_the_plate_at_rest_is_unsafe_and_names_its_line() -> None:
    (finding,) = beyond_limits([program(rpm=0.0, feed=600.0, z=-1.0)], machine=MACHINE)
    assert finding.severity is Severity.UNSAFE
    assert finding.where == "a.ngc, line 3"


def test_a_walk_in_the_air_at_rest_is_fine() -> None:
    assert codes(program(rpm=0.0, feed=600.0, z=2.0)) == {}


@pytest.mark.parametrize(
    ("rpm", "feed", "expected"),
    [
        (MACHINE.rpm_min * 0.9, 60.0, {"speed-below-spindle": Severity.UNSAFE}),
        (MACHINE.rpm_max * 1.1, 600.0, {"speed-above-spindle": Severity.UNSAFE}),
        (12_000.0, MACHINE.feed_max * 1.1, {"feed-above-machine": Severity.UNMET}),
        (31_000.0, 600.0, {"speed-above-cutter": Severity.UNSAFE, "speed-above-spindle": Severity.UNSAFE}),
    ],
)
def test_what_is_beyond_a_limit_is_told(rpm: float, feed: float, expected: dict[str, Severity]) -> None:
    assert codes(program(rpm=rpm, feed=feed, z=-1.0)) == expected
