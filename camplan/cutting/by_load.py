"""Feeds for every engagement that a cutter meets where it clears an area by rings."""

import math

import numpy as np

from camplan.cutting.chip import engagement, thinned
from camplan.cutting.limits import CUSTOM, whole_feed
from camplan.cutting.milling import Milled
from camplan.cutting.records import CutKind, LoadFeeds, Reason
from camplan.cutting.speed import SLOT_SPEED
from camplan.cutting.strength import Engaged, bending_at, chip_of, depth_bounds, engaged
from camplan.units import S_PER_MIN, Mm, MmPerMin, Rad, deg_from_rad

_ARCS = np.radians([20.0, 30.0, 45.0, 60.0, 75.0, 90.0, 105.0, 120.0, 140.0, 160.0, 180.0])
_APART: Rad = math.radians(8.0)
"""Arcs nearer to that of the step over than this say nothing new."""
_DEPTHS = 12
_HALVINGS = 9
_SAME = 1e-6


def feeds_by_load(found: Milled, *, feed: MmPerMin, slot_feed: MmPerMin) -> LoadFeeds | None:
    """Feeds at arcs from 20 to 180 degrees, of cuts that clear by rings; None of others.

    At each arc the chip is as thick as at the step over (thinner towards a full slot, as there), a narrow cut thinned
    as ever, and neither above the table's most nor above the feed of the mill; where the step down, or less, would bend
    more than at the step over, or stress or power more than is allowed, it is thinner.  ``feed`` is that of the step
    over, ``slot_feed`` of a slot.
    """
    if found.cut.kind is not CutKind.ROUGH:
        return None
    own = engagement(found.diameter, width=found.step_over)
    if own > math.pi - _APART:
        return None
    arcs = np.sort(np.append(_ARCS[np.abs(_ARCS - own) >= _APART], own))
    teeth_speed = found.cut.cutter.teeth * found.rpm
    feeds = [_chip(found, arc=arc, own=own) * teeth_speed for arc in arcs.tolist()]
    feeds = [min(each, feed) if arc >= own else max(each, feed) for each, arc in zip(feeds, arcs, strict=True)]
    feeds[-1] = min(feeds[-1], slot_feed)
    falling = np.minimum.accumulate([whole_feed(min(each, found.feed_most)) for each in feeds])
    acceleration = min(found.cut.machine.acceleration[:2])
    settle = (float(falling[0]) ** 2 - float(falling[-1]) ** 2) / S_PER_MIN**2 / (2.0 * acceleration)
    return LoadFeeds(arcs=tuple(arcs.tolist()), feeds=tuple(falling.tolist()), settle=settle)


def _chip(found: Milled, *, arc: Rad, own: Rad) -> Mm:
    """The chip a tooth that is borne where ``arc`` is engaged."""
    beyond = max(arc - own, 0.0) / (math.pi - own)
    thickest = wanted = found.thickest * (1.0 - (1.0 - SLOT_SPEED) * beyond)
    case, at_own = _engaged(found, arc=arc), _engaged(found, arc=own)
    if case is None or at_own is None:
        width = _width(found, arc=arc)
        return min(thinned(thickest, diameter=found.diameter, width=width), found.table.most)
    most = _bending(found, case=at_own, thickest=found.thickest)

    def borne(chip: Mm) -> bool:
        return _bending(found, case=case, thickest=chip) <= most * (1.0 + _SAME) and _bears(found, case, thickest=chip)

    if not borne(thickest):
        low, high = wanted / 30.0, wanted
        for _ in range(_HALVINGS):
            middle = math.sqrt(low * high)
            low, high = (middle, high) if borne(middle) else (low, middle)
        thickest = low
    return chip_of(case, thickest=thickest)


def _width(found: Milled, *, arc: Rad) -> Mm:
    return found.diameter * (1.0 - math.cos(arc)) / 2.0


def _engaged(found: Milled, *, arc: Rad) -> Engaged | None:
    return engaged(
        found.cut.cutter,
        material=found.cut.material,
        diameter=found.diameter,
        width=_width(found, arc=arc),
        share=1.0,
        depths=found.step_down * np.arange(1, _DEPTHS + 1) / _DEPTHS,
        chip_most=found.table.most,
    )


def _bending(found: Milled, *, case: Engaged, thickest: Mm) -> Mm:
    chip = chip_of(case, thickest=thickest)
    return bending_at(case, depth=found.step_down, chip=chip, held=found.held, bend=found.bend)


def _bears(found: Milled, case: Engaged, *, thickest: Mm) -> bool:
    """Whether the step down is borne."""
    machine = found.cut.machine
    bounds = depth_bounds(case, thickest=thickest, rpm=found.rpm, machine=machine, held=found.held, bend=found.bend)
    return min(bound.most for bound in bounds) >= found.step_down - 1e-9


def load_reason(found: LoadFeeds, *, feed: MmPerMin) -> Reason:
    """How far the feed follows the load, and why."""
    narrow = deg_from_rad(found.arcs[0])
    return Reason(
        figure="feed_by_load",
        sentence=f"{found.feeds[0]:,.0f} mm/min where {narrow:.0f} degrees or less of the edge are engaged, "
        f"{feed:,.0f} at the step over and {found.feeds[-1]:,.0f} where half of it is: as thick a chip, 20 % slower "
        "towards a full slot, bending no more than at the step over",
        source=f"MARTELLOTTI; KIENZLE; KOPS-VO; CUTTER-NOTES, confirmed; {CUSTOM}",
    )
