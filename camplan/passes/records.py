"""Passes: what a cutter does between coming down and going up again."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.chains import Chain
from camplan.units import Mm, MmPerMin


class Feed(StrEnum):
    """Which of an operation's feeds a stroke runs at."""

    CUT = "cut"
    SPRING = "spring"
    """Along a finished wall once more: only what bent away before is left, in corners too."""
    EVEN = "even"
    """Along a front, whose bends are laid out for the same load as its straights."""
    SLOT = "slot"
    RAMP = "ramp"
    PLUNGE = "plunge"
    FREE = "free"
    """Through ground already cleared."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stroke:
    """A stretch of path at one feed: an open chain of n points and the tip's height ``z`` (n,) at each; ``pace`` is the
    feed that the load measured along it allows (None: not measured, the feed of its kind)."""

    path: Chain
    z: NDArray[np.float64]
    feed: Feed
    pace: MmPerMin | None = None

    def __post_init__(self) -> None:
        if self.path.closed or self.z.shape != (len(self.path.points),):
            raise ValueError("a stroke is an open path with a height at each point")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pass:
    """Strokes, each starting where the one before ends; ``free`` is the height above which the column over the
    first point is known to be clear for the whole cutter; a rapid ends ``near`` above it (common practice, no
    source).  Passes of one ``group`` keep their order."""

    strokes: tuple[Stroke, ...]
    free: Mm
    group: int = 0
    near: Mm = 0.5


def grouped(passes: Iterable[Pass], *, group: int) -> tuple[Pass, ...]:
    """The passes as members of one group."""
    return tuple(replace(one, group=group) for one in passes)


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePass:
    """Holes of one size, each drilled down to ``bottom`` from ``top``, in the order of ``at``; ``fed_out``: the cutter
    comes out at the feed that it went in with."""

    at: tuple[tuple[Mm, Mm], ...]
    top: Mm
    bottom: Mm
    peck: Mm | None
    dwell: float
    fed_out: bool = False


def level_stroke(path: Chain, *, z: Mm, feed: Feed, pace: MmPerMin | None = None) -> Stroke:
    """A stroke at one height."""
    return Stroke(path=path, z=np.full(len(path.points), z), feed=feed, pace=pace)
