"""Measured sizes held against what programs were to make: which walls they are of, and what each must give."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from camplan.errors import InputError, Problem
from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.recut.asked import Along, Asked, Measured
from camplan.recut.figures import Axes, across, faces_along, grown, is_round
from camplan.recut.gives import Give, Known, Verdict, give_of, step_of
from camplan.recut.history import History, Reading, last_skim, observations, reading_said
from camplan.recut.journal import Value
from camplan.recut.learned import NOTHING_LEARNED, Learned, learned
from camplan.recut.readings import Size, checked_readings, size_of
from camplan.units import UM_PER_MM, Mm

_SAME: Mm = 1e-4
_LEAST_STEP: Mm = 0.010
"""What a wall gives at least where only is known that a mate does not go in (common practice, no source)."""
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

    def entry(self) -> dict[str, Value]:
        """What the journal says of it; ValueError if it was not measured."""
        if self.reading is None:
            raise ValueError("nothing was measured")
        return reading_said(self.reading, readings=self.asked.readings)


def walls_of(feature: Feature, *, measured: Measured, history: History) -> Walls:
    """The walls that are meant; InputError for a region that there is not, and where regions stand differently."""
    count = len(feature.regions)
    if measured.region is not None and not 1 <= measured.region <= count:
        message = f"{feature.spec.name} has no region {measured.region}"
        raise InputError(Problem(message=message, key="--region", accepted=f"1 to {count}"))
    numbers = (measured.region,) if measured.region is not None else tuple(range(1, count + 1))
    allowance = feature.spec.allowance if isinstance(feature.spec, PocketSpec) else 0.0
    stands: list[tuple[Axes, Mm, int, Mm]] = []
    for number in numbers:
        skim = last_skim(history, feature=feature.spec.name, region=number)
        drawn: Axes = (-allowance, -allowance)
        stands.append((drawn, 0.0, 0, 0.0) if skim is None else (skim.grow, skim.deeper, skim.number, skim.bends))
    if len({(grow, deeper) for grow, deeper, *_ in stands}) > 1:
        message = f"the regions of {feature.spec.name} were skimmed apart"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of 1 to {count}"))
    grow, deeper, skim_number, bends = stands[0]
    return Walls(feature=feature, numbers=numbers, grow=grow, deeper=deeper, skim=skim_number, bends=bends)


def sized(
    walls: Walls, *, measured: Measured, history: History, least: Mm, cutter: str, material: str
) -> tuple[Sized, ...]:
    """Every size with what it asks for; InputError with all that cannot be meant."""
    problems: list[Problem] = []
    found: list[Sized] = []
    seen: set[Along] = set()
    for asked in measured.sizes:
        if asked.along in seen or (Along.DIAMETER in seen | {asked.along} and len(measured.sizes) > 1):
            message = "more than one size says how far the same walls give"
            problems.append(
                Problem(message=message, key=asked.key, accepted="one --across x and one --across y, or one --diameter")
            )
            continue
        seen.add(asked.along)
        try:
            found.append(
                _sized(
                    asked,
                    walls=walls,
                    measured=measured,
                    history=history,
                    least=least,
                    cutter=cutter,
                    material=material,
                )
            )
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


def axes_of(along: Along, *, walls: Walls, sizes: Sequence[Sized]) -> tuple[int, ...]:
    """The axes along which the walls of a size give: 0 is X, 1 is Y."""
    if along is Along.DIAMETER or (walls.round and len(sizes) == 1):
        return (0, 1)
    return (0,) if along is Along.X else (1,)


def _sized(
    asked: Asked, *, walls: Walls, measured: Measured, history: History, least: Mm, cutter: str, material: str
) -> Sized:
    spec = walls.feature.spec
    assert isinstance(spec, PocketSpec)
    drawn, programmed = _drawn(asked, walls=walls), _programmed(asked, walls=walls)
    wanted = asked.wanted if asked.wanted is not None else drawn
    checked_readings([wanted], expected=programmed, key=f"{asked.key} --wanted")
    known = Known(
        programmed=programmed,
        wanted=wanted,
        tolerance=spec.tolerance,
        least=least,
        walls=2,
        taught=NOTHING_LEARNED,
    )
    if asked.sticks:
        give = step_of(asked.step or max(_LEAST_STEP, least), known=known)
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
        skim=walls.skim,
        mean=size.mean,
        half_width=size.half_width,
        wanted=wanted,
        programmed=programmed,
        cutter=cutter,
        material=material,
        short=(programmed - size.mean) / 2.0,
        error=size.error / 2.0,
        bends=walls.bends,
    )
    taught = learned(observations(history, cutter=cutter, material=material, along=along, now=[reading]))
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


def _drawn(asked: Asked, *, walls: Walls) -> Mm:
    """The size as drawn, the same of all regions that are meant; InputError where there is none."""
    axis = 1 if asked.along is Along.Y else 0
    if asked.along is Along.DIAMETER and not walls.round:
        message = f"{walls.feature.spec.name} is not round"
        raise InputError(Problem(message=message, key=asked.key, accepted="--across x or --across y"))
    regions = [(number, walls.feature.regions[number - 1]) for number in walls.numbers]
    if asked.at is not None:
        for _, region in regions:
            width = across(region, along=axis, at=asked.at)
            if width is not None:
                if not faces_along(region, along=axis, at=asked.at):
                    message = f"the walls there do not face each other along {'XY'[axis]}"
                    raise InputError(Problem(message=message, key="--at", accepted="a place between two such walls"))
                return width
        message = f"X {asked.at[0]:g} Y {asked.at[1]:g} is not inside {walls.feature.spec.name}"
        raise InputError(
            Problem(message=message, key="--at", accepted="a place between two walls, from the plate's zero")
        )
    widths = [(number, across(region, along=axis, at=None) or 0.0) for number, region in regions]
    if max(width for _, width in widths) - min(width for _, width in widths) > _SAME:
        listed = ", ".join(f"{number}: {width:.3f}" for number, width in widths[:12])
        message = f"{walls.feature.spec.name} has {len(widths)} regions of different sizes"
        raise InputError(Problem(message=message, key="--region", accepted=f"one of {listed} mm"))
    return widths[0][1]


def _programmed(asked: Asked, *, walls: Walls) -> Mm:
    """The size that the program was to make that cut it last."""
    axis = 1 if asked.along is Along.Y else 0
    for number in walls.numbers:
        region = walls.feature.regions[number - 1]
        widths = [across(one, along=axis, at=asked.at) for one in grown(region, by=walls.grow)]
        known = [width for width in widths if width is not None]
        if known:
            return max(known)
    message = "what is left between the walls there is nothing"
    raise InputError(Problem(message=message, key=asked.key, accepted="another place"))


def _refuse_unchanged(size: Size, *, asked: Asked, walls: Walls, programmed: Mm, history: History) -> None:
    """InputError where a size was measured before the last skim of it and has hardly changed since."""
    before = [
        one
        for one in history.readings
        if (one.feature, one.regions, one.along, one.at)
        == (walls.feature.spec.name, walls.numbers, asked.along.value, asked.at)
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
