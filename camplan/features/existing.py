"""What was gone of a plate before it is cut, height by height."""

from camplan.features.records import Plate
from camplan.regions import Region
from camplan.units import Mm

_SAME: Mm = 1e-5


def gone(plate: Plate, *, z: Mm) -> tuple[Region, ...]:
    """What is gone of a plate at height ``z`` and all the way up from there to its top."""
    number = gone_number(plate, z=z)
    return plate.existing[number - 1].regions if number else ()


def gone_number(plate: Plate, *, z: Mm) -> int:
    """How many of ``plate.existing`` reach down to ``z``: the last of these holds all that is gone there."""
    return sum(one.depth >= -z - _SAME for one in plate.existing)
