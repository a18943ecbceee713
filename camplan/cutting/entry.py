"""Ways into the material: plunge, ramp, helix; and what a round nose leaves between passes."""

import math

from camplan.units import Mm, MmPerMin, Rad

PLUNGE_FEED = 0.25
"""Feed straight down over the side feed (UF-DML, confirmed; it also says 75 % of the speed, which is kept here)."""

RAMP_FEED = 0.5
"""Feed on a ramp over the normal feed (CUTTER-NOTES, confirmed for cutters with inserts)."""

CORNER_FEED = 0.2
"""Most feed of a wall pass into a corner, where it meets two walls at once, over its feed along one (common practice,
no source)."""


def helix_angle(pitch: Mm, *, hole: Mm, cutter: Mm) -> Rad:
    """Angle of a helix with ``pitch`` a turn in a hole: atan(p / (2 pi r)), r = (Dh - D)/2 (plane geometry).

    >>> round(math.degrees(helix_angle(1.0, hole=10.0, cutter=6.0)), 2)
    4.55
    """
    return math.atan(pitch / (math.pi * (hole - cutter)))


def centre_feed(edge_feed: MmPerMin, *, hole: Mm, cutter: Mm) -> MmPerMin:
    """Feed of the centre on an inside arc so that the edge has ``edge_feed``: times (Dh - D)/Dh (plane geometry).

    >>> centre_feed(600.0, hole=10.0, cutter=6.0)
    240.0
    """
    return edge_feed * (hole - cutter) / hole


def scallop(radius: Mm, *, step_over: Mm) -> Mm:
    """Height of the ridge between two passes of a ball: h = R - sqrt(R^2 - s^2/4), s up to 2 R (plane geometry).

    >>> round(scallop(3.0, step_over=0.5), 5)
    0.01043
    """
    return radius - math.sqrt(radius**2 - step_over**2 / 4.0)


def step_for_scallop(radius: Mm, *, height: Mm) -> Mm:
    """Step-over of a ball that leaves ridges of ``height``: s = 2 sqrt(R^2 - (R - h)^2) (plane geometry).

    >>> round(step_for_scallop(3.0, height=0.005), 3)
    0.346
    """
    return 2.0 * math.sqrt(radius**2 - (radius - height) ** 2)
