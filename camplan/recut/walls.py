"""Which walls a size is of, how far apart they are drawn, and where programs put them last."""

from dataclasses import dataclass

from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.sections import may
from camplan.features.specs import OutlineSpec, PocketSpec
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.figures import Place, across, faces, faces_along, gives_at, grown, is_round, island_at
from camplan.recut.history import History, last_skim
from camplan.recut.sides import Side, Sides, both
from camplan.regions import Region
from camplan.units import Mm

_SAME: Mm = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walls:
    """The regions of a feature, by their ``numbers`` from 1, whose walls give together: where programs put them last,
    ``grow`` outside the drawn ones (those of islands ``islands`` inside theirs), the floor ``deeper`` than drawn, by
    the skim of number ``skim`` (0: by the plan)."""

    feature: Feature
    numbers: tuple[int, ...]
    grow: Sides
    islands: Sides
    deeper: Mm
    skim: int

    @property
    def round(self) -> bool:
        """Whether each is a circle, so that one width is a diameter."""
        return bool(self.numbers) and all(is_round(self.feature.regions[number - 1]) for number in self.numbers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Where programs put the walls and the floor of a region last, from the drawn ones; by which skim."""

    grow: Sides
    islands: Sides
    deeper: Mm
    skim: int


def is_part(feature: Feature) -> bool:
    """Whether the feature's walls are those of a part that stands: they give inward."""
    return isinstance(feature.spec, OutlineSpec) and feature.spec.side == "outside"


def stands(feature: Feature, *, number: int, history: History) -> Stand:
    """Where one region's walls and floor stand."""
    skim = last_skim(history, feature=feature.spec.name, region=number)
    if skim is not None:
        return Stand(grow=skim.grow, islands=skim.islands, deeper=skim.deeper, skim=skim.number)
    allowance = feature.spec.allowance if isinstance(feature.spec, PocketSpec | OutlineSpec) else 0.0
    left = allowance if is_part(feature) else -allowance
    shy = both(x=left, y=left)
    return Stand(grow=shy, islands=shy, deeper=0.0, skim=0)


def walls_of(feature: Feature, *, measured: Measured, history: History) -> Walls:
    """The walls that are meant; InputError for a region that there is not, and where regions stand differently."""
    count = len(feature.regions)
    if measured.region is not None and not 1 <= measured.region <= count:
        message = f"{feature.spec.name} has no region {measured.region}"
        raise InputError(Problem(message=message, key="--region", accepted=f"1 to {count}"))
    numbers = (measured.region,) if measured.region is not None else tuple(range(1, count + 1))
    if len(numbers) < count and any(one.along is Along.DEPTH for one in measured.sizes):
        message = f"the floors of {feature.spec.name} are taken down together"
        raise InputError(Problem(message=message, key="--region", accepted="--depth without it"))
    each = [stands(feature, number=number, history=history) for number in numbers]
    if len({(one.grow, one.islands, one.deeper) for one in each}) > 1:
        message = f"the regions of {feature.spec.name} were skimmed apart"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of 1 to {count}"))
    return Walls(
        feature=feature,
        numbers=numbers,
        grow=each[0].grow,
        islands=each[0].islands,
        deeper=each[0].deeper,
        skim=each[0].skim,
    )


def drawn_size(asked: Asked, *, walls: Walls) -> Mm:
    """The size as drawn, the same of all regions that are meant; of a wall by itself 0.  InputError where there is
    none."""
    feature = walls.feature
    if asked.along is Along.DEPTH:
        return _drawn_depth(asked, feature=feature)
    if asked.wall is not None:
        _refuse_no_wall(asked.wall, asked=asked, walls=walls)
    if asked.along is Along.WALL:
        return 0.0
    axis = asked.axis or 0
    if asked.along is Along.DIAMETER and not walls.round:
        message = f"{feature.spec.name} is not round"
        raise InputError(Problem(message=message, key=asked.key, accepted="--across x or --across y"))
    wider = 2.0 * _leans(asked, feature=feature)
    island = island_of(asked, walls=walls)
    if island is not None and asked.at is not None:
        if asked.wall is None and not faces_along(island, along=axis, at=asked.at):
            message = f"the walls of the island there do not face along {'XY'[axis]}"
            raise InputError(Problem(message=message, key="--at", accepted="a place between two such walls"))
        return (across(island, along=axis, at=asked.at) or 0.0) - wider
    regions = [(number, feature.regions[number - 1]) for number in walls.numbers]
    if asked.at is not None:
        for _, region in regions:
            width = across(region, along=axis, at=asked.at)
            if width is not None:
                if asked.wall is None and not faces_along(region, along=axis, at=asked.at):
                    message = f"the walls there do not face each other along {'XY'[axis]}"
                    raise InputError(Problem(message=message, key="--at", accepted="a place between two such walls"))
                return width + wider
        raise _outside(asked.at, feature=feature)
    widths = [(number, across(region, along=axis, at=None) or 0.0) for number, region in regions]
    if max(width for _, width in widths) - min(width for _, width in widths) > _SAME:
        listed = ", ".join(f"{number}: {width:.3f}" for number, width in widths[:12])
        message = f"{feature.spec.name} has {len(widths)} regions of different sizes"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of {listed} mm"))
    return widths[0][1] + wider


def _outside(at: Place, *, feature: Feature) -> InputError:
    message = f"X {at[0]:g} Y {at[1]:g} is not inside {feature.spec.name}"
    return InputError(Problem(message=message, key="--at", accepted="a place between two walls, from the plate's zero"))


def _refuse_no_wall(side: Side, *, asked: Asked, walls: Walls) -> None:
    """InputError where no wall stands that could be moved by itself: of what is round, at a place that is not in the
    figure, where it slants, and where the one that bounds the place is an island's."""
    name = walls.feature.spec.name
    if walls.round and island_of(asked, walls=walls) is None:
        message = f"{name} is round: its wall is one and has no {side} side"
        raise InputError(Problem(message=message, key=asked.key, accepted="--diameter"))
    if asked.at is None:
        return
    island = island_of(asked, walls=walls)
    figures = [island] if island is not None else [walls.feature.regions[number - 1] for number in walls.numbers]
    inside = [one for one in figures if across(one, along=side.axis, at=asked.at) is not None]
    if not inside:
        raise _outside(asked.at, feature=walls.feature)
    if faces(inside[0], side=side, at=asked.at):
        return
    if abs(gives_at(inside[0], sides=(side,), at=asked.at)) < 0.5:
        message = f"what bounds the place on its {side} side is an island's {side.other} wall"
        accepted = f"--wall {side.other} with --at a place inside that island"
    else:
        message = f"the {side} wall there slants: it does not face along {'XY'[side.axis]}"
        accepted = "a place beside a wall that does"
    raise InputError(Problem(message=message, key=f"{asked.key} --at", accepted=accepted))


def island_of(asked: Asked, *, walls: Walls) -> Region | None:
    """The island in which the place of a size lies, so that it is the island's own; None if it lies in none."""
    if asked.at is None or asked.axis is None or not isinstance(walls.feature.spec, PocketSpec):
        return None
    found = [island_at(walls.feature.regions[number - 1], at=asked.at) for number in walls.numbers]
    return next((one for one in found if one is not None), None)


def _drawn_depth(asked: Asked, *, feature: Feature) -> Mm:
    spec = feature.spec
    leaning = isinstance(spec, PocketSpec) and spec.draft > 0.0
    if feature.through or leaning or asked.at is not None or isinstance(spec, OutlineSpec):
        message = (
            f"{spec.name} is an outline, of which no floor is wanted"
            if isinstance(spec, OutlineSpec)
            else f"{spec.name} goes through: it has no floor"
            if feature.through
            else f"the walls of {spec.name} lean, and with a deeper floor they would stand elsewhere"
            if leaning
            else "a floor is measured anywhere"
        )
        raise InputError(
            Problem(message=message, key=asked.key, accepted="the depth of a level floor between upright walls")
        )
    return feature.bottom


def _leans(asked: Asked, *, feature: Feature) -> Mm:
    """How far a wall stands outside the drawn one at the depth at which it was measured."""
    spec = feature.spec
    leaning = isinstance(spec, PocketSpec) and spec.draft > 0.0
    lowest = f"{feature.top:g} (the top) to {feature.bottom:g} (the floor) mm"
    if asked.at_depth is None:
        if not leaning:
            return 0.0
        message = f"the walls of {spec.name} lean: at what depth was it measured?"
        raise InputError(Problem(message=message, key=f"{asked.key} --at-depth", accepted=lowest))
    if not feature.top <= asked.at_depth <= feature.bottom:
        message = f"{spec.name} does not reach {asked.at_depth:g} mm deep"
        raise InputError(Problem(message=message, key=f"{asked.key} --at-depth", accepted=lowest))
    return may(feature, z=-asked.at_depth).grow


def programmed_size(asked: Asked, *, walls: Walls) -> Mm:
    """The size that the program was to make that cut it last; of a wall by itself how far it was to give beyond the
    drawn one."""
    if asked.along is Along.DEPTH:
        return walls.feature.bottom + walls.deeper
    island = island_of(asked, walls=walls)
    if asked.along is Along.WALL and asked.wall is not None:
        if island is not None:
            return walls.islands.at(asked.wall)
        return -walls.grow.at(asked.wall) if is_part(walls.feature) else walls.grow.at(asked.wall)
    axis = asked.axis or 0
    wider = 2.0 * _leans(asked, feature=walls.feature)
    if island is not None:
        inward = walls.islands.each(lambda one: -one)
        return max(across(one, along=axis, at=asked.at) or 0.0 for one in grown(island, by=inward)) - wider
    for number in walls.numbers:
        region = walls.feature.regions[number - 1]
        moved = grown(region, by=walls.grow, islands=walls.islands)
        widths = [across(one, along=axis, at=asked.at) for one in moved]
        known = [width for width in widths if width is not None]
        if known:
            return max(known) + wider
    message = "what is left between the walls there is nothing"
    raise InputError(Problem(message=message, key=asked.key, accepted="another place"))
