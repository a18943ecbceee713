"""Lines into words, each rule with its § of NISTIR 6556."""

import pytest

from camplan.rs274.dialects import DialectName, dialect_named
from camplan.rs274.expressions import BrokenError
from camplan.rs274.words import Block, block_of

_REFUSES = (
    "G41 G42 G43 G61.1 G64 G73 G81 G82 G83 G84 G85 G86 G87 G88 G89 G90.1 G92.2 G92.3 G95 G96 G97 G98 G99 "
    "G59.1 G59.2 G59.3 M6 M7 M48 M49 M60"
)
_KNOWS = (
    "G0 G1 G2 G3 G38.2 G38.3 G38.4 G38.5 G80 G4 G10 G17 G18 G19 G20 G21 G28 G28.1 G30 G30.1 G43.1 G49 G53 G54 G55 "
    "G56 G57 G58 G59 G90 G91 G92 G92.1 G93 G94 G40 G61 G91.1 M0 M1 M2 M30 M3 M4 M5 M8 M9"
)
GRBL_REFUSES, GRBL_KNOWS = _REFUSES.split(), _KNOWS.split()


def block(line: str, *, dialect: DialectName = "rs274ngc", longest: int = 256) -> Block:
    return block_of(line, dialect=dialect_named(dialect), parameters={}, longest=longest)


def refusal(line: str, *, dialect: DialectName = "rs274ngc", longest: int = 256) -> str:
    with pytest.raises(BrokenError) as refused:
        block(line, dialect=dialect, longest=longest)
    return refused.value.code


def test_blanks_mean_nothing_even_inside_a_number() -> None:
    # §3.3: "g0x +0. 12 34y 7" is "g0 x0.1234 y7"
    found = block("g0x +0. 12 34y 7")
    assert found.values == {"X": 0.1234, "Y": 7.0}
    assert found.g == {"motion": 0.0}


def test_a_comment_may_stand_anywhere_and_is_no_word() -> None:
    # §3.3.4
    found = block("G1 (first) X1 (MSG, look here) Y2")
    assert found.values == {"X": 1.0, "Y": 2.0}
    assert found.comments == ("first", "MSG, look here")


def test_a_semicolon_begins_a_comment_but_not_inside_one() -> None:
    # Grbl 1.1h; NISTIR 6556 has none
    assert block("X1 ; then (open").comments == ("then (open",)
    assert block("X1 (a; b) Y2").values == {"X": 1.0, "Y": 2.0}


@pytest.mark.parametrize("line", ["(open", "X1 )", "(a (b) c)"])
def test_a_comment_is_closed_and_never_nested(line: str) -> None:
    assert refusal(line) == "comment-open"  # §3.3.4


def test_a_line_number_stands_first_and_has_at_most_five_digits() -> None:
    # §3.3.1
    assert block("N99999 X1").values == {"X": 1.0}
    assert block("/N5 X1").deletable
    assert refusal("N000009 X1") == "bad-line-number"
    assert refusal("N-1 X1") == "bad-line-number"
    assert refusal("N1.5 X1") == "bad-line-number"
    assert refusal("X1 N5") == "unknown-word"


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("X1 X2", "word-twice"),  # §3.3.5
        ("E5", "unknown-word"),  # table 3
        ("X1e3", "unknown-word"),  # §3.3.2.1: no exponents
        ("X1.2.3", "unknown-word"),
        ("X", "bad-number"),
        ("X-", "bad-number"),
        ("=", "unknown-word"),
        ("X\u00bd", "unknown-word"),
        ("X1" + "0" * 400, "line-too-long"),
        ("X1" + "0" * 90, "bad-number"),
        ("G7", "unknown-code"),
        ("G17.02", "unknown-code"),
        ("M5.5", "unknown-code"),
        ("G0 G1", "modal-conflict"),  # table 4
        ("G17 G18", "modal-conflict"),
        ("M3 M4", "modal-conflict"),
        ("M7 M9", "modal-conflict"),
        ("M0 M3 M6 M8 M48", "modal-conflict"),  # §3.3.5: four M words
    ],
)
def test_what_is_not_allowed_is_an_error(line: str, code: str) -> None:
    assert refusal(line) == code  # §3.3: anything not allowed is an error


def test_mist_and_flood_may_both_be_on() -> None:
    assert len(block("M7 M8").m) == 2  # table 4


def test_a_code_may_be_off_a_whole_number_by_a_ten_thousandth() -> None:
    assert block("G1.00001 X1").g == {"motion": 1.0}  # §3.3.2.1


def test_256_characters_are_read_and_not_one_more() -> None:
    # §3.3
    assert block("X1" + " " * 254).values == {"X": 1.0}
    assert refusal("X1" + " " * 255) == "line-too-long"


def test_grbl_counts_79_characters_without_blanks_and_comments() -> None:
    # Grbl 1.1h: line buffer of 80 with the terminator
    assert block("X1" + " " * 200 + "(" + "a" * 90 + ")", dialect="grbl", longest=79).values == {"X": 1.0}
    assert refusal("X1." + "0" * 77, dialect="grbl", longest=79) == "line-too-long"


@pytest.mark.parametrize("line", ["X1 (what?)", "X1 (no!)", "(~)", "(\u00b5m)", "X1 \x18"])
def test_grbl_takes_some_characters_at_once_even_in_comments(line: str) -> None:
    assert refusal(line, dialect="grbl") == "real-time-character"  # Grbl 1.1h


@pytest.mark.parametrize("line", ["#1=2", "X[1+1]", "X#1"])
def test_grbl_reads_no_parameters_and_no_expressions(line: str) -> None:
    assert refusal(line, dialect="grbl") == "unknown-word"  # Grbl 1.1h error 1 and 2


@pytest.mark.parametrize("letter", list("ABCDEHOQUVW"))
def test_grbl_refuses_letters_that_it_does_not_know(letter: str) -> None:
    assert refusal(f"{letter}1", dialect="grbl") == "unknown-word"  # Grbl 1.1h error 20


@pytest.mark.parametrize("code", GRBL_REFUSES)
def test_grbl_refuses_codes_that_it_does_not_know(code: str) -> None:
    assert refusal(code, dialect="grbl") == "unknown-code"  # Grbl 1.1h error 20 and 23


@pytest.mark.parametrize(
    "code",
    [
        "G0",
        "G1",
        "G2",
        "G3",
        "G38.2",
        "G38.3",
        "G38.4",
        "G38.5",
        "G80",
        "G4",
        "G10",
        "G17",
        "G18",
        "G19",
        "G20",
        "G21",
        "G28",
        "G28.1",
        "G30",
        "G30.1",
        "G43.1",
        "G49",
        "G53",
        "G54",
        "G55",
        "G56",
        "G57",
        "G58",
        "G59",
        "G90",
        "G91",
        "G92",
        "G92.1",
        "G93",
        "G94",
        "G40",
        "G61",
        "G91.1",
        "M0",
        "M1",
        "M2",
        "M30",
        "M3",
        "M4",
        "M5",
        "M8",
        "M9",
    ],
)
def test_grbl_knows_the_codes_that_it_documents(code: str) -> None:
    found = block(code, dialect="grbl")
    assert len(found.g) + len(found.m) == 1


def test_an_iso_program_may_have_its_number_on_a_line() -> None:
    assert block("%1234", dialect="iso6983").percent
    assert not block("O0001", dialect="iso6983").values
