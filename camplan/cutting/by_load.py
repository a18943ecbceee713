"""Feeds for every engagement that a cutter meets where it clears an area by rings."""

import math

import numpy as np
from numpy.typing import NDArray

from camplan.cutting.chip import engagement, thinned
from camplan.cutting.limits import CUSTOM, whole_feed
from camplan.cutting.milling import Milled
from camplan.cutting.records import CutKind, LoadFeeds, Reason
from camplan.cutting.speed import SLOT_SPEED
from camplan.cutting.strength import chip_of, depth_bounds, engaged
from camplan.units import S_PER_MIN, Mm, MmPerMin, Rad, deg_from_rad

_ARCS = np.radians([20.0, 30.0, 45.0, 60.0, 75.0, 90.0, 105.0, 120.0, 140.0, 160.0, 180.0])
_APART: Rad = math.radians(8.0)
"""Arcs nearer to that of the step over than this say nothing new."""
_DEPTHS = 12
_THINNER = 0.95


def feeds_by_load(found: Milled, *, feed: MmPerMin, slot_feed: MmPerMin) -> LoadFeeds | None:
    """Feeds at arcs from 20 to 180 degrees, of cuts that clear by rings; None of others.

    At each arc the chip is as thick as at the step over (thinner towards a full slot, as there), a narrow cut thinned
    as ever, and neither above the table's most nor above the feed of the mill; where the step down would bend, stress
    or power more than is allowed, it is thinner.  ``feed`` is that of the step over, ``slot_feed`` of a slot.
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
    cut, diameter = found.cut, found.diameter
    width = diameter * (1.0 - math.cos(arc)) / 2.0
    beyond = max(arc - own, 0.0) / (math.pi - own)
    thickest = wanted = found.thickest * (1.0 - (1.0 - SLOT_SPEED) * beyond)
    case = engaged(
        cut.cutter,
        material=cut.material,
        diameter=diameter,
        width=width,
        share=1.0,
        depths=_depths(found.step_down),
        chip_most=found.table.most,
    )
    if case is None:
        return min(thinned(thickest, diameter=diameter, width=width), found.table.most)
    while thickest > wanted / 30.0:
        bounds = depth_bounds(
            case, thickest=thickest, rpm=found.rpm, machine=cut.machine, held=found.held, bend=found.bend
        )
        if min(bound.most for bound in bounds) >= found.step_down - 1e-9:
            break
        thickest *= _THINNER
    return chip_of(case, thickest=thickest)


def _depths(step_down: Mm) -> NDArray[np.float64]:
    return step_down * np.arange(1, _DEPTHS + 1) / _DEPTHS


def load_reason(found: LoadFeeds, *, feed: MmPerMin) -> Reason:
    """How far the feed follows the load, and why."""
    narrow = deg_from_rad(found.arcs[0])
    return Reason(
        figure="feed_by_load",
        sentence=f"{found.feeds[0]:,.0f} mm/min where {narrow:.0f} degrees or less of the edge are engaged, "
        f"{feed:,.0f} at the step over and {found.feeds[-1]:,.0f} where half of it is: as thick a chip, 20 % slower "
        "towards a full slot, and no more bending, stress and power than is allowed",
        source=f"MARTELLOTTI; KIENZLE; KOPS-VO; CUTTER-NOTES, confirmed; {CUSTOM}",
    )
