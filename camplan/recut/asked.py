"""What was measured, as it was asked: across which walls or how deep, the readings, and the size that is wanted."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.units import Mm


class Along(StrEnum):
    """What a measurement runs along."""

    X = "x"
    Y = "y"
    DIAMETER = "diameter"
    DEPTH = "depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One measured size of a feature.

    ``readings``: of the same size, in mm; none where a gauge or a mate does not go in (``sticks``).  ``wanted`` None:
    as drawn.  ``at``: the place between the two walls (None: over all of the region); ``at_depth``: how deep it was
    measured; ``step``: what a wall gives where only sticking is known (None: a small step).
    """

    along: Along
    readings: tuple[Mm, ...] = ()
    wanted: Mm | None = None
    at: tuple[Mm, Mm] | None = None
    at_depth: Mm | None = None
    sticks: bool = False
    step: Mm | None = None

    @property
    def key(self) -> str:
        """How it was typed."""
        return f"--across {self.along.value}" if self.along in (Along.X, Along.Y) else f"--{self.along.value}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was typed of one feature: every size, the ``region`` by its number from 1 (None: all), the standard error of
    a single reading, whether the skim before was not run, and whether Z is touched off anew."""

    feature: str
    sizes: tuple[Asked, ...]
    instrument: Mm
    region: int | None = None
    not_run: bool = False
    new_zero: bool = False
