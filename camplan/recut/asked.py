"""What was measured, as it was asked: across which walls or how deep, the readings, and the size that is wanted."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.recut.sides import Side
from camplan.units import Mm


class Along(StrEnum):
    """What a measurement runs along."""

    X = "x"
    Y = "y"
    DIAMETER = "diameter"
    DEPTH = "depth"
    WALL = "wall"
    """Where a single wall stands: how far beyond the drawn one, the way it gives."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One measured size of a feature.

    ``readings``: of the same size, in mm; none where a gauge or a mate does not go in (``sticks``).  ``wanted`` None:
    as drawn.  ``at``: the place between the two walls (None: over all of the region); ``at_depth``: how deep it was
    measured; ``step``: what a wall gives where only sticking is known (None: a small step).  ``wall``: the one that is
    to give all, or that itself was measured (None: both walls of a width give half).  ``readings`` of a wall itself
    are how far beyond the drawn one it stands, the way it gives, so below 0 where it stands short.
    """

    along: Along
    readings: tuple[Mm, ...] = ()
    wanted: Mm | None = None
    at: tuple[Mm, Mm] | None = None
    at_depth: Mm | None = None
    sticks: bool = False
    step: Mm | None = None
    wall: Side | None = None

    @property
    def key(self) -> str:
        """How it was typed."""
        if self.along is Along.WALL:
            return f"--wall {self.wall}"
        first = f"--wall {self.wall} " if self.wall is not None else ""
        return first + (f"--across {self.along.value}" if self.along in (Along.X, Along.Y) else f"--{self.along.value}")

    @property
    def axis(self) -> int | None:
        """The axis along which it runs: 0 is X, 1 is Y; None of a diameter or a depth."""
        if self.along is Along.WALL and self.wall is not None:
            return self.wall.axis
        return {Along.X: 0, Along.Y: 1}.get(self.along)


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
