"""One plate edge written in many ways reads as one path; any text at all is read without an error of ours."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.moves.table import Kind, MotionTable
from camplan.rs274.read import read
from camplan.rs274.records import Post, ReadProgram

Run = Callable[..., ReadProgram]
Posts = dict[str, Post]
START = (0.0, 0.0, 25.4)

PLAIN = """G21 G90
G0 X25.4 Y0 Z5.08
G1 Z-2.54 F127
X50.8 F254
G3 X63.5 Y12.7 I0 J12.7
G1 Y25.4
G2 X76.2 Y38.1 I12.7 J0
G0 Z25.4
M30
"""
"""Straight cuts joined by two quarter arcs, one to the left and one to the right."""

STYLES = {
    "lower case without blanks": PLAIN.lower().replace(" ", ""),
    "blanks inside words": PLAIN.replace("X50.8", "X 5 0 . 8").replace("G1 ", "G 01\t"),
    "line numbers": "".join(f"N{10 * place} {line}\n" for place, line in enumerate(PLAIN.splitlines(), start=1)),
    "words in another order": PLAIN.replace("X50.8 F254", "F254 X50.8").replace(
        "X63.5 Y12.7 I0 J12.7", "J12.7 Y12.7 X63.5"
    ),
    "every word said again": PLAIN.replace("X50.8 F254", "G94 G17 G21 G90 G1 X50.8 Y0 Z-2.54 F254"),
    "comments at every line": PLAIN.replace("\n", " (edge of the disc plate)\n").replace("Y0", "(to the) Y0"),
    "zeros and signs": PLAIN.replace("25.4", "+025.400").replace("-2.54", "-02.5400").replace("Y0", "Y-.0"),
    "line ends of another system": PLAIN.replace("\n", "\r\n"),
    "between percent lines": "%\n" + PLAIN.replace("M30\n", "") + "%\nnothing more",
    "a percent line after the end only": PLAIN + "%\n",
    "arcs by radius": PLAIN.replace("I0 J12.7", "R12.7").replace("I12.7 J0", "R12.7"),
    "parameters": "#1=25.4\n#2=[#1/2]\n"
    + PLAIN.replace("X25.4", "X#1")
    .replace("J12.7", "J#2")
    .replace("Y38.1", "Y[#1+#2]")
    .replace("X50.8", "X[2*#1]")
    .replace("X76.2", "X[#1*3]"),
    "inches": """G20 G90
G0 X1 Y0 Z0.2
G1 Z-.1 F5
X2 F10
G3 X2.5 Y.5 I0 J.5
G1 Y1
G2 X3 Y1.5 I.5 J0
G0 Z1
M2
""",
    "incremental distances": """G21 G91
G0 X25.4 Z-20.32
G1 Z-7.62 F127
X25.4 F254
G3 X12.7 Y12.7 J12.7
G1 Y12.7
G2 X12.7 Y12.7 I12.7
G0 Z27.94
M2
""",
    "inverse time": """G21 G90
G0 X25.4 Y0 Z5.08
G93 G1 Z-2.54 F[127/7.62]
X50.8 F10
G3 X63.5 Y12.7 I0 J12.7 F[254/[12.7*3.14159265358979/2]]
G1 Y25.4 F20
G2 X76.2 Y38.1 I12.7 J0 F[254/[12.7*3.14159265358979/2]]
G0 Z25.4
M2
""",
    "modes said at the start": PLAIN.replace("G21 G90", "G21 G90 G40 G49 G80 G17 G61 G54"),
}


def same(found: MotionTable, *, wanted: MotionTable) -> bool:
    return (
        found.kind.tolist() == wanted.kind.tolist()
        and np.allclose(found.end, wanted.end, rtol=0.0, atol=1e-9)
        and np.allclose(found.start, wanted.start, rtol=0.0, atol=1e-9)
        and np.allclose(found.centre, wanted.centre, rtol=0.0, atol=1e-7, equal_nan=True)
        and np.allclose(found.feed, wanted.feed, rtol=1e-9, equal_nan=True)
    )


@pytest.mark.parametrize("style", STYLES)
def test_every_style_reads_as_the_plain_one(style: str) -> None:
    wanted = read(PLAIN, file="plain", start=START)
    found = read(STYLES[style], file=style, start=START)
    assert not wanted.findings
    assert [finding for finding in found.findings if finding.code != "after-end"] == []
    assert same(found.motions, wanted=wanted.motions)


def test_the_plain_style_is_what_it_says() -> None:
    rows = read(PLAIN, file="plain", start=START).motions
    line, clockwise, counter = Kind.LINE, Kind.CLOCKWISE, Kind.COUNTER_CLOCKWISE
    assert rows.kind.tolist() == [Kind.RAPID, line, line, counter, line, clockwise, Kind.RAPID]
    assert rows.line.tolist() == [2, 3, 4, 5, 6, 7, 8]
    assert rows.centre[[3, 5]].tolist() == [[50.8, 12.7], [76.2, 25.4]]
    assert rows.end[-1].tolist() == [76.2, 38.1, 25.4]


def arc_words(x: int, y: int, turn: float, clockwise: bool) -> str:
    """An arc of radius 5 mm that starts at the left of its circle and returns after ``turn`` is added to X and Y."""
    angle = math.pi + (-turn if clockwise else turn)
    to = (x + 5.0 + 5.0 * math.cos(angle), y + 5.0 * math.sin(angle))
    return f"{'G2' if clockwise else 'G03'} X{to[0]:.4f} Y{to[1]:.4f} I5 F{240 + x}"


ARCS = st.tuples(st.integers(-50, 50), st.integers(-50, 50), st.floats(0.3, 6.0), st.booleans())


@settings(max_examples=60, deadline=None)
@given(
    arcs=st.lists(ARCS, min_size=1, max_size=6),
    units=st.sampled_from(["G20", "G21"]),
    system=st.sampled_from(["G54", "G92 X1 Y2", "G91"]),
)
def test_arcs_read_alike_by_the_quick_and_the_careful_way(
    arcs: list[tuple[int, int, float, bool]], units: str, system: str
) -> None:
    """A tab sends a line the careful way."""
    lines = [f"{units} G1 X0 Y0 Z1 F100", system]
    for x, y, turn, clockwise in arcs:
        lines += [f"G0 X{x} Y{y}", f"N7 G1 Z-{abs(y)}.25 F{100 + y}", arc_words(x, y, turn, clockwise), "G0 Z3"]
    text = "\n".join([*lines, "M2"])
    quick = read(text, file="p", start=START)
    careful = read(text.replace(" ", "\t"), file="p", start=START)
    assert quick.moves == careful.moves
    assert quick.move_lines == careful.move_lines
    assert quick.findings == careful.findings


@settings(max_examples=150, deadline=None)
@given(
    text=st.one_of(st.text(max_size=200), st.binary(max_size=200).map(lambda raw: raw.decode("latin-1"))),
    dialect=st.sampled_from(["", "rs274ngc", "grbl", "iso6983"]),
    known=st.booleans(),
)
def test_no_bytes_make_the_reader_raise(posts: Posts, text: str, dialect: str, known: bool) -> None:
    reading = read(text, file="p", post=posts.get(dialect), start=START if known else None)
    assert len(reading.moves) == len(reading.move_lines)


SOME_WORDS = """G0 G1 G2 G3 G4 G10 G17 G18 G20 G21 G28 G40 G41 G43 G53 G54 G55 G80 G81 G83 G90 G91 G92 G93 G94 G98
G99 M2 M3 M6 M30 F100 S900 T1 H1 X1 Y2 Z-3 Z5 I1 J-2 K1 R2 L2 P1 Q0.5 X#1 #1=3 Y[sin[30]] (disc) ( % / N5 A1"""
WORDS = st.sampled_from(SOME_WORDS.split())


@settings(max_examples=150, deadline=None)
@given(
    lines=st.lists(st.lists(WORDS, max_size=5).map(" ".join), max_size=15),
    dialect=st.sampled_from(["", "grbl", "iso6983"]),
)
def test_whatever_is_read_can_be_swept(posts: Posts, lines: list[str], dialect: str) -> None:
    """Every row has a place in XY and a line, every cut a feed, and a cut at no known height is unsafe."""
    reading = read("\n".join(lines), file="p", post=posts.get(dialect))
    rows = reading.motions
    cuts = rows.kind != Kind.RAPID
    assert np.isfinite(rows.start[:, :2]).all() and np.isfinite(rows.end[:, :2]).all()
    assert np.all(rows.feed[cuts] > 0.0)
    assert np.all(rows.line > 0) and np.all(np.diff(rows.line) >= 0)
    if np.isnan(rows.end[cuts, 2]).any():
        assert any(finding.severity == "unsafe" for finding in reading.findings)
