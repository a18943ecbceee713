"""Chips: engagement, thickness, thinning, and the chip per tooth that tables give.

A flat cutter, its side square to the feed; chip thickness along the arc h(phi) = fz sin(phi) (Martellotti 1941).
"""

import math
from dataclasses import dataclass
from itertools import pairwise

from camplan.catalogue.records import ChipRow, CuttingRow
from camplan.units import Mm, Rad

EDGE_RATIO = 0.3
"""Smallest mean chip over the edge's radius (WOJCIECHOWSKI, from memory; measured 0.14 to 0.43 by CHENG, confirmed)."""

CHIP_FLOOR: Mm = 0.003
"""Smallest mean chip that is planned even with a new, sharp cutter (common practice, no source)."""

THINNING_MOST = 2.0
"""Most that the chip per tooth is raised for a narrow cut (common practice, no source)."""


def engagement(diameter: Mm, *, width: Mm) -> Rad:
    """phi = arccos(1 - 2 ae / D), the angle through which a tooth cuts; pi from ae = D on.

    El-Hofy, Fundamentals of Machining Processes, section 6.3.1; 0 <= ae.

    >>> round(math.degrees(engagement(10.0, width=1.0)), 2)
    36.87
    """
    return math.acos(max(1.0 - 2.0 * width / diameter, -1.0))


def width_of(arc: Rad, *, diameter: Mm) -> Mm:
    """ae = D (1 - cos phi) / 2, the width at which a tooth cuts through ``arc``; the inverse of `engagement`.

    >>> round(width_of(math.radians(36.87), diameter=10.0), 3)
    1.0
    """
    return diameter * (1.0 - math.cos(min(max(arc, 0.0), math.pi))) / 2.0


def thickest_chip(chip: Mm, *, diameter: Mm, width: Mm) -> Mm:
    """hmax = 2 fz sqrt(ae/D (1 - ae/D)) below half width, fz from there on (MARTELLOTTI; EL-HOFY).

    >>> round(thickest_chip(0.05, diameter=10.0, width=1.0), 4)
    0.03
    """
    share = width / diameter
    return chip if share >= 0.5 else 2.0 * chip * math.sqrt(share * (1.0 - share))


def mean_chip(chip: Mm, *, diameter: Mm, width: Mm) -> Mm:
    """hm = 2 fz ae / (D phi), the mean over the arc (Klocke, Manufacturing Processes 1, from memory).

    >>> round(mean_chip(0.05, diameter=10.0, width=1.0), 5)
    0.01554
    >>> round(mean_chip(0.05, diameter=10.0, width=10.0), 5)
    0.03183
    """
    reached = min(width, diameter)
    return 2.0 * chip * reached / (diameter * engagement(diameter, width=reached))


def thinned(thickest: Mm, *, diameter: Mm, width: Mm) -> Mm:
    """Chip per tooth that gives the wanted thickest chip: fz = hmax D / (2 sqrt(ae (D - ae))) below half width.

    The inverse of `thickest_chip`, but never above `THINNING_MOST` times the wanted chip.

    >>> round(thinned(0.03, diameter=10.0, width=1.0), 4)
    0.05
    """
    if width >= diameter / 2.0:
        return thickest
    return min(thickest * diameter / (2.0 * math.sqrt(width * (diameter - width))), THINNING_MOST * thickest)


def least_mean_chip(edge_radius: Mm) -> Mm:
    """The mean chip below which an edge rubs: `EDGE_RATIO` times its radius, and `CHIP_FLOOR` at least."""
    return max(EDGE_RATIO * edge_radius, CHIP_FLOOR)


def least_chip(edge_radius: Mm, *, diameter: Mm, width: Mm) -> Mm:
    """Chip per tooth at which the mean chip is `least_mean_chip`."""
    return least_mean_chip(edge_radius) / mean_chip(1.0, diameter=diameter, width=width)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipRange:
    """Chip per tooth that a table gives for one diameter, and where it is from."""

    least: Mm
    most: Mm
    source: str


def table_chip(row: CuttingRow, *, diameter: Mm) -> ChipRange:
    """The row's chip per tooth at ``diameter``: straight between its diameters, in proportion to the diameter below
    the smallest (common practice, no source), and that of the largest above it.
    """
    first, last = row.chips[0], row.chips[-1]
    if diameter <= first.diameter:
        return _scaled(first, share=diameter / first.diameter)
    for smaller, larger in pairwise(row.chips):
        if diameter <= larger.diameter:
            share = (diameter - smaller.diameter) / (larger.diameter - smaller.diameter)
            return ChipRange(
                least=smaller.chip_min + share * (larger.chip_min - smaller.chip_min),
                most=smaller.chip_max + share * (larger.chip_max - smaller.chip_max),
                source=larger.source if share > 0.5 else smaller.source,
            )
    return ChipRange(least=last.chip_min, most=last.chip_max, source=last.source)


def _scaled(row: ChipRow, *, share: float) -> ChipRange:
    return ChipRange(least=row.chip_min * share, most=row.chip_max * share, source=row.source)
