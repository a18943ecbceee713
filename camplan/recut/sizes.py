"""Measured sizes held against what programs were to make: which walls they are of, and what each must give."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.errors import InputError, Problem
from camplan.features.specs import OutlineSpec, PocketSpec
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.figures import Axes
from camplan.recut.gives import Give, Known, Verdict, give_of, step_of
from camplan.recut.history import History, Reading, observations, reading_said
from camplan.recut.journal import Value
from camplan.recut.learned import FAR, NOTHING_LEARNED, Learned, Observation, lasting, learned
from camplan.recut.readings import Size, checked_readings, size_of
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

    @property
    def bends(self) -> Mm:
        """What of the error may be by bending."""
        return self.reading.bends if self.reading is not None else 0.0

    @property
    def lasting(self) -> Mm:
        """What of the error comes again."""
        return lasting(self.give.short, bends=self.bends)

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
    seen: set[tuple[Along, bool]] = set()
    for asked in measured.sizes:
        widths = [one for one in measured.sizes if one.along is not Along.DEPTH and island_of(one, walls=walls) is None]
        which = (asked.along, island_of(asked, walls=walls) is not None)
        if which in seen or (asked.along is Along.DIAMETER and len(widths) > 1):
            message = "more than one size says how far the same walls give"
            problems.append(
                Problem(
                    message=message,
                    key=asked.key,
                    accepted="one --across x and one --across y, or one --diameter; one --depth",
                )
            )
            continue
        seen.add(which)
        try:
            found.append(_sized(asked, walls=walls, measured=measured, history=history, by=by))
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """Where the walls of regions and of their islands shall stand, from the drawn ones, along X and Y; and how much is
    taken off them there; ``inward``: they are a part's."""

    grow: Axes
    islands: Axes
    widths: Axes
    island_widths: Axes
    inward: bool = False

    @property
    def widest(self) -> Mm:
        """The most that is taken off a wall."""
        return max(*self.widths, *self.island_widths)

    def before(self, share: float) -> tuple[Axes, Axes]:
        """Where they stand while a share of what is to go still stands."""
        back = -share if self.inward else share
        return (
            (self.grow[0] - back * self.widths[0], self.grow[1] - back * self.widths[1]),
            (self.islands[0] - back * self.island_widths[0], self.islands[1] - back * self.island_widths[1]),
        )


def next_grow(walls: Walls, *, sizes: Sequence[Sized]) -> Next:
    """Where the walls shall stand.

    A round figure of which one width is known gives the same all round; else walls that face a direction that was not
    measured, or fits, stay where they are.  Islands give with the walls about them, unless their own size is known.
    """
    grow, widths = list(walls.grow), [0.0, 0.0]
    islands, thin = list(walls.islands), [0.0, 0.0]
    own = {axis for one in sizes if one.island for axis in axes_of(one, walls=walls, sizes=sizes)}
    for one in sizes:
        if one.give.verdict is not Verdict.CUT:
            continue
        by = (one.give.aim - one.programmed) / 2.0
        for axis in axes_of(one, walls=walls, sizes=sizes):
            if one.island or axis not in own:
                islands[axis] += -by if one.island else by
                thin[axis] = one.give.width
            if not one.island:
                grow[axis] += by
                widths[axis] = one.give.width
    return Next(
        grow=(grow[0], grow[1]),
        islands=(islands[0], islands[1]),
        widths=(widths[0], widths[1]),
        island_widths=(thin[0], thin[1]),
        inward=is_part(walls.feature),
    )


def next_deeper(walls: Walls, *, sizes: Sequence[Sized]) -> tuple[Mm, Mm]:
    """How much deeper than drawn the floor shall be, and what is taken off it."""
    for one in sizes:
        if one.asked.along is Along.DEPTH and one.give.verdict is Verdict.CUT:
            return one.give.aim - walls.feature.bottom, one.give.width
    return walls.deeper, 0.0


def axes_of(one: Sized, *, walls: Walls, sizes: Sequence[Sized]) -> tuple[int, ...]:
    """The axes along which the walls of a size give: 0 is X, 1 is Y."""
    along = one.asked.along
    if along is Along.DEPTH:
        return ()
    widths = [each for each in sizes if each.asked.along is not Along.DEPTH and not each.island]
    if along is Along.DIAMETER or (walls.round and len(widths) == 1 and not one.island):
        return (0, 1)
    return (0,) if along is Along.X else (1,)


def _sized(asked: Asked, *, walls: Walls, measured: Measured, history: History, by: Cutting) -> Sized:
    spec = walls.feature.spec
    if not isinstance(spec, PocketSpec | OutlineSpec):
        raise TypeError(f"{spec.name} has no walls that give")
    drawn, programmed = drawn_size(asked, walls=walls), programmed_size(asked, walls=walls)
    count = 1 if asked.along is Along.DEPTH else 2
    island = island_of(asked, walls=walls) is not None
    core = island or (is_part(walls.feature) and asked.along is not Along.DEPTH)
    sign = -1.0 if core else 1.0
    wanted = asked.wanted if asked.wanted is not None else drawn
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
        )
    checked_readings(asked.readings, expected=programmed, key=f"{asked.key} --measured")
    size = size_of(asked.readings, instrument=measured.instrument)
    _refuse_unchanged(size, asked=asked, walls=walls, programmed=programmed, history=history)
    along = asked.along.value
    reading = Reading(
        line=0,
        plan=history.plan,
        feature=spec.name,
        regions=walls.numbers,
        along=along,
        at=asked.at,
        at_depth=asked.at_depth,
        skim=walls.skim,
        mean=size.mean,
        half_width=size.half_width,
        wanted=wanted,
        programmed=programmed,
        cutter=by.cutter,
        material=by.material,
        short=sign * (programmed - size.mean) / count,
        error=size.error / count,
        bends=0.0 if asked.along is Along.DEPTH else walls.bends if walls.skim else by.bends,
    )
    taught = _taught(reading, history=history, new_zero=measured.new_zero)
    give = give_of(replace(size, mean=sign * size.mean), known=replace(known, taught=taught))
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
    )


def _taught(reading: Reading, *, history: History, new_zero: bool) -> Learned:
    """What skims taught, this one's measurement included; before any, what of the first cut's error cannot be bending.

    A depth is off by how Z was touched off, so only skims from the same zero teach it."""
    if reading.along == Along.DEPTH.value:
        if new_zero:
            return NOTHING_LEARNED
        history = replace(history, all_readings=history.readings)
    found = learned(
        observations(history, cutter=reading.cutter, material=reading.material, along=reading.along, now=[reading])
    )
    if found.count or reading.skim or abs(reading.short) > FAR:
        return found
    return learned([Observation(short=lasting(reading.short, bends=reading.bends), error=reading.error)])


def _refuse_unchanged(size: Size, *, asked: Asked, walls: Walls, programmed: Mm, history: History) -> None:
    """InputError where a size was measured before the last skim of it and has hardly changed since."""
    before = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.along, one.at, one.at_depth)
        == (walls.feature.spec.name, walls.numbers, asked.along.value, asked.at, asked.at_depth)
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
