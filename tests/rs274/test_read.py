"""Programs read back, each rule with its § of NISTIR 6556."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.findings import Severity
from camplan.moves.path import sweeps
from camplan.moves.records import Arc, Dwell, Line, Rapid, Spindle, ToolChange
from camplan.moves.table import Kind
from camplan.rs274.read import read
from camplan.rs274.records import Post, ReadProgram

Run = Callable[..., ReadProgram]


def codes(reading: ReadProgram) -> list[str]:
    return [finding.code for finding in reading.findings]


def ends(reading: ReadProgram) -> list[tuple[float, ...]]:
    return [tuple(round(value, 9) for value in row) for row in reading.motions.end.tolist()]


def test_an_arc_has_its_centre_by_offsets_from_its_start(run: Run) -> None:
    # §3.5.3.2: printed example
    reading = run("G17 G2 X10 Y16 I3 J4 F100", start=(7.0, 7.0, 0.0))
    assert reading.moves == (Arc(to=(10.0, 16.0, 0.0), centre=(10.0, 11.0), clockwise=True, feed=100.0),)
    assert not reading.findings


def test_offsets_stay_incremental_under_absolute_and_incremental_distances(run: Run) -> None:
    # §3.5.17
    absolute = run("G90 G2 X10 Y16 I3 J4 F100", start=(7.0, 7.0, 0.0))
    incremental = run("G91 G2 X3 Y9 I3 J4 F100", start=(7.0, 7.0, 0.0))
    assert absolute.moves == incremental.moves


def test_a_full_circle_ends_where_it_starts(run: Run) -> None:
    # appendix C.1: g2 x32.5 j2.5
    reading = run("F100", "g2 x32.5 j2.5", start=(32.5, 0.0, 0.0))
    assert abs(sweeps(reading.motions)[0]) == pytest.approx(2.0 * math.pi)
    assert np.hypot(*(reading.motions.start[0, :2] - reading.motions.centre[0])) == 2.5


@pytest.mark.parametrize(("sign", "side"), [(1, -1), (-1, 1)])
def test_an_arc_by_radius_turns_by_less_or_more_than_half_a_circle(run: Run, sign: int, side: int) -> None:
    # §3.5.3.1: R above 0 at most 180 degrees, below 0 more
    reading = run(f"G2 X10 Y0 R{sign * 8} F100", start=(0.0, 0.0, 0.0))
    rise = math.sqrt(64.0 - 25.0)
    assert reading.motions.centre[0].tolist() == pytest.approx([5.0, side * rise])
    swept = abs(sweeps(reading.motions)[0])
    assert (swept < math.pi) == (sign > 0)


def test_a_half_circle_by_radius_is_cautioned(run: Run) -> None:
    # §3.5.3.1 calls them bad practice: ends of 9.999 for 10 move the centre by 0.0707 mm
    reading = run("G2 X9.999 Y0 R5 F100", start=(0.0, 0.0, 0.0))
    assert codes(reading) == ["arc-by-radius"]
    assert abs(reading.motions.centre[0, 1]) == pytest.approx(0.0707, abs=1e-4)
    assert not run("G2 X9 Y0 R5 F100", start=(0.0, 0.0, 0.0)).findings


def test_radii_that_differ_by_more_than_two_micrometres_are_unsafe_at_their_line(run: Run) -> None:
    # §3.5.3.2: 0.002 mm under G21
    assert not run("G2 X10.0019 Y0 I5 J0 F100", start=(0.0, 0.0, 0.0)).findings
    reading = run("G2 X10.0021 Y0 I5 J0 F100", start=(0.0, 0.0, 0.0))
    assert codes(reading) == ["arc-radius-mismatch"]
    assert reading.findings[0].severity is Severity.UNSAFE
    assert reading.findings[0].where == "test, line 2"


def test_one_wrong_arc_does_not_make_the_next_line_wrong(run: Run) -> None:
    reading = run("G2 X10.1 Y0 I5 J0 F100", "G3 X20.1 Y0 I5 J0", start=(0.0, 0.0, 0.0))
    assert codes(reading) == ["arc-radius-mismatch"]


def test_under_inches_radii_may_differ_by_two_ten_thousandths(run: Run) -> None:
    # §3.5.3.2: 0.0002 in under G20
    assert not run("G20", "G2 X1.00019 Y0 I0.5 J0 F10", start=(0.0, 0.0, 0.0)).findings
    assert codes(run("G20", "G2 X1.00021 Y0 I0.5 J0 F10", start=(0.0, 0.0, 0.0))) == ["arc-radius-mismatch"]


def test_a_feed_said_in_the_other_unit_is_cautioned(run: Run) -> None:
    # table 8: F comes before G20 and G21
    reading = run("G1 X1 F100", "G20 X1", "X2 F10")
    assert codes(reading) == ["feed-before-units"]
    assert reading.motions.feed.tolist() == [100.0, 100.0, 254.0]


@pytest.mark.parametrize(
    "line",
    [
        "G2 X10 I5 R5 F1",  # §3.5.3: both formats
        "G2 X10 I5 K1 F1",  # §3.5.3.2: an offset that the plane does not use
        "G2 X10 F1",  # neither
        "G2 Z1 I5 F1",  # §3.5.3.2: an in-plane axis word
        "G2 X0 Y0 R5 F1",  # §3.5.3.1: end is start
        "G2 X0 Y0 I0 J0 F1",
    ],
)
def test_an_arc_needs_the_words_of_one_format(run: Run, line: str) -> None:
    assert codes(run(line)) == ["arc-words"]


def test_an_arc_that_almost_closes_is_unsafe(run: Run) -> None:
    # Grbl 1.1h makes a full circle of it, NISTIR 6556 a turn of next to nothing
    assert codes(run("G2 X0.0000002 Y0 I5 F1")) == ["arc-almost-closed"]


@pytest.mark.parametrize(("plane", "words"), [("G18", "X5 Z10 I5"), ("G19", "Y5 Z10 J5")])
def test_an_arc_outside_xy_becomes_chords_within_half_a_micrometre(run: Run, plane: str, words: str) -> None:
    reading = run(f"{plane} G3 {words} F100")
    assert codes(reading) == ["arc-as-chords"]
    across = 0 if plane == "G18" else 1
    middles = (reading.motions.start + reading.motions.end) / 2.0
    off = np.hypot(middles[:, across] - 5.0, middles[:, 2] - 5.0)
    assert np.all(5.0 - off < 0.00051)
    assert ends(reading)[-1][2] == 10.0
    assert np.all(reading.motions.kind == Kind.LINE)


def test_the_sense_of_an_arc_is_seen_from_the_normals_positive_end(run: Run) -> None:
    # §3.5.3: in ZX, seen from +Y, Z is to the right and X up; from Z5 to X5 about the origin
    quarter = run("G18 G3 X5 Z0 K-5 F100").motions.end
    rest = run("G18 G2 X5 Z0 K-5 F100").motions.end
    assert np.all(quarter[:, 0] > 0.0)
    assert rest[:, 0].min() < -4.9


def test_a_feed_is_needed_and_zero_is_none(run: Run) -> None:
    # §3.5.2
    assert codes(run("G1 X1")) == ["feed-missing"]
    assert codes(run("G1 X1 F0")) == ["feed-missing"]
    assert not run("G0 X1").findings


def test_inverse_time_makes_a_feed_of_each_length(run: Run) -> None:
    # §3.5.19: F2.0 is half a minute; 25 mm at F20 is 500 mm/min
    reading = run("G93 G1 X25 F20", "X125 F2")
    assert reading.motions.feed.tolist() == [500.0, 200.0]


def test_at_inverse_time_each_line_needs_its_feed(run: Run) -> None:
    assert codes(run("G93 G1 X25 F20", "X50")) == ["feed-missing"]  # §3.5.19
    assert not run("G93 G1 X25 F20", "G0 X50").findings


def test_a_cut_of_no_length_waits_at_inverse_time(run: Run) -> None:
    # §3.5.19: the move takes 1/F minutes, however long it is
    reading = run("G93 G1 Z5 F4")
    assert reading.moves == (Dwell(seconds=15.0),)
    assert not reading.findings


def test_inverse_time_from_a_place_that_no_line_has_said_has_no_feed() -> None:
    reading = read("G21 G93 G0 X1 Y1\nG1 Z-1 F2\nM2", file="p")
    assert codes(reading) == ["height-unsaid", "unknown-start"]
    assert reading.findings[1].severity is Severity.UNSAFE
    assert reading.motions.kind.tolist() == [Kind.RAPID]


def test_inverse_time_counts_the_length_along_a_helix(run: Run) -> None:
    # §2.1.2.5
    reading = run("G93 G3 X4 Y0 Z4 I-2 F1", start=(4.0, 0.0, 5.0))
    assert reading.motions.feed[0] == pytest.approx(math.hypot(4.0 * math.pi, 1.0))


def test_inches_become_mm_in_places_centres_and_feeds(run: Run) -> None:
    reading = run("G20", "G1 X1 F10", "G2 X3 Y0 I1")
    assert ends(reading) == [(25.4, 0.0, 5.0), (76.2, 0.0, 5.0)]
    assert reading.motions.centre[1].tolist() == [50.8, 0.0]
    assert reading.motions.feed.tolist() == [254.0, 254.0]


def test_incremental_distances_add_up(run: Run) -> None:
    assert ends(run("G91 G0 X1 Y2", "X1", "Z-1"))[-1] == (2.0, 2.0, 4.0)  # §3.5.17


def test_a_dwell_has_its_seconds_and_is_not_negative(run: Run) -> None:
    # §3.5.4
    assert run("G4 P2.5").moves == (Dwell(seconds=2.5),)
    assert codes(run("G4 P-1")) == ["negative-value"]
    assert codes(run("G4")) == ["word-missing"]


@pytest.mark.parametrize("line", ["S-1", "T-1", "F-1"])
def test_speeds_tools_and_feeds_are_not_negative(run: Run, line: str) -> None:
    assert codes(run(line)) == ["negative-value"]  # §3.7


def test_a_tool_has_a_whole_number(run: Run) -> None:
    assert codes(run("T1.5")) == ["bad-number"]  # §3.3.2.1


def test_a_setting_takes_effect_after_its_line(run: Run) -> None:
    # appendix C.2
    reading = run("#3=7.0", "#3=5.0 G0 x #3", "x #3 #3=1.1", "x #3")
    assert [end[0] for end in ends(reading)] == [7.0, 5.0, 1.1]


def test_what_a_machine_may_hold_in_a_parameter_is_not_guessed(run: Run) -> None:
    reading = run("G0 X#100")
    assert codes(reading) == ["parameter-unset"]
    assert not len(reading.motions.kind)


def test_the_order_on_a_line_is_that_of_table_8(run: Run) -> None:
    # feed, speed, tool, change, spindle, dwell, then the motion, then the end
    reading = run("T2 M6 S900 M3 G4 P1 G1 X1 F50")
    assert [type(move) for move in reading.moves] == [ToolChange, Spindle, Dwell, Line, Spindle]
    assert reading.motions.rpm.tolist() == [900.0]
    assert reading.changes[0].number == 2


def test_distances_change_before_the_motion_of_their_line(run: Run) -> None:
    assert ends(run("G0 X3", "G91 X1", "G90 X1")) == [(3.0, 0.0, 5.0), (4.0, 0.0, 5.0), (1.0, 0.0, 5.0)]


def test_a_line_in_error_does_nothing_at_all(run: Run) -> None:
    reading = run("G91 S500 M3 G0 X1 A5", "X7 G0")
    assert codes(reading) == ["rotary-axis"]
    assert ends(reading) == [(7.0, 0.0, 5.0)]
    assert reading.motions.rpm.tolist() == [0.0]


@pytest.mark.parametrize("words", ["I3 J4", "R2", "Q1", "K1 L2", "P0.5"])
def test_a_line_with_a_word_that_nothing_uses_is_said_once_and_read_on_without_it(run: Run, words: str) -> None:
    """§3.5: an error.  Where it ends is plain all the same, and the arc after it starts there."""
    reading = run(f"G1 X4 F100 {words}", "G2 X8 I2", start=(0.0, 0.0, 5.0))
    assert codes(reading) == ["word-unused"]
    assert reading.findings[0].severity == "unsafe"
    assert reading.findings[0].where == "test, line 2"
    assert ends(reading) == [(4.0, 0.0, 5.0), (8.0, 0.0, 5.0)]
    assert isinstance(reading.moves[1], Arc)
    assert reading.moves[1].centre == (6.0, 0.0)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("G80 X1", "no-motion"),  # §3.5.15
        ("G28 G0 X1", "modal-conflict"),  # §3.4
        ("G92 G1 X1 F1", "modal-conflict"),
        ("G0", "word-missing"),  # §3.5.1
        ("G53 G2 X1 Y1 I1 F1", "modal-conflict"),  # §3.5.12
        ("G53", "word-missing"),
        ("G43", "word-missing"),  # §3.5.11
        ("G0 X1 R5", "word-unused"),
        ("X1 L2 G0", "word-unused"),
        ("D1", "word-unused"),
        ("H1", "word-unused"),
        ("A5 G0", "word-missing"),
        ("G0 X1 A5", "rotary-axis"),
        ("G92", "word-missing"),  # §3.5.18
        ("G10 L2 P10 X1", "word-missing"),  # §3.5.5
        ("G10 L3 P1 X1", "word-missing"),
    ],
)
def test_broken_rules_of_section_3_are_errors(run: Run, line: str, code: str) -> None:
    assert codes(run(line)) == [code]


def test_axis_words_before_any_motion_are_left_to_chance() -> None:
    assert codes(read("G21\nX1\nM2", file="p")) == ["no-motion"]


def test_an_implied_motion_waits_while_a_code_takes_the_axis_words(run: Run) -> None:
    # §3.4
    reading = run("G1 X1 F100", "G92 X0", "X1")
    assert ends(reading) == [(1.0, 0.0, 5.0), (2.0, 0.0, 5.0)]


def test_cutter_compensation_is_never_silently_passed(run: Run) -> None:
    reading = run("G41 D1", "G1 X1 F10", "G40")
    assert codes(reading) == ["cutter-compensation"]
    assert reading.findings[0].severity is Severity.UNSAFE
    assert codes(run("G41", "G42"))[1] == "modal-conflict"  # §3.5.10
    assert codes(run("G18", "G41")) == ["modal-conflict"]


def test_a_change_of_length_offset_between_heights_is_unsafe(run: Run) -> None:
    assert codes(run("G43 H1", "G0 Z3")) == ["length-offset"]
    assert codes(run("G0 Z3", "G43 H1", "Z2")) == ["length-offset", "length-offset-changed"]
    assert codes(run("G43 H1", "G0 Z3", "T2 M6", "G43 H2", "G0 Z3")) == ["length-offset", "length-offset"]
    assert not run("G49", "G0 Z3", "G43 H0", "Z2").findings  # §3.5.11: H0 is no offset


def test_the_spindle_turns_at_the_speed_last_said(run: Run) -> None:
    reading = run("S1000 M3", "G1 X1 F10", "S2000", "X2", "M5", "X3")
    assert reading.motions.rpm.tolist() == [1000.0, 2000.0, 0.0]
    assert codes(run("S500 M4")) == ["spindle-reversed"]


def test_probing_is_unsafe(run: Run) -> None:
    assert codes(run("G38.2 Z-5 F50")) == ["probe"]


def test_iso_leaves_cycles_and_stored_points_to_the_maker(run: Run, posts: dict[str, Post]) -> None:
    # ISO 6983-1, from memory
    for line in ("G81 X1 Z-1 R1 F10", "G28", "G10 L2 P1 X0", "G64"):
        assert codes(run(line, post=posts["iso6983"])) == ["unknown-code"]
    assert ends(run("G71 G0 X1.", post=posts["iso6983"]))[-1][0] == 1.0
    assert ends(run("G70 G0 X1.", post=posts["iso6983"]))[-1][0] == 25.4


def test_iso_lengths_without_a_point_are_cautioned_once(run: Run, posts: dict[str, Post]) -> None:
    # ISO 6983-1, from memory: without its point a number may be in least increments
    iso = posts["iso6983"]
    reading = run("G0 X1.0", "X20", "Y-30", "X1.5", post=iso)
    assert [(finding.code, finding.severity) for finding in reading.findings] == [("point-missing", Severity.CAUTION)]
    assert reading.findings[0].where == "test, line 3"
    assert ends(reading)[-1] == (1.5, -30.0, 5.0)
    assert not run("G0 X0 Y1. Z0.5", "N10 G1 X-2.0 F300", post=iso).findings
    assert not run("G0 X20").findings


def test_places_beyond_any_machine_are_refused(run: Run) -> None:
    for word in ("X1000001", "X-99999999", "X" + "9" * 200):
        assert codes(run("G0 Z5", "G0 X1 Y1", f"{word} Y1")) == ["bad-number"]
    assert codes(run("G18 G3 X900000 Z0 R900000 F1", start=(0.0, 0.0, 0.0))) == ["bad-number"]


def test_setting_what_the_controller_keeps_for_itself_is_unsafe(run: Run) -> None:
    # table 2: 5161 to 5390 are stored points, shifts and origins
    for index in (5161, 5211, 5221, 5390):
        assert codes(run(f"#{index}=3")) == ["reserved-parameter"]
    assert not run("#100=3").findings


def test_a_circle_whose_steps_add_up_to_nothing_is_full(run: Run) -> None:
    reading = run("G91", "G1 X0.1 F100", "X0.2", "X-0.3", "G90 G3 X0 Y0 I5")
    assert not reading.findings
    assert abs(sweeps(reading.motions)[-1]) == pytest.approx(2.0 * math.pi)


def test_a_probe_needs_way_and_minutes(run: Run) -> None:
    # §3.5.9: 0.254 mm at least, not at inverse time
    assert codes(run("G38.2 Z4.8 F50")) == ["probe-short"]
    assert codes(run("G93 G38.2 Z-5 F50")) == ["modal-conflict"]


PLAIN = st.sampled_from("XYZIJFGMNPRS()#[]%/;. -+0123456789\n\tabe\u00e9")


@settings(max_examples=150, deadline=None)
@given(st.text(PLAIN, max_size=120))
def test_no_text_makes_the_reader_raise(text: str) -> None:
    reading = read(text, file="p", start=(0.0, 0.0, 0.0))
    assert len(reading.moves) == len(reading.move_lines)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["G0", "G1", "", "G01", "N5 G1"]), st.integers(-9999, 9999), st.booleans()),
        min_size=1,
        max_size=12,
    )
)
def test_the_quick_way_and_the_careful_way_read_alike(lines: list[tuple[str, int, bool]]) -> None:
    """A tab sends a line the careful way."""
    texts = [f"{word} X{value / 1000:.3f}" + (f" Y{value}" if y else "") for word, value, y in lines]
    head = "G21 G90 G94 G1 F100 X0 Y0 Z0\n"
    start = (1.0, 1.0, 1.0)
    quick = read(head + "\n".join(texts) + "\nM2", file="p", start=start)
    careful = read(head + "\n".join(text.replace("X", "\tX") for text in texts) + "\nM2", file="p", start=start)
    assert quick.moves == careful.moves
    assert quick.move_lines == careful.move_lines
    assert not quick.findings and not careful.findings


def test_rapids_are_rapids(run: Run) -> None:
    reading = run("G0 X1", "G1 X2 F9", "G0 X3")
    assert [type(move) for move in reading.moves] == [Rapid, Line, Rapid]


def test_the_lines_after_one_in_error_are_read_with_the_motion_and_the_feed_that_it_says(run: Run) -> None:
    for broken in ("G1 X1 F100 E2", "G1 X1 F100 Q2", "G1 X1 F100 A2"):
        reading = run(broken, "X2")
        assert len(reading.findings) == 1, broken
        assert reading.findings[0].where == "test, line 2"
        assert set(reading.motions.feed.tolist()) == {100.0}


def test_an_arc_whose_words_do_not_fit_is_read_on_as_a_straight_cut_at_its_line(run: Run) -> None:
    # §3.5.3: neither offset nor R; §3.5.3.2: K has no place under G17
    for words in ("X4", "X4 I2 K1", "X4 I2 R2"):
        reading = run(f"G2 {words} F100", "G1 X9", start=(0.0, 0.0, 5.0))
        assert codes(reading) == ["arc-words"]
        assert ends(reading) == [(4.0, 0.0, 5.0), (9.0, 0.0, 5.0)]
