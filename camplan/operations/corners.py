"""The tightest inner corners of regions, as a cutter in the plate meets them."""

from collections.abc import Iterable

from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.geometry.edges import edges_of, holds
from camplan.regions import InnerCorner, Region, inner_corners
from camplan.units import Mm

_ON_EDGE: Mm = 0.001


def inner_radius(regions: Iterable[Region], *, plate: Area = ()) -> Mm | None:
    """The smallest inner radius of all regions, corners beside the ``plate`` left out if one is given; None if there
    is no inner corner."""
    corner = inner_corner(regions, plate=plate)
    return corner.radius if corner is not None else None


def inner_corner(regions: Iterable[Region], *, plate: Area = ()) -> InnerCorner | None:
    """The tightest inner corner of all regions that lies inside the plate."""
    inland = edges_of(clipper.offset(plate, by=-_ON_EDGE)) if plate else None
    found = [
        corner
        for region in regions
        for corner in inner_corners(region)
        if inland is None or holds(inland, point=corner.at)
    ]
    return min(found, key=lambda corner: (corner.radius, corner.at), default=None)
