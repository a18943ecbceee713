"""A recut as records: what was found, and the programs of its skim."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from camplan.catalogue.records import Cutter
from camplan.comparison.records import Proof
from camplan.findings import Finding
from camplan.planned import PlannedOperation
from camplan.recut.gives import Verdict
from camplan.recut.journal import Value
from camplan.recut.sides import Sides
from camplan.recut.sizes import Sized
from camplan.recut.walls import Walls
from camplan.units import Mm

Entries = tuple[tuple[str, dict[str, Value]], ...]
"""(kind, what is said) of lines for the journal."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkimText:
    """One program of a skim as text; ``cutter`` is the one in the spindle, ``trace``: it only walks round in the
    air."""

    file: str
    setting: str
    cutter: Cutter
    trace: bool
    text: str
    operations: tuple[PlannedOperation, ...]

    @property
    def check_sum(self) -> str:
        """SHA-256 of the text."""
        return hashlib.sha256(self.text.encode("utf-8")).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recut:
    """What was found and what is to be written.

    ``sizes``: each measured size with what it asks for.  ``skims``: how many rounds of the wall; ``limit``: what one
    may take off, ``least``: what one must.  ``grow``: where the walls stand after it, from the drawn ones.
    ``programs``: proven, none where nothing is to be cut or the ``proof`` failed.  ``number``: of this skim, which goes
    to a folder of the name ``folder``.  ``entries`` are for the journal; those of ``skim_entries`` once the programs
    are written.
    """

    title: str
    feature: str
    walls: Walls
    sizes: tuple[Sized, ...]
    skims: int
    limit: Mm
    least: Mm
    number: int
    folder: str
    grow: Sides
    programs: tuple[SkimText, ...]
    proof: Proof | None
    findings: tuple[Finding, ...]
    journal: Path
    entries: Entries
    skim_entries: Entries

    @property
    def too_large(self) -> bool:
        """Whether more is gone than shall be."""
        return any(one.give.verdict is Verdict.TOO_LARGE for one in self.sizes)

    @property
    def cut(self) -> bool:
        """Whether there is anything to cut."""
        return any(one.give.verdict is Verdict.CUT for one in self.sizes) and not self.too_large

    @property
    def met(self) -> bool:
        """Whether every size fits already, or is cut."""
        return all(one.give.verdict in (Verdict.CUT, Verdict.FITS) for one in self.sizes)
