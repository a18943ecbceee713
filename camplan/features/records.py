"""Features: functions from height to section, as records.

Heights ``z`` are in the setting's coordinates: 0 at the plate's top, negative in the material.
"""

from dataclasses import dataclass

from camplan.features.specs import FeatureSpec
from camplan.findings import Finding
from camplan.geometry.chains import Chain
from camplan.regions import Region
from camplan.units import Mm, Rad


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A plane figure at one height: drawn ``regions`` and ``lines``, all grown by ``grow`` (shrunk if negative),
    less ``keep`` grown by ``keep_grow``, less ``stay`` as it is.

    It is kept symbolic so that each geometry kernel works it out for itself.  Growing is by a disc: corners that
    turn outward become round, as a cutter's edge would leave them.
    """

    regions: tuple[Region, ...] = ()
    lines: tuple[Chain, ...] = ()
    grow: Mm = 0.0
    keep: tuple[Region, ...] = ()
    keep_grow: Mm = 0.0
    stay: tuple[Region, ...] = ()


EMPTY = Section()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feature:
    """A spec with its geometry, in the coordinates of the setting.

    ``top`` and ``bottom`` are depths below the plate's top, positive; a through feature's ``bottom`` is the
    thickness of the plate, and it is cut ``break_through`` deeper.  An outline held by a skin is not through:
    its ``bottom`` is the skin's upper side.

    ``regions``: closed regions (pockets; faces; outlines: the parts whose wall is wanted).
    ``lines``: centre lines of grooves and marks.  ``circles``: (x, y, diameter) of holes.
    ``open_edges``: whether a pocket meets the plate's edge; ``mouths``: the air there, of one whose walls lean.
    ``kerf``: how wide an outline cuts beside its wall as it is left (beyond its allowance); None until a cutter is
    chosen.
    ``bridges``: what of an outline's kerf stays, below the bridges' height.
    ``neighbours``: the parts of other outlines, which stay even where this one's kerf would reach them.
    ``stock``: the plate's outline, in which an outline's bridges must land.
    ``point_angle``: of the drill whose cone may stand below a hole; None where it is flat.
    ``flat``: the diameters of holes that are bored, and so end flat, beside drilled ones.
    ``profile``: (height above the tip, radius) pairs, rising, of the cutter that a mark's section follows.
    ``follows``: the names of the features that open what lies beside an edge, and ``beside`` the depth down to which
    it is open there; an edge's ``circles`` are those of holes among them.
    """

    spec: FeatureSpec
    top: Mm
    bottom: Mm
    through: bool
    break_through: Mm
    regions: tuple[Region, ...] = ()
    lines: tuple[Chain, ...] = ()
    circles: tuple[tuple[Mm, Mm, Mm], ...] = ()
    open_edges: bool = False
    mouths: tuple[Region, ...] = ()
    kerf: Mm | None = None
    bridges: tuple[Region, ...] = ()
    neighbours: tuple[Region, ...] = ()
    stock: Region | None = None
    point_angle: Rad | None = None
    flat: tuple[Mm, ...] = ()
    profile: tuple[tuple[Mm, Mm], ...] = ()
    follows: tuple[str, ...] = ()
    beside: Mm = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """The stock in the setting's coordinates; ``zero`` is the word of the job file."""

    thickness: Mm
    outline: Region
    bounds: tuple[Mm, Mm, Mm, Mm]
    zero: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Built:
    """The plate and every feature of a job, placed on the plate's zero, and what was noticed on the way."""

    plate: Plate
    features: tuple[Feature, ...]
    findings: tuple[Finding, ...]
