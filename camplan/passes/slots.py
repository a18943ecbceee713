"""Down into a closed slot: level by level along its own path, without lifting."""

import math
from collections.abc import Sequence

import numpy as np

from camplan.geometry.along import at_length, connected, opened_at, stretch
from camplan.geometry.chains import Chain, length, segment_lengths
from camplan.passes.entry import Descent, ramp_round
from camplan.passes.records import Feed, Stroke, level_stroke
from camplan.units import Mm

_GAP: Mm = 0.2
_SHORT = 0.5
"""A slope longer than this share of the lap becomes a spiral of whole laps."""


def slotted_round(path: Chain, *, top: Mm, levels: Sequence[Mm], descent: Descent) -> list[Stroke]:
    """Round a closed path once a level: a slope down along it, then on at the level until the slope is cut out too.

    Where the lap is short for the slope, it goes round and down in a spiral, and once more at the last level.
    """
    total = length(path)
    strokes: list[Stroke] = []
    above, begin = top + _GAP, 0.0
    for level in levels:
        slope = (above - level) / math.tan(descent.angle)
        if slope > _SHORT * total:
            return _spiral(path, top=top, levels=levels, descent=descent)
        run = opened_at(path, place=at_length(path, length=begin))
        down = stretch(run, start=0.0, end=slope)
        rest = stretch(run, start=slope, end=total)
        strokes.extend(ramp_ahead(down, start=above, end=level))
        strokes.append(level_stroke(connected([rest, down]), z=level, feed=Feed.SLOT))
        above, begin = level, (begin + slope) % total
    return strokes


def ramp_ahead(run: Chain, *, start: Mm, end: Mm) -> tuple[Stroke, ...]:
    """Down once along an open path."""
    reached = np.concatenate(([0.0], np.cumsum(segment_lengths(run))))
    return (Stroke(path=run, z=start + (end - start) * reached / reached[-1], feed=Feed.RAMP),)


def _spiral(path: Chain, *, top: Mm, levels: Sequence[Mm], descent: Descent) -> list[Stroke]:
    lap = opened_at(path, place=at_length(path, length=0.0))
    strokes: list[Stroke] = []
    above = top + _GAP
    for level in levels:
        strokes.extend(ramp_round(lap, descent=descent, start=above, end=level))
        above = level
    strokes.append(level_stroke(lap, z=above, feed=Feed.SLOT))
    return strokes
