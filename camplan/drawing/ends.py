"""Open ends, for whoever needs closed contours."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from camplan.drawing.records import Layer
from camplan.findings import Finding, Severity
from camplan.geometry.places import place


def open_ends(layer: Layer) -> tuple[Finding, ...]:
    """Each open chain of a layer: both its ends, and how far from one of them the nearest other end is."""
    if not layer.open:
        return ()
    tips = np.array([end for path in layer.open for end in (path.points[0], path.points[-1])])
    gaps, partners = cKDTree(tips).query(tips, k=2)
    found = []
    for start in range(0, len(tips), 2):
        end = start + 1
        nearest = min((start, end), key=lambda tip: _other(gaps, partners, tip=tip))
        gap, partner = _other(gaps, partners, tip=nearest)
        which = "its own other end" if partner in (start, end) else "the nearest other end"
        message = (
            f'layer "{layer.name}": the contour from {place(tips[start])} to {place(tips[end])} is open; '
            f"{which} is {gap:.3f} mm from {place(tips[nearest])}, at {place(tips[partner])}"
        )
        found.append(Finding(severity=Severity.UNMET, code="open-contour", message=message, where=layer.name))
    return tuple(found)


def _other(gaps: NDArray[np.float64], partners: NDArray[np.int64], *, tip: int) -> tuple[float, int]:
    """The nearest end other than ``tip``: an end in the same place may come before it in the search."""
    column = 1 if partners[tip, 0] == tip else 0
    return float(gaps[tip, column]), int(partners[tip, column])
