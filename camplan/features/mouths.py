"""The air beside the plate into which a pocket with draft opens.

From height to height such a pocket is drawn in all round; where it is open at the plate's edge there is no wall to
lean, so the air there is part of its figure before that is drawn in.
"""

import math
from typing import Any

import shapely

from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.geometry import planar
from camplan.geometry.chains import chain
from camplan.regions import Region
from camplan.units import Mm

_CHORD: Mm = 0.0005
_AIR: Mm = 2.0
_ROUND = 64
_SEAM: Mm = 0.5
"""How far the air's figure overlaps the pocket's, so that no hairline stays between them."""


def mouths(feature: Feature, *, outline: Region) -> tuple[Region, ...]:
    """The air beside the plate next to a pocket whose walls lean; none for any other."""
    spec = feature.spec
    if not isinstance(spec, PocketSpec) or spec.draft == 0.0 or not feature.open_edges:
        return ()
    plate = planar.polygon(outline, chord=_CHORD)
    drawn = shapely.union_all([planar.polygon(region, chord=_CHORD) for region in feature.regions])
    rise = math.tan(spec.draft) * (feature.bottom - feature.top)
    beside = drawn.buffer(rise + spec.allowance + _AIR, quad_segs=_ROUND).difference(plate)
    if spec.nominal == "floor":
        # grown towards the top it must not come to more of the plate than the pocket itself does
        standing = plate.difference(drawn.buffer(rise, quad_segs=_ROUND))
        beside = beside.difference(standing.buffer(rise, quad_segs=_ROUND))
    seam = drawn.difference(plate.buffer(-_SEAM))
    return tuple(_region(part) for part in planar.polygons(beside.union(seam)) if part.distance(drawn) < _SEAM)


def _region(shape: Any) -> Region:
    turned = shapely.geometry.polygon.orient(shape)
    rings = [chain([(x, y) for x, y in ring.coords[:-1]], closed=True) for ring in (turned.exterior, *turned.interiors)]
    return Region(outer=rings[0], islands=tuple(rings[1:]))
