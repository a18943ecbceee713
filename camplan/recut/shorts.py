"""Of which walls the error of a measured size is, how much of it each has, and what cut them.

Two walls that one program cut share the error of the width between them alike.  Where one was cut alone since, the
other still stands as it stood, and what it was off then is not this one's.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.recut.asked import Along, Asked
from camplan.recut.history import History, Reading, last_cut
from camplan.recut.sides import Side, facing
from camplan.recut.walls import Walls, island_of
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """How far each of ``walls`` stands short, with its standard error ``error`` and what of it may be by bending; by
    the skim number ``cut`` (0: the first cut, or it cannot be told which wall it is of)."""

    short: Mm
    error: Mm
    bends: Mm
    walls: tuple[Side, ...]
    cut: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What cut a wall last: the skim's number (0: the first cut), and what of its error may be by bending."""

    number: int
    bends: Mm


def last_cuts(sides: Sequence[Side], *, walls: Walls, island: bool, history: History, first: Mm) -> tuple[Cut, ...]:
    """What cut each wall last; ``first``: what of the first cut's error may be by bending."""
    name, region = walls.feature.spec.name, walls.numbers[0]
    found = [last_cut(history, feature=name, region=region, side=side, island=island) for side in sides]
    return tuple(
        Cut(number=0, bends=first) if one is None else Cut(number=one.number, bends=one.bends) for one in found
    )


def own_of(short: Mm, *, error: Mm, asked: Asked, walls: Walls, island: bool, history: History, first: Mm) -> Own:
    """What a size that is ``short`` of what programs were to make says of single walls (a depth: of the floor)."""
    if asked.along is Along.DEPTH:
        return Own(short=short, error=error, bends=0.0, walls=(), cut=walls.skim)
    sides = _sides(asked)
    cuts = last_cuts(sides, walls=walls, island=island, history=history, first=first)
    numbers = {one.number for one in cuts}
    bends = max(one.bends for one in cuts)
    if len(sides) == 1:
        return Own(short=short, error=error, bends=bends, walls=sides, cut=cuts[0].number)
    if len(numbers) == 1:
        return Own(short=short / 2.0, error=error / 2.0, bends=bends, walls=sides, cut=cuts[0].number)
    if len(sides) == 2:
        late = 0 if cuts[0].number > cuts[1].number else 1
        before = _known(sides[1 - late], cut=cuts[1 - late].number, asked=asked, walls=walls, history=history)
        if before is not None:
            return Own(
                short=short - before.short,
                error=math.hypot(error, before.error),
                bends=cuts[late].bends,
                walls=(sides[late],),
                cut=cuts[late].number,
            )
    return Own(short=short / 2.0, error=error / 2.0, bends=bends, walls=sides, cut=0)


def _sides(asked: Asked) -> tuple[Side, ...]:
    """The walls that a size lies between, or the one that was measured."""
    if asked.along is Along.WALL and asked.wall is not None:
        return (asked.wall,)
    return tuple(Side) if asked.axis is None else facing(asked.axis)


def _known(side: Side, *, cut: int, asked: Asked, walls: Walls, history: History) -> Reading | None:
    """The last measurement that says how far a wall stands as that skim left it: of the same size, or of the wall."""
    island = island_of(asked, walls=walls)

    def same(one: Reading) -> bool:
        if one.wall is not None:
            return (island_of(replace(asked, at=one.at), walls=walls) is None) == (island is None)
        return (one.along, one.at, one.at_depth) == (asked.along.value, asked.at, asked.at_depth)

    found = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.cut) == (walls.feature.spec.name, walls.numbers, cut)
        and side in one.walls
        and same(one)
    ]
    return found[-1] if found else None
