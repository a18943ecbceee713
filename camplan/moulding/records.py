"""What is asked of a mould, what its drawing gives, and what is answered."""

from dataclasses import dataclass

from camplan.findings import Finding
from camplan.units import Celsius, Mm, Mm2, Mm3, Newton


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldingSpec:
    """What the user says of the moulding; None and () where nothing is said.

    ``wall``: of the moulding; ``press``: the force that it clamps with; ``shots``: how many are wanted.  ``cavity``,
    ``runners``, ``gates``, ``vents``: names of features (None: told by their kind, depth and name).
    """

    plastic: str | None = None
    wall: Mm | None = None
    press: Newton | None = None
    ejection: Celsius | None = None
    shots: int | None = None
    cavity: tuple[str, ...] | None = None
    runners: tuple[str, ...] | None = None
    gates: tuple[str, ...] | None = None
    vents: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """A groove that plastic or air goes along: its ``width`` at the top, its ``depth``, the ``area`` of its section
    and ``around``, the length of all its sides, the open one included; ``length`` of its longest line."""

    name: str
    width: Mm
    depth: Mm
    area: Mm2
    around: Mm
    length: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowPath:
    """How far plastic goes from the gate to the farthest place of the cavity: at least ``straight``, at most ``along``.

    ``unreached``: the share of the cavity to which no way leads in this plate.
    """

    straight: Mm
    along: Mm
    unreached: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityFigures:
    """What the plate's own drawing gives.

    ``cavity_area`` and ``runner_area`` (what runners and gates add to it) are seen from above; ``walls`` is the area
    of the upright walls; ``mouldings`` counts the separate figures of the cavity, of whose area the largest has the
    share ``largest``; ``flow`` None: no gate meets it.
    """

    cavity_area: Mm2
    runner_area: Mm2
    cavity_volume: Mm3
    runner_volume: Mm3
    walls: Mm2
    mouldings: int
    largest: float
    deepest: Mm
    runners: tuple[Channel, ...]
    gates: tuple[Channel, ...]
    vents: tuple[Channel, ...]
    flow: FlowPath | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """One figure, from ``least`` to ``most`` (alike where there is no range) in ``unit``, said with ``places``
    decimals; ``sentence`` is what it rests on."""

    figure: str
    least: float
    most: float
    unit: str
    sentence: str
    source: str
    places: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldAnswer:
    """Every estimate, and what was noticed."""

    estimates: tuple[Estimate, ...]
    findings: tuple[Finding, ...]
