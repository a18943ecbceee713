"""One piece of an operation, and what is known of it before it is cut."""

from dataclasses import dataclass

from camplan.catalogue.shape import wall_radius
from camplan.features.specs import FaceSpec
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import Circles
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.passes.ground import Ground, gone_at, stands_at
from camplan.units import Mm

_AIR_BERTH: Mm = 0.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """One piece of an operation: its figure, where the tool's centre may be in it, and the height it starts from."""

    number: int
    piece: Area
    work: Area
    top: Mm
    known: Circles


def open_ground(operation: Operation, *, place: Place, ground: Ground) -> Area:
    """Where the cutter may come down freely: beside the plate, and where it was gone before."""
    z = operation.levels[-1]
    opened = operation.feature.open_edges or isinstance(operation.feature.spec, FaceSpec)
    if not opened and not gone_at(ground, z=z):
        return ()
    radius = max(wall_radius(operation.cutter), operation.cutter.diameter / 2.0)
    return clipper.difference(place.piece, less=clipper.offset(stands_at(ground, z=z), by=radius + _AIR_BERTH))


def known_circles(operation: Operation) -> Circles:
    radius = wall_radius(operation.cutter)
    return areas.known_circles(operation.feature.regions, shrunk=radius + operation.stay - operation.grow)


def swept_before(operation: Operation, *, place: Place, ground: Ground) -> Area:
    swept = ground.swept.get((operation.feature.spec.name, place.number), ())
    gone = gone_at(ground, z=operation.levels[-1])
    return clipper.union([swept, gone]) if gone else swept
