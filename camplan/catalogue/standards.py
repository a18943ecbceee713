"""Fits, threads and screws as the standards table them, read from ``tooling/standards/``.

Sizes are mm.  Every row keeps the source that it was read with; what is from memory says so.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeVar

from camplan import resources
from camplan.catalogue.reading import hidden, opened
from camplan.errors import InputError, Problem
from camplan.fields import Fields
from camplan.findings import Finding
from camplan.units import UM_PER_MM, Mm

T = TypeVar("T")

Series = Literal["fine", "medium", "coarse"]
SERIES: tuple[Series, ...] = ("fine", "medium", "coarse")

_FOLDER = "tooling/standards"
_WIDEST: Mm = 500.0
_MOST_UM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How far sizes over ``over`` and up to ``upto`` may be off: from ``lower`` to ``upper``."""

    over: Mm
    upto: Mm
    lower: Mm
    upper: Mm
    source: str

    @property
    def middle(self) -> Mm:
        """Half way between the limits."""
        return (self.lower + self.upper) / 2.0

    @property
    def width(self) -> Mm:
        """The whole tolerance."""
        return self.upper - self.lower


@dataclass(frozen=True, slots=True, kw_only=True)
class FitClass:
    """A tolerance class such as H7 (ISO 286-2), its rows by rising size."""

    name: str
    rows: tuple[Limits, ...]

    def limits(self, nominal: Mm) -> Limits | None:
        """The limits of a nominal size; None outside the table."""
        return next((row for row in self.rows if row.over < nominal <= row.upto), None)

    @property
    def known(self) -> str:
        """The sizes in the table, in words."""
        return f"over {self.rows[0].over:g} up to {self.rows[-1].upto:g} mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadSize:
    """A coarse metric thread: its tapping drill, and the ``least`` and ``most`` minor diameter of the nut."""

    name: str
    nominal: Mm
    pitch: Mm
    drill: Mm
    least: Mm
    most: Mm
    drill_source: str
    least_source: str
    most_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewSize:
    """A cap screw: ``head`` is its largest diameter and ``height`` its height; ``bore`` takes the head (None: not
    tabled); clearance holes by series."""

    name: str
    nominal: Mm
    head: Mm
    height: Mm
    bore: Mm | None
    clearance: dict[Series, Mm]
    head_source: str
    bore_source: str
    clearance_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Standards:
    """All tables: classes of holes and of pins, threads and screws by name, in the order of their files."""

    holes: dict[str, FitClass]
    pins: dict[str, FitClass]
    threads: dict[str, ThreadSize]
    screws: dict[str, ScrewSize]
    findings: tuple[Finding, ...]


def load_standards(*, beside: Path) -> Standards:
    """The tables; InputError with everything that is wrong in their files."""
    problems: list[Problem] = []
    findings: list[Finding] = []

    def rows(stem: str, key: str, reader: Callable[[Fields], T]) -> list[T]:
        found = resources.named(_FOLDER, beside=beside).get(stem)
        if found is None:
            problems.append(Problem(message=f"there is no {_FOLDER}/{stem}.toml", file=str(resources.shipped())))
            return []
        findings.extend(hidden(stem, folder=_FOLDER, found=found))
        fields = opened(found.path, problems=problems)
        if fields is None:
            return []
        read = [reader(table) for table in fields.tables(key)]
        if not read:
            fields.refuse(key, "is missing", accepted=f"at least one [[{key}]]")
        fields.finish()
        return read

    classes = rows("iso286", "class", _class)
    threads = rows("threads", "thread", _thread)
    screws = rows("cap_screws", "screw", _screw)
    if classes and not any(of == "hole" for of, _ in classes):
        problems.append(Problem(message="holds no class of holes", file=f"{_FOLDER}/iso286.toml", key="class"))
    if problems:
        raise InputError(tuple(problems))
    return Standards(
        holes={one.name: one for of, one in classes if of == "hole"},
        pins={one.name: one for of, one in classes if of == "pin"},
        threads={one.name: one for one in threads},
        screws={one.name: one for one in screws},
        findings=tuple(findings),
    )


def _class(table: Fields) -> tuple[str, FitClass]:
    of = table.choice("of", ("hole", "pin"))
    name = table.text("name")
    rows = tuple(_limits(row) for row in table.tables("limits"))
    if not rows:
        table.refuse("limits", "is missing", accepted="a list of limits by size")
    if any(low.upto != high.over for low, high in itertools.pairwise(rows)):
        table.refuse("limits", "leave a gap or overlap", accepted="each row over what the one before goes up to")
    table.finish()
    return of, FitClass(name=name, rows=rows)


def _limits(row: Fields) -> Limits:
    over = row.number("over_mm", at_least=0.0, at_most=_WIDEST)
    upto = row.number("to_mm", above=over, at_most=_WIDEST)
    lower = row.number("lower_um", at_least=-_MOST_UM, at_most=_MOST_UM)
    upper = row.number("upper_um", above=lower, at_most=_MOST_UM)
    source = row.text("source")
    row.finish()
    return Limits(over=over, upto=upto, lower=lower / UM_PER_MM, upper=upper / UM_PER_MM, source=source)


def _thread(table: Fields) -> ThreadSize:
    nominal = table.number("nominal_mm", above=0.0, at_most=_WIDEST)
    least = table.number("minor_least_mm", above=0.0, at_most=nominal)
    most = table.number("minor_most_mm", at_least=least, at_most=nominal)
    found = ThreadSize(
        name=table.text("name"),
        nominal=nominal,
        pitch=table.number("pitch_mm", above=0.0, at_most=nominal),
        drill=table.number("drill_mm", at_least=least, at_most=most),
        least=least,
        most=most,
        drill_source=table.text("drill_source"),
        least_source=table.text("minor_least_source"),
        most_source=table.text("minor_most_source"),
    )
    table.finish()
    return found


def _screw(table: Fields) -> ScrewSize:
    nominal = table.number("nominal_mm", above=0.0, at_most=_WIDEST)
    head = table.number("head_mm", above=nominal, at_most=_WIDEST)
    bored = table.has("bore_mm")
    bore = table.number("bore_mm", above=head, at_most=_WIDEST) if bored else None
    clearance: dict[Series, Mm] = {
        series: table.number(f"{series}_mm", above=nominal, at_most=head) for series in SERIES
    }
    found = ScrewSize(
        name=table.text("name"),
        nominal=nominal,
        head=head,
        height=table.number("height_mm", above=0.0, at_most=_WIDEST),
        bore=bore,
        clearance=clearance,
        head_source=table.text("head_source"),
        bore_source=table.text("bore_source") if bored else "",
        clearance_source=table.text("clearance_source"),
    )
    table.finish()
    return found
