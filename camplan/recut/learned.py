"""What earlier skims teach: how far walls end short of where the program put them.

A cutter smaller than its name, a spindle that is pushed away and play in a guide leave every wall short by about the
same; what a heavy cut bends does not come again in a thin one.  So skims teach, each by what was asked of it against
what was measured after it, less what may be bending; before any skim the first cut does, less all that it may have
bent.  What is made up for is the lower end of the range that holds the rest in 95 of 100 cases: a wall that stands
can be cut again.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import stdtrit

from camplan.recut.readings import CONFIDENCE
from camplan.units import Mm

FAR: Mm = 0.1
"""Walls that end farther from where the program put them are not so by a cutter's size or a mill's play: that teaches
nothing (common practice, no source)."""
_LIKELY = 2.0
"""Errors that scatter up to this much more than their own uncertainty are taken to scatter by it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """How far a wall ended short (negative: beyond) of where a skim put it, with the standard error of that."""

    short: Mm
    error: Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """The ``mean`` of ``count`` observations and the ``half_width`` of its range of 95 %; ``sure`` is what may be made
    up for."""

    mean: Mm
    half_width: Mm
    count: int

    @property
    def sure(self) -> Mm:
        """The lower end of the range, but never below the smaller of the mean and nothing."""
        return max(self.mean - self.half_width, min(self.mean, 0.0))


def lasting(short: Mm, *, bends: Mm) -> Mm:
    """What of an error comes again in a thinner cut: what is left of it without the part that may be bending."""
    return max(short - bends, min(short, 0.0))


NOTHING_LEARNED = Learned(mean=0.0, half_width=0.0, count=0)


def learned(observations: Sequence[Observation]) -> Learned:
    """What observations of one cutter, material and direction say together.

    The mean's standard error is that of the readings, or s / sqrt(n) if the errors scatter more, then with Student's t
    (JCGM 100:2008, 4.2 and G.3).

    >>> found = learned([Observation(short=0.020, error=0.001), Observation(short=0.022, error=0.001)])
    >>> round(found.mean, 4), round(found.half_width, 4), round(found.sure, 4)
    (0.021, 0.0014, 0.0196)
    """
    count = len(observations)
    if not count:
        return NOTHING_LEARNED
    mean = math.fsum(one.short for one in observations) / count
    own = math.sqrt(math.fsum(one.error**2 for one in observations) / count)
    known = own / math.sqrt(count)
    normal = float(stdtrit(math.inf, 0.5 + CONFIDENCE / 2.0))
    if count == 1:
        return Learned(mean=mean, half_width=normal * known, count=1)
    spread = math.sqrt(math.fsum((one.short - mean) ** 2 for one in observations) / (count - 1))
    if spread <= _LIKELY * own:
        return Learned(mean=mean, half_width=normal * known, count=count)
    student = float(stdtrit(count - 1, 0.5 + CONFIDENCE / 2.0))
    return Learned(mean=mean, half_width=student * spread / math.sqrt(count), count=count)
