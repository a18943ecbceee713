"""Lines of text taken apart into words.

A word is a letter and a number; blanks mean nothing outside comments, nor does case (NISTIR 6556 §3.3).  A number
may be a parameter or an expression, which `camplan.rs274.expressions` works out.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from camplan.rs274.dialects import Dialect
from camplan.rs274.expressions import NEAR_WHOLE, NUMBER, BrokenError, Scanner

_WORD = re.compile(f"([A-Z])({NUMBER})")
_COMMENT = re.compile(r"\(([^()]*)\)")
_PROGRAM_NUMBER = re.compile(r"([%O:])[0-9]{1,8}")
"""A program's own number, on a line of its own (ISO 6983-1, from memory)."""
POINTLESS = re.compile(r"[XYZIJKRQ][+-]?0*[1-9][0-9]*(?![0-9.])")
"""A length other than zero without its decimal point, in upper case without blanks."""
_LARGEST = 1e6
_BLANKS = {ord(" "): None, ord("\t"): None}
_GRBL_AT_ONCE = re.compile(r"[!~?\x18\x80-\U0010ffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One line: words but G, M and N by letter; G and M codes; settings to make after it; comments.

    ``pointless``: it has a length without its decimal point, where that may mean least increments.
    """

    values: dict[str, float]
    g: dict[str, float]
    m: dict[str, int]
    settings: tuple[tuple[int, float], ...] = ()
    comments: tuple[str, ...] = ()
    percent: bool = False
    deletable: bool = False
    pointless: bool = False


def block_of(line: str, *, dialect: Dialect, parameters: Mapping[int, float], longest: int) -> Block:
    """The block that a line holds; `BrokenError` with what is wrong if it is none."""
    grbl = dialect.name == "grbl"
    if grbl and (match := _GRBL_AT_ONCE.search(line)):
        said = f"{match.group()!r} is taken out of the stream as a command at once, even in a comment (Grbl 1.1h)"
        raise BrokenError(said, code="real-time-character")
    bare, comments = _without_comments(line)
    text = bare.translate(_BLANKS).upper() if bare.isascii() else bare
    length = len(text) if grbl else len(line)
    if length > longest:
        raise BrokenError(f"the line has {length} characters; {longest} are read", code="line-too-long")
    if not text.isascii():
        strange = next(char for char in text if not char.isascii())
        raise BrokenError(f"{strange!r} is not a word", code="unknown-word")
    if text == "%":
        return Block(values={}, g={}, m={}, comments=comments, percent=True)
    if dialect.name == "iso6983" and (match := _PROGRAM_NUMBER.fullmatch(text)):
        return Block(values={}, g={}, m={}, comments=comments, percent=match.group(1) == "%")
    deletable = text.startswith("/")
    text = _without_number(text[1:] if deletable else text, dialect=dialect)
    words, settings = _words(text, dialect=dialect, parameters=parameters)
    values, g, m = _sorted(words, dialect=dialect)
    return Block(
        values=values,
        g=g,
        m=m,
        settings=settings,
        comments=comments,
        deletable=deletable,
        pointless=dialect.points_matter and POINTLESS.search(text) is not None,
    )


def _without_comments(line: str) -> tuple[str, tuple[str, ...]]:
    comments: tuple[str, ...] = ()
    if "(" in line or ")" in line or ";" in line:
        head, semicolon, rest = _COMMENT.sub(lambda found: " " * len(found.group()), line).partition(";")
        comments = tuple(found.strip() for found in _COMMENT.findall(line[: len(head)]))
        if "(" in head or ")" in head:
            said = "a comment is not closed, or stands in another (NISTIR 6556 §3.3.4)"
            raise BrokenError(said, code="comment-open")
        line, comments = head, (*comments, rest.strip()) if semicolon else comments
    return line, comments


def _without_number(text: str, *, dialect: Dialect) -> str:
    """The line without its N, which stands first and is a whole number without sign (NISTIR 6556 §3.3.1)."""
    if not text.startswith("N"):
        return text
    match = re.match(r"N([0-9]+)", text)
    digits = match.group(1) if match else ""
    rest = text[1 + len(digits) :]
    if not digits or len(digits) > dialect.number_digits or int(digits) > dialect.last_number or rest[:1] == ".":
        said = f"N takes a whole number up to {dialect.last_number} (NISTIR 6556 §3.3.1)"
        raise BrokenError(said, code="bad-line-number")
    return rest


def _words(
    text: str, *, dialect: Dialect, parameters: Mapping[int, float]
) -> tuple[tuple[tuple[str, float], ...], tuple[tuple[int, float], ...]]:
    found = _WORD.findall(text)
    if sum(len(letter) + len(number) for letter, number in found) == len(text):
        words = tuple((letter, float(number)) for letter, number in found)
        settings: tuple[tuple[int, float], ...] = ()
    elif not dialect.computes and ("#" in text or "[" in text):
        said = f"parameters and expressions are not read by this controller ({dialect.source})"
        raise BrokenError(said, code="unknown-word")
    else:
        words, settings = Scanner(text, parameters=parameters).block()
    for letter, value in words:
        if not abs(value) <= _LARGEST:
            raise BrokenError(f"{letter}{value:g} is beyond any machine", code="bad-number")
    return words, settings


def _sorted(
    words: tuple[tuple[str, float], ...], *, dialect: Dialect
) -> tuple[dict[str, float], dict[str, float], dict[str, int]]:
    """Words by letter, G codes and M codes by group; M8 beside M7 stands as the group ``mist``."""
    values: dict[str, float] = {}
    g: dict[str, float] = {}
    m: dict[str, int] = {}
    for letter, value in words:
        if letter not in dialect.letters or letter == "N":
            said = "N stands first on its line" if letter == "N" else f"the letter {letter} is not known"
            raise BrokenError(f"{said} ({dialect.source})", code="unknown-word")
        if letter == "G":
            _add_g(value, g=g, dialect=dialect)
        elif letter == "M":
            _add_m(value, m=m, dialect=dialect)
        elif letter in values:
            raise BrokenError(f"{letter} stands twice (NISTIR 6556 §3.3.5)", code="word-twice")
        else:
            values[letter] = value
    return values, g, m


def _add_g(value: float, *, g: dict[str, float], dialect: Dialect) -> None:
    tenths = round(value * 10.0)
    code = tenths / 10.0
    group = dialect.g.get(code) if abs(value * 10.0 - tenths) <= NEAR_WHOLE else None
    if group is None:
        raise BrokenError(f"G{value:g} is not known to this controller ({dialect.source})", code="unknown-code")
    if group in g:
        said = f"G{g[group]:g} and G{code:g} are both of the group {group} (NISTIR 6556 §3.3.5)"
        raise BrokenError(said, code="modal-conflict")
    g[group] = code


def _add_m(value: float, *, m: dict[str, int], dialect: Dialect) -> None:
    code = round(value)
    group = dialect.m.get(code) if abs(value - code) <= NEAR_WHOLE else None
    if group is None:
        raise BrokenError(f"M{value:g} is not known to this controller ({dialect.source})", code="unknown-code")
    if group in m:
        if {m[group], code} == {7, 8} and "mist" not in m:
            group = "mist"
        else:
            said = f"M{m[group]} and M{code} are both of the group {group} (NISTIR 6556 §3.3.5)"
            raise BrokenError(said, code="modal-conflict")
    m[group] = code
    if len(m) > 4:
        raise BrokenError("more than four M words stand on one line (NISTIR 6556 §3.3.5)", code="modal-conflict")
