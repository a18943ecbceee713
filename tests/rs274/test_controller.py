"""Feeds, speeds and findings of programs against printed figures."""

from collections.abc import Callable

import pytest

from camplan.findings import Severity
from camplan.moves.table import Kind
from camplan.rs274.read import read
from camplan.rs274.records import ReadProgram

Run = Callable[..., ReadProgram]


def test_25_mm_at_an_inverse_time_of_20_are_run_at_500_mm_a_minute(run: Run) -> None:
    # NISTIR 6556 §3.5.19: the move takes 1/F minutes, F = v / L
    reading = run("G93 G1 X25 F20", start=(0.0, 0.0, 0.0))
    assert reading.motions.feed.tolist() == [pytest.approx(500.0)]


def test_an_inverse_time_of_two_takes_half_a_minute(run: Run) -> None:
    # NISTIR 6556 §3.5.19, as printed
    rows = run("G93 G1 X30 Y40 F2.0", start=(0.0, 0.0, 0.0)).motions
    assert 50.0 / rows.feed[0] == pytest.approx(0.5)


def test_a_tap_of_two_threads_per_mm_turns_300_times_a_minute_at_a_feed_of_150(run: Run) -> None:
    # NISTIR 6556 §3.5.16.5, as printed: S = F x threads per unit of length
    rows = run("S300 M3", "G84 X1 Y1 R2 Z-4 F150").motions
    cuts = rows.kind == Kind.LINE
    assert (rows.rpm[cuts] / rows.feed[cuts]).tolist() == [2.0, 2.0]


def test_words_are_parted_by_blanks_and_tabs_only(run: Run) -> None:
    # NISTIR 6556 §3.3: anything that is not allowed is an error
    assert not run("G1\tX1 F100").findings
    assert [finding.code for finding in run("G1\x0cX1 F100").findings] == ["unknown-word"]


def test_a_summary_of_many_findings_is_as_bad_as_the_worst_it_stands_for() -> None:
    high = ["G0 Z5 X1 Y1", "G28"] * 101
    text = "\n".join(["G21", *high, "G0 Z-1 X1 Y1", "G28", *high, "M2"])
    last = [finding for finding in read(text, file="p").findings if "more lines" in finding.message]
    assert [finding.severity for finding in last if "stored-point" in finding.message] == [Severity.UNSAFE]
