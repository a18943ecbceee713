"""What the user asks of each feature, before any drawing is seen.

All lengths in mm, angles in rad, depths positive below the plate's top.  ``depth`` None is through.
"""

from dataclasses import dataclass
from typing import Literal

from camplan.units import Mm, Rad

Side = Literal["outside", "inside"]
Hold = Literal["bridges", "skin", "none"]
Zero = Literal["front-left", "front-right", "back-left", "back-right", "centre"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PocketSpec:
    """A region of ``layer`` cleared from ``top`` down to ``depth``; inner chains are islands."""

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
    """The circles of ``layer``, or its points with ``diameter``, drilled or bored; spotted first if asked."""

    name: str
    layer: str
    top: Mm
    depth: Mm | None
    diameter: Mm | None
    spot: bool
    tolerance: Mm
    cutters: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveSpec:
    """A groove of ``width`` along the lines of ``layer``; ``section`` square or round."""

    name: str
    layer: str
    top: Mm
    depth: Mm
    width: Mm
    section: Literal["square", "round"]
    tolerance: Mm
    cutters: tuple[str, ...]


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
class PlateSpec:
    """The stock: ``outline`` names the layer of its outer edge; Z zero is its top, XY zero at ``zero``."""

    thickness: Mm
    outline: str
    zero: Zero
    break_through: Mm


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
    """One clamping: which features are cut in it, and what stands in the way."""

    name: str
    features: tuple[str, ...]
    clamps: tuple[Clamp, ...]
