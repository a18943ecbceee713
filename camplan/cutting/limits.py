"""What mill, cutter and custom allow, each limit as a `Bound` that can say itself."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from camplan.catalogue.records import Machine, Material
from camplan.cutting.records import Reason
from camplan.units import S_PER_MIN, Mm, MmPerMin, NewtonPerUm, Rpm, Watt

CUSTOM = "common practice, no source"

SPREAD = (0.25, 1.25)
"""What a force may really be over what is planned with, from the most favourable alloy and a sharp edge to the least:
published coefficients for aluminium alloys go from 244 to 1319 N/mm2 (CJME-2021 table 5, confirmed; that other
materials spread as much: common practice, no source)."""


def spread(figure: float, *, unit: str) -> str:
    """The range in which a force or what follows from it lies, said with why.

    >>> spread(200.0, unit="N")
    'a high figure: published coefficients for one alloy differ by a factor of 3 to 5, so 50 to 250 N may be met'
    """
    low, high = (f"{share * figure:.0f}" for share in SPREAD)
    return (
        "a high figure: published coefficients for one alloy differ by a factor of 3 to 5, so "
        f"{low} to {high} {unit} may be met"
    )


ROUGH_BENDING: Mm = 0.05
"""Most bending when roughing (common practice, no source); also at most half of what is left for finishing."""

FINISH_BENDING: Mm = 0.01
"""Most bending when finishing (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """The most that one limit allows a figure to be, and the limit in words."""

    most: float
    what: str
    source: str


def tightest(bounds: Iterable[Bound]) -> tuple[Bound, ...]:
    """The bounds, tightest first; equal ones stay in the order given."""
    return tuple(sorted(bounds, key=lambda bound: bound.most))


def reason_of(figure: str, *, said: str, bounds: Iterable[Bound], unit: str, digits: int) -> Reason:
    """A reason that names the tightest bound and the next one."""
    first, *others = tightest(bounds)
    sentence = f"{said}: {first.what}"
    if others and math.isfinite(others[0].most):
        sentence += f"; next, {others[0].what}, at {others[0].most:,.{digits}f}{unit}"
    return Reason(figure=figure, sentence=sentence, source=first.source)


def whole_feed(feed: MmPerMin) -> MmPerMin:
    """Whole mm/min, downward; tenths below 100."""
    return math.floor(feed) * 1.0 if feed >= 100.0 else max(math.floor(feed * 10.0) / 10.0, 0.1)


def power_at(machine: Machine, *, rpm: Rpm) -> Watt:
    """Power at the cutter for good at ``rpm``, straight between the points of the curve."""
    if rpm <= machine.power[0].rpm:
        return machine.power[0].power * rpm / machine.power[0].rpm
    for low, high in pairwise(machine.power):
        if rpm <= high.rpm:
            return low.power + (high.power - low.power) * (rpm - low.rpm) / (high.rpm - low.rpm)
    return machine.power[-1].power


def reachable_feed(machine: Machine, *, diameter: Mm) -> MmPerMin:
    """The feed from which the slower of X and Y stops within half a cutter's diameter: v^2 = 2 a s with s = D/2.

    A faster figure would never be reached on a path with corners (common practice, no source, from v^2 = 2 a s).
    """
    return S_PER_MIN * math.sqrt(min(machine.acceleration[:2]) * diameter)


def firmness(stiffness: NewtonPerUm) -> float:
    """Where a mill stands between the customary figures for light (0) and stiff (1) ones.

    Light belt and gantry mills of 0.5 to 3 N/um take the lower half, a bench mill of 5 N/um and more the upper
    (common practice, no source; 5 N/um measured on a bench mill by CORTESI, confirmed).

    >>> firmness(0.4), firmness(3.0), firmness(5.0), firmness(12.0)
    (0.0, 0.5, 0.75, 1.0)
    """
    return _between(stiffness, ((0.5, 0.0), (3.0, 0.5), (5.0, 0.75), (10.0, 1.0)))


def customary(low: float, *, high: float, stiffness: NewtonPerUm) -> float:
    """The customary ratio for a mill of ``stiffness``, between that of light and that of stiff mills."""
    return low + (high - low) * firmness(stiffness)


def overhang_share(slenderness: float) -> float:
    """What is left of the customary depth for a cutter as slender as ``slenderness`` diameters.

    Up to 3 free, to 5 reduced, beyond sharply, beyond 8 special (common practice, no source; so are the shares).

    >>> overhang_share(3.0), overhang_share(5.0), overhang_share(8.0)
    (1.0, 0.7, 0.3)
    """
    if slenderness > 8.0:
        return 0.3 * (8.0 / slenderness) ** 3
    return _between(slenderness, ((3.0, 1.0), (5.0, 0.7), (8.0, 0.3)))


def rough_bending(material: Material) -> Mm:
    """Most bending when roughing: `ROUGH_BENDING`, and half of what is left on the wall."""
    return min(ROUGH_BENDING, material.finish_wall / 2.0)


def _between(value: float, points: tuple[tuple[float, float], ...]) -> float:
    if value <= points[0][0]:
        return points[0][1]
    for (low, at_low), (high, at_high) in pairwise(points):
        if value <= high:
            return at_low + (at_high - at_low) * (value - low) / (high - low)
    return points[-1][1]
