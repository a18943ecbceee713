"""What is on the shelf and on the bench."""

import math
from dataclasses import dataclass
from enum import StrEnum

from camplan.units import Mm, MmPerMin, MmPerS2, MmPerS3, MPerMin, NewtonPerMm2, NewtonPerUm, Rad, Rpm, Seconds, Watt

HELIX_ASSUMED: Rad = math.radians(30.0)


class CutterKind(StrEnum):
    """The kinds of cutter; what each can do follows from `Cutter`'s figures, not from its kind."""

    SLOT_DRILL = "slot-drill"
    END_MILL = "end-mill"
    BALL = "ball"
    BULL_NOSE = "bull-nose"
    TAPER = "taper"
    DRILL = "drill"
    SPOT_DRILL = "spot-drill"
    ENGRAVER = "engraver"
    REAMER = "reamer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """One cutter.  ``diameter`` is the widest of its cutting part, ``tip_diameter`` the width of its flat tip
    (equal to ``diameter`` for slot drills and end mills, 0 for balls, drills and sharp points, ``diameter`` less
    twice ``corner_radius`` for bull noses).

    ``flute_length``: how far up it cuts.  ``reach``: how far from the tip it is no thicker than its cutting
    part (its neck).  ``stick_out``: from the tip to the collet.  ``point_angle`` is the full angle of a drill's,
    spotting drill's or engraver's point; ``half_angle`` a tapered cutter's angle a side.

    ``helix`` is the flutes' angle to the axis (0: straight); ``neck_diameter`` the relieved part between flutes and
    ``reach`` (None: there is no such part); ``fit`` the fit that a reamer leaves, such as "H7".
    A taper's ``tip_diameter`` is measured at its flat tip, and ``diameter`` where its flutes end.
    """

    name: str
    kind: CutterKind
    diameter: Mm
    tip_diameter: Mm
    corner_radius: Mm | None
    half_angle: Rad | None
    point_angle: Rad | None
    flute_length: Mm
    reach: Mm
    shank_diameter: Mm
    stick_out: Mm
    teeth: int
    centre_cutting: bool
    tool_material: str
    rpm_max: Rpm | None
    edge_radius: Mm
    source: str
    file: str
    helix: Rad = HELIX_ASSUMED
    neck_diameter: Mm | None = None
    fit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipRow:
    """Chip per tooth for one diameter."""

    diameter: Mm
    chip_min: Mm
    chip_max: Mm
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingRow:
    """Surface speed and chip per tooth of one material for one tool material ("carbide", "hss")."""

    tool_material: str
    surface_speed_min: MPerMin
    surface_speed_max: MPerMin
    chips: tuple[ChipRow, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceCoefficients:
    """A second force model: dF = (K_c h + K_e) dz for the tangential, radial and axial parts (N/mm2 and N/mm)."""

    ktc: NewtonPerMm2
    kte: float
    krc: NewtonPerMm2
    kre: float
    kac: NewtonPerMm2
    kae: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A work material: a row a tool material, and the specific force kc = kc11 * h**-mc (None: not published).

    The ratios to the cutter's diameter are those of a stiff mill; the ones ending in ``_min`` those of a light one.
    ``drill_feed_ratio`` is a drill's feed a turn over its diameter.  ``stiffness_min``: mills softer than that
    must not cut it.
    """

    name: str
    title: str
    group: str
    kc11: NewtonPerMm2 | None
    mc: float | None
    kc_source: str
    slot_depth_ratio: float
    side_depth_ratio: float
    side_width_ratio: float
    finish_wall: Mm
    finish_floor: Mm
    ramp_angle: Rad
    helix_pitch_ratio: float
    rows: tuple[CuttingRow, ...]
    cautions: tuple[str, ...]
    source: str
    file: str
    slot_depth_ratio_min: float = 0.0
    side_depth_ratio_min: float = 0.0
    side_width_ratio_min: float = 0.0
    drill_feed_ratio: float = 0.01
    coefficients: ForceCoefficients | None = None
    stiffness_min: NewtonPerUm | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPoint:
    """Power that the spindle gives at the cutter for good at one speed."""

    rpm: Rpm
    power: Watt


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A mill.  ``travel`` is (x, y, z); ``holder_diameter`` and ``holder_length`` a cylinder above the stick-out."""

    name: str
    title: str
    travel: tuple[Mm, Mm, Mm]
    rapid: tuple[MmPerMin, MmPerMin, MmPerMin]
    feed_max: MmPerMin
    acceleration: tuple[MmPerS2, MmPerS2, MmPerS2]
    junction_deviation: Mm
    rpm_min: Rpm
    rpm_max: Rpm
    spin_up: Seconds
    power: tuple[PowerPoint, ...]
    stiffness: NewtonPerUm
    run_out: Mm
    step: Mm
    holder_diameter: Mm
    holder_length: Mm
    changes_cutters: bool
    cutter_change: Seconds
    source: str
    file: str
    touch_off: Mm = 0.010
    """How truly Z is zeroed on a surface, with paper, a gauge or a probe (common practice, no source)."""
    jerk: tuple[MmPerS3, MmPerS3, MmPerS3] | None = None
    """How fast accelerations may change (x, y, z); None: at once."""
