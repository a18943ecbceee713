"""Measured sizes held against what programs were to make: which walls they are of, and what each must give."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.sections import may
from camplan.features.specs import PocketSpec
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.figures import Axes, across, faces_along, grown, is_round
from camplan.recut.gives import Give, Known, Verdict, give_of, step_of
from camplan.recut.history import History, Reading, last_skim, observations, reading_said
from camplan.recut.journal import Value
from camplan.recut.learned import FAR, NOTHING_LEARNED, Learned, Observation, lasting, learned
from camplan.recut.readings import Size, checked_readings, size_of
from camplan.units import UM_PER_MM, Mm

_SAME: Mm = 1e-4
_LEAST_STEP: Mm = 0.010
"""What a wall gives at least where only is known that a mate does not go in (common practice, no source)."""
LEAST_FLOOR: Mm = 0.010
"""The thinnest skim of a floor: about the round of an edge, under which it presses more than it cuts (common practice,
no source)."""
_UNCHANGED = 0.25
"""A size that changed by less than this share of what a skim was to take was measured before it ran."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walls:
    """The regions of a feature, by their ``numbers`` from 1, whose walls give together: where programs put them last,
    ``grow`` outside the drawn ones, the floor ``deeper`` than drawn, by the skim of number ``skim`` (0: by the
    plan)."""

    feature: Feature
    numbers: tuple[int, ...]
    grow: Axes
    deeper: Mm
    skim: int
    bends: Mm = 0.0

    @property
    def round(self) -> bool:
        """Whether each is a circle, so that one width is a diameter."""
        return bool(self.numbers) and all(is_round(self.feature.regions[number - 1]) for number in self.numbers)


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
class Stand:
    """Where programs put the walls and the floor of a region last, from the drawn ones; by which skim."""

    grow: Axes
    deeper: Mm
    skim: int
    bends: Mm


def stands(feature: Feature, *, number: int, history: History) -> Stand:
    """Where one region's walls and floor stand."""
    skim = last_skim(history, feature=feature.spec.name, region=number)
    if skim is not None:
        return Stand(grow=skim.grow, deeper=skim.deeper, skim=skim.number, bends=skim.bends)
    allowance = feature.spec.allowance if isinstance(feature.spec, PocketSpec) else 0.0
    return Stand(grow=(-allowance, -allowance), deeper=0.0, skim=0, bends=0.0)


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
    if len({(one.grow, one.deeper) for one in each}) > 1:
        message = f"the regions of {feature.spec.name} were skimmed apart"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of 1 to {count}"))
    return Walls(
        feature=feature,
        numbers=numbers,
        grow=each[0].grow,
        deeper=each[0].deeper,
        skim=each[0].skim,
        bends=each[0].bends,
    )


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
    seen: set[Along] = set()
    for asked in measured.sizes:
        widths = [one for one in measured.sizes if one.along is not Along.DEPTH]
        if asked.along in seen or (asked.along is Along.DIAMETER and len(widths) > 1):
            message = "more than one size says how far the same walls give"
            problems.append(
                Problem(
                    message=message,
                    key=asked.key,
                    accepted="one --across x and one --across y, or one --diameter; one --depth",
                )
            )
            continue
        seen.add(asked.along)
        try:
            found.append(_sized(asked, walls=walls, measured=measured, history=history, by=by))
        except InputError as error:
            problems.extend(error.problems)
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def next_grow(walls: Walls, *, sizes: Sequence[Sized]) -> tuple[Axes, Axes]:
    """Where the walls shall stand, from the drawn ones, along X and Y; and what is taken off them there.

    A round figure of which one width is known gives the same all round; else walls that face a direction that was not
    measured, or fits, stay where they are.
    """
    grow, widths = list(walls.grow), [0.0, 0.0]
    for one in sizes:
        if one.give.verdict is not Verdict.CUT:
            continue
        for axis in axes_of(one.asked.along, walls=walls, sizes=sizes):
            grow[axis] += (one.give.aim - one.programmed) / 2.0
            widths[axis] = one.give.width
    return (grow[0], grow[1]), (widths[0], widths[1])


def next_deeper(walls: Walls, *, sizes: Sequence[Sized]) -> tuple[Mm, Mm]:
    """How much deeper than drawn the floor shall be, and what is taken off it."""
    for one in sizes:
        if one.asked.along is Along.DEPTH and one.give.verdict is Verdict.CUT:
            return one.give.aim - walls.feature.bottom, one.give.width
    return walls.deeper, 0.0


def axes_of(along: Along, *, walls: Walls, sizes: Sequence[Sized]) -> tuple[int, ...]:
    """The axes along which the walls of a size give: 0 is X, 1 is Y."""
    if along is Along.DEPTH:
        return ()
    widths = [one for one in sizes if one.asked.along is not Along.DEPTH]
    if along is Along.DIAMETER or (walls.round and len(widths) == 1):
        return (0, 1)
    return (0,) if along is Along.X else (1,)


def _sized(asked: Asked, *, walls: Walls, measured: Measured, history: History, by: Cutting) -> Sized:
    spec = walls.feature.spec
    assert isinstance(spec, PocketSpec)
    drawn, programmed = _drawn(asked, walls=walls), _programmed(asked, walls=walls)
    count = 1 if asked.along is Along.DEPTH else 2
    wanted = asked.wanted if asked.wanted is not None else drawn
    checked_readings([wanted], expected=programmed, key=f"{asked.key} --wanted")
    known = Known(
        programmed=programmed,
        wanted=wanted,
        tolerance=spec.tolerance,
        least=LEAST_FLOOR if asked.along is Along.DEPTH else by.least,
        walls=count,
        taught=NOTHING_LEARNED,
    )
    if asked.sticks:
        give = step_of(asked.step or max(_LEAST_STEP, known.least), known=known)
        return Sized(
            asked=asked,
            drawn=drawn,
            programmed=programmed,
            wanted=wanted,
            size=None,
            give=give,
            taught=NOTHING_LEARNED,
            reading=None,
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
        short=(programmed - size.mean) / count,
        error=size.error / count,
        bends=0.0 if asked.along is Along.DEPTH else walls.bends if walls.skim else by.bends,
    )
    taught = _taught(reading, history=history, new_zero=measured.new_zero)
    give = give_of(size, known=replace(known, taught=taught))
    return Sized(
        asked=asked,
        drawn=drawn,
        programmed=programmed,
        wanted=wanted,
        size=size,
        give=give,
        taught=taught,
        reading=reading,
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


def _drawn(asked: Asked, *, walls: Walls) -> Mm:
    """The size as drawn, the same of all regions that are meant; InputError where there is none."""
    feature = walls.feature
    if asked.along is Along.DEPTH:
        return _drawn_depth(asked, feature=feature)
    axis = 1 if asked.along is Along.Y else 0
    if asked.along is Along.DIAMETER and not walls.round:
        message = f"{feature.spec.name} is not round"
        raise InputError(Problem(message=message, key=asked.key, accepted="--across x or --across y"))
    wider = 2.0 * _leans(asked, feature=feature)
    regions = [(number, feature.regions[number - 1]) for number in walls.numbers]
    if asked.at is not None:
        for _, region in regions:
            width = across(region, along=axis, at=asked.at)
            if width is not None:
                if not faces_along(region, along=axis, at=asked.at):
                    message = f"the walls there do not face each other along {'XY'[axis]}"
                    raise InputError(Problem(message=message, key="--at", accepted="a place between two such walls"))
                return width + wider
        message = f"X {asked.at[0]:g} Y {asked.at[1]:g} is not inside {feature.spec.name}"
        raise InputError(
            Problem(message=message, key="--at", accepted="a place between two walls, from the plate's zero")
        )
    widths = [(number, across(region, along=axis, at=None) or 0.0) for number, region in regions]
    if max(width for _, width in widths) - min(width for _, width in widths) > _SAME:
        listed = ", ".join(f"{number}: {width:.3f}" for number, width in widths[:12])
        message = f"{feature.spec.name} has {len(widths)} regions of different sizes"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of {listed} mm"))
    return widths[0][1] + wider


def _drawn_depth(asked: Asked, *, feature: Feature) -> Mm:
    spec = feature.spec
    leaning = isinstance(spec, PocketSpec) and spec.draft > 0.0
    if feature.through or leaning or asked.at is not None:
        message = (
            f"{spec.name} goes through: it has no floor"
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


def _programmed(asked: Asked, *, walls: Walls) -> Mm:
    """The size that the program was to make that cut it last."""
    if asked.along is Along.DEPTH:
        return walls.feature.bottom + walls.deeper
    axis = 1 if asked.along is Along.Y else 0
    wider = 2.0 * _leans(asked, feature=walls.feature)
    for number in walls.numbers:
        region = walls.feature.regions[number - 1]
        widths = [across(one, along=axis, at=asked.at) for one in grown(region, by=walls.grow)]
        known = [width for width in widths if width is not None]
        if known:
            return max(known) + wider
    message = "what is left between the walls there is nothing"
    raise InputError(Problem(message=message, key=asked.key, accepted="another place"))


def _refuse_unchanged(size: Size, *, asked: Asked, walls: Walls, programmed: Mm, history: History) -> None:
    """InputError where a size was measured before the last skim of it and has hardly changed since."""
    before = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.along, one.at, one.at_depth)
        == (walls.feature.spec.name, walls.numbers, asked.along.value, asked.at, asked.at_depth)
        and one.skim < walls.skim
        and one.programmed < programmed - _SAME
    ]
    if not before:
        return
    last = before[-1]
    expected = programmed - last.mean
    doubt = math.hypot(size.half_width, last.half_width)
    if expected > 2.0 * doubt and size.mean - last.mean < _UNCHANGED * expected:
        message = (
            f"{size.mean:.3f} mm is what was measured before skim {walls.skim} was written ({last.mean:.3f}), which "
            f"was to take {expected * UM_PER_MM:.0f} um: it seems not to have been run"
        )
        accepted = "the size after that skim; or --not-run with this size, if it was not run"
        raise InputError(Problem(message=message, key=f"{asked.key} --measured", accepted=accepted))
