"""The sections of broken and rounded edges: a strip beside the contour, narrower the deeper it lies."""

import math

from camplan import tolerance
from camplan.features.records import Feature, Section
from camplan.features.specs import EdgeSpec
from camplan.units import Mm


def edge_may(feature: Feature, *, spec: EdgeSpec, depth: Mm) -> Section:
    """What an edge may remove ``depth`` below the plate's top, which lies within its heights."""
    return _strip(feature, spec=spec, across=strip_width(spec, below=depth - feature.top))


def edge_must(feature: Feature, *, spec: EdgeSpec, depth: Mm) -> Section:
    """What must be gone there: of a round all that stands more than its tolerance out of it, square to it."""
    return _strip(feature, spec=spec, across=strip_due(spec, below=depth - feature.top))


def strip_due(spec: EdgeSpec, *, below: Mm) -> Mm:
    """How far an edge must reach into the material ``below`` its top: that of `strip_width` for a chamfer; of a round
    all that stands more than its tolerance out of it, square to it."""
    if spec.radius is None:
        return strip_width(spec, below=below)
    return _beyond_round(spec.radius, below=below, standing=spec.tolerance)


def strip_width(spec: EdgeSpec, *, below: Mm) -> Mm:
    """How far an edge reaches into the material ``below`` its top: W - h / tan a of a chamfer, r - sqrt(r2 - (r - h)2)
    of a round (plane geometry).

    Both come to nothing at the edge's foot.
    """
    if spec.radius is not None:
        return _beyond_round(spec.radius, below=below, standing=0.0)
    return max((spec.chamfer or 0.0) - max(below, 0.0) / math.tan(spec.angle), 0.0)


def _beyond_round(radius: Mm, *, below: Mm, standing: Mm) -> Mm:
    up = min(max(radius - below, 0.0), radius)
    return max(radius - math.sqrt(max((radius + standing) ** 2 - up**2, 0.0)), 0.0)


def _strip(feature: Feature, *, spec: EdgeSpec, across: Mm) -> Section:
    regions = feature.regions
    across = across if across > tolerance.SAME_POINT else 0.0
    if spec.side == "inside":
        return Section(regions=regions, keep=regions, keep_grow=-across)
    return Section(regions=regions, grow=across, keep=regions)
