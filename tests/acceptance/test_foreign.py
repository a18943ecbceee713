"""Programs from elsewhere, typed by hand in the ways of RS-274 (NISTIR 6556), held against a plate."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6", "drill-4.2"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "slot"
kind = "pocket"
layer = "SLOT"
depth_mm = 1

[[feature]]
name = "holes"
kind = "hole"
layer = "HOLES"
depth_mm = 5
spot = false
"""

# Round ends of 3.1 mm at (20, 20) and (40, 20): slot-6 goes round 0.1 mm inside the wall's own radius.
ABSOLUTE = """\
%
(typed by hand)
(cutter: slot-6)
n10 g17 g21 g90 g94
n20 m3 s12000
n30 g0 z5
g0 x20 y19.9
g1 z-1 f150
g1 x40 f400
g3 x40 y20.1 i0 j0.1
g1 x20
g3 x20 y19.9 i0 j-0.1
g0 z5
m5
m30
%
"""

RADII = """\
(cutter: slot-6)
G17 G21 G90 G94
M3 S12000
G0 Z5
X20 Y19.9
G1 Z-1 F150
X40 F400
G3 X40 Y20.1 R0.1
G1 X20
G3 X20 Y19.9 R0.1
G0 Z5
M5
M2
"""

STEPS = """\
(cutter: slot-6)
G17 G21 G90 G94
M3 S12000
G0 Z5
G0 X20 Y19.9
G91
G1 Z-6 F150
G1 X20 F400
G3 X0 Y.2 I0 J.1
G1 X-20
G3 X0 Y-.2 I0 J-.1
G0 Z6
G90
M5
M2
"""

SUBSTITUTED = """\
(cutter: slot-6)
G17 G21 G90 G94
#1=[10*2] #2=-1
M3 S12000
G0 Z5
X#1 Y[#1-0.1]
G1 Z#2 F[100+50]
X[#1*2] F400
G3 X40 Y20.1 I0 J0.1
G1 X#1
G3 X20 Y19.9 I0 J-0.1
G0 Z5
M5
M2
"""

# 25.4 mm an inch: 19.9 = 0.7834646, 20 = 0.7874016, 20.1 = 0.7913386, 40 = 1.5748031, 0.1 = 0.0039370, 1 = 0.0393701.
INCHES = """\
(cutter: slot-6)
G17 G20 G90 G94
M3 S12000
G0 Z.2
X.7874016 Y.7834646
G1 Z-.0393701 F6
X1.5748031 F16
G3 X1.5748031 Y.7913386 I0 J.003937
G1 X.7874016
G3 X.7874016 Y.7834646 I0 J-.003937
G0 Z.2
M5
M2
"""

SPACED = """\
(cutter: slot-6)
g 17 g 2 1 g90g94
m3s12000
g0z5
x2 0y1 9.9
g1z-1f150
x40f400
g3x40y20.1i0j.1
g1x20
g3x20y19.9i0j-.1
g0z5
m5
m2
"""

SLOTS = {
    "small letters and line numbers": ABSOLUTE,
    "arcs by their radius": RADII,
    "steps from place to place": STEPS,
    "parameters and sums": SUBSTITUTED,
    "inches": INCHES,
    "blanks in the middle of words": SPACED,
}

# A drill of 4.2 mm with a point of 118 degrees is 2.1 / tan(59 degrees) = 1.2618 mm deeper at its tip than at its rim.
CYCLE = """\
(cutter: drill-4.2)
G17 G21 G90 G94
M3 S3000
G0 Z5
{cycle}
X50
G80
G0 Z5
M5
M2
"""

CYCLES = {
    "drilled": "G98 G81 X10 Y20 Z-6.2618 R1 F100",
    "with a rest": "G99 G82 X10 Y20 Z-6.2618 R1 P0.5 F100",
    "pecked": "G98 G83 X10 Y20 Z-6.2618 R1 Q1.5 F100",
}

LONGHAND = """\
(cutter: drill-4.2)
G17 G21 G90 G94
M3 S3000
G0 Z5
X10 Y20
G1 Z-6.2618 F100
G0 Z5
X50
G1 Z-6.2618
G0 Z5
M5
M2
"""


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory, plates: Any) -> Path:
    place = tmp_path_factory.mktemp("foreign")
    left, right = 2.0 * plates.QUARTER / (1.0 - plates.QUARTER**2), 0.0
    assert left == pytest.approx(1.0)  # two quarters of a turn: the bulge of a half circle
    plates.drawn(
        place / "plate.dxf",
        closed=[
            ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)]),
            ("SLOT", [(20, 16.9, right), (40, 16.9, left), (40, 23.1, right), (20, 23.1, left)]),
        ],
        circles=[("HOLES", 10, 20, 4.2), ("HOLES", 50, 20, 4.2)],
    )
    found: Path = plates.job(place, JOB)
    return found


def written(place: Path, **programs: str) -> list[Path]:
    paths = []
    for name, text in programs.items():
        path = place / f"{name}.nc"
        path.write_text(text, encoding="ascii")
        paths.append(path)
    return paths


@pytest.mark.parametrize("text", SLOTS.values(), ids=SLOTS.keys())
def test_a_slot_and_holes_typed_by_hand_are_accepted(
    text: str, job: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = run("check", *written(tmp_path, slot=text, holes=LONGHAND), "--job", job)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "Proof passed" in ran.out
    assert "nothing left" in " ".join(ran.out.split())


@pytest.mark.parametrize("cycle", CYCLES.values(), ids=CYCLES.keys())
def test_holes_by_cycles_are_accepted(cycle: str, job: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = run("check", *written(tmp_path, slot=RADII, holes=CYCLE.format(cycle=cycle)), "--job", job)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "nothing left" in " ".join(ran.out.split())


def test_holes_alone_leave_the_slot_and_are_safe(job: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    ran = run("check", *written(tmp_path, holes=LONGHAND), "--job", job)
    assert ran.code == 1
    assert "Proof passed" in ran.out
    assert "slot: " in ran.out
    assert "left-uncut" in ran.out


@pytest.mark.parametrize(
    ("text", "old", "new", "line"),
    [
        (ABSOLUTE, "g1 z-1 f150", "g1 z-1.05 f150", 8),
        (RADII, "G3 X40 Y20.1 R0.1", "G3 X40 Y20.1 R-3", 8),  # a negative radius takes the long way round
        (STEPS, "G1 X20 F400", "G1 X20.1 F400", 8),
        (INCHES, "X1.5748031 F16", "X1.6 F16", 7),
        (SUBSTITUTED, "X[#1*2] F400", "X[#1*2+.2] F400", 8),
        (SPACED, "x40f400", "x4 1f400", 7),
    ],
)
def test_a_fault_typed_by_hand_is_caught_at_its_line(
    text: str, old: str, new: str, line: int, job: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    assert text.count(old) == 1
    ran = run("check", *written(tmp_path, slot=text.replace(old, new)), "--job", job)
    assert ran.code == 3, ran.out
    said = " ".join(ran.out.split())
    assert re.search(rf"unsafe slot\.nc, line {line}: cuts \S+ \S+ into what must stay, at X\S+ Y\S+ Z-", said), said


@pytest.mark.parametrize(
    ("cycle", "code"),
    [
        ("G98 G81 X10 Y20 Z-6.5 R1 F100", "gouge"),
        ("G98 G81 X10.1 Y20 Z-6.2618 R1 F100", "gouge"),
        ("G99 G81 X10 Y20 Z-6.2618 R-1 F100", "rapid-in-stock"),  # the way to the next hole lies a mm deep in the plate
    ],
)
def test_a_cycle_in_the_wrong_place_is_caught(
    cycle: str, code: str, job: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = run("check", *written(tmp_path, holes=CYCLE.format(cycle=cycle)), "--job", job)
    assert ran.code == 3, ran.out
    said = " ".join(ran.out.split())
    assert re.search(rf"unsafe holes\.nc, line [56]: [^\[]* at X\S+ Y\S+ Z-\S+ \[{code}\]", said), said


def test_a_cycle_without_its_depth_is_refused_at_its_line(job: Path, run: Callable[..., Any], tmp_path: Path) -> None:
    """NISTIR 6556 section 3.5.16: a cycle needs its R, and Z in the block that begins it."""
    ran = run("check", *written(tmp_path, holes=CYCLE.format(cycle="G98 G81 X10 Y20 R1 F100")), "--job", job)
    assert ran.code == 3
    assert "line 5:" in ran.out


def test_a_program_for_a_cutter_that_is_not_named_is_refused(
    job: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = run("check", *written(tmp_path, slot=RADII.replace("(cutter: slot-6)", "")), "--job", job)
    assert ran.code == 2
    assert ran.out == ""
    assert "slot.nc" in ran.err
    assert "slot-6" in ran.err
    assert "Traceback" not in ran.err
