"""Zeros that programs move, each rule with its § of NISTIR 6556."""

import math
from collections.abc import Callable
from dataclasses import replace

from camplan.findings import Severity
from camplan.rs274.places import framed, places_at_start
from camplan.rs274.read import read
from camplan.rs274.records import Post, ReadProgram

Run = Callable[..., ReadProgram]


def codes(reading: ReadProgram) -> list[str]:
    return [finding.code for finding in reading.findings]


def x_ends(reading: ReadProgram) -> list[float]:
    return [round(value, 9) for value in reading.motions.end[:, 0].tolist()]


def test_g92_shifts_by_what_is_read_less_what_is_wanted(run: Run) -> None:
    # §3.5.18: X at 4; G92 X7 shifts by -3, then G92 X9 by -5
    assert x_ends(run("G92 X7", "G0 X7 Y1", start=(4.0, 0.0, 5.0))) == [4.0]
    assert x_ends(run("G92 X7", "G92 X9", "G0 X0", start=(4.0, 0.0, 5.0))) == [-5.0]
    assert codes(run("G92 X7", start=(4.0, 0.0, 5.0))) == ["zero-shifted"]


def test_g92_is_not_affected_by_incremental_distances(run: Run) -> None:
    assert x_ends(run("G91 G92 X7", "G90 G0 X0", start=(4.0, 0.0, 5.0))) == [-3.0]  # §3.5.18


def test_the_g92_family_takes_a_shift_away_and_brings_it_back(run: Run) -> None:
    # §3.5.18
    assert x_ends(run("G92 X7", "G92.2", "G0 X1", "G92.3", "X1", start=(4.0, 0.0, 5.0))) == [1.0, -2.0]
    assert x_ends(run("G92 X7", "G92.1", "G92.3", "G0 X1", start=(4.0, 0.0, 5.0))) == [1.0]
    assert codes(run("G92.3")) == ["parameter-unset"]


def test_g92_before_any_place_says_where_the_cutter_stands() -> None:
    reading = read("G21\nG92 X0 Y0 Z5\nG1 X3 F100\nM2", file="p")
    assert [(found.code, found.severity) for found in reading.findings] == [("zero-overwritten", Severity.UNSAFE)]
    assert reading.motions.start.tolist() == [[0.0, 0.0, 5.0]]


def test_the_first_work_system_is_the_frame_whichever_it_is_and_another_than_the_jobs_is_a_caution() -> None:
    assert not read("G21 G54\nG0 Z5\nX1 Y1\nM2", file="p").findings
    assert not read("G21 G55\nG54 G0 Z5\nX1 Y1\nM2", file="p").findings
    for system in ("G55", "G59.3"):
        (finding,) = read(f"G21\n{system}\nG0 Z5\nX1 Y1\nM2", file="p").findings
        assert (finding.code, finding.severity, finding.where) == ("other-work-system", Severity.CAUTION, "p, line 2")
        assert f"touch off {system} on the plate" in finding.message


def test_the_jobs_system_is_the_one_that_its_post_names(posts: dict[str, Post]) -> None:
    other = replace(posts["rs274ngc"], preamble=("G17 G21 G40 G49 G55 G80 G90 G94",))
    assert not read("G21 G55\nG0 Z5\nM2", file="p", post=other).findings
    assert codes(read("G21 G54\nG0 Z5\nM2", file="p", post=other)) == ["other-work-system"]


def test_back_in_the_first_system_places_are_where_they_were(run: Run) -> None:
    reading = run("G54 G0 X1", "G55 X2", "G54 X3", "G1 X4 F100")
    assert codes(reading) == ["work-system-changed"]
    assert x_ends(reading) == [1.0, 2.0, 3.0, 4.0]


def test_a_zero_that_a_program_sets_itself_is_unsafe_and_an_idle_line_is_not(run: Run, posts: dict[str, Post]) -> None:
    here = (4.0, 0.0, 5.0)
    for line in ("G10 L2 P1 X5", "G10 L2 P1 Z-3"):
        assert codes(read(f"G21\n{line}\nG0 Z5\nM2", file="p")) == ["zero-overwritten"]
    assert codes(read("G21\nG10 L2 P2 X5\nG55\nG0 Z5\nM2", file="p")) == [
        "stored-zero",
        "other-work-system",
        "zero-overwritten",
    ]
    assert codes(run("G10 L20 P1 X5", start=here, post=posts["grbl"])) == ["zero-overwritten"]
    assert not run("G10 L20 P1 X4", start=here, post=posts["grbl"]).findings
    assert codes(run("G10 L2 P2 X5", "G0 X1")) == ["stored-zero"]


def test_a_shift_that_outlasts_its_program_is_unsafe(run: Run, posts: dict[str, Post]) -> None:
    # Grbl 1.1h keeps G92 over M2; NISTIR 6556 §3.6.1 takes it away
    here = (4.0, 0.0, 5.0)
    assert codes(run("G92 X7", start=here, post=posts["grbl"])) == ["zero-shifted", "zero-stays-shifted"]
    assert codes(run("G92 X7", "G92.1", start=here, post=posts["grbl"])) == ["zero-shifted", "zero-shifted"]
    assert codes(run("G92 X7", start=here)) == ["zero-shifted"]


def test_a_change_of_system_to_one_that_the_text_does_not_place_is_unsafe(run: Run) -> None:
    reading = run("G54 G0 X1", "G55 X1")
    assert codes(reading) == ["work-system-changed"]
    assert reading.findings[0].severity is Severity.UNSAFE


def test_systems_that_the_program_places_can_be_told_apart() -> None:
    # §3.5.5: machine coordinates of the origins
    text = "G21\nG10 L2 P1 X10 Y0 Z0\nG10 L2 P2 X30 Y5 Z0\nG54 G0 Z5\nX1 Y1\nG55 X1 Y1\nG53 X1 Y1\nM2"
    reading = read(text, file="p")
    assert set(codes(reading)) == {"stored-zero", "zero-overwritten"}
    assert reading.motions.end[-2:, :2].tolist() == [[21.0, 6.0], [-9.0, 1.0]]


def test_axes_that_g10_does_not_name_keep_their_origin() -> None:
    text = "G21\nG10 L2 P1 X10 Y0 Z0\nG10 L2 P1 X12\nG10 L2 P2 X0 Y0 Z0\nG0 Z5\nX0 Y0\nG55 X0 Y0\nM2"
    assert read(text, file="p").motions.end[-1, :2].tolist() == [-12.0, 0.0]


def test_a_shift_holds_in_every_system() -> None:
    # §3.5.18: all nine systems
    text = "G21\nG10 L2 P1 X10 Y0 Z0\nG10 L2 P2 X30 Y0 Z0\nG0 Z5\nX1 Y1\nG92 X0\nX2\nG55 X2\nM2"
    assert read(text, file="p").motions.end[-2:, 0].tolist() == [3.0, 23.0]


def test_stored_points_and_machine_places_cannot_be_followed(run: Run) -> None:
    # §3.5.8, §3.5.12
    for line in ("G28 Z9", "G53 G0 Z0", "G30", "G28"):
        reading = run(line)
        assert codes(reading) == ["stored-point"]
        assert reading.findings[0].severity is Severity.CAUTION


def test_going_sideways_to_an_unknown_place_in_the_material_is_unsafe(run: Run) -> None:
    assert run("G53 G0 X0 Y0", start=(1.0, 1.0, -2.0)).findings[0].severity is Severity.UNSAFE
    assert run("G53 G0 Z0", start=(1.0, 1.0, -2.0)).findings[0].severity is Severity.CAUTION


def test_after_a_stored_point_a_place_must_be_said_anew(run: Run) -> None:
    assert codes(run("G28", "G1 X5 F100")) == ["stored-point", "height-unsaid", "unknown-start"]
    assert codes(run("G28", "G0 X1 Y1", "Z5", "G1 X5 F100")) == ["stored-point", "height-unsaid"]


def test_g28_goes_by_way_of_its_words(run: Run) -> None:
    reading = run("G28 Z9")
    assert reading.motions.end[0].tolist() == [0.0, 0.0, 9.0]
    assert math.isnan(reading.motions.end[1, 2])


def test_grbl_sends_only_the_named_axes_to_a_stored_point(run: Run, posts: dict[str, Post]) -> None:
    reading = run("G28 Z9", "G0 X3", post=posts["grbl"])
    assert reading.motions.end[-1, :2].tolist() == [3.0, 0.0]


def test_grbl_sets_an_origin_by_what_the_place_here_shall_read(run: Run, posts: dict[str, Post]) -> None:
    # Grbl 1.1h: G10 L20, P0 is the active system
    reading = run("G10 L20 P0 X0", "G0 X1", post=posts["grbl"], start=(4.0, 0.0, 5.0))
    assert x_ends(reading) == [5.0]


def test_the_frame_is_set_once() -> None:
    places = framed(places_at_start())
    assert framed(places) is places
    assert places.offset() == (0.0, 0.0, 0.0)
