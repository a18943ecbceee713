"""Runners and gates: how wide and how deep.

PYE, Injection Mould Design: equation 4.1 for runners; for side gates h = n t and W = n sqrt(A) / 30 (MOULD-110), n the
plastic's constant.  All of them are where to start: cut small, enlarge after trial shots.
"""

import math

from camplan.moulding.records import Channel
from camplan.units import Gram, Mm, Mm2

HEAVIEST: Gram = 200.0
"""Equation 4.1 holds up to this mass of a moulding."""
THICKEST: Mm = 3.0
"""Equation 4.1 holds below this wall."""
NARROWEST: Mm = 2.0
WIDEST: Mm = 10.0


def runner_diameter(mass: Gram, *, length: Mm, factor: float = 1.0) -> Mm:
    """The diameter of a full round runner, D = sqrt(W) L^(1/4) / 3.7 in mm, W in g, L in mm (PYE equation 4.1).

    ``factor`` widens it for stiff melts.  ValueError for a mass outside 0 to `HEAVIEST` and a length not above 0.

    >>> round(runner_diameter(120.0, length=50.0), 2)
    7.87
    """
    if not (0.0 < mass <= HEAVIEST and length > 0.0):
        raise ValueError(f"equation 4.1 does not hold for {mass:g} g over {length:g} mm")
    return factor * math.sqrt(mass) * math.sqrt(math.sqrt(length)) / 3.7


def runner_cutter(diameter: Mm) -> Mm:
    """The next whole mm, from `NARROWEST` to `WIDEST`.

    >>> runner_cutter(7.87)
    8.0
    """
    return min(max(float(math.ceil(diameter - 1e-9)), NARROWEST), WIDEST)


def gate_thickness(wall: Mm, *, constant: float) -> Mm:
    """The thickness of a side gate, h = n t (MOULD-110).

    >>> round(gate_thickness(1.5, constant=0.7), 2)
    1.05
    """
    return constant * wall


def gate_width(surface: Mm2, *, constant: float) -> Mm:
    """The width of a side gate, W = n sqrt(A) / 30, A the surface of the cavity in mm2 (MOULD-110).

    >>> round(gate_width(4900.0, constant=0.7), 2)
    1.63
    """
    return constant * math.sqrt(surface) / 30.0


def hydraulic_diameter(channel: Channel) -> Mm:
    """Of a channel of any section: four times its area over what goes round it; of a full circle its diameter."""
    return 4.0 * channel.area / channel.around
