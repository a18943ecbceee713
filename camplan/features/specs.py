"""What the user asks of each feature, before any drawing is seen.

All lengths in mm, angles in rad, depths positive below the plate's top.  ``depth`` None is through.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from camplan.features.holds import Holds
from camplan.units import Mm, Rad

Side = Literal["outside", "inside"]
Hold = Literal["bridges", "skin", "none"]
FaceUp = Literal["top", "back"]
Axis = Literal["x", "y"]
Zero = Literal["front-left", "front-right", "back-left", "back-right", "centre"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Incline:
    """A plane floor that falls: ``first`` deep at ``start``, ``last`` deep at ``end``; level across and beyond both."""

    start: tuple[Mm, Mm]
    end: tuple[Mm, Mm]
    first: Mm
    last: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class PocketSpec:
    """A region of ``layer`` cleared from ``top`` down to ``depth``; inner chains are islands.

    ``incline``: the plane of a floor that falls, in the drawing's coordinates; ``depth`` is its greatest then.
    """

    name: str
    layer: str
    top: Mm
    depth: Mm | None
    draft: Rad
    nominal: Literal["top", "floor"]
    allowance: Mm
    finish: Mm | None
    corner: Mm | None
    tolerance: Mm
    cutters: tuple[str, ...]
    incline: Incline | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineSpec:
    """The plate parted along the contours of ``layer``, the cutter ``side`` of them.

    Through outlines are held by ``bridges`` (count, width, height above the underside), by a ``skin`` left
    at the bottom, or by nothing.  Its kerf opens upward by ``draft``; the drawn contour is the wall's at the
    ``nominal`` height.
    """

    name: str
    layer: str
    top: Mm
    depth: Mm | None
    side: Side
    hold: Hold
    bridges: int
    bridge_width: Mm
    bridge_height: Mm
    skin: Mm
    allowance: Mm
    finish: Mm | None
    corner: Mm | None
    tolerance: Mm
    cutters: tuple[str, ...]
    draft: Rad = 0.0
    nominal: Literal["top", "floor"] = "top"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSpec:
    """The circles of ``layer``, or its points with ``diameter``, drilled or bored; spotted first if asked.  ``holds``:
    what goes into them, by which their sizes are made (None: nothing, they are as drawn)."""

    name: str
    layer: str
    top: Mm
    depth: Mm | None
    diameter: Mm | None
    spot: bool
    tolerance: Mm
    cutters: tuple[str, ...]
    holds: Holds | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """Floors that fall along lines: ``first`` deep at their first ends, or at the place of the lines that is nearest to
    ``deepest_at`` (in the drawing's coordinates), ``last`` deep at their other ends."""

    first: Mm
    last: Mm
    deepest_at: tuple[Mm, Mm] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveSpec:
    """A groove of ``width`` along the lines of ``layer``, at its deepest ``depth`` deep.

    ``section``: square; round, of a ball of that width; trapezoid, with sides that lean outward by ``draft`` and are
    ``width`` apart at the top where it is deepest.  ``fall``: how its floor falls; None where it is level.
    ``widths``: how wide it is at the first and the other end of each line, evenly changing between, ``width`` the
    greater; None where it is equally wide.
    """

    name: str
    layer: str
    top: Mm
    depth: Mm
    width: Mm
    section: Literal["square", "round", "trapezoid"]
    tolerance: Mm
    cutters: tuple[str, ...]
    fall: Fall | None = None
    draft: Rad = 0.0
    widths: tuple[Mm, Mm] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkSpec:
    """Lines of ``layer`` engraved; its points become crosses of ``cross`` (end to end)."""

    name: str
    layer: str
    top: Mm
    depth: Mm
    width: Mm | None
    cross: Mm
    cutters: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSpec:
    """The plate's top (or the regions of ``layer``) skimmed down to ``depth``, the cutter running out."""

    name: str
    layer: str | None
    depth: Mm
    cutters: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeSpec:
    """An edge along the contours of ``layer``, ``top`` deep, broken or rounded down to ``depth``.

    ``side``: on which side of the contour the material stands that loses its edge (None: as the features tell that
    share the contour).  Either a chamfer ``chamfer`` wide in plan that falls by ``angle`` from the plate's top, or a
    quarter round of ``radius``.
    """

    name: str
    layer: str
    top: Mm
    depth: Mm
    side: Side | None
    chamfer: Mm | None
    angle: Rad
    radius: Mm | None
    tolerance: Mm
    cutters: tuple[str, ...]

    @property
    def across(self) -> Mm:
        """How wide it is in plan."""
        return (self.radius if self.chamfer is None else self.chamfer) or 0.0


FeatureSpec = PocketSpec | OutlineSpec | HoleSpec | GrooveSpec | MarkSpec | FaceSpec | EdgeSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingLayer:
    """What is gone of a plate before it is cut: the closed contours of ``layer``, ``depth`` deep from ``face``."""

    layer: str
    depth: Mm | None
    face: FaceUp


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingPlan:
    """The same as the programs of an earlier plan, written into ``folder``, have left it."""

    folder: Path


ExistingSpec = ExistingLayer | ExistingPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSpec:
    """The stock: ``outline`` names the layer of its outer edge; Z zero is its top, XY zero at ``zero``; its top is
    ``flatness`` flat as it is clamped; ``existing`` is what was gone of it before."""

    thickness: Mm
    outline: str
    zero: Zero
    break_through: Mm
    flatness: Mm = 0.020
    existing: tuple[ExistingSpec, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """A clamp as a box that stands ``height`` above the plate's top; (x, y) its front left corner, in plate zero."""

    x: Mm
    y: Mm
    width: Mm
    length: Mm
    height: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingSpec:
    """One clamping: which features are cut in it, and what stands in the way.

    With ``face`` back the plate is turned over, ``about`` the X or the Y axis; ``zero`` is then the word of where its
    XY zero is as it lies (None: the same corner of the plate as from the top).  Clamps are as the plate lies.
    """

    name: str
    features: tuple[str, ...]
    clamps: tuple[Clamp, ...]
    face: FaceUp = "top"
    about: Axis = "y"
    zero: Zero | None = None
