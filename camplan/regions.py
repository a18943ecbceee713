"""Regions: a closed outer chain and the islands that stand in it.

Takes closed chains, gives regions with outer chains counter-clockwise and islands clockwise, and
findings for what cannot be a region.  Never knows what a region will be used for.
"""

from dataclasses import dataclass

from camplan.geometry.chains import Chain


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Region:
    """An outer chain, counter-clockwise, and islands, clockwise, all closed and not crossing."""

    outer: Chain
    islands: tuple[Chain, ...] = ()
