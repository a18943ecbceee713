from pathlib import Path

from camplan.recut.history import MADE
from camplan.recut.journal import add_to_journal, read_journal
from camplan.recut.story import story_of
from camplan.recut.timings import TIMED, Timing, timing_said, timings_of

ONE = Timing(
    folder="cavity-out",
    program="a04.ngc",
    check_sum="0a",
    machine="bench-mill",
    predicted=1548.25,
    measured=1720.0,
    scale=0.146,
)
OTHER = Timing(
    folder="cavity-out",
    program="a01.ngc",
    check_sum="0b",
    machine="bench-mill",
    predicted=160.0,
    measured=90.0,
    scale=None,
)


def test_timings_are_read_as_they_were_written(tmp_path: Path) -> None:
    file = tmp_path / "cavity.journal"
    for timing in (ONE, OTHER):
        add_to_journal(file, kind=TIMED, said=timing_said(timing))
    assert timings_of(read_journal(file)) == ((ONE, OTHER), ())


def test_one_that_lacks_figures_is_not_believed(tmp_path: Path) -> None:
    file = tmp_path / "cavity.journal"
    add_to_journal(file, kind=TIMED, said={**timing_said(ONE), "measured_s": None})
    found, lacking = timings_of(read_journal(file))
    assert found == ()
    assert [finding.code for finding in lacking] == ["journal-entry-incomplete"]


def test_the_story_tells_timings_apart_from_what_was_cut(tmp_path: Path) -> None:
    file = tmp_path / "cavity.journal"
    add_to_journal(file, kind=TIMED, said=timing_said(ONE))
    alone = story_of(read_journal(file))
    assert (alone.chapters, alone.timings) == ((), (ONE,))
    add_to_journal(file, kind=MADE, said={"plan": "p", "folder": "cavity-out"})
    both = story_of(read_journal(file))
    assert [chapter.folder for chapter in both.chapters] == ["cavity-out"]
    assert both.findings == ()
