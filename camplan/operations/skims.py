"""A pocket whose walls or floor were cut already and must give a little more: the operations of a skim.

Takes the figure that is wanted now and the operations that cut the feature before; gives laps round the wall by the
cutter that cut it, and after them the corners by the cutters that cut those.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, Machine
from camplan.catalogue.shape import wall_radius
from camplan.cutting.finishing import SPRING_SHARE, own_error
from camplan.cutting.records import CutKind, CuttingData
from camplan.cutting.skims import least_skim
from camplan.errors import InputError, Problem
from camplan.features.records import Feature, Plate
from camplan.features.specs import OutlineSpec, PocketSpec
from camplan.geometry.clipper import Area
from camplan.operations.drafted import drafted_operations
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
    """One round of a wall: the feature as it stands after it, its figures, and what the cutter takes off it."""

    feature: Feature
    pieces: tuple[Area, ...]
    width: Mm


def wall_cutter(before: Sequence[Operation]) -> Cutter | None:
    """The cutter that cut the wall of a pocket or hole; None where no mill did."""
    walls = [one for one in before if one.part is Part.WALL or (one.part is Part.BORED and one.stay == 0.0)]
    cleared = [one for one in before if one.part is Part.AREA]
    found = walls or cleared
    return found[-1].cutter if found else None


def least_width(cutter: Cutter, *, feature: Feature, shop: Shop) -> Mm:
    """The thinnest skim of a feature's wall of which a cutter still forms a chip."""
    data = _wall_data(cutter, feature=feature, width=_FULL, shop=shop)
    return least_skim(data.chip, diameter=cutter.diameter, edge_radius=cutter.edge_radius)


def bends_before(before: Sequence[Operation], *, width: Mm, machine: Machine) -> Mm:
    """How far the wall may stand short by the bending of the cut that made it, ``width`` wide."""
    data = [one.data for one in before if one.part is Part.WALL or (one.part is Part.BORED and one.stay == 0.0)]
    data = data or [one.data for one in before if one.part is Part.AREA]
    if not data or data[-1].bending is None:
        return _UNKNOWN * width
    size, first = data[-1].size_error, data[-1].bending
    return _DOUBT * (first if size is None else min(max(size - own_error(machine), 0.0), first))


def bends_at_most(operations: Sequence[Operation], *, laps: Sequence[Lap]) -> Mm:
    """How far the wall may end short by bending after the last lap's spring pass."""
    data = [one.data for one in operations if one.part is Part.WALL][-1]
    first = data.bending if data.bending is not None else _UNKNOWN * laps[-1].width
    return _DOUBT * SPRING_SHARE * first


def skim_operations(
    feature: Feature, *, before: Sequence[Operation], laps: Sequence[Lap], plate: Plate, shop: Shop, only: Area
) -> tuple[Operation, ...]:
    """Laps round the wall, the last one with a spring pass, and then the corners; none without laps.

    ``feature``: as it is wanted now; ``before``: the operations that cut it; none if no mill cut its wall.  ``only``:
    where alone walls are walked and corners cleared.
    """
    cutter = wall_cutter(before)
    if cutter is None or not laps:
        return ()
    made = [
        _lap(feature, cutter=cutter, lap=lap, of=(number, len(laps)), before=before, plate=plate, shop=shop)
        for number, lap in enumerate(laps, start=1)
    ]
    for one in _finer(before, than=cutter):
        sentence = f"{one.cutter.name}: the corners follow the wall, by the cutter that cut them before"
        made.append(
            replace(
                one,
                feature=laps[-1].feature if isinstance(feature.spec, OutlineSpec) else feature,
                pieces=laps[-1].pieces,
                stay=0.0,
                rest=(),
                reasons=(why("cutter", sentence), *one.data.reasons),
            )
        )
    return tuple(replace(one, only=only) for one in made)


def floor_operations(
    feature: Feature, *, before: Sequence[Operation], pieces: tuple[Area, ...], old: Mm, shop: Shop
) -> tuple[Operation, ...]:
    """The floor taken down from height ``old`` to where it is wanted, by the cutters that cut it: all of it, what the
    wide ones do not enter, and along the walls where they stand.

    ``pieces``: the figures between the walls as they were cut; InputError if no flat cutter cleared it.
    """
    cleared = [one for one in before if one.part in (Part.AREA, Part.FLOOR)]
    if not cleared:
        message = "no flat cutter cleared its floor, so none can skim it"
        raise InputError(Problem(message=message, key=f"feature {feature.spec.name!r}", accepted="a pocket's floor"))
    first = cleared[-1].cutter
    bottom = tip_bottom(feature)
    data = shop.data_for(first, CutKind.FLOOR, -bottom, None)
    levels = even_levels(old, bottom=bottom, step_down=data.step_down)
    allowance = min(one.stay for one in before)
    sentence = (
        f"{first.name}: {(old - bottom) * UM_PER_MM:.0f} um off the floor in {len(levels)} levels, as wide as it was"
    )
    made = [
        Operation(
            feature=feature,
            purpose=Purpose.FINISH,
            part=Part.FLOOR,
            cutter=first,
            data=data,
            levels=levels,
            stay=cleared[-1].stay - allowance,
            reasons=(why("cutter", sentence), *data.reasons),
            pieces=pieces,
            start=old,
        )
    ]
    for one in before:
        if one.part is Part.REST or (one.part is Part.WALL and one.stay == allowance):
            again = f"{one.cutter.name}: the floor where it cut before, down to the new depth"
            made.append(
                replace(
                    one,
                    feature=feature,
                    pieces=pieces,
                    levels=levels,
                    stay=one.stay - allowance,
                    rest=(),
                    data=replace(one.data, spring_passes=0),
                    reasons=(why("cutter", again), *one.data.reasons),
                )
            )
    return tuple(made)


def _finer(before: Sequence[Operation], *, than: Cutter) -> list[Operation]:
    """The operations that cleared what the wall's cutter did not enter."""
    wall = [place for place, one in enumerate(before) if one.cutter is than and one.part is not Part.REST]
    rest = before[max(wall, default=0) + 1 :]
    return [one for one in rest if one.part is Part.REST and wall_radius(one.cutter) < wall_radius(than)]


def _lap(
    feature: Feature,
    *,
    cutter: Cutter,
    lap: Lap,
    of: tuple[int, int],
    before: Sequence[Operation],
    plate: Plate,
    shop: Shop,
) -> Operation:
    number, count = of
    which = f"skim {number} of {count}" if count > 1 else "the skim"
    spring = ", then a spring pass at the same place" if number == count else ""
    sentence = f"{cutter.name}: {which} takes {lap.width * UM_PER_MM:.0f} um off the wall{spring}"
    if isinstance(feature.spec, OutlineSpec):
        made = _parting(lap, before=before, shop=shop)
    elif _draft(feature) > 0.0:
        made = replace(_leaning(lap, plate=plate, shop=shop), feature=feature)
    else:
        made = _upright(feature, cutter=cutter, lap=lap, shop=shop)
    data = replace(made.data, spring_passes=max(made.data.spring_passes, 1) if number == count else 0)
    return replace(made, data=data, reasons=(why("cutter", sentence), *data.reasons))


def _parting(lap: Lap, *, before: Sequence[Operation], shop: Shop) -> Operation:
    """A round of an outline's wall in its kerf, on the levels on which it was cut, over bridges as then."""
    wall = next(one for one in before if one.part is Part.WALL)
    data = _wall_data(wall.cutter, feature=lap.feature, width=lap.width, shop=shop)
    return replace(wall, feature=lap.feature, data=data, stay=0.0)


def _leaning(lap: Lap, *, plate: Plate, shop: Shop) -> Operation:
    """A round of a leaning wall, its figures for each level, as a plan of the feature would cut it."""
    spec = lap.feature.spec
    if not isinstance(spec, PocketSpec):
        raise TypeError(f"{spec.name} is no pocket")
    found = drafted_operations(lap.feature, spec=spec, plate=plate, shop=shop)
    if found.problems:
        raise InputError(found.problems)
    return found.operations[-1]


def _upright(feature: Feature, *, cutter: Cutter, lap: Lap, shop: Shop) -> Operation:
    data = _wall_data(cutter, feature=feature, width=lap.width, shop=shop)
    step = min(data.step_down, cutter.flute_length)
    return Operation(
        feature=feature,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=cutter,
        data=data,
        levels=even_levels(-feature.top, bottom=tip_bottom(feature), step_down=step),
        stay=0.0,
        reasons=data.reasons,
        pieces=lap.pieces,
    )


def _draft(feature: Feature) -> float:
    return feature.spec.draft if isinstance(feature.spec, PocketSpec) else 0.0


def _wall_data(cutter: Cutter, *, feature: Feature, width: Mm, shop: Shop) -> CuttingData:
    tolerance = getattr(feature.spec, "tolerance", None)
    depth = -tip_bottom(feature)
    if tolerance is None:
        raise ValueError(f"{feature.spec.name} has no walls to skim")
    return shop.wall_data(cutter, depth, width, tolerance)
