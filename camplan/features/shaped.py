"""Features once their cutter is known: an outline with its kerf, a hole with its drill's point, a mark's profile."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from camplan.features.bridges import bridges
from camplan.features.records import Feature, Mouth
from camplan.units import Mm, Rad


def with_kerf(feature: Feature, *, kerf: Mm) -> Feature:
    """An outline that is cut ``kerf`` wide beside its wall as it is left, with its bridges in place.

    ValueError for a kerf that is not above 0.  `camplan.features.bridges.bridge_findings` says which bridges found
    no room.
    """
    if not (math.isfinite(kerf) and kerf > 0.0):
        raise ValueError(f"a kerf of {kerf} mm cuts nothing")
    return replace(feature, kerf=kerf, bridges=bridges(feature, kerf=kerf))


def with_point(feature: Feature, *, point_angle: Rad | None) -> Feature:
    """A hole with the cone of its drill's point below its full width; of several drills the one that reaches deepest
    counts.  None: a flat end.  ValueError for an angle that is not between 0 and a half turn."""
    if point_angle is None:
        return feature
    if not 0.0 < point_angle < math.pi:
        raise ValueError(f"a point of {point_angle} rad is none")
    angle = point_angle if feature.point_angle is None else min(point_angle, feature.point_angle)
    return replace(feature, point_angle=angle)


def with_flat_end(feature: Feature, *, diameter: Mm) -> Feature:
    """A hole whose circles of a diameter are bored: no point reaches below them."""
    return replace(feature, flat=(*feature.flat, diameter))


def with_mouth(feature: Feature, *, diameter: Mm, angle: Rad) -> Feature:
    """A hole chamfered at its mouth.  ValueError for an angle that is not between 0 and a half turn."""
    if not 0.0 < angle < math.pi:
        raise ValueError(f"a chamfer of {angle} rad is none")
    return replace(feature, mouth=Mouth(diameter=diameter, angle=angle))


def with_profile(feature: Feature, *, profile: Sequence[tuple[Mm, Mm]]) -> Feature:
    """A mark with the (height above the tip, radius) pairs of its cutter, heights rising.  ValueError if they do not
    rise or start above the tip."""
    heights = [height for height, _ in profile]
    if not heights or heights[0] > 0.0 or any(upper < lower for lower, upper in pairwise(heights)):
        raise ValueError(f"a profile starts at the tip and rises: {heights[:4]}")
    return replace(feature, profile=tuple((float(height), float(radius)) for height, radius in profile))
