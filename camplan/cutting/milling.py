"""Figures for everything but holes: the deepest and widest cut that every limit allows."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter, CutterKind
from camplan.cutting.chip import ChipRange, table_chip, thinned
from camplan.cutting.custom import (
    ONLY_SLOT,
    WITH_SLOT,
    Cut,
    chip_bounds,
    depth_caps,
    first_width,
    least_depth,
    least_thickest,
    peak_width,
    usual_width,
    width_bounds,
    working_diameter,
)
from camplan.cutting.entry import CORNER_FEED
from camplan.cutting.finishing import FIRST_MOST, SPRING_MOST, SPRING_SHARE, Size, allowed_bending, own_error
from camplan.cutting.force import WEAR
from camplan.cutting.limits import FINISH_BENDING, ROUGH_BENDING, Bound, reachable_feed, rough_bending, tightest
from camplan.cutting.records import CutKind
from camplan.cutting.speed import FULL_SPEED, SLOT_FACTOR, SLOT_SPEED, ChosenSpeed, chosen_speed
from camplan.cutting.strength import (
    Bend,
    Engaged,
    Hold,
    Loads,
    bending_at,
    depth_bounds,
    depths_tried,
    engaged,
    hold,
    loads,
)
from camplan.units import Mm, MmPerMin, Rpm

LONG = 5.0
"""Slenderness from which a cutter counts as long."""

LONG_CHIP = 0.75
"""Chip of a long cutter over that of a short one (CUTTER-NOTES, confirmed)."""

WEAK = 0.01
"""A step down below this share of the diameter is no cut: the cutter is too weak (common practice, no source)."""

GAIN = 1.05
"""A thinner chip than the table's has to remove so much more, by the depth it allows (common practice, no source)."""

_REMOVING = (CutKind.SLOT, CutKind.SIDE, CutKind.EVEN, CutKind.ROUGH, CutKind.CORNERS)
_CHIPS_TRIED = 24
_THINNER = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Milled:
    """What was found for a cut: the figures, the bounds behind them, and the loads they make.

    ``wanted`` is the thickest chip that tables and feeds give, ``floor`` the one below which the edge rubs,
    ``thickest`` the one taken; ``chip`` and ``slot_chip`` are per tooth at ``step_over`` and in a full slot,
    ``ramp_chip`` in a slot no deeper than ``helix_pitch``, ``corner_chip`` of a wall pass into a corner.
    """

    cut: Cut
    diameter: Mm
    speed: ChosenSpeed
    rpm: Rpm
    feed_most: MmPerMin
    table: ChipRange
    chip_limits: tuple[Bound, ...]
    wanted: Mm
    floor: Mm
    thickest: Mm
    chip: Mm
    slot_chip: Mm
    ramp_chip: Mm
    corner_chip: Mm | None
    helix_pitch: Mm
    step_down: Mm
    depth_limits: tuple[Bound, ...]
    step_over: Mm
    width_limits: tuple[Bound, ...]
    held: Hold
    bend: Bend
    cases: tuple[Engaged, ...]
    loads: tuple[Loads, ...]
    too_weak: bool
    size: Size | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Trial:
    """What stays the same while depth and chip are looked for.

    ``chip_most``: inside corners may wrap the stock round the cutter, and the chip is then as thick as it is fed,
    whatever the width; only a cut that is asked for beside a free side is sure to meet none."""

    cut: Cut
    diameter: Mm
    rpm: Rpm
    held: Hold
    bend: Bend
    caps: tuple[Bound, ...]
    depths: NDArray[np.float64]
    chip_most: Mm
    peak: tuple[Engaged, ...] = ()
    """Single moments, which must not break the cutter."""


_CORNER_LEVELS = 4.0
"""A wall is cut in at most so many times the levels that it would take without corners, before corners are fed slower
than `CORNER_FEED` (common practice, no source)."""


def milled(cut: Cut) -> Milled:
    """The figures of a cut that is not a hole; those of a wall with spring passes where they take less time than
    cuts so shallow that one pass is true."""
    if cut.kind is not CutKind.WALL:
        return _milled(cut, bend=_bend(cut))
    allowed = allowed_bending(cut.machine, tolerance=cut.tolerance)
    once = _sized(_milled(cut, bend=Bend(most=allowed, square_to_wall=True, edge=1.0)), allowed=allowed)
    levels = math.ceil(cut.depth / once.step_down - 1e-9)
    if levels == 1 or not once.cases:
        return once
    most = min(FIRST_MOST * allowed, ROUGH_BENDING)
    again = _sized(_milled(cut, bend=Bend(most=most, square_to_wall=True, edge=1.0)), allowed=allowed)
    if again.size is None or again.size.left > allowed + 1e-9:
        return once
    laps = math.ceil(cut.depth / again.step_down - 1e-9) * (1 + again.size.springs) / (again.chip * again.rpm)
    return again if laps < levels / (once.chip * once.rpm) or once.too_weak else once


def _sized(found: Milled, *, allowed: Mm) -> Milled:
    """The figures with the size error that a wall is left with, and the spring passes that bring it there.

    A spring pass cuts what the pass before left by bending, and bends the less."""
    if not found.loads:
        return found
    cut = found.cut
    first = left = max(load.bending for load in found.loads)
    springs = 0
    while left > allowed + 1e-9 and springs < SPRING_MOST:
        skim = engaged(
            cut.cutter,
            material=cut.material,
            diameter=found.diameter,
            width=min(left, found.diameter),
            share=1.0,
            depths=found.cases[0].depths,
        )
        if skim is None:
            break
        bends = bending_at(skim, depth=found.step_down, chip=found.chip, held=found.held, bend=found.bend)
        left = min(max(bends, SPRING_SHARE * left), left)
        springs += 1
    own = own_error(cut.machine)
    return replace(found, size=Size(first=first, left=left, springs=springs, own=own, tolerance=cut.tolerance))


def _milled(cut: Cut, *, bend: Bend) -> Milled:
    cutter, kind = cut.cutter, cut.kind
    diameter = working_diameter(cutter, kind=kind, depth=cut.depth)
    width = first_width(cut, diameter=diameter)
    usual = usual_width(cut, width=width, diameter=diameter)
    widened = thinned(1.0, diameter=diameter, width=usual)
    held = hold(
        cutter,
        machine=cut.machine,
        diameter=diameter,
        overhang=max(cutter.stick_out, cut.depth),
        load_height=min(cut.depth, cutter.flute_length)
        if cutter.kind in (CutterKind.ENGRAVER, CutterKind.SPOT_DRILL)
        else 0.0,
    )
    speed = chosen_speed(
        cutter,
        row=cut.row,
        machine=cut.machine,
        diameter=diameter if kind is CutKind.ENGRAVE else cutter.diameter,
        factor=SLOT_FACTOR if kind is CutKind.SLOT else FULL_SPEED,
    )
    table = table_chip(cut.row, diameter=diameter)
    if kind is CutKind.ENGRAVE:
        table = table_chip(cut.row, diameter=max(diameter, cut.row.chips[0].diameter))
    floor = min(least_thickest(cut, diameter=diameter, width=width, table=table), table.most)
    feed_most, feed_what = _feed_limit(cut, diameter=diameter)
    rpm = speed.rpm
    if floor * widened * cutter.teeth * rpm > feed_most:
        rpm = min(max(feed_most / (floor * widened * cutter.teeth), cut.machine.rpm_min), rpm)
    chip_limits = chip_bounds(
        cut, table=table, feed_most=feed_most, feed_what=feed_what, per_chip=widened * cutter.teeth * rpm
    )
    by_feed = chip_limits[1].most
    wanted = min(max(tightest(chip_limits)[0].most, floor), by_feed)

    caps = depth_caps(cut, diameter=diameter, slenderness=held.slenderness)
    cap = tightest(caps)[0].most
    firmest = replace(cut, machine=replace(cut.machine, stiffness=math.inf))
    stout = tightest(depth_caps(firmest, diameter=diameter, slenderness=0.0))[0].most
    trial = _Trial(
        cut=cut,
        diameter=diameter,
        rpm=rpm,
        held=held,
        bend=bend,
        caps=caps,
        depths=depths_tried(stout),
        chip_most=math.inf if kind in (CutKind.SIDE, CutKind.EVEN) else table.most,
    )
    slot = _engaged(trial, width=diameter, share=1.0 if kind in ONLY_SLOT else SLOT_SPEED)
    with_slot = slot if kind in WITH_SLOT else ()
    beside = () if kind in ONLY_SLOT else _engaged(trial, width=usual, share=1.0)
    highest = peak_width(cut, width=width, diameter=diameter)
    if highest is not None:
        share = widened / thinned(1.0, diameter=diameter, width=highest)
        trial = replace(trial, peak=_engaged(trial, width=highest, share=share))
    goal, thickest = _deepest(
        trial, cases=beside + with_slot, wanted=wanted, floor=floor, least=least_depth(cut, diameter=diameter, cap=cap)
    )

    width_limits = width_bounds(cut, diameter=diameter, step_down=goal)
    step_over = tightest(width_limits)[0].most
    if step_over < width and kind is not CutKind.EVEN:
        beside = _engaged(trial, width=step_over, share=1.0)
    cases = beside + with_slot
    limits = _limits(trial, cases=cases, thickest=thickest)
    step_down = _rounded_down(min(goal, limits[0].most) or float(trial.depths[0]))
    if kind is CutKind.WALL:
        step_down = _rounded_down(min(step_down, max(_corner_depth(trial, chip=thickest), step_down / _CORNER_LEVELS)))
    if is_long(cutter, held=held):
        thickest = max(LONG_CHIP * thickest, min(floor, thickest))
    slot_chip = (1.0 if kind in ONLY_SLOT else SLOT_SPEED) * thickest
    ramp_chip = slot_chip
    helix_pitch = min(cut.material.helix_pitch_ratio * diameter, step_down)
    if kind not in WITH_SLOT:
        slot_chip = _bearable_slot_chip(trial, slot=slot, depth=step_down, thickest=thickest)
        ramp_chip = _bearable_slot_chip(trial, slot=slot, depth=helix_pitch, thickest=thickest)
    chip = min(
        thinned(thickest, diameter=diameter, width=min(usual if kind is CutKind.EVEN else step_over, diameter)),
        feed_most / (cutter.teeth * rpm),
        trial.chip_most,
    )
    return Milled(
        cut=cut,
        diameter=diameter,
        speed=speed,
        rpm=rpm,
        feed_most=feed_most,
        table=table,
        chip_limits=chip_limits,
        wanted=wanted,
        floor=floor,
        thickest=thickest,
        chip=chip,
        slot_chip=slot_chip,
        ramp_chip=ramp_chip,
        corner_chip=_corner_chip(trial, depth=step_down, chip=chip) if kind is CutKind.WALL else None,
        helix_pitch=helix_pitch,
        step_down=step_down,
        depth_limits=limits,
        step_over=step_over,
        width_limits=width_limits,
        held=held,
        bend=trial.bend,
        cases=cases,
        loads=tuple(
            loads(
                case,
                depth=step_down,
                thickest=thickest,
                rpm=rpm,
                run_out=cut.machine.run_out,
                held=held,
                bend=trial.bend,
            )
            for case in cases
        ),
        too_weak=goal < min(WEAK * diameter, cut.depth - 1e-9),
    )


def is_long(cutter: Cutter, *, held: Hold) -> bool:
    """Whether the cutter counts as long; an engraver's cone does not."""
    return held.slenderness > LONG and cutter.kind is not CutterKind.ENGRAVER


def _feed_limit(cut: Cut, *, diameter: Mm) -> tuple[MmPerMin, str]:
    reachable = reachable_feed(cut.machine, diameter=diameter)
    if reachable < cut.machine.feed_max:
        return reachable, f"{reachable:,.0f} mm/min, from which the mill stops within half a cutter's width"
    return cut.machine.feed_max, f"the mill's highest feed, {cut.machine.feed_max:,.0f} mm/min"


def _bend(cut: Cut) -> Bend:
    if cut.kind is CutKind.FLOOR:
        return Bend(most=FINISH_BENDING, square_to_wall=False, edge=1.0)
    return _rough_bend(cut)


def _engaged(trial: _Trial, *, width: Mm, share: float) -> tuple[Engaged, ...]:
    found = engaged(
        trial.cut.cutter,
        material=trial.cut.material,
        diameter=trial.diameter,
        width=min(width, trial.diameter),
        share=share,
        depths=trial.depths,
        chip_most=trial.chip_most,
    )
    return () if found is None else (found,)


def _limits(trial: _Trial, *, cases: tuple[Engaged, ...], thickest: Mm) -> tuple[Bound, ...]:
    """Everything that limits the step down, tightest first.  A wall bends little square to it, and along it no more
    than when roughing."""
    found: list[Bound] = [*trial.caps]
    for case in cases:
        found += _bounds(trial, case=case, thickest=thickest, bend=trial.bend)
        if trial.bend.square_to_wall:
            found.append(_bounds(trial, case=case, thickest=thickest, bend=_rough_bend(trial.cut))[0])
    for case in trial.peak:
        stress = _bounds(trial, case=case, thickest=thickest, bend=trial.bend)[1]
        found.append(replace(stress, what=f"{stress.what}, in the highest moments"))
    return tightest(found)


def _bounds(trial: _Trial, *, case: Engaged, thickest: Mm, bend: Bend) -> tuple[Bound, ...]:
    return depth_bounds(case, thickest=thickest, rpm=trial.rpm, machine=trial.cut.machine, held=trial.held, bend=bend)


def _rough_bend(cut: Cut) -> Bend:
    return Bend(most=rough_bending(cut.material), square_to_wall=False, edge=WEAR)


def _deepest(trial: _Trial, *, cases: tuple[Engaged, ...], wanted: Mm, floor: Mm, least: Mm) -> tuple[Mm, Mm]:
    """Step down and thickest chip.

    For cuts that only remove: the pair that removes most, the wanted chip unless a thinner one gains more than
    `GAIN`.  For walls and marks, which are wanted whole: the depth of the wanted chip, or ``least`` if thinner chips
    reach it, and then the thickest chip for it.
    """
    low = min(floor, wanted)
    chips = [wanted * (low / wanted) ** (step / _CHIPS_TRIED) for step in range(_CHIPS_TRIED + 1)]
    depths = [_limits(trial, cases=cases, thickest=chip)[0].most for chip in chips]
    goal = max(depths[0], min(least, depths[-1]))
    if goal <= 0.0:
        return float(trial.depths[0]), low
    taken = next(place for place, depth in enumerate(depths) if depth >= goal)
    if trial.cut.kind in _REMOVING:
        most = max(range(len(chips)), key=lambda place: (chips[place] * depths[place], -place))
        if chips[most] * depths[most] > GAIN * chips[taken] * goal:
            return depths[most], chips[most]
    return goal, chips[taken]


def _in_corner(trial: _Trial) -> tuple[_Trial, tuple[Engaged, ...]]:
    """A wall's trial where two walls are met: a quarter turn of engagement, borne as when roughing."""
    rough = replace(trial, bend=_rough_bend(trial.cut), caps=())
    return rough, _engaged(rough, width=trial.diameter / 2.0, share=1.0)


def _corner_depth(trial: _Trial, *, chip: Mm) -> Mm:
    """How deep a wall pass may be that is slowed to `CORNER_FEED` where two walls are met."""
    rough, corner = _in_corner(trial)
    return _limits(rough, cases=corner, thickest=CORNER_FEED * chip)[0].most if corner else math.inf


def _corner_chip(trial: _Trial, *, depth: Mm, chip: Mm) -> Mm:
    """The chip a tooth with which a wall pass bears a quarter turn of engagement, as when roughing; a thirtieth of
    the customary where none is borne."""
    rough, corner = _in_corner(trial)
    wanted = found = CORNER_FEED * chip
    while corner and found > wanted / 30.0 and _limits(rough, cases=corner, thickest=found)[0].most < depth:
        found *= _THINNER
    return found


def _bearable_slot_chip(trial: _Trial, *, slot: tuple[Engaged, ...], depth: Mm, thickest: Mm) -> Mm:
    """The chip in a full slot at ``depth``; a thirtieth of the usual where none is borne."""
    chip = thickest
    while slot and chip > thickest / 30.0 and _limits(trial, cases=slot, thickest=chip)[0].most < depth:
        chip *= _THINNER
    return SLOT_SPEED * chip


def _rounded_down(step: Mm) -> Mm:
    unit = 0.01 if step >= 0.1 else 0.001
    return int(step / unit + 1e-6) * unit if step >= unit else step
