"""Lists of numbers in TOML tables, and names looked up with near ones said."""

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from camplan import resources
from camplan.errors import InputError, Problem
from camplan.fields import Fields, parsed_toml
from camplan.findings import Finding, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """The file that a name means, and what it hides."""

    path: Path
    findings: tuple[Finding, ...]


def looked_up(name: str, *, folder: str, beside: Path) -> Looked:
    """The file of ``name`` in ``folder``; InputError with the nearest names if there is none."""
    files = resources.named(folder, beside=beside)
    found = files.get(name)
    if found is None:
        raise InputError(unknown_name(name, folder=folder, files=files))
    return Looked(path=found.path, findings=hidden(name, folder=folder, found=found))


def hidden(name: str, *, folder: str, found: resources.Found) -> tuple[Finding, ...]:
    """A note that ``name`` stands for one file and hides others, if it does."""
    if not found.hides:
        return ()
    others = ", ".join(str(path) for path in found.hides)
    sentence = f"{name} is read from {found.path}; it hides {others}"
    return (Finding(severity=Severity.NOTE, code="hidden-name", message=sentence, where=f"{folder}/{name}"),)


def unknown_name(name: str, *, folder: str, files: Mapping[str, object]) -> Problem:
    """What is said of a name that no file has."""
    near = difflib.get_close_matches(name, list(files), n=4, cutoff=0.5) or list(files)
    return Problem(
        message=f"there is no {name!r} in {folder}",
        key=name,
        accepted=", ".join(near) or f"a file {folder}/{name}.toml beside the job",
    )


def opened(path: Path, *, problems: list[Problem]) -> Fields | None:
    """The top table of a TOML file as a reader; None, with the problem recorded, if it cannot be read."""
    try:
        table = parsed_toml(path)
    except InputError as error:
        problems.extend(error.problems)
        return None
    return Fields(table, file=str(path), problems=problems)


def numbers(
    fields: Fields, key: str, *, count: int, at_least: float, at_most: float, rising: bool = False
) -> tuple[float, ...]:
    """``count`` numbers within the limits, in rising order (equal ones allowed) if asked."""
    value = fields.raw(key)
    accepted = f"{count} numbers from {at_least:g} to {at_most:g}" + (", the lower one first" if rising else "")
    stand_in = tuple(at_least for _ in range(count))
    if value is None:
        fields.refuse(key, "is missing", accepted=accepted)
        return stand_in
    if not isinstance(value, list) or len(value) != count or not all(is_number(item) for item in value):
        fields.refuse(key, f"must be {count} numbers, not {value!r}", accepted=accepted)
        return stand_in
    given = tuple(float(item) for item in value)
    if any(not at_least <= item <= at_most for item in given) or (rising and list(given) != sorted(given)):
        fields.refuse(key, f"{value} is impossible", accepted=accepted)
        return stand_in
    return given


def is_number(value: object) -> bool:
    """Whether a TOML value is a number that can be worked with: finite, and no whole number beyond any use."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) < 1e15 if isinstance(value, int) else math.isfinite(value)


def optional(fields: Fields, key: str, *, at_least: float, at_most: float) -> float | None:
    """A number within the limits, or None if the key is absent."""
    return fields.number(key, at_least=at_least, at_most=at_most) if fields.has(key) else None
