"""Canned cycles, each rule with its § of NISTIR 6556."""

from collections.abc import Callable

import pytest

from camplan.moves.records import Drill, Dwell, Spindle
from camplan.moves.table import Kind
from camplan.rs274 import controller
from camplan.rs274.records import ReadProgram

Run = Callable[..., ReadProgram]
AT = (1.0, 2.0, 3.0)


def codes(reading: ReadProgram) -> list[str]:
    return [finding.code for finding in reading.findings]


def steps(reading: ReadProgram) -> list[tuple[str, float, float, float]]:
    return [
        ("rapid" if kind == Kind.RAPID else "feed", *(round(value, 9) for value in end))
        for kind, end in zip(reading.motions.kind.tolist(), reading.motions.end.tolist(), strict=True)
    ]


def test_g81_as_printed(run: Run) -> None:
    # §3.5.16.2, first example
    assert steps(run("G90 G81 G98 X4 Y5 Z1.5 R2.8 F60", start=AT)) == [
        ("rapid", 4.0, 5.0, 3.0),
        ("rapid", 4.0, 5.0, 2.8),
        ("feed", 4.0, 5.0, 1.5),
        ("rapid", 4.0, 5.0, 3.0),
    ]


def test_g81_repeated_under_incremental_distances_as_printed(run: Run) -> None:
    # §3.5.16.2, second example
    expected = [("rapid", 1.0, 2.0, 4.8)]
    for x, y in ((5.0, 7.0), (9.0, 12.0), (13.0, 17.0)):
        expected += [("rapid", x, y, 4.8), ("feed", x, y, 4.2), ("rapid", x, y, 4.8)]
    assert steps(run("G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3 F60", start=AT)) == expected


def test_g83_pecks_to_depths_that_follow_from_q(run: Run) -> None:
    # §3.5.16.4: R2 Z-10 Q4 feeds to -2, -6, -10; back to 0.25 above (common practice, no source)
    found = steps(run("G99 G83 X0 Y0 R2 Z-10 Q4 F60", start=(0.0, 0.0, 2.0)))
    assert [step[3] for step in found] == [-2.0, 2.0, -1.75, -6.0, 2.0, -5.75, -10.0, 2.0]
    assert [step[0] for step in found] == ["feed", "rapid", "rapid"] * 2 + ["feed", "rapid"]


def test_g82_dwells_at_the_bottom(run: Run) -> None:
    # §3.5.16.3
    reading = run("G99 G82 X0 Y0 R2 Z-1 P0.5 F60")
    assert reading.moves == (Drill(at=(0.0, 0.0), retract=2.0, bottom=-1.0, peck=None, dwell=0.5, feed=60.0),)


def test_g84_needs_a_clockwise_spindle_and_feeds_in_and_out(run: Run) -> None:
    # §3.5.16.5: S300 and F150 cut 2 threads per mm
    assert codes(run("G84 X0 Y0 R2 Z-5 F150")) == ["tap-spindle"]
    reading = run("S300 M3", "G99 G84 X0 Y0 R2 Z-5 F150")
    assert [step[0] for step in steps(reading)] == ["rapid", "feed", "feed"]
    assert reading.motions.rpm[1] / reading.motions.feed[1] == 2.0


def test_g85_feeds_in_and_out(run: Run) -> None:
    # §3.5.16.6
    assert steps(run("G98 G85 X1 Y0 R2 Z-5 F60")) == [
        ("rapid", 1.0, 0.0, 5.0),
        ("rapid", 1.0, 0.0, 2.0),
        ("feed", 1.0, 0.0, -5.0),
        ("feed", 1.0, 0.0, 2.0),
        ("rapid", 1.0, 0.0, 5.0),
    ]


def test_g86_stops_the_spindle_before_it_comes_out(run: Run) -> None:
    # §3.5.16.7
    reading = run("S400 M3", "G99 G86 X0 Y0 R2 Z-5 P1 F60")
    assert Dwell(seconds=1.0) in reading.moves
    assert [move.rpm for move in reading.moves if isinstance(move, Spindle)] == [400.0, 0.0, 400.0, 0.0]
    assert reading.motions.rpm.tolist() == [400.0, 400.0, 0.0]


def test_g89_dwells_and_feeds_out(run: Run) -> None:
    # §3.5.16.10
    reading = run("G99 G89 X0 Y0 R2 Z-5 P1 F60")
    assert Dwell(seconds=1.0) in reading.moves
    assert [step[0] for step in steps(reading)] == ["rapid", "feed", "feed"]


def test_words_of_a_cycle_hold_until_another_motion(run: Run) -> None:
    # §3.5.16
    reading = run("G99 G81 X0 Y0 R2 Z-1 F60", "X5", "Y5 Z-2", "G80")
    assert [(move.at, move.bottom) for move in reading.moves if isinstance(move, Drill)] == [
        ((0.0, 0.0), -1.0),
        ((5.0, 0.0), -1.0),
        ((5.0, 5.0), -2.0),
    ]
    assert codes(run("G99 G81 X0 Y0 R2 Z-1 F60", "G82 X5 P1")) == ["word-missing"]


def test_a_cycle_below_its_plane_goes_up_before_it_goes_across(run: Run) -> None:
    # §3.5.16.1
    found = steps(run("G99 G81 X8 Y0 R2 Z-1 F60", start=(0.0, 0.0, 1.0)))
    assert found[:2] == [("rapid", 0.0, 0.0, 2.0), ("rapid", 8.0, 0.0, 2.0)]


def test_repeats_under_absolute_distances_stay_in_place(run: Run) -> None:
    # §3.5.16
    reading = run("G99 G81 X3 Y4 R2 Z-1 L2 F60")
    assert [move.at for move in reading.moves if isinstance(move, Drill)] == [(3.0, 4.0)] * 2


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("G81 X1 Z-1 F60", "word-missing"),  # R
        ("G81 X1 R1 F60", "word-missing"),  # Z
        ("G82 X1 R1 Z-1 F60", "word-missing"),  # P
        ("G83 X1 R1 Z-1 F60", "word-missing"),  # Q
        ("G83 X1 R1 Z-1 Q0 F60", "word-missing"),  # Q above 0, §3.5.16.4
        ("G81 R1 F60", "word-missing"),  # X, Y and Z all missing
        ("G81 X1 R-2 Z-1 F60", "word-order"),  # R below Z
        ("G82 X1 R1 Z-1 P-1 F60", "negative-value"),
        ("G81 X1 R1 Z-1 L0 F60", "negative-value"),
        ("G81 X1 R1 Z-1 L1.5 F60", "bad-number"),
        ("G81 X1 R1 Z-1", "feed-missing"),
        ("G83 X1 R1 Z-1 Q0.000001 F60", "too-many-steps"),
        ("G93 G81 X1 R1 Z-1 F60", "modal-conflict"),  # inverse time
        ("G18 G81 X1 R1 Z-1 F60", "modal-conflict"),
        ("G81 X1 R1 Z-1 A5 F60", "rotary-axis"),
        ("G87 X1 R1 Z-1 I1 J1 K1 F60", "cycle-not-followed"),
        ("G88 X1 R1 Z-1 P1 F60", "cycle-not-followed"),
    ],
)
def test_errors_of_cycles(run: Run, line: str, code: str) -> None:
    assert codes(run(line)) == [code]  # §3.5.16


def test_a_program_cannot_ask_for_strokes_without_end(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(controller, "_MOST_STEPS", 50)
    found = run(*["G99 G83 X1 Y1 R2 Z-18 Q1 F60"] * 5)
    assert codes(found) == ["too-many-steps"] * 3
    assert sum(isinstance(move, Drill) for move in found.moves) == 2
