"""The thinnest skim of a wall of which a cutter still forms a chip."""

from camplan.cutting.chip import EDGE_RATIO, mean_chip
from camplan.units import Mm

_HALVINGS = 40


def least_skim(chip: Mm, *, diameter: Mm, edge_radius: Mm) -> Mm:
    """The width of cut at which a tooth fed by ``chip`` takes a mean chip of `EDGE_RATIO` times its edge's radius;
    below it the edge rubs and the wall stays where it was.  No more than the cutter's radius.

    The mean chip of a cut beside a wall grows with the root of its width (`mean_chip`), so a thin skim asks for a
    keen edge and a full feed.

    >>> round(least_skim(0.048, diameter=6.0, edge_radius=0.006), 4)
    0.0084
    """
    least = EDGE_RATIO * edge_radius
    low, high = 0.0, diameter / 2.0
    if mean_chip(chip, diameter=diameter, width=high) <= least:
        return high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if mean_chip(chip, diameter=diameter, width=middle) < least:
            low = middle
        else:
            high = middle
    return high
