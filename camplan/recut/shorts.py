"""Of which walls the error of a measured size is, how much of it each has, and what cut them.

Two walls that one program cut share the error of the width between them alike.  Where one was cut alone since, the
other still stands as it stood, and what it was off then is not this one's.
"""

import math
from dataclasses import dataclass, replace

from camplan.recut.asked import Along, Asked
from camplan.recut.figures import across, gives_at
from camplan.recut.history import History, Reading, last_cut
from camplan.recut.sides import Side, facing
from camplan.recut.walls import Walls, island_of
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """How far each of ``walls`` stands short, with its standard error ``error`` and what of it may be by bending; by
    the skim number ``cut`` (0: the first cut, or it cannot be told which wall it is of).  ``last``: the last skim that
    cut any wall of the size."""

    short: Mm
    error: Mm
    bends: Mm
    walls: tuple[Side, ...]
    cut: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A wall that bounds a size on ``side``, itself the ``wall`` of the region or of an ``island``; by number the skim
    that cut it last (0: the first cut), and what of its error may be by bending."""

    side: Side
    wall: Side
    island: bool
    number: int
    bends: Mm


def cuts_of(asked: Asked, *, walls: Walls, history: History, first: Mm) -> tuple[Cut, ...]:
    """The walls that a size lies between, or the one that was measured, and what cut each last; ``first``: what of the
    first cut's error may be by bending."""
    found: list[Cut] = []
    for side in _sides(asked):
        wall, island = _really(side, asked=asked, walls=walls)
        last = last_cut(history, feature=walls.feature.spec.name, region=walls.numbers[0], side=wall, island=island)
        number, bends = (0, first) if last is None else (last.number, last.bends)
        found.append(Cut(side=side, wall=wall, island=island, number=number, bends=bends))
    return tuple(found)


def own_of(short: Mm, *, error: Mm, asked: Asked, walls: Walls, history: History, first: Mm) -> Own:
    """What a size that is ``short`` of what programs were to make says of single walls (a depth: of the floor)."""
    cuts = cuts_of(asked, walls=walls, history=history, first=first)
    if not cuts:
        return Own(short=short, error=error, bends=0.0, walls=(), cut=walls.skim, last=walls.skim)
    sides = tuple(one.side for one in cuts)
    last = max(one.number for one in cuts)
    bends = max(one.bends for one in cuts)
    if len(cuts) == 1:
        return Own(short=short, error=error, bends=bends, walls=sides, cut=last, last=last)
    same = min(one.number for one in cuts) == last
    if not same and len(cuts) == 2:
        late, early = sorted(cuts, key=lambda one: -one.number)
        before = _known(early, asked=asked, walls=walls, history=history)
        if before is not None:
            return Own(
                short=short - before.short,
                error=math.hypot(error, before.error),
                bends=late.bends,
                walls=(late.side,),
                cut=late.number,
                last=last,
            )
    return Own(short=short / 2.0, error=error / 2.0, bends=bends, walls=sides, cut=last if same else 0, last=last)


def _sides(asked: Asked) -> tuple[Side, ...]:
    if asked.along is Along.DEPTH:
        return ()
    if asked.along is Along.WALL and asked.wall is not None:
        return (asked.wall,)
    return tuple(Side) if asked.axis is None else facing(asked.axis)


def _really(side: Side, *, asked: Asked, walls: Walls) -> tuple[Side, bool]:
    """Whose wall bounds a size on a side: beside an island it is the island's wall that faces it."""
    if island_of(asked, walls=walls) is not None:
        return side, True
    for number in walls.numbers:
        region = walls.feature.regions[number - 1]
        if asked.at is not None and region.islands and across(region, along=side.axis, at=asked.at) is not None:
            islands = abs(gives_at(region, sides=(side,), at=asked.at)) < 0.5
            return (side.other, True) if islands else (side, False)
    return side, False


def _known(wall: Cut, *, asked: Asked, walls: Walls, history: History) -> Reading | None:
    """The last measurement that says how far a wall stands as the skim left it that cut it: of the same size, or of the
    wall by itself."""

    def same(one: Reading) -> bool:
        if one.wall is None:
            mine = (one.along, one.at, one.at_depth) == (asked.along.value, asked.at, asked.at_depth)
            return mine and wall.side in one.walls
        island = island_of(replace(asked, at=one.at), walls=walls) is not None
        return (one.wall, island) == (wall.wall, wall.island)

    found = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.cut) == (walls.feature.spec.name, walls.numbers, wall.number) and same(one)
    ]
    return found[-1] if found else None
