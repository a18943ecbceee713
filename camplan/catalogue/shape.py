"""The outer shape of a cutter: radius over height above its tip.

Every cutting part is one figure: a flat tip, a corner arc that meets it, a cone that leaves the arc tangentially,
and a cylinder of the cutter's diameter that cuts the cone off.  A slot drill has no arc and no cone, a ball only
the arc, a drill only the cone; a bull nose has flat and arc, a taper flat (arc) and cone.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from camplan.catalogue.records import Cutter, CutterKind
from camplan.units import Mm, Rad


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tip:
    flat: Mm
    corner: Mm
    angle: Rad

    @property
    def arc_top(self) -> Mm:
        return self.corner * (1.0 - math.sin(self.angle))

    @property
    def arc_radius(self) -> Mm:
        return self.flat + self.corner * math.cos(self.angle)


def radius(cutter: Cutter, *, height: ArrayLike) -> NDArray[np.float64]:
    """Radius (mm) of the cutting part at ``height`` (mm above the tip), in the shape of ``height``.

    NaN below the tip and above ``flute_length``: nothing cuts there.  At height 0 it is the radius of the flat tip.
    """
    h = np.asarray(height, dtype=np.float64)
    tip = _tip(cutter)
    below = np.clip(tip.corner - h, 0.0, tip.corner)
    arc = tip.flat + np.sqrt(np.maximum(tip.corner**2 - below**2, 0.0))
    cone = tip.arc_radius + (h - tip.arc_top) * math.tan(tip.angle) if tip.angle else np.full_like(h, tip.arc_radius)
    shape = np.minimum(np.where(h < tip.arc_top, arc, cone), cutter.diameter / 2.0)
    cuts: NDArray[np.float64] = np.where((h >= 0.0) & (h <= cutter.flute_length), shape, np.nan)
    return cuts


def body_radius(cutter: Cutter, *, height: ArrayLike) -> NDArray[np.float64]:
    """Radius (mm) of what does not cut at ``height``: the neck above the flutes up to ``reach``, the shank above it
    up to ``stick_out``.

    NaN at and below ``flute_length`` (it cuts there) and above ``stick_out`` (the holder, which is the machine's).
    The shank counts in full from ``reach`` on, though most cutters widen towards it in a cone.
    """
    h = np.asarray(height, dtype=np.float64)
    neck = (cutter.neck_diameter if cutter.neck_diameter is not None else cutter.diameter) / 2.0
    body = np.where(h <= cutter.reach, neck, cutter.shank_diameter / 2.0)
    solid: NDArray[np.float64] = np.where((h > cutter.flute_length) & (h <= cutter.stick_out), body, np.nan)
    return solid


def profile(cutter: Cutter, *, steps: int) -> tuple[tuple[Mm, Mm], ...]:
    """(height, radius) pairs of the cutting part, heights rising from 0 to ``flute_length``.

    Exact at every corner: the flat tip's edge, both ends of the arc, the cone's end, the end of the flutes.  An arc
    is given by ``steps`` pieces of equal angle (1 or more); between two pairs the true shape is straight, or an arc
    that lies outside the straight line by at most r (1 - cos(quarter turn / 2 steps)).
    """
    if steps < 1:
        raise ValueError("an arc needs one step or more")
    tip = _tip(cutter)
    heights = [0.0]
    if tip.corner:
        span = math.pi / 2.0 - tip.angle
        heights += [tip.corner * (1.0 - math.cos(span * step / steps)) for step in range(1, steps)]
        heights.append(tip.arc_top)
    cone_height = cone_top(cutter)
    if cone_height is not None:
        heights.append(cone_height)
    heights.append(cutter.flute_length)
    kept = sorted({min(height, cutter.flute_length) for height in heights})
    radii = radius(cutter, height=kept)
    return tuple((height, float(wide)) for height, wide in zip(kept, radii, strict=True))


def cone_top(cutter: Cutter) -> Mm | None:
    """Height at which the cone has the cutter's full diameter; None for cutters without a cone."""
    tip = _tip(cutter)
    if not tip.angle:
        return None
    return tip.arc_top + (cutter.diameter / 2.0 - tip.arc_radius) / math.tan(tip.angle)


def wall_radius(cutter: Cutter) -> Mm:
    """Radius at which the cutter's side, drawn straight down, meets the plane of its tip: how far the tip's middle
    stays from the foot of a wall that the side cuts.

    Half the diameter of a straight cutter; of a taper less than its tip's where a corner arc meets its cone.
    """
    if cutter.kind is not CutterKind.TAPER:
        return cutter.diameter / 2.0
    tip = _tip(cutter)
    return tip.arc_radius - tip.arc_top * math.tan(tip.angle)


def taper_diameter(tip_diameter: Mm, *, half_angle: Rad, corner_radius: Mm, flute_length: Mm) -> Mm:
    """Widest diameter of a taper: at the end of its flutes.

    >>> round(taper_diameter(3.0, half_angle=math.radians(2.0), corner_radius=0.0, flute_length=12.0), 4)
    3.8381
    """
    tip = _Tip(flat=tip_diameter / 2.0, corner=corner_radius, angle=half_angle)
    return 2.0 * (tip.arc_radius + (flute_length - tip.arc_top) * math.tan(half_angle))


def can_plunge(cutter: Cutter) -> bool:
    """Whether the cutter may go straight down into solid material: end teeth to the centre, and no reamer."""
    return cutter.centre_cutting and cutter.kind is not CutterKind.REAMER


def _tip(cutter: Cutter) -> _Tip:
    angle = cutter.half_angle or (cutter.point_angle / 2.0 if cutter.point_angle is not None else 0.0)
    return _Tip(flat=cutter.tip_diameter / 2.0, corner=cutter.corner_radius or 0.0, angle=angle)
