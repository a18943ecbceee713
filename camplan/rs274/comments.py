"""Comments as every dialect can bear them."""

import textwrap
import unicodedata

_REPLACED = str.maketrans(
    {"(": "[", ")": "]", "!": ".", "~": "-", "?": ".", "%": " pc", ";": ",", "\u2013": "-", "\u00b5": "u"}
)


def plain(text: str) -> str:
    """Text of printable ASCII without parentheses and without the characters that a controller takes at once."""
    folded = unicodedata.normalize("NFKD", text.translate(_REPLACED))
    return "".join(char if " " <= char <= "\x7e" else "" if unicodedata.combining(char) else "." for char in folded)


def comment_lines(text: str, *, room: int) -> list[str]:
    """The text as comments no longer than ``room`` characters each."""
    return [f"({part})" for part in textwrap.wrap(plain(text), width=room - 2)]
