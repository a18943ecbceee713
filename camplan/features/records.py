"""Features: functions from height to section, as records.

Heights ``z`` are in the setting's coordinates: 0 at the plate's top, negative in the material.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.features.holds import Gauge
from camplan.features.specs import Axis, FeatureSpec, Incline
from camplan.findings import Finding
from camplan.geometry.chains import Chain, Points
from camplan.regions import Region
from camplan.units import Mm, Rad


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slope:
    """An open chain and the depth (n,) of its floor at each of its n vertices; between them the floor falls evenly
    along the chain."""

    path: Chain
    depths: NDArray[np.float64]

    def __post_init__(self) -> None:
        if self.path.closed or self.depths.shape != (len(self.path.points),):
            raise ValueError("a slope is an open path with a depth at each point")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beads:
    """Discs along polylines: ``points`` (n, 2) and ``radii`` (n,) of each; all that a disc covers that goes from point
    to point while its radius changes evenly."""

    points: tuple[Points, ...]
    radii: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfPlane:
    """All places from ``point`` on in the unit ``direction``."""

    point: tuple[Mm, Mm]
    direction: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A plane figure at one height: drawn ``regions`` and ``lines``, all grown by ``grow`` (shrunk if negative),
    with ``beads`` as they are, less ``keep`` grown by ``keep_grow``, less ``stay`` as it is; of all that only what lies
    in ``within``.

    It is kept symbolic so that each geometry kernel works it out for itself.  Growing is by a disc: corners that
    turn outward become round, as a cutter's edge would leave them.
    """

    regions: tuple[Region, ...] = ()
    lines: tuple[Chain, ...] = ()
    grow: Mm = 0.0
    keep: tuple[Region, ...] = ()
    keep_grow: Mm = 0.0
    stay: tuple[Region, ...] = ()
    beads: tuple[Beads, ...] = ()
    within: HalfPlane | None = None


EMPTY = Section()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mouth:
    """A chamfer round a hole, ``diameter`` wide at the top; ``angle`` is that of the whole cone."""

    diameter: Mm
    angle: Rad


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feature:
    """A spec with its geometry, in the coordinates of the setting.

    ``top`` and ``bottom`` are depths below the plate's top, positive; a through feature's ``bottom`` is the
    thickness of the plate, and it is cut ``break_through`` deeper.  An outline held by a skin is not through:
    its ``bottom`` is the skin's upper side.

    ``regions``: closed regions (pockets; faces; outlines: the parts whose wall is wanted).
    ``lines``: centre lines of grooves and marks; ``slopes`` the same with the depths of their floors, where those fall;
    ``widening`` the discs along them, where their width changes.
    ``circles``: (x, y, diameter) of holes.  ``points``: of a mark, the middles of its crosses.
    ``incline``: the plane of a pocket's floor that falls.
    ``open_edges``: whether a pocket meets the plate's edge; ``mouths``: the air there, of one whose walls lean.
    ``kerf``: how wide an outline cuts beside its wall as it is left (beyond its allowance); None until a cutter is
    chosen.
    ``bridges``: what of an outline's kerf stays, below the bridges' height.
    ``neighbours``: the parts of other outlines, which stay even where this one's kerf would reach them.
    ``stock``: the plate's outline, in which an outline's bridges must land.
    ``point_angle``: of the drill whose cone may stand below a hole; None where it is flat.
    ``flat``: the diameters of holes that are bored, and so end flat, beside drilled ones.
    ``sunk``: (diameter, depth) of the circles that end flat at a depth of their own: heads over clearance holes.
    ``mouth``: the chamfer at the top of all other circles; None where none is cut.
    ``gauges``: the sizes to gauge, where holes hold a fit.
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
    slopes: tuple[Slope, ...] = ()
    widening: tuple[Beads, ...] = ()
    circles: tuple[tuple[Mm, Mm, Mm], ...] = ()
    points: tuple[tuple[Mm, Mm], ...] = ()
    incline: Incline | None = None
    open_edges: bool = False
    mouths: tuple[Region, ...] = ()
    kerf: Mm | None = None
    bridges: tuple[Region, ...] = ()
    neighbours: tuple[Region, ...] = ()
    stock: Region | None = None
    point_angle: Rad | None = None
    flat: tuple[Mm, ...] = ()
    profile: tuple[tuple[Mm, Mm], ...] = ()
    sunk: tuple[tuple[Mm, Mm], ...] = ()
    mouth: Mouth | None = None
    gauges: tuple[Gauge, ...] = ()
    follows: tuple[str, ...] = ()
    beside: Mm = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Existing:
    """What was gone of a plate before it is cut: ``regions`` open from a face of it down to ``depth`` below that face;
    as deep as the plate is thick where they go through.  What is gone deeper is gone here as well."""

    regions: tuple[Region, ...]
    depth: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """The stock in the setting's coordinates; ``zero`` is the word of the job file, and the drawing's own zero is at
    ``drawn_at``.  What was gone before it is cut: ``existing`` is open to its top, ``beneath`` to its underside, the
    deepest first."""

    thickness: Mm
    outline: Region
    bounds: tuple[Mm, Mm, Mm, Mm]
    zero: str
    drawn_at: tuple[Mm, Mm] = (0.0, 0.0)
    existing: tuple[Existing, ...] = ()
    beneath: tuple[Existing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateFace:
    """The plate as it lies with one of its faces up, and what is cut from there, in the coordinates of ``settings``.

    ``about`` is the axis about which it was turned over; None: its top is up.
    """

    settings: tuple[str, ...]
    about: Axis | None
    plate: Plate
    features: tuple[Feature, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Built:
    """The plate and every feature of a job, placed on the plate's zero, and what was noticed on the way.

    ``scaled_about``: the place, from the plate's zero, about which features were scaled; None where none was.
    """

    plate: Plate
    features: tuple[Feature, ...]
    findings: tuple[Finding, ...]
    scaled_about: tuple[Mm, Mm] | None = None
