"""Cooling time of a flat wall between two faces of the mould (BALLMAN).

t = s^2 / (pi^2 a) ln(k (Tmelt - Tmould) / (Teject - Tmould)), with k = 8 / pi^2 for the mean temperature of the wall
(from memory) and 4 / pi for that of its middle.  Holds once the first term of the series rules, that is for
k (Tmelt - Tmould) / (Teject - Tmould) well above 1.
"""

import math
from dataclasses import dataclass

from camplan.catalogue.plastics import Span, Thermal
from camplan.units import Celsius, Mm, Mm2PerS, Seconds

MEAN = 8.0 / math.pi**2
CENTRE = 4.0 / math.pi
LEAST_GAP: Celsius = 10.0
"""A mould is kept at least this much colder than what leaves it (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """The temperatures of one shot, in degrees C."""

    melt: Celsius
    mould: Celsius
    ejection: Celsius


def cooling_time(wall: Mm, *, diffusivity: Mm2PerS, heat: Heat, constant: float) -> Seconds:
    """Seconds until the wall can leave the mould.  ValueError unless melt > ejection > mould, and for a wall or a
    diffusivity that is not above 0.

    >>> heat = Heat(melt=230.0, mould=60.0, ejection=90.0)
    >>> round(cooling_time(2.0, diffusivity=0.185, heat=heat, constant=MEAN), 2)
    3.34
    >>> round(cooling_time(2.0, diffusivity=0.185, heat=heat, constant=CENTRE), 2)
    4.33
    """
    if not heat.melt > heat.ejection > heat.mould or not (wall > 0.0 and diffusivity > 0.0):
        raise ValueError(f"no wall of {wall:g} mm cools so: {heat}")
    fall = constant * (heat.melt - heat.mould) / (heat.ejection - heat.mould)
    return max(wall**2 / (math.pi**2 * diffusivity) * math.log(fall), 0.0)


def slower(thermal: Thermal) -> Mm2PerS:
    """Of a diffusivity worked out and one that is printed the smaller: the time is then long, which is safe."""
    return min(thermal.diffusivity, thermal.printed) if thermal.printed is not None else thermal.diffusivity


def shortest_and_longest(melt: Span, *, mould: Span, ejection: Celsius) -> tuple[Heat, Heat] | None:
    """The coolest and the warmest shot of the printed ranges; None if even the coldest mould is too warm, or the
    coldest melt too cold, for that ejection."""
    if ejection - LEAST_GAP < mould.least or melt.least <= ejection:
        return None
    warmest = min(mould.most, ejection - LEAST_GAP)
    return (
        Heat(melt=melt.least, mould=mould.least, ejection=ejection),
        Heat(melt=melt.most, mould=warmest, ejection=ejection),
    )
