"""Programs as a whole: their ends, places that no line has said, all errors in one run; with the § of NISTIR 6556."""

import math
from collections.abc import Callable

from camplan.findings import Severity
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram

Run = Callable[..., ReadProgram]


def codes(reading: ReadProgram) -> list[str]:
    return [finding.code for finding in reading.findings]


def ends(reading: ReadProgram) -> list[tuple[float, ...]]:
    return [tuple(round(value, 9) for value in row) for row in reading.motions.end.tolist()]


def test_every_error_of_a_program_comes_in_one_run(run: Run) -> None:
    reading = run("G0 G1 X1", "E5", "(open", "G1 X1", "G2 X1 F1", "X[1/0]")
    assert codes(reading) == [
        "modal-conflict",
        "unknown-word",
        "comment-open",
        "feed-missing",
        "arc-words",
        "bad-expression",
    ]
    assert [finding.where for finding in reading.findings] == [f"test, line {line}" for line in range(2, 8)]
    assert all(finding.severity is Severity.UNSAFE for finding in reading.findings)


def test_nothing_after_the_end_is_run() -> None:
    # §3.6.1
    reading = read("G21 G0 X1\nM2\nX2\n", file="p", start=(0.0, 0.0, 0.0))
    assert len(reading.motions.kind) == 1
    assert codes(reading) == ["after-end"]


def test_what_stands_after_the_end_need_not_be_rs_274() -> None:
    # §3.1, §3.6.1
    start = (0.0, 0.0, 0.0)
    for rest in ("see the other sheet", "(open", "#1=2", "X1 X2"):
        reading = read(f"G21 G0 X1\nM2\n\n(a comment)\n{rest}\nmore", file="p", start=start)
        assert [(finding.code, finding.severity) for finding in reading.findings] == [("after-end", Severity.NOTE)]
        assert reading.findings[0].where == "p, line 5"
    assert not read("G21 G0 X1\nM30\n%\nmore", file="p", start=start).findings


def test_a_program_without_m2_needs_two_percent_lines() -> None:
    # §3.1
    start = (0.0, 0.0, 0.0)
    assert not read("%\nG21 G0 X1\n%\nwhatever", file="p", start=start).findings
    assert codes(read("%\nG21 G0 X1\n", file="p", start=start)) == ["percent-open"]
    assert codes(read("G21 G0 X1\n", file="p", start=start)) == ["no-end"]
    assert codes(read("G21 G0 X1\n%\nM2", file="p", start=start)) == ["percent-line"]


def test_a_block_that_may_be_left_out_is_run_and_said(run: Run) -> None:
    # §2.2.2
    reading = run("/G0 X1")
    assert codes(reading) == ["block-delete"]
    assert ends(reading) == [(1.0, 0.0, 5.0)]


def test_lines_end_as_any_system_ends_them() -> None:
    text = "G21 G0 X1{0}G0 X2{0}M2{0}"
    for end in ("\n", "\r\n", "\r"):
        assert read(text.format(end), file="p", start=(0.0, 0.0, 0.0)).motions.line.tolist() == [1, 2]


def test_places_that_no_line_has_said_are_those_said_next() -> None:
    reading = read("G21 G0 Z10\nX30 Y20\nG1 Z-1 F50\nM2", file="p")
    assert reading.motions.start.tolist()[:2] == [[30.0, 20.0, 10.0], [30.0, 20.0, 10.0]]
    assert not reading.findings


def test_crossing_at_a_height_that_no_line_has_said_is_cautioned() -> None:
    reading = read("G21 G0 X30 Y20\nZ5\nM2", file="p")
    assert codes(reading) == ["height-unsaid"]
    assert math.isnan(reading.motions.end[0, 2])


def test_cutting_from_a_place_that_no_line_has_said_is_unsafe() -> None:
    assert "unknown-start" in codes(read("G21 G1 X3 F100\nM2", file="p"))
    assert codes(read("G21 G2 X3 Y0 I1 F100\nM2", file="p")) == ["unknown-start"]


def test_units_that_no_line_has_said_are_cautioned() -> None:
    assert codes(read("G0 X1\nM2", file="p", start=(0.0, 0.0, 0.0))) == ["units-unsaid"]


def test_a_comment_names_the_cutter_of_the_next_change() -> None:
    reading = read("G21\n(cutter: slot-6, 6 mm)\nT3 M6\nG0 X1\nM2", file="p", start=(0.0, 0.0, 0.0))
    assert (reading.changes[0].cutter, reading.changes[0].number, reading.changes[0].row) == ("slot-6", 3, 0)
    assert reading.comments == ((2, "cutter: slot-6, 6 mm"),)


def test_a_thousand_wrong_lines_make_a_readable_list() -> None:
    reading = read("E1\n" * 1000, file="p")
    assert len(reading.findings) == 21
    assert "980 more lines" in reading.findings[-1].message
