"""A program timed on the mill, from the command line to the mill's file and the next plan."""

import json
import shutil
from pathlib import Path

import pytest

from camplan.catalogue.machines import load_machine
from camplan.moves.calibration import scaled
from camplan.pipeline.machine_time import drives_of, seconds_of
from camplan.recut.journal import read_journal
from camplan.report.words import clock
from camplan.rs274.read import read

PROGRAM = "01-slot-6.nc"


@pytest.fixture
def own(planned, tmp_path: Path) -> Path:
    """The planned first example in a folder that may be changed."""
    done = planned("first")
    shutil.copytree(done.job.parent, tmp_path / "own")
    return tmp_path / "own"


def predicted(folder: Path, program: str = PROGRAM) -> float:
    document = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    return float(next(one["seconds"] for one in document["programs"] if one["file"] == program))


def slower(folder: Path, *, by: float) -> str:
    """A time that accelerations so many times the mill's explain, to the second."""
    mill = load_machine("bench-mill", beside=folder).machine
    reading = read((folder / "first-out" / PROGRAM).read_text(encoding="utf-8"), file=PROGRAM)
    return clock(seconds_of(reading, drives=scaled(drives_of(mill), by=by)))


def test_the_prediction_is_the_plans_and_the_journal_lists_the_run(run, own: Path) -> None:
    seconds = predicted(own / "first-out")
    found = run("time", own / "first-out", "--program", PROGRAM, "--measured", clock(seconds))
    assert found.code == 0
    assert f"predicted {clock(seconds)}, measured {clock(seconds)}" in found.out
    assert "nothing is to be changed" in found.out
    (entry,) = read_journal(own / "first.journal").entries
    assert entry.kind == "timed"
    assert entry.said["predicted_s"] == pytest.approx(seconds, abs=0.06)
    told = run("journal", own / "first.toml")
    assert told.code == 0 and f"{PROGRAM} of first-out on bench-mill" in told.out
    assert not (own / "first-journal.svg").exists()


def test_the_written_mill_takes_the_measured_time_and_the_next_plan_counts_on_it(run, own: Path) -> None:
    out = own / "first-out"
    measured = slower(own, by=0.25)
    found = run("time", out, "--program", out / PROGRAM, "--measured", measured, "--write")
    assert found.code == 0
    path = own / "tooling" / "machines" / "bench-mill-timed.toml"
    assert str(path) in found.out
    mill = load_machine("bench-mill-timed", beside=own).machine
    reading = read((out / PROGRAM).read_text(encoding="utf-8"), file=PROGRAM)
    assert clock(seconds_of(reading, drives=drives_of(mill))) == measured
    was = load_machine("bench-mill", beside=own).machine
    assert mill.acceleration[0] / was.acceleration[0] == pytest.approx(0.25, rel=0.15)
    assert (mill.travel, mill.power, mill.rapid) == (was.travel, was.power, was.rapid)
    # the folder goes on matching its job
    assert run("time", out, "--program", PROGRAM, "--measured", measured).code == 0
    # no file is written over another
    again = run("time", out, "--program", PROGRAM, "--measured", measured, "--write")
    assert again.code == 2 and "exists already and is not overwritten" in again.err
    job = own / "first.toml"
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace('machine  = "bench-mill" ', 'machine  = "bench-mill-timed" '), encoding="utf-8")
    assert run("plan", job).code == 0
    assert json.loads((out / "plan.json").read_text(encoding="utf-8"))["machine"] == "bench-mill-timed"


def test_a_mill_of_the_same_name_hides_the_shipped_one_and_that_is_said(run, own: Path) -> None:
    found = run(
        "time", own / "first-out", "--program", PROGRAM, "--measured", slower(own, by=0.25), "--write", "bench-mill"
    )
    assert found.code == 0 and "no longer matches its job" in " ".join(found.out.split())
    after = run("time", own / "first-out", "--program", PROGRAM, "--measured", "1:31")
    assert after.code == 2 and "changed after that was planned" in after.err


def test_what_no_acceleration_explains_ends_with_1_and_writes_no_mill(run, own: Path) -> None:
    found = run("time", own / "first-out", "--program", PROGRAM, "--measured", "1:00:00", "--write")
    assert found.code == 1
    assert "No sane acceleration explains it" in found.out and "No file was written" in found.out
    assert not (own / "tooling").exists()
    assert read_journal(own / "first.journal").entries[0].said["scale"] is None


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--measured", "1:31"], "which of the 5 programs was timed"),
        (["--measured", "1:31", "--program", "00-trace.nc"], "only traces the work in the air"),
        (["--measured", "1:31", "--program", "99.nc"], "there is no program '99.nc'"),
        (["--measured", "90", "--program", PROGRAM], "'90' is no time"),
        (["--measured", "1:75", "--program", PROGRAM], "'1:75' is no time"),
        (["--measured", "1:60:00", "--program", PROGRAM], "is no time"),
        (["--measured", "soon", "--program", PROGRAM], "12:40"),
        (["--measured", "0:00", "--program", PROGRAM], "above 0:00"),
        (["--measured", "1:31", "--program", PROGRAM, "--write", "../mill"], "is no name for a mill"),
        (["--program", PROGRAM], "--measured"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_is_noted(run, own: Path, arguments: list[str], word: str) -> None:
    found = run("time", own / "first-out", *arguments)
    assert found.code == 2 and word in found.err
    assert not (own / "first.journal").exists()


def test_a_folder_that_no_longer_matches_is_refused(run, own: Path) -> None:
    (own / "first-out" / PROGRAM).write_text("G0 X1\n", encoding="utf-8")
    found = run("time", own / "first-out", "--program", PROGRAM, "--measured", "1:31")
    assert found.code == 2 and "it was changed since" in found.err
    assert run("time", own, "--measured", "1:31").code == 2
