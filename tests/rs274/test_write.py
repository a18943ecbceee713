"""Text of moves: rules of NISTIR 6556 section 3 and of Grbl 1.1h's notes, each beside its check."""

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Rapid, Remark, Spindle, ToolChange
from camplan.rs274.posts import load_post
from camplan.rs274.records import Post
from camplan.rs274.write import write

NAMES = ("rs274ngc", "grbl", "iso6983")
START = (0.0, 0.0, 5.0)


def post(name: str) -> Post:
    return load_post(name, beside=Path("/nowhere")).post


def body(text: str) -> list[str]:
    return [line for line in text.splitlines() if re.search(r"\b[GXYZ]-?[\d.]", line) and "G17" not in line]


@pytest.mark.parametrize("name", NAMES)
def test_no_line_is_longer_than_the_dialect_reads(name: str) -> None:
    # NISTIR 6556 §3.3: 256 characters; Grbl 1.1h: 79
    moves = [
        Remark(text="a runner of falling depth " * 12),
        Rapid(to=START),
        Line(to=(123.4567, -98.7654, -12.5), feed=1234.5),
    ]
    written = write(moves, post=post(name), header=["Hive entrance disc, cavity plate, " * 6])
    assert max(len(line) for line in written.text.splitlines()) <= post(name).line_length


def test_grbl_never_sees_a_character_that_it_takes_at_once() -> None:
    # Grbl 1.1h: ! ~ ? and bytes above 0x7f are picked out of the stream, comments included
    text = write([Remark(text="Größe? ~ (cavity)! 50 %")], post=post("grbl"), header=["µ – ±"]).text
    assert not re.search(r"[!~?]|[^\x00-\x7f]", text)
    assert text.count("(") == text.count(")")


def test_grbl_gets_no_cycles_and_no_percent_lines() -> None:
    hole = Drill(at=(5.0, 5.0), retract=1.0, bottom=-10.0, peck=4.0, dwell=0.0, feed=80.0)
    text = write([Rapid(to=START), hole], post=post("grbl"), header=[]).text
    assert not re.search(r"G8[0-9]|G9[89]|%|M6", text)
    assert "Z-3" in text and "Z-7" in text and "Z-10" in text


def test_a_pecked_hole_is_a_g83_where_cycles_are_known() -> None:
    hole = Drill(at=(5.0, 5.0), retract=1.0, bottom=-10.0, peck=4.0, dwell=0.0, feed=80.0)
    lines = body(write([Rapid(to=START), hole], post=post("rs274ngc"), header=[]).text)
    assert "G99 G83 X5 Y5 Z-10 R1 Q4 F80" in lines
    assert lines[-1] == "G80"


def test_iso_programs_are_numbered_between_percent_lines() -> None:
    lines = write([Rapid(to=START)], post=post("iso6983"), header=["x"]).text.splitlines()
    assert lines[0] == lines[-1] == "%"
    assert all(re.match(r"N\d+ ", line) for line in lines[1:-1])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", range(60))
def test_both_radii_of_an_arc_agree_within_the_dialects_limit(name: str, seed: int) -> None:
    # NISTIR 6556 §3.5.3.2: 0.002 mm; Grbl 1.1h: 0.005 mm
    centre = (math.sin(seed) * 40, math.cos(seed * 2) * 40)
    radius = 0.05 + 3.0 * (seed % 20)
    first, sweep = seed * 0.7, (0.05 + seed * 0.1) * (-1 if seed % 2 else 1)
    start = (centre[0] + radius * math.cos(first), centre[1] + radius * math.sin(first), 0.0)
    end = (centre[0] + radius * math.cos(first + sweep), centre[1] + radius * math.sin(first + sweep), -1.0)
    moves = [Rapid(to=start), Arc(to=end, centre=centre, clockwise=sweep < 0, feed=300.0)]
    text = write(moves, post=post(name), header=[], start=start).text
    here = [round(start[0], post(name).decimals), round(start[1], post(name).decimals)]
    for line in body(text):
        words = dict(re.findall(r"([A-Z])(-?[\d.]+)", line))
        if "I" in words:
            i, j = float(words["I"]), float(words["J"])
            x, y = float(words["X"]), float(words["Y"])
            gap = abs(math.hypot(i, j) - math.hypot(x - here[0] - i, y - here[1] - j))
            assert gap <= post(name).arc_tolerance
        here = [float(words.get("X", here[0])), float(words.get("Y", here[1]))]


def test_an_arc_too_short_to_round_to_a_chord_never_becomes_a_full_circle() -> None:
    start = (10.0, 0.0, 0.0)
    tiny = Arc(to=(10.0 * math.cos(1e-6), 10.0 * math.sin(1e-6), 0.0), centre=(0.0, 0.0), clockwise=False, feed=100.0)
    assert "G3" not in write([tiny], post=post("grbl"), header=[], start=start).text


def test_a_full_circle_is_kept_whole() -> None:
    circle = Arc(to=(10.0, 0.0, 0.0), centre=(0.0, 0.0), clockwise=True, feed=100.0)
    text = write([circle], post=post("rs274ngc"), header=[], start=(10.0, 0.0, 0.0)).text
    assert text.count("G2 ") == 1
    assert [line for line in body(text) if "I" in line] == ["G2 X10 Y0 I-10 J0 F100"]


def test_from_an_unknown_start_the_cutter_goes_up_before_it_goes_across() -> None:
    lines = body(write([Rapid(to=(30.0, 20.0, 10.0))], post=post("grbl"), header=[]).text)
    assert lines == ["G0 Z10", "X30 Y20"]


def test_each_move_knows_its_lines() -> None:
    moves = [
        Spindle(rpm=9000.0),
        Dwell(seconds=3.0),
        Rapid(to=START),
        Line(to=(1.0, 0.0, 5.0), feed=100.0),
        Spindle(rpm=0.0),
    ]
    written = write(moves, post=post("rs274ngc"), header=["one"])
    lines = written.text.splitlines()
    assert lines[written.lines[0][0] - 1] == "M3 S9000"
    assert lines[written.lines[1][0] - 1] == "G4 P3"
    assert lines[written.lines[3][1] - 1].startswith("G1 X1")
    assert lines[written.lines[4][0] - 1] == "M5"


def test_after_a_remark_everything_is_said_anew_and_the_height_comes_first() -> None:
    moves: list[Move] = [
        Spindle(rpm=9000.0),
        Rapid(to=START),
        Line(to=(1.0, 0.0, 5.0), feed=100.0),
        Remark(text="runner: groove, slot-6"),
        Rapid(to=(1.0, 8.0, 5.0)),
        Line(to=(1.0, 8.0, -1.0), feed=100.0),
        Remark(text="disc: finish, slot-6"),
        Line(to=(4.0, 8.0, -1.0), feed=100.0),
    ]
    lines = write(moves, post=post("grbl"), header=[]).text.splitlines()
    runner, disc = lines.index("(runner: groove, slot-6)"), lines.index("(disc: finish, slot-6)")
    assert lines[runner + 1 : disc] == ["M3 S9000", "G0 Z5", "X1 Y8", "G1 Z-1 F100"]
    assert lines[disc + 1 : disc + 3] == ["M3 S9000", "G1 X4 Y8 Z-1 F100"]


def test_a_program_ends_with_the_spindle_off() -> None:
    lines = write([Spindle(rpm=900.0), Rapid(to=START)], post=post("rs274ngc"), header=[]).text.splitlines()
    assert lines[-2:] == ["M5", "M2"]


def test_a_change_of_cutter_is_m6_only_where_the_machine_changes_cutters() -> None:
    # Grbl 1.1h refuses M6: the spindle stops and the program waits
    moves: list[Move] = [Spindle(rpm=900.0), Rapid(to=START), ToolChange(number=2, cutter="slot-2"), Rapid(to=START)]
    able = replace(post("rs274ngc"), changes_cutters=True)
    lines = write(moves, post=able, header=[]).text.splitlines()
    assert lines[lines.index("(cutter: slot-2)") + 1] == "T2 M6"
    lines = write(moves, post=post("grbl"), header=[]).text.splitlines()
    assert lines[lines.index("(cutter: slot-2)") + 1 :][:2] == ["M5", "M0"]


def test_a_hole_that_pecks_and_dwells_is_taken_apart() -> None:
    # NISTIR 6556 §3.5.16.4: G83 has no P
    hole = Drill(at=(5.0, 5.0), retract=1.0, bottom=-6.0, peck=4.0, dwell=0.5, feed=80.0)
    text = write([Rapid(to=START), hole], post=post("rs274ngc"), header=[]).text
    assert "G83" not in text
    assert "G4 P0.5" in text


@pytest.mark.parametrize("name", NAMES)
def test_an_almost_full_turn_is_two_arcs(name: str) -> None:
    # NISTIR 6556 §3.5.3.1 calls near-full circles bad practice; Grbl 1.1h may make them full or nothing
    for rest in (0.02, 1e-3, 1e-6):
        end = (10.0 * math.cos(-rest), 10.0 * math.sin(-rest), 0.0)
        turn = Arc(to=end, centre=(0.0, 0.0), clockwise=False, feed=100.0)
        text = write([turn], post=post(name), header=[], start=(10.0, 0.0, 0.0)).text
        assert sum("I" in line for line in body(text)) == 2


def test_flat_wide_and_short_arcs_are_chords() -> None:
    def text(radius: float, swept: float) -> str:
        end = (radius * math.cos(swept) - radius, radius * math.sin(swept), 0.0)
        one = Arc(to=end, centre=(-radius, 0.0), clockwise=False, feed=100.0)
        return write([one], post=post("grbl"), header=[], start=(0.0, 0.0, 0.0)).text

    assert "G3" in text(20.0, 0.1)
    assert "G3" not in text(20.0, 0.01)  # 0.25 um high
    assert "G3" not in text(600.0, 0.1)  # wider than the post's largest arc
    assert "G3" not in text(0.004, 3.0)  # 8 um wide


def test_a_slow_feed_is_never_written_as_none() -> None:
    text = write([Line(to=(1.0, 0.0, 5.0), feed=0.02)], post=post("grbl"), header=[], start=START).text
    assert "F0.02" in text


def test_moves_that_no_text_can_say_are_refused() -> None:
    with pytest.raises(ValueError, match="feed"):
        write([Line(to=(1.0, 0.0, 5.0), feed=0.0)], post=post("grbl"), header=[], start=START)
    with pytest.raises(ValueError, match="known start"):
        write([Arc(to=START, centre=(1.0, 1.0), clockwise=True, feed=1.0)], post=post("grbl"), header=[])
    with pytest.raises(ValueError, match="longer"):
        far = Line(to=(1e30, -1e30, 1e30), feed=1.0)
        write([far], post=post("grbl"), header=[], start=START)
    with pytest.raises(ValueError, match="no place"):
        write([Line(to=(math.nan, 0.0, math.inf), feed=1.0)], post=post("grbl"), header=[], start=START)


def test_a_post_without_comments_has_none() -> None:
    text = write([Remark(text="x"), Rapid(to=START)], post=replace(post("grbl"), comments=False), header=["h"]).text
    assert "(" not in text


def test_the_same_moves_make_the_same_bytes() -> None:
    moves = [Rapid(to=START), Line(to=(1.0, 2.0, 3.0), feed=9.0)]
    assert write(moves, post=post("grbl"), header=["h"]) == write(moves, post=post("grbl"), header=["h"])
