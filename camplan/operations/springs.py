"""At which levels a wall is walked again: where no lower one, whose flutes reach as high, does the same."""

import math

from camplan.features.specs import OutlineSpec, PocketSpec
from camplan.operations.records import Operation, Part
from camplan.units import Mm, Rad

SAME_ANGLE: Rad = math.radians(0.05)
"""Angles closer than this are one; over 10 mm of depth it is 9 um."""


def sprung_levels(operation: Operation) -> tuple[Mm, ...]:
    """The levels of a wall at which it is walked again after the lap that cuts it.

    A lower lap on the same wall walks again all of it that its flutes reach, so the last level's is enough but for
    what lies higher.  Steps on a leaning wall are walls of their own.
    """
    if not operation.data.spring_passes:
        return ()
    levels, lowest = operation.levels, operation.levels[-1]
    if operation.part not in (Part.WALL, Part.BORED) or not _one_side(operation):
        return levels
    above = (-operation.feature.top, *levels[:-1])
    reach = lowest + operation.cutter.flute_length + 1e-9
    return tuple(z for z, top in zip(levels, above, strict=True) if z == lowest or top > reach)


def laps(operation: Operation) -> int:
    """How many laps a wall takes, those that are walked again among them."""
    return len(operation.levels) + operation.data.spring_passes * len(sprung_levels(operation))


def _one_side(operation: Operation) -> bool:
    """Whether the laps of all levels lie along one wall: upright, or leaning as the cutter's side does."""
    spec = operation.feature.spec
    draft = spec.draft if isinstance(spec, PocketSpec | OutlineSpec) else 0.0
    return abs((operation.cutter.half_angle or 0.0) - draft) <= SAME_ANGLE
