"""What Grbl 1.1h's source and notes say of a program, each rule by its error number."""

import math
from collections.abc import Callable

import pytest

from camplan.moves.path import sweeps
from camplan.rs274.read import read
from camplan.rs274.records import Post, ReadProgram

Run = Callable[..., ReadProgram]


def codes(reading: ReadProgram) -> list[str]:
    return [finding.code for finding in reading.findings]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("%", "percent-line"),  # error 1
        ("G83 X1 Z-1 R1 Q1 F1", "unknown-code"),  # error 20
        ("M6", "unknown-code"),
        ("G1 X1", "feed-missing"),  # error 22
        ("X1 X2 G0", "word-twice"),  # error 25
        ("G2 I5 F10", "word-missing"),  # error 26: even a full circle needs an axis word
        ("G4", "word-missing"),  # error 28
        ("G53 G2 X1 I1 F9", "modal-conflict"),  # error 30
        ("G2 X0 Y0 R5 F9", "arc-words"),  # error 33
        ("G2 X20 Y0 R5 F9", "arc-radius-mismatch"),  # error 34
        ("G2 X1 F9", "arc-words"),  # error 35
        ("G0 X1 P5", "word-unused"),  # error 36
        ("T256", "bad-number"),  # error 38
        ("N10000001 X1", "bad-line-number"),  # error 27
        ("S-5", "negative-value"),  # error 4
    ],
)
def test_what_grbl_refuses_is_unsafe(run: Run, posts: dict[str, Post], line: str, code: str) -> None:
    reading = run(line, post=posts["grbl"])
    assert codes(reading) == [code]
    assert reading.findings[0].severity == "unsafe"


@pytest.mark.parametrize("line", ["N9999999 G0 X1", "G40", "G61", "M1", "G91.1", "T255", "G0 X1 ; to the side"])
def test_what_grbl_takes_is_no_finding(run: Run, posts: dict[str, Post], line: str) -> None:
    assert not run(line, post=posts["grbl"]).findings


def test_grbl_lets_larger_mismatches_pass_on_larger_arcs(run: Run, posts: dict[str, Post]) -> None:
    # above 0.005 mm: error 33 if above 0.5 mm or 0.1 % of the radius
    start = (0.0, 0.0, 0.0)
    assert not run("G2 X10.0049 Y0 I5 J0 F9", post=posts["grbl"], start=start).findings
    assert codes(run("G2 X10.0059 Y0 I5 J0 F9", post=posts["grbl"], start=start)) == ["arc-radius-mismatch"]
    assert not run("G2 X200.09 Y0 I100 J0 F9", post=posts["grbl"], start=start).findings
    assert codes(run("G2 X200.11 Y0 I100 J0 F9", post=posts["grbl"], start=start)) == ["arc-radius-mismatch"]
    assert codes(run("G2 X2000.6 Y0 I1000 J0 F9", post=posts["grbl"], start=start)) == ["arc-radius-mismatch"]


def test_grbl_runs_a_line_whose_slash_it_drops(run: Run, posts: dict[str, Post]) -> None:
    reading = run("/G0 X1", post=posts["grbl"])
    assert [(finding.code, finding.severity) for finding in reading.findings] == [("block-delete", "note")]
    assert len(reading.motions.kind) == 1


def test_a_full_circle_with_its_axis_word_is_one(run: Run, posts: dict[str, Post]) -> None:
    reading = run("G3 X0 I5 F9", post=posts["grbl"])
    assert sweeps(reading.motions)[0] == pytest.approx(2.0 * math.pi)


def test_the_narrow_rules_hold_only_where_the_post_says_so(posts: dict[str, Post]) -> None:
    text = "%\nG21 G99 G81 X1 Y1 Z-1 R1 F10\nM2\n%\n"
    start = (0.0, 0.0, 1.0)
    assert not read(text, file="p", start=start).findings
    assert codes(read(text, file="p", start=start, post=posts["grbl"]))[:2] == ["percent-line", "unknown-code"]


def test_an_arc_of_next_to_no_turn_is_unsafe(run: Run, posts: dict[str, Post]) -> None:
    # Grbl 1.1h: within 5e-7 rad of zero it becomes a full circle
    reading = run("G3 X0.00004 Y0 I0 J100 F9", post=posts["grbl"])
    assert codes(reading) == ["arc-almost-closed"]


def test_what_stands_after_the_end_is_run_all_the_same(run: Run, posts: dict[str, Post]) -> None:
    # Grbl 1.1h's notes: M2 and M30 set G1, G17, G90, G94 and G54 again and refuse nothing that follows
    reading = run("G91 G0 X1 F50", "M30", "Y3", post=posts["grbl"])
    assert [(finding.code, finding.where) for finding in reading.findings] == [("after-end", "test, line 4")]
    assert reading.findings[0].severity == "caution"
    assert reading.motions.end[-1].tolist() == [1.0, 3.0, 5.0]
    assert reading.motions.feed[-1] == 50.0


def test_g0_and_g1_may_stand_without_axis_words(run: Run, posts: dict[str, Post]) -> None:
    # Grbl 1.1h: "axis words are optional" for both, not for arcs (error 26); G1 needs a feed even then (error 22)
    reading = run("G0", "X1", "G1 F60", "X2", post=posts["grbl"])
    assert not reading.findings
    assert [round(value, 9) for value in reading.motions.end[:, 0].tolist()] == [1.0, 2.0]
    assert codes(run("G1", post=posts["grbl"])) == ["feed-missing"]
    assert codes(run("G2 F60", post=posts["grbl"])) == ["word-missing"]
