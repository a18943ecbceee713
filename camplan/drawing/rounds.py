"""Full circles among closed chains, however they were drawn."""

import math

import numpy as np

from camplan.drawing.records import Circle
from camplan.geometry.chains import Chain, arcs
from camplan.units import Mm

ROUND: Mm = 0.0015
"""Arcs whose centres and radii differ by no more than this are one circle."""


def full_circle(path: Chain) -> Circle | None:
    """The circle that a closed chain is: arcs only, of one centre and radius, once round."""
    if not path.closed or not len(path.bulges) or np.any(path.bulges == 0.0):
        return None
    found = arcs(path)
    if abs(abs(float(found.sweeps.sum())) - 2.0 * math.pi) > 1e-3:
        return None
    weights = np.abs(found.sweeps) / np.abs(found.sweeps).sum()
    centre = weights @ found.centres
    radius = float(weights @ found.radii)
    off = np.maximum(np.hypot(*(found.centres - centre).T), np.abs(found.radii - radius))
    # a short arc's centre is less certain than its points: what counts is how far the arc leaves the circle
    lever = np.minimum(1.0, np.abs(path.bulges) * 2.0)
    if float((off * lever).max()) > ROUND:
        return None
    return Circle(centre=(float(centre[0]), float(centre[1])), diameter=2.0 * radius)
