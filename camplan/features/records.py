"""Features: functions from height to section, as records.

Heights ``z`` are in the setting's coordinates: 0 at the plate's top, negative in the material.
"""

from dataclasses import dataclass

from camplan.features.specs import FeatureSpec
from camplan.geometry.chains import Chain
from camplan.regions import Region
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A plane figure at one height: drawn ``regions`` and ``lines``, all grown by ``grow`` (shrunk if negative),
    less ``keep`` (regions that stay whatever else is said).

    It is kept symbolic so that each geometry kernel works it out for itself.
    """

    regions: tuple[Region, ...] = ()
    lines: tuple[Chain, ...] = ()
    grow: Mm = 0.0
    keep: tuple[Region, ...] = ()


EMPTY = Section()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feature:
    """A spec with its geometry, in the coordinates of the setting.

    ``regions``: closed regions (pockets, outlines: the part that stays or falls out; faces).
    ``lines``: centre lines of grooves and marks.  ``circles``: (x, y, diameter) of holes.
    ``open_edges``: whether a pocket meets the plate's edge.  ``break_through``: how far below the
    plate a through cut goes.  ``kerf``: the width that an outline may remove beside its wall.
    ``point_angle``: of the drill whose cone may stand below a blind hole.
    ``profile``: (height above the tip, radius) pairs of the cutter that a mark's section follows.
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
    kerf: Mm | None = None
    point_angle: float | None = None
    profile: tuple[tuple[Mm, Mm], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """The stock in the setting's coordinates."""

    thickness: Mm
    outline: Region
    bounds: tuple[Mm, Mm, Mm, Mm]
    zero: str
