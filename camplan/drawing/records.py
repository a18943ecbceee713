"""A drawing as read."""

from dataclasses import dataclass
from typing import Literal

from camplan.findings import Finding
from camplan.geometry.chains import Chain, Points
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circle:
    """A drawn full circle."""

    centre: tuple[Mm, Mm]
    diameter: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """One layer, in mm: ``closed`` and ``open`` chains after joining, full ``circles`` (which also stand in
    ``closed``), and ``points`` (n, 2).  ``texts`` counts entities of text, of which nothing is read."""

    name: str
    closed: tuple[Chain, ...]
    open: tuple[Chain, ...]
    circles: tuple[Circle, ...]
    points: Points
    findings: tuple[Finding, ...]
    texts: int = 0


LengthUnit = Literal["mm", "inch"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """All layers by name, and what was noticed in the file as a whole.

    ``unit`` is what the drawing's lengths were said to be in by whoever had it read; None: its own header said it.
    """

    file: str
    layers: dict[str, Layer]
    findings: tuple[Finding, ...]
    unit: LengthUnit | None = None
