"""A pocket whose walls or floor were cut already and must give a little more: the operations of a skim.

Takes the figure that is wanted now and the operations that cut the feature before; gives laps round the wall by the
cutter that cut it, and after them the corners by the cutters that cut those.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter
from camplan.cutting.finishing import SPRING_SHARE
from camplan.cutting.records import CuttingData
from camplan.cutting.skims import least_skim
from camplan.features.records import Feature
from camplan.geometry.clipper import Area
from camplan.operations.levels import even_levels
from camplan.operations.outlines import tip_bottom
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop, why
from camplan.units import UM_PER_MM, Mm

_DOUBT = 2.0
"""How much more than foretold a cutter may bend (forces are known to about a factor of two: CJME-2021)."""
_UNKNOWN = 0.1
"""Bending over the width of a skim where no force is foretold (common practice, no source)."""
_FULL: Mm = 0.05
"""The width for which the chip is asked that the least skim is worked out from."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lap:
    """One round of a wall: its figure, and what the cutter takes off it."""

    pieces: tuple[Area, ...]
    width: Mm


def wall_cutter(before: Sequence[Operation]) -> Cutter | None:
    """The cutter that cut a pocket's wall; None where no flat cutter did."""
    walls = [one for one in before if one.part is Part.WALL]
    cleared = [one for one in before if one.part is Part.AREA]
    found = walls or cleared
    return found[-1].cutter if found else None


def least_width(cutter: Cutter, *, feature: Feature, shop: Shop) -> Mm:
    """The thinnest skim of a feature's wall of which a cutter still forms a chip."""
    data = _wall_data(cutter, feature=feature, width=_FULL, shop=shop)
    return least_skim(data.chip, diameter=cutter.diameter, edge_radius=cutter.edge_radius)


def bends_at_most(operations: Sequence[Operation], *, laps: Sequence[Lap]) -> Mm:
    """How far the wall may end short by bending after the last lap's spring pass."""
    data = [one.data for one in operations if one.part is Part.WALL][-1]
    first = data.bending if data.bending is not None else _UNKNOWN * laps[-1].width
    return _DOUBT * SPRING_SHARE * first


def skim_operations(
    feature: Feature, *, before: Sequence[Operation], laps: Sequence[Lap], shop: Shop
) -> tuple[Operation, ...]:
    """Laps round the wall, the last one with a spring pass, and then the corners.

    ``feature``: as it is wanted now; ``before``: the operations that cut it; none if no flat cutter cut its wall.
    """
    cutter = wall_cutter(before)
    if cutter is None:
        return ()
    made = [
        _lap(feature, cutter=cutter, lap=lap, last=number == len(laps), of=(number, len(laps)), shop=shop)
        for number, lap in enumerate(laps, start=1)
    ]
    wall = max(
        (place for place, one in enumerate(before) if one.cutter is cutter and one.part is not Part.REST), default=0
    )
    for one in before[wall + 1 :]:
        if one.part is Part.REST and one.cutter.diameter < cutter.diameter:
            sentence = f"{one.cutter.name}: the corners follow the wall, by the cutter that cut them before"
            made.append(
                replace(
                    one,
                    feature=feature,
                    pieces=laps[-1].pieces,
                    stay=0.0,
                    rest=(),
                    reasons=(why("cutter", sentence), *one.data.reasons),
                )
            )
    return tuple(made)


def _lap(feature: Feature, *, cutter: Cutter, lap: Lap, last: bool, of: tuple[int, int], shop: Shop) -> Operation:
    data = _wall_data(cutter, feature=feature, width=lap.width, shop=shop)
    data = replace(data, spring_passes=max(data.spring_passes, 1) if last else 0)
    bottom = tip_bottom(feature)
    levels = even_levels(-feature.top, bottom=bottom, step_down=min(data.step_down, cutter.flute_length))
    number, count = of
    which = f"skim {number} of {count}" if count > 1 else "the skim"
    spring = ", then a spring pass at the same place" if last else ""
    sentence = f"{cutter.name}: {which} takes {lap.width * UM_PER_MM:.0f} um off the wall{spring}"
    return Operation(
        feature=feature,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=0.0,
        reasons=(why("cutter", sentence), *data.reasons),
        pieces=lap.pieces,
    )


def _wall_data(cutter: Cutter, *, feature: Feature, width: Mm, shop: Shop) -> CuttingData:
    tolerance = getattr(feature.spec, "tolerance", None)
    depth = -tip_bottom(feature)
    if tolerance is None:
        raise ValueError(f"{feature.spec.name} has no walls to skim")
    return shop.wall_data(cutter, depth, width, tolerance)
