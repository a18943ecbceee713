"""Measured sizes held against what programs were to make: which walls they are of, and what each must give."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.errors import InputError, Problem
from camplan.features.specs import OutlineSpec, PocketSpec
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.gives import Give, Known, Verdict, give_of, step_of
from camplan.recut.history import History, Reading, observations, reading_said
from camplan.recut.journal import Value
from camplan.recut.learned import FAR, NOTHING_LEARNED, Learned, Observation, lasting, learned
from camplan.recut.readings import Size, checked_readings, checked_shorts, size_of
from camplan.recut.shorts import cuts_of, own_of
from camplan.recut.sides import Side, Sides, facing
from camplan.recut.walls import Walls, drawn_size, is_part, island_of, programmed_size
from camplan.units import UM_PER_MM, Mm

_SAME: Mm = 1e-4
_LEAST_STEP: Mm = 0.010
"""What a wall gives at least where only is known that a mate does not go in (common practice, no source)."""
LEAST_FLOOR: Mm = 0.010
"""The thinnest skim of a floor: about the round of an edge, under which it presses more than it cuts (common practice,
no source)."""
_UNCHANGED = 0.25
"""A size that changed by less than this share of what a skim was to take was measured before it ran."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """One size as it was asked: as ``drawn``, as it was ``programmed`` last, as it was measured (None: it sticks) and
    as it is ``wanted``; what it asks for, what earlier skims ``taught``, and how it is written down."""

    asked: Asked
    drawn: Mm
    programmed: Mm
    wanted: Mm
    size: Size | None
    give: Give
    taught: Learned
    reading: Reading | None
    core: bool = False
    """Whether it is of what stands, an island or a part, whose walls give the other way."""
    island: bool = False
    skim: int = 0
    """The last skim that cut any of its walls, or the floor (0: none did)."""
    together: Mm | None = None
    """Of a width of which one wall gives all: what of it may be by that wall's bending.  ``give.short`` is then what
    both walls stand short together (None: of each wall that gives)."""

    @property
    def bends(self) -> Mm:
        """What of the error may be by bending."""
        if self.together is not None:
            return self.together
        return self.reading.bends if self.reading is not None else 0.0

    @property
    def lasting(self) -> Mm:
        """What of the error comes again."""
        return lasting(self.give.short, bends=self.bends)

    @property
    def far(self) -> bool:
        """Whether it is farther off than cutters and mills are."""
        return self.reading is not None and abs(self.give.short) > (FAR if self.together is None else 2.0 * FAR)

    def entry(self) -> dict[str, Value]:
        """What the journal says of it; ValueError if it was not measured."""
        if self.reading is None:
            raise ValueError("nothing was measured")
        return reading_said(self.reading, readings=self.asked.readings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What cut the walls: ``cutter`` and ``material`` by name, the ``least`` that a skim takes, and what of the first
    cut's error may be by bending."""

    cutter: str
    material: str
    least: Mm
    bends: Mm


def sized(walls: Walls, *, measured: Measured, history: History, by: Cutting) -> tuple[Sized, ...]:
    """Every size with what it asks for; InputError with all that cannot be meant."""
    problems: list[Problem] = []
    found: list[Sized] = []
    seen: list[tuple[bool, frozenset[Side] | None]] = []
    for asked in measured.sizes:
        which = (island_of(asked, walls=walls) is not None, _between(asked))
        if any(_same_walls(which, other) for other in seen):
            message = "more than one size says how far the same walls give"
            problems.append(
                Problem(
                    message=message,
                    key=asked.key,
                    accepted="one --across x and one --across y, or one --diameter; one --depth; or walls by --wall, "
                    "none of them twice",
                )
            )
            continue
        seen.append(which)
        try:
            found.append(_sized(asked, walls=walls, measured=measured, history=history, by=by))
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _between(asked: Asked) -> frozenset[Side] | None:
    """The walls that a size says something of; None of a floor."""
    if asked.along is Along.DEPTH:
        return None
    if asked.along is Along.WALL and asked.wall is not None:
        return frozenset({asked.wall})
    return frozenset(Side) if asked.axis is None else frozenset(facing(asked.axis))


def _same_walls(one: tuple[bool, frozenset[Side] | None], other: tuple[bool, frozenset[Side] | None]) -> bool:
    """Whether two sizes, each of an island or not, say something of the same walls, or of the same floor."""
    if one[1] is None or other[1] is None:
        return one[1] is other[1]
    return one[0] == other[0] and bool(one[1] & other[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """Where the walls of regions and of their islands shall stand, from the drawn ones; and how much is taken off them
    there, nothing off those that are left alone; ``inward``: they are a part's."""

    grow: Sides
    islands: Sides
    widths: Sides
    island_widths: Sides
    inward: bool = False

    @property
    def widest(self) -> Mm:
        """The most that is taken off a wall."""
        found: list[Mm] = [*self.widths, *self.island_widths]
        return max(found)

    @property
    def cut(self) -> tuple[tuple[Side, ...], tuple[Side, ...]]:
        """The walls of regions that are cut, and those of islands."""
        return (
            tuple(side for side in Side if self.widths.at(side) > 0.0),
            tuple(side for side in Side if self.island_widths.at(side) > 0.0),
        )

    def before(self, share: float) -> tuple[Sides, Sides]:
        """Where they stand while a share of what is to go still stands."""
        back = -share if self.inward else share
        return self.grow.plus(self.widths, times=-back), self.islands.plus(self.island_widths, times=-back)


def next_grow(walls: Walls, *, sizes: Sequence[Sized]) -> Next:
    """Where the walls shall stand.

    A round figure of which one width is known gives the same all round; else walls that face a direction that was not
    measured, or fits, stay where they are, as all do but one that is to give by itself.  Islands give with the walls
    about them, unless their own size is known or a single wall gives.
    """
    grow, widths = walls.grow, Sides()
    islands, thin = walls.islands, Sides()
    own = {side for one in sizes if one.island for side in sides_of(one, walls=walls, sizes=sizes)}
    for one in sizes:
        if one.give.verdict is not Verdict.CUT:
            continue
        more = (one.give.aim - one.programmed) / walls_giving(one.asked)
        gives = -more if one.core and one.asked.along is not Along.WALL else more
        out = -gives if is_part(walls.feature) else gives
        for side in sides_of(one, walls=walls, sizes=sizes):
            if one.island or (side not in own and one.asked.wall is None):
                islands = islands.moved(side, by=gives if one.island else out)
                thin = thin.put(side, to=one.give.width)
            if not one.island:
                grow = grow.moved(side, by=out)
                widths = widths.put(side, to=one.give.width)
    return Next(grow=grow, islands=islands, widths=widths, island_widths=thin, inward=is_part(walls.feature))


def walls_giving(asked: Asked) -> int:
    """How many walls share what a size lacks: a floor, or a wall by itself, gives all."""
    return 1 if asked.along is Along.DEPTH or asked.wall is not None else 2


def next_deeper(walls: Walls, *, sizes: Sequence[Sized]) -> tuple[Mm, Mm]:
    """How much deeper than drawn the floor shall be, and what is taken off it."""
    for one in sizes:
        if one.asked.along is Along.DEPTH and one.give.verdict is Verdict.CUT:
            return one.give.aim - walls.feature.bottom, one.give.width
    return walls.deeper, 0.0


def sides_of(one: Sized, *, walls: Walls, sizes: Sequence[Sized]) -> tuple[Side, ...]:
    """The walls that give by a size."""
    along = one.asked.along
    if along is Along.DEPTH:
        return ()
    if one.asked.wall is not None:
        return (one.asked.wall,)
    widths = [each for each in sizes if each.asked.along is not Along.DEPTH and not each.island]
    if one.asked.axis is None or (walls.round and len(widths) == 1 and not one.island):
        return tuple(Side)
    return facing(one.asked.axis)


def _sized(asked: Asked, *, walls: Walls, measured: Measured, history: History, by: Cutting) -> Sized:
    spec = walls.feature.spec
    if not isinstance(spec, PocketSpec | OutlineSpec):
        raise TypeError(f"{spec.name} has no walls that give")
    drawn, programmed = drawn_size(asked, walls=walls), programmed_size(asked, walls=walls)
    count = walls_giving(asked)
    island = island_of(asked, walls=walls) is not None
    core = island or (is_part(walls.feature) and asked.along is not Along.DEPTH)
    sign = -1.0 if core and asked.along is not Along.WALL else 1.0
    wanted = asked.wanted if asked.wanted is not None else drawn
    if asked.along is not Along.WALL:
        checked_readings([wanted], expected=programmed, key=f"{asked.key} --wanted")
    known = Known(
        programmed=sign * programmed,
        wanted=sign * wanted,
        tolerance=spec.tolerance,
        least=LEAST_FLOOR if asked.along is Along.DEPTH else by.least,
        walls=count,
        taught=NOTHING_LEARNED,
    )
    if asked.sticks:
        give = step_of(asked.step or max(_LEAST_STEP, known.least), known=known)
        give = replace(give, aim=sign * give.aim)
        return Sized(
            asked=asked,
            drawn=drawn,
            programmed=programmed,
            wanted=wanted,
            size=None,
            give=give,
            taught=NOTHING_LEARNED,
            reading=None,
            core=core,
            island=island,
            skim=own_of(0.0, error=0.0, asked=asked, walls=walls, history=history, first=by.bends).last,
        )
    if asked.along is Along.WALL:
        checked_shorts(asked.readings, key=f"{asked.key} --stands-short")
    else:
        checked_readings(asked.readings, expected=programmed, key=f"{asked.key} --measured")
    size = size_of(asked.readings, instrument=measured.instrument)
    _refuse_unchanged(size, asked=asked, walls=walls, programmed=programmed, history=history)
    total = sign * (programmed - size.mean)
    own = own_of(total, error=size.error, asked=asked, walls=walls, history=history, first=by.bends)
    reading = Reading(
        line=0,
        plan=history.plan,
        feature=spec.name,
        regions=walls.numbers,
        along=asked.along.value,
        at=asked.at,
        at_depth=asked.at_depth,
        skim=walls.skim,
        mean=size.mean,
        half_width=size.half_width,
        wanted=wanted,
        programmed=programmed,
        cutter=by.cutter,
        material=by.material,
        short=own.short,
        error=own.error,
        bends=own.bends,
        cut=own.cut,
        walls=own.walls,
        wall=asked.wall if asked.along is Along.WALL else None,
    )
    together, standing = None, 0.0
    if asked.wall is not None and asked.along is not Along.WALL:
        cuts = cuts_of(asked, walls=walls, history=history, first=by.bends)
        together = next(one.bends for one in cuts if one.side is asked.wall)
        taught = _again(total, bends=together, error=size.error)
        standing = own.short if asked.wall not in own.walls else total - own.short
    else:
        taught = _taught(reading, history=history, new_zero=measured.new_zero)
    give = give_of(replace(size, mean=sign * size.mean), known=replace(known, taught=taught, standing=standing))
    give = replace(give, aim=sign * give.aim)
    return Sized(
        asked=asked,
        drawn=drawn,
        programmed=programmed,
        wanted=wanted,
        size=size,
        give=give,
        taught=taught,
        reading=reading,
        core=core,
        island=island,
        together=together,
        skim=own.last,
    )


def _again(short: Mm, *, bends: Mm, error: Mm) -> Learned:
    """What comes again of the error of a width of which one wall is cut: what the wall that stands is off stays whole,
    and of the other's all that is no bending."""
    if abs(short) > 2.0 * FAR:
        return NOTHING_LEARNED
    return learned([Observation(short=lasting(short, bends=bends), error=error)])


def _taught(reading: Reading, *, history: History, new_zero: bool) -> Learned:
    """What skims taught, this one's measurement included; before any, what of the first cut's error cannot be bending.

    A depth is off by how Z was touched off, so only skims from the same zero teach it."""
    if reading.along == Along.DEPTH.value:
        if new_zero:
            return NOTHING_LEARNED
        history = replace(history, all_readings=history.readings)
    found = learned(
        observations(history, cutter=reading.cutter, material=reading.material, along=reading.direction, now=[reading])
    )
    if found.count or reading.cut or abs(reading.short) > FAR:
        return found
    return learned([Observation(short=lasting(reading.short, bends=reading.bends), error=reading.error)])


def _refuse_unchanged(size: Size, *, asked: Asked, walls: Walls, programmed: Mm, history: History) -> None:
    """InputError where a size was measured before the last skim of it and has hardly changed since."""
    measured_wall = asked.wall if asked.along is Along.WALL else None
    before = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.along, one.wall, one.at, one.at_depth)
        == (walls.feature.spec.name, walls.numbers, asked.along.value, measured_wall, asked.at, asked.at_depth)
        and one.skim < walls.skim
        and abs(one.programmed - programmed) > _SAME
    ]
    if not before:
        return
    last = before[-1]
    expected = programmed - last.mean
    doubt = math.hypot(size.half_width, last.half_width)
    changed = (size.mean - last.mean) * math.copysign(1.0, expected)
    if abs(expected) > 2.0 * doubt and changed < _UNCHANGED * abs(expected):
        message = (
            f"{size.mean:.3f} mm is what was measured before skim {walls.skim} was written ({last.mean:.3f}), which "
            f"was to take {abs(expected) * UM_PER_MM:.0f} um: it seems not to have been run"
        )
        accepted = "the size after that skim; or --not-run with this size, if it was not run"
        raise InputError(Problem(message=message, key=f"{asked.key} --measured", accepted=accepted))
