"""A program typed by hand, changed in one way: what moves the zero, loses the feed or overloads the cutter is refused.

Exit code, file and line of each; what no text can say is a caution; what changes nothing is passed.
"""

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
{post}cutters = ["slot-6"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "slot"
kind = "pocket"
layer = "SLOT"
depth_mm = 1
"""

# Round ends of 3.1 mm at (20, 20) and (40, 20).  bench-mill turns at 1,500 to 18,000 a minute.
PLAIN = """\
(cutter: slot-6)
G17 G21 G90 G94 G54
M3 S12000
G0 Z5
X20 Y19.9
G1 Z-1 F150
X40 F400
G3 X40 Y20.1 I0 J0.1
G1 X20
G3 X20 Y19.9 I0 J-0.1
G0 Z5
M5
M2
"""


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory, plates: Any) -> dict[str, Path]:
    found = {}
    for post in ("rs274ngc", "grbl"):
        place = tmp_path_factory.mktemp(post)
        ends = [(20, 16.9, 0.0), (40, 16.9, 1.0), (40, 23.1, 0.0), (20, 23.1, 1.0)]
        edge = [(0, 0), (60, 0), (60, 40), (0, 40)]
        plates.drawn(place / "plate.dxf", closed=[("PLATE", edge), ("SLOT", ends)])
        found[post] = plates.job(place, JOB.format(post=f'post = "{post}"\n'))
    return found


Check = Callable[..., Any]


@pytest.fixture
def check(jobs: dict[str, Path], run: Callable[..., Any], tmp_path: Path) -> Check:
    """Check a text against the plate, by a post."""

    def checked(text: str, *, post: str = "rs274ngc") -> Any:
        program = tmp_path / "slot.nc"
        program.write_text(text, encoding="ascii")
        return run("check", program, "--job", jobs[post])

    return checked


def changed(old: str, new: str) -> str:
    assert PLAIN.count(old) == 1, old
    return PLAIN.replace(old, new)


def said(ran: Any) -> list[tuple[str, int, str]]:
    """Severity, line and code of each finding about a line of the program."""
    text = " ".join(ran.out.split())
    found = re.findall(r"(unsafe|not met|caution|note) slot\.nc, line (\d+): .*? \[([a-z-]+)\]", text)
    return [(severity, int(line), code) for severity, line, code in found]


@pytest.mark.parametrize("post", ["rs274ngc", "grbl"])
def test_the_program_as_typed_is_passed(post: str, check: Check) -> None:
    ran = check(PLAIN, post=post)
    assert (ran.code, ran.err, said(ran)) == (0, "", []), ran.out


# Each line stands after the heading, as line 3, or at the line given.
@pytest.mark.parametrize(
    ("post", "old", "new", "line", "code"),
    [
        ("rs274ngc", "G54\n", "G54\nG10 L2 P1 X5\n", 3, "zero-overwritten"),
        ("grbl", "G54\n", "G54\nG10 L2 P0 Z-2\n", 3, "zero-overwritten"),
        ("rs274ngc", "G54\n", "G55\nG10 L2 P2 X0 Y0 Z0\n", 3, "zero-overwritten"),
        ("rs274ngc", "G54\n", "G10 L2 P2 X0\nG55\n", 3, "zero-overwritten"),
        ("rs274ngc", "G54\n", "G54\nG92 X0 Y0 Z0\n", 3, "zero-overwritten"),
        ("grbl", "G54\n", "G54\nG92 X0\n", 3, "zero-overwritten"),
        ("grbl", "G54\n", "G54\nG10 L20 P1 X0 Y0\n", 3, "unknown-start"),
        ("grbl", "X20 Y19.9\n", "X20 Y19.9\nG10 L20 P1 X0\n", 6, "zero-overwritten"),
        ("grbl", "M5\n", "G92 X0\nM5\n", 12, "zero-stays-shifted"),
        ("rs274ngc", "G1 X20\n", "G55 G1 X20\n", 9, "work-system-changed"),
        ("rs274ngc", "X20 Y19.9\n", "G59.3 X20 Y19.9\n", 5, "work-system-changed"),
        ("rs274ngc", "G1 X20\n", "#5221=4\nG1 X20\n", 9, "reserved-parameter"),
    ],
)
def test_what_can_only_move_the_zero_is_refused_at_its_line(
    post: str, old: str, new: str, line: int, code: str, check: Check
) -> None:
    ran = check(changed(old, new), post=post)
    assert ran.code == 3, ran.out
    assert any((severity, code) == ("unsafe", found) for severity, at, found in said(ran) if at == line), ran.out


@pytest.mark.parametrize("system", ["G55", "G58", "G59.1"])
def test_another_system_throughout_is_passed_and_says_what_to_touch_off(system: str, check: Check) -> None:
    ran = check(changed("G54", system))
    assert (ran.code, said(ran)) == (0, [("caution", 2, "other-work-system")]), ran.out
    assert f"touch off {system} on the plate" in " ".join(ran.out.split())


def test_a_known_shift_is_judged_where_its_cuts_fall(check: Check) -> None:
    back = "G92 X30 Y19.9\nX30\nG92.1\nG1 Z-1 F150"
    assert check(changed("G1 Z-1 F150", back)).code == 0
    ran = check(changed("G1 Z-1 F150", "G92 Z5.1\nG1 Z-1 F150"))
    assert ran.code == 3
    assert ("unsafe", 7, "gouge") in said(ran), ran.out


@pytest.mark.parametrize(
    ("old", "new", "line", "code"),
    [
        ("S12000", "S120", 6, "speed-below-spindle"),
        ("X40 F400", "X40 F500 S1600", 7, "chip-too-thick"),
        ("X40 F400", "X40 F4000", 7, "chip-too-thick"),
        ("Z-1 F150", "Z-1 F2000", 6, "chip-too-thick"),
        ("S12000", "S19000", 4, "speed-above-spindle"),
        ("M3", "M4", 3, "spindle-reversed"),
        ("M3 S12000", "S12000", 6, "spindle-at-rest"),
        ("M3 S12000", "M3", 6, "spindle-at-rest"),
        ("M3 S12000", "M3 S0", 6, "spindle-at-rest"),
        ("G1 X20\n", "M5\nG1 X20\n", 10, "spindle-at-rest"),
        ("Z-1 F150", "Z-1", 6, "feed-missing"),
        ("Z-1 F150", "Z-1 F0", 6, "feed-missing"),
        ("G1 X20\n", "G93\nG94\nG1 X20\n", 11, "feed-missing"),
        ("G1 X20\n", "G93 G1 X20\n", 9, "feed-missing"),
        ("G1 X20\n", "G95\nG1 X20\n", 9, "unknown-code"),
    ],
)
def test_a_spindle_or_a_feed_that_breaks_the_cutter_is_refused_at_its_line(
    old: str, new: str, line: int, code: str, check: Check
) -> None:
    """Feeds: NISTIR 6556 sections 3.5.2 and 3.5.19 (G95 is not of its codes); chips: the largest of the tables."""
    ran = check(changed(old, new))
    assert ran.code == 3, ran.out
    assert ("unsafe", line, code) in said(ran), ran.out


@pytest.mark.parametrize("speed", ["S6000", "S18000"])
def test_a_speed_that_spindle_and_cutter_bear_is_passed(speed: str, check: Check) -> None:
    ran = check(changed("S12000", speed))
    assert (ran.code, said(ran)) == (0, []), ran.out


def test_a_file_and_a_line_are_named_once(check: Check) -> None:
    for text in (changed("M3 S12000", "M3 S40000"), changed("X40 F400", "X40 E4"), changed("Z-1 F150", "Z-2 F150")):
        ran = check(text)
        findings = re.findall(r"unsafe .*?\]", " ".join(ran.out.split()))
        assert findings
        assert all(finding.count("slot.nc") == finding.count(" line ") == 1 for finding in findings), ran.out


def test_a_lost_arc_word_is_one_finding_with_the_number_of_lines_that_follow_from_it(check: Check) -> None:
    halves = "".join(f"X40 Y{20.1 if turn % 2 else 19.9} I0 J{-0.1 if turn % 2 else 0.1}\n" for turn in range(40))
    ran = check(changed("G3 X40 Y20.1 I0 J0.1\n", f"X40 Y20.1 I0 J0.1\n{halves}"))
    assert ran.code == 3
    assert [found for found in said(ran) if found[2] == "word-unused"] == [("unsafe", 8, "word-unused")]
    assert "the same of 40 more lines after it, to line 48" in " ".join(ran.out.split())


def test_a_broken_arc_line_does_not_take_its_motion_from_the_lines_after_it(check: Check) -> None:
    for broken in ("G3 X40 Y20.1 I0 J0.1 K2", "G3 X40 Y20.1 I0 J0.1 E2", "G3 X40 Y20.1"):
        ran = check(changed("G3 X40 Y20.1 I0 J0.1\n", f"{broken}\nX40 Y19.9 I0 J-0.1\nX40 Y20.1 I0 J0.1\n"))
        assert ran.code == 3
        lines = [line for severity, line, code in said(ran) if code not in ("gouge", "rapid-in-stock")]
        assert lines[0] == 8, ran.out
        assert "word-unused" not in ran.out, ran.out


def test_an_arc_by_radius_of_half_a_turn_is_called_that(check: Check) -> None:
    """NISTIR 6556 section 3.5.3.1: up to 165 and from 195 to 345 degrees are good practice."""
    ran = check(changed("G3 X40 Y20.1 I0 J0.1", "G3 X40 Y20.1 R0.1"))
    text = " ".join(ran.out.split())
    assert (ran.code, said(ran)) == (0, [("caution", 8, "arc-by-radius")]), ran.out
    assert "turns by 180 degrees, near half a turn" in text
    assert "over 180" not in text


def test_check_speaks_of_no_file_that_it_does_not_write(check: Check) -> None:
    assert "plan.json" not in check(PLAIN).out
    assert "plan.json" not in check(changed("Z-1 F150", "Z-0.5 F150")).out


def test_a_drawing_without_a_unit_names_the_key_that_says_it(
    jobs: dict[str, Path], run: Callable[..., Any], tmp_path: Path
) -> None:
    source = jobs["rs274ngc"]
    drawing = ezdxf.readfile(source.with_name("plate.dxf"))
    drawing.header["$INSUNITS"] = 0
    drawing.saveas(tmp_path / "plate.dxf")
    job, program = tmp_path / "plate.toml", tmp_path / "slot.nc"
    program.write_text(PLAIN, encoding="ascii")
    text = source.read_text(encoding="utf-8")
    job.write_text(text, encoding="utf-8")
    ran = run("check", program, "--job", job)
    assert ran.code == 2
    assert 'drawing_units = "mm"' in ran.err
    assert 'drawing_units = "inch"' in ran.err
    job.write_text(f'drawing_units = "mm"\n{text}', encoding="utf-8")
    assert run("check", program, "--job", job).code == 0


SETTINGS = """
[[setting]]
name = "vise, jaws left and right, the long side of the plate towards the operator, parallels below"
features = ["slot"]

[[setting]]
name = "clamp on the slot"
features = ["slot"]
clamps = [{ x_mm = 25, y_mm = 10, width_mm = 10, length_mm = 20, height_mm = 15 }]
"""


@pytest.mark.parametrize(
    ("comment", "code", "words"),
    [
        ("(setting: clamp on the slot)\n", 3, "[clamp"),
        ("(Setting : Vise, jaws left and right, the long side)\n", 0, ""),
        ("(setting: elsewhere)\n", 2, "line 1 names the setting 'elsewhere'"),
        ("", 0, "[setting-assumed]"),
    ],
)
def test_a_program_is_held_against_the_clamps_of_the_setting_that_it_names(
    comment: str, code: int, words: str, jobs: dict[str, Path], run: Callable[..., Any], tmp_path: Path
) -> None:
    source = jobs["rs274ngc"]
    shutil.copy(source.with_name("plate.dxf"), tmp_path)
    job, program = tmp_path / "plate.toml", tmp_path / "slot.nc"
    job.write_text(source.read_text(encoding="utf-8") + SETTINGS, encoding="utf-8")
    program.write_text(comment + PLAIN, encoding="ascii")
    ran = run("check", program, "--job", job)
    assert ran.code == code, ran.out + ran.err
    assert words in " ".join((ran.out + ran.err).split()), ran.out + ran.err
    assert ("[setting-assumed]" in ran.out) == (not comment), ran.out
