"""Holes that a drill goes down, as one operation."""

import math

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CutKind
from camplan.features.records import Feature
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop
from camplan.units import Mm


def point_length(drill: Cutter) -> Mm:
    """Height of a drill's point, from its tip to its full diameter."""
    return drill.diameter / 2.0 / math.tan(drill.point_angle / 2.0) if drill.point_angle else 0.0


def drilled(drill: Cutter, *, bottom: Mm, diameter: Mm, feature: Feature, shop: Shop) -> Operation:
    """The holes of a ``diameter`` drilled until the tip is at ``bottom``, pecking where it is deeper than the drill
    bores without."""
    depth = -bottom - feature.top
    data = shop.data_for(drill, CutKind.DRILL, depth, None)
    return Operation(
        feature=feature,
        purpose=Purpose.DRILL,
        part=Part.DRILLED,
        cutter=drill,
        data=data,
        levels=(bottom,),
        stay=0.0,
        reasons=data.reasons,
        diameter=diameter,
        peck=(data.peck or drill.diameter) if depth > data.peck_free_depth else None,
    )
