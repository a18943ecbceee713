"""Clamp force: what holds the halves together against the plastic.

F = projected area of cavities and runners times the pressure in the cavity times 1.0 to 1.2 (CLAMP-J).
"""

from camplan.catalogue.plastics import Span
from camplan.units import Mm2, Newton

FACTOR = Span(least=1.0, most=1.2)
"""How much more than area times pressure is held in reserve."""


def clamp_force(area: Mm2, *, pressure: Span) -> Span:
    """The force in N from an area in mm2 and a pressure in N/mm2, with `FACTOR`.

    ABS, 40 cm2 at 0.30 to 0.40 t/cm2 (CLAMP-J) asks for 12 to 16 t, before the reserve:

    >>> force = clamp_force(4000.0, pressure=Span(least=29.42, most=39.23))
    >>> round(force.least / 1000.0), round(force.most / 1.2 / 1000.0)
    (118, 157)
    """
    return Span(least=area * pressure.least * FACTOR.least, most=area * pressure.most * FACTOR.most)


def largest_area(press: Newton, *, pressure: Span) -> Span:
    """The projected area in mm2 that a press can hold: the least at the highest pressure with the reserve."""
    return Span(least=press / (pressure.most * FACTOR.most), most=press / (pressure.least * FACTOR.least))
