"""Reading TOML tables key by key, collecting every problem instead of stopping at the first.

A `Fields` reader takes one table.  Each call takes one key with its type and limits; what is wrong goes into
``problems`` and a stand-in value of the right type comes back, so that reading goes on.  `finish` reports
unknown keys.  Nothing read may be used before ``problems`` was found empty.
"""

import difflib
import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from camplan.errors import InputError, Problem

T = TypeVar("T", bound=str)

_LARGEST = 1e300
_SHOWN = 60


def parsed_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file; InputError naming the file if it cannot be read as TOML."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise InputError(Problem(message="there is no such file", file=str(path))) from None
    except OSError as error:
        raise InputError(Problem(message=f"cannot be read: {error.strerror}", file=str(path))) from None
    except UnicodeDecodeError:
        raise InputError(Problem(message="is not UTF-8 text", file=str(path), accepted="a TOML file")) from None
    except (ValueError, RecursionError) as error:  # also integers of thousands of digits and tables nested as deep
        raise InputError(Problem(message=f"is not valid TOML: {error}", file=str(path))) from None


class Fields:
    """One table of a file being read; ``where`` is the key path of the table, "" at the top."""

    def __init__(self, table: Mapping[str, Any], *, file: str, where: str = "", problems: list[Problem]) -> None:
        self._table = table
        self._file = file
        self._where = where
        self._taken: set[str] = set()
        self.problems = problems

    def path(self, key: str) -> str:
        """The full key path of ``key``, as said to the user."""
        return f"{self._where}.{key}" if self._where else key

    def refuse(self, key: str, message: str, *, accepted: str = "") -> None:
        """Record a problem with ``key``."""
        self.problems.append(Problem(message=message, file=self._file, key=self.path(key), accepted=accepted))

    def has(self, key: str) -> bool:
        """Whether the table holds ``key``; does not take it."""
        return key in self._table

    def raw(self, key: str) -> Any:
        """The value of ``key`` as TOML gave it (None if absent), taken."""
        self._taken.add(key)
        return self._table.get(key)

    def number(
        self,
        key: str,
        *,
        default: float | None = None,
        above: float | None = None,
        at_least: float | None = None,
        at_most: float | None = None,
    ) -> float:
        """A finite number within the limits; required unless a default is given."""
        value = self.raw(key)
        accepted = _range(above=above, at_least=at_least, at_most=at_most)
        stand_in = default if default is not None else (at_least or (above or 0.0) + 1.0)
        if value is None:
            if default is None:
                self.refuse(key, "is missing", accepted=accepted)
            return stand_in
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(key, f"must be a number, not {quoted(value)}", accepted=accepted)
            return stand_in
        number = float(value) if abs(value) <= _LARGEST else math.inf
        fits = (
            math.isfinite(number)
            and (above is None or number > above)
            and (at_least is None or number >= at_least)
            and (at_most is None or number <= at_most)
        )
        if not fits:
            self.refuse(key, f"{quoted(value)} is impossible", accepted=accepted)
            return stand_in
        return number

    def optional_number(self, key: str, *, above: float | None = None, at_least: float | None = None) -> float | None:
        """A number as in `number`, or None if the key is absent."""
        self._taken.add(key)
        return self.number(key, above=above, at_least=at_least) if self.has(key) else None

    def count(self, key: str, *, default: int | None = None, at_least: int = 0) -> int:
        """A whole number."""
        value = self.raw(key)
        if value is None and default is not None:
            return default
        if isinstance(value, bool) or not isinstance(value, int) or value < at_least:
            said = "is missing" if value is None else f"must be a whole number, not {quoted(value)}"
            self.refuse(key, said, accepted=f"{at_least} or more")
            return default if default is not None else at_least
        return value

    def text(self, key: str, *, default: str | None = None) -> str:
        """A string that is not empty."""
        value = self.raw(key)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or not value.strip():
            said = "is missing" if value is None else f"must be text, not {quoted(value)}"
            self.refuse(key, said)
            return default or ""
        return value

    def choice(self, key: str, options: Sequence[T], *, default: T | None = None) -> T:
        """One of ``options``."""
        value = self.raw(key)
        if value is None and default is not None:
            return default
        for option in options:
            if value == option:
                return option
        said = "is missing" if value is None else f"{quoted(value)} is unknown{_nearest(value, options)}"
        self.refuse(key, said, accepted=", ".join(options))
        return options[0]

    def flag(self, key: str, *, default: bool) -> bool:
        """true or false."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.refuse(key, f"must be true or false, not {quoted(value)}")
            return default
        return value

    def texts(self, key: str, *, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of strings."""
        value = self.raw(key)
        if value is None and default is not None:
            return default
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            said = "is missing" if value is None else f"must be a list of texts, not {quoted(value)}"
            self.refuse(key, said)
            return default or ()
        return tuple(value)

    def tables(self, key: str) -> "list[Fields]":
        """A list of tables (none if absent), each as a reader that shares the problems."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.refuse(key, f"must be a list of tables, not {quoted(value)}")
            return []
        return [
            Fields(item, file=self._file, where=f"{self.path(key)}[{place}]", problems=self.problems)
            for place, item in enumerate(value, start=1)
        ]

    def table(self, key: str) -> "Fields":
        """A table (an empty one, reported, if it is missing or something else)."""
        value = self.raw(key)
        if not isinstance(value, dict):
            self.refuse(key, "is missing" if value is None else f"must be a table, not {quoted(value)}")
            value = {}
        return self.within(key, value)

    def within(self, key: str, table: Mapping[str, Any]) -> "Fields":
        """A reader of a table that is (an item of) the value of ``key``, sharing the problems."""
        return Fields(table, file=self._file, where=self.path(key), problems=self.problems)

    def finish(self, *, known: Sequence[str] = ()) -> None:
        """Report every key that was never taken, with the nearest one that would be."""
        names = [*self._taken, *known]
        for key in self._table:
            if key not in self._taken:
                self.refuse(key, f"is not a known key{_nearest(key, names)}", accepted=", ".join(sorted(set(names))))


def quoted(value: object) -> str:
    """A value as it stands in a message: as Python writes it, cut short where it is long."""
    try:
        text = repr(value)
    except ValueError:  # an integer of more digits than Python will write
        return "a number of thousands of digits"
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def _nearest(value: object, options: Sequence[str]) -> str:
    found = difflib.get_close_matches(quoted(value).strip("'\""), list(options), n=1)
    return f"; did you mean {found[0]!r}?" if found else ""


def _range(*, above: float | None, at_least: float | None, at_most: float | None) -> str:
    parts = [
        f"above {above:g}" if above is not None else "",
        f"{at_least:g} or more" if at_least is not None else "",
        f"at most {at_most:g}" if at_most is not None else "",
    ]
    return ", ".join(part for part in parts if part) or "a finite number"
