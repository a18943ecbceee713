"""What every kind of pass needs to know of an operation."""

from dataclasses import dataclass, replace

from camplan.catalogue.shape import can_plunge
from camplan.operations.records import Operation
from camplan.passes.entry import Descent
from camplan.passes.ground import Ground, free_height
from camplan.passes.records import HolePass, Pass
from camplan.units import Mm, Mm2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Made:
    """Passes or holes of one operation, the ground after it, how it enters, where it found no way in, and the size of
    what its centre may not enter because of what stands on the plate."""

    passes: tuple[Pass, ...]
    holes: tuple[HolePass, ...]
    ground: Ground
    ways: tuple[str, ...]
    shut: tuple[tuple[Mm, Mm], ...]
    kept_out: Mm2 = 0.0


def descent(operation: Operation) -> Descent:
    """How an operation's cutter may go down."""
    cutter, data = operation.cutter, operation.data
    return Descent(diameter=cutter.diameter, angle=data.ramp_angle, pitch=data.helix_pitch, plunges=can_plunge(cutter))


def freed(passes: tuple[Pass, ...], *, operation: Operation, ground: Ground) -> tuple[Pass, ...]:
    """The passes with the height above which their first column is known to be clear."""
    radius = max(operation.cutter.diameter, operation.cutter.shank_diameter) / 2.0
    found = []
    for one in passes:
        first = one.strokes[0].path.points[0]
        known = free_height(ground, at=(float(first[0]), float(first[1])), radius=radius)
        found.append(replace(one, free=max(min(one.free, known), float(one.strokes[0].z.min()))))
    return tuple(found)
