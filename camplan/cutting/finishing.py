"""The last pass on a wall: how far it ends off size, and how often it is walked again to bring it there."""

from dataclasses import dataclass

from camplan.catalogue.records import Machine
from camplan.cutting.limits import FINISH_BENDING, ROUGH_BENDING
from camplan.units import Mm

SPRING_MOST = 2
"""Most spring passes: what two do not bring, more will not (common practice, no source)."""

SPRING_SHARE = 0.2
"""Least share of its way that a cutter still gives on a spring pass: the edge rubs as much as it cuts (common
practice, no source)."""

FIRST_MOST = 3.0
"""Most bending of a first pass that spring passes follow, over what is allowed in the end (common practice, no
source)."""

_LEAST: Mm = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How far a wall is off size: ``first`` by bending in the first pass, ``left`` after ``springs`` more at the same
    place, ``own`` by the mill itself; ``tolerance`` is what was asked (None: nothing)."""

    first: Mm
    left: Mm
    springs: int
    own: Mm
    tolerance: Mm | None

    @property
    def error(self) -> Mm:
        """The size error to expect."""
        return self.left + self.own

    @property
    def held(self) -> bool:
        """Whether it is within what was asked."""
        return self.tolerance is None or self.error <= self.tolerance + 1e-6


def own_error(machine: Machine) -> Mm:
    """What a mill is off without any force: half its run-out, by which the cutter cuts wider, and a step (geometry)."""
    return machine.run_out / 2.0 + machine.step


def allowed_bending(machine: Machine, *, tolerance: Mm | None) -> Mm:
    """How far a finishing cutter may give: what the mill's own error leaves of the tolerance, `FINISH_BENDING`
    without one; where nothing is left, half the tolerance, and the wall is not held."""
    if tolerance is None:
        return FINISH_BENDING
    spare = tolerance - own_error(machine)
    return min(spare, ROUGH_BENDING) if spare > _LEAST else max(min(FINISH_BENDING, tolerance / 2.0), _LEAST)
