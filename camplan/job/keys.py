"""Keys of a job's tables that need more than `Fields` knows: lengths in the job's unit, names, keys for later."""

import difflib
from collections.abc import Sequence

from camplan.features.specs import Zero
from camplan.fields import Fields, quoted
from camplan.units import Mm

ZEROS: tuple[Zero, ...] = ("front-left", "front-right", "back-left", "back-right", "centre")
LONGEST: Mm = 10_000.0
"""No length of a job is longer."""


def length(
    fields: Fields,
    key: str,
    *,
    unit: Mm,
    default: Mm | None = None,
    above: Mm | None = None,
    at_least: Mm | None = None,
    at_most: Mm = LONGEST,
) -> Mm:
    """A length in mm; limits and default in mm, the file in units of ``unit`` mm.  Required without a default."""
    if default is not None and not fields.has(key):
        fields.raw(key)
        return default
    value = fields.number(
        key,
        above=None if above is None else above / unit,
        at_least=None if at_least is None else at_least / unit,
        at_most=at_most / unit,
    )
    return value * unit


def optional_length(
    fields: Fields, key: str, *, unit: Mm, above: Mm | None = None, at_least: Mm | None = None
) -> Mm | None:
    """A length as in `length`, or None if the key is absent."""
    if not fields.has(key):
        fields.raw(key)
        return None
    return length(fields, key, unit=unit, above=above, at_least=at_least)


def line(fields: Fields, key: str, *, default: str | None = None) -> str:
    """A text of one line that can be printed."""
    text = fields.text(key, default=default)
    if not text.isprintable():
        fields.refuse(key, f"{quoted(text)} holds characters that cannot be printed", accepted="one line of text")
        return default or ""
    return text


def names(fields: Fields, key: str, *, among: Sequence[str] | None, what: str) -> tuple[str, ...] | None:
    """A list of different names, not empty, each one of ``among`` if that is given; None if the key is absent."""
    if not fields.has(key):
        fields.raw(key)
        return None
    before = len(fields.problems)
    found = fields.texts(key)
    if len(fields.problems) == before and not found:
        fields.refuse(key, "names nothing", accepted=f"at least one {what}; or leave it out")
    for place, name in enumerate(found):
        if name in found[:place]:
            fields.refuse(key, f"names {quoted(name)} twice", accepted="each once")
        elif not name.strip() or not name.isprintable():
            fields.refuse(key, f"{quoted(name)} is no name", accepted=f"the name of a {what}")
        elif among is not None and name not in among:
            near = difflib.get_close_matches(name, list(among), n=1)
            asked = f"; did you mean {near[0]!r}?" if near else ""
            accepted = ", ".join(among) or f"the name of a {what}"
            fields.refuse(key, f"there is no {what} {quoted(name)} in this job{asked}", accepted=accepted)
    return found


def later(fields: Fields, *, accepted: dict[str, str]) -> None:
    """Refuse the keys of the job file's language that are not planned yet, each with what is accepted in its place."""
    for key, instead in accepted.items():
        if fields.has(key):
            fields.raw(key)
            fields.refuse(key, "is not planned by this version", accepted=instead)
