"""What a timed program is said to teach."""

import pytest

from camplan.moves.calibration import Calibration, Explained
from camplan.recut.timings import Timing
from camplan.report.timing_text import timing_text, timings_lines, written_text


def timing(*, measured: float, scale: float | None) -> Timing:
    return Timing(
        folder="out",
        program="a04.ngc",
        check_sum="0a",
        machine="bench-mill",
        predicted=1548.0,
        measured=measured,
        scale=scale,
    )


def found(explained: Explained, *, measured: float, scale: float | None, feed: float | None = None) -> Calibration:
    known = explained is Explained.SCALED and scale is not None
    return Calibration(
        explained=explained,
        predicted=1548.0,
        measured=measured,
        fastest=1497.0,
        shortest=1510.0,
        longest=1975.0,
        least=0.05,
        most=5.0,
        scale=scale,
        low=scale * 0.99 if known else None,
        high=scale * 1.01 if known else None,
        feed=feed,
    )


def said(explained: Explained, *, measured: float, scale: float | None, feed: float | None = None, lines=()) -> str:
    text = timing_text(
        timing(measured=measured, scale=scale),
        found=found(explained, measured=measured, scale=scale, feed=feed),
        lines=lines,
        file="bench-mill.toml",
        width=100,
    )
    assert max(len(line) for line in text.splitlines()) <= 100
    return " ".join(text.split())


def test_a_scale_is_said_with_its_range_and_the_lines_for_the_file() -> None:
    lines = ("acceleration_mm_s2 = [310.0, 310.0, 186.0]",)
    text = said(Explained.SCALED, measured=1570.0, scale=0.62, feed=0.98, lines=lines)
    assert "predicted 25:48, measured 26:10 (+1.4 %)" in text
    assert "0:51 are speeding up, slowing down and corners" in text
    assert "Accelerations 0.62 times those of the mill's file explain it." in text
    assert "between 0.614 and 0.626 times" in text
    assert text.endswith("In a copy of bench-mill.toml beside the job: acceleration_mm_s2 = [310.0, 310.0, 186.0]")
    assert "override" not in text


def test_a_scale_that_is_hardly_the_mills_doing_sends_to_the_feed_override_first() -> None:
    text = said(Explained.SCALED, measured=1720.0, scale=0.146, feed=0.89)
    assert "All feeds at 89 % would explain it as well: look at the feed override" in text


def test_what_no_acceleration_explains_is_said_with_what_could() -> None:
    text = said(Explained.TOO_LONG, measured=2750.0, scale=None, feed=0.54)
    assert "even at 0.05 times the file's it would take 32:55" in text
    assert "Feed override below 100 %" in text and "All feeds at 54 %" in text
    text = said(Explained.TOO_SHORT, measured=600.0, scale=None)
    assert "even without any limit to them it would take 24:57" in text and "Feed override above 100 %" in text
    text = said(Explained.TOO_SHORT, measured=1500.0, scale=None)
    assert "even at 5 times the file's it would take 25:10" in text


def test_times_that_agree_change_nothing() -> None:
    assert "nothing is to be changed" in said(Explained.AGREES, measured=1549.0, scale=1.0)


@pytest.mark.parametrize(
    ("scale", "why"),
    [(None, "no acceleration explains it"), (1.0, "they agree"), (0.25, "accelerations 0.25 times the file's")],
)
def test_a_journal_lists_each_run(scale: float | None, why: str) -> None:
    lines = timings_lines([timing(measured=3760.0, scale=scale)], width=120)
    assert lines[0] == "Timed:"
    whole = " ".join(" ".join(lines).split())
    assert whole.endswith(f"a04.ngc of out on bench-mill: 1:02:40 measured, 25:48 predicted: {why}")
    assert timings_lines([], width=100) == []


def test_a_file_that_hides_the_one_of_the_plan_says_that_the_folder_is_done_with() -> None:
    usual = {"path": "p.toml", "name": "mill-timed", "job": "a.toml", "out": "a-out", "width": 200}
    assert 'machine = "mill-timed" in a.toml' in written_text(**usual, hidden=None)
    assert "a-out no longer matches its job" in written_text(**usual, hidden="mill.toml")
