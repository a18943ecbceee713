"""Lines of text taken apart into words.

A word is a letter and a number; blanks mean nothing outside comments, nor does case (NISTIR 6556 §3.3).  A number
may be a parameter or an expression, which `camplan.rs274.expressions` works out.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from camplan.rs274.expressions import BrokenError, Scanner

_PLAIN = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")
_COMMENT = re.compile(r"\(([^()]*)\)")
LETTERS = frozenset("ABCDFGHIJKLMNPQRSTXYZ")
"""NISTIR 6556, table 3."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One line: its words in order, parameter settings to make after it, and its comments."""

    words: tuple[tuple[str, float], ...]
    settings: tuple[tuple[int, float], ...] = ()
    comments: tuple[str, ...] = ()
    percent: bool = False
    deletable: bool = False


def block_of(line: str, *, parameters: Mapping[int, float]) -> Block:
    """The block that a line holds; `BrokenError` with what is wrong if it is none."""
    comments: tuple[str, ...] = ()
    if "(" in line or ")" in line:
        comments = tuple(_COMMENT.findall(line))
        line = _COMMENT.sub("", line)
        if "(" in line or ")" in line:
            raise BrokenError("a comment is not closed, or stands in another (NISTIR 6556 §3.3.4)", code="comment-open")
    if ";" in line:
        line, _, rest = line.partition(";")
        comments = (*comments, rest.strip())
    text = "".join(line.split()).upper()
    if not text:
        return Block(words=(), comments=comments)
    if text == "%":
        return Block(words=(), comments=comments, percent=True)
    deletable = text[0] == "/"
    if deletable:
        text = text[1:]
    if "#" in text or "[" in text:
        words, settings = Scanner(text, parameters=parameters).block()
        return Block(words=words, settings=settings, comments=comments, deletable=deletable)
    found = _PLAIN.findall(text)
    if sum(len(letter) + len(number) for letter, number in found) != len(text):
        rest = _PLAIN.sub("", text)
        raise BrokenError(f"{rest[:20]!r} is not a word", code="unknown-word")
    return Block(
        words=tuple((letter, float(number)) for letter, number in found), comments=comments, deletable=deletable
    )
