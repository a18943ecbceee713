"""What is found of plates that belong together, as records.

Common coordinates are those in which the plates are laid over each other; own ones are those of a plate's job, from
its zero.
"""

from dataclasses import dataclass

from camplan.features.records import Feature, Plate
from camplan.findings import Finding
from camplan.job.project import MatingSpec, Named, PatternSpec, Project, ProjectPlate
from camplan.pairing.laying import Lie
from camplan.units import Mm

Place = tuple[Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """A plate as its job builds it (``plate``, ``features``, own coordinates) and how it lies over the others."""

    spec: ProjectPlate
    plate: Plate
    features: tuple[Feature, ...]
    lie: Lie


@dataclass(frozen=True, slots=True, kw_only=True)
class Centre:
    """Holes on one centre: in common and in own coordinates, with their diameters, rising."""

    at: Place
    own: Place
    diameters: tuple[Mm, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A centre of the first feature and the one of the other that belongs to it, ``off`` (dx, dy) from it."""

    first: Centre
    other: Centre
    off: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One feature of a pattern against the first: what has a partner, what the other lacks, and what only it has."""

    first: Named
    other: Named
    pairs: tuple[Pair, ...]
    missing: tuple[Centre, ...]
    extra: tuple[Centre, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternFound:
    """A pattern with each of its features against the first; ``fits`` as the jobs say them, by feature."""

    spec: PatternSpec
    held: tuple[Held, ...]
    fits: tuple[str, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GapAt:
    """The gap at one depth below the cavity plate's top: narrowest and widest with their places in the cavity's own
    coordinates.  Negative where the core stands in the wall."""

    depth: Mm
    least: Mm
    least_at: Place
    most: Mm
    most_at: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class MatingFound:
    """A core in its cavity, depth by depth; ``floor`` is the gap below the core's end, None in a through cavity."""

    spec: MatingSpec
    closed: Mm
    gaps: tuple[GapAt, ...]
    floor: Mm | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pairing:
    """Everything found of a project's plates before they are planned."""

    project: Project
    plates: tuple[Placed, ...]
    patterns: tuple[PatternFound, ...]
    matings: tuple[MatingFound, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Of all patterns and matings, in their order."""
        of_patterns = (finding for found in self.patterns for finding in found.findings)
        return (*of_patterns, *(finding for found in self.matings for finding in found.findings))
