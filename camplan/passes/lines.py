"""Cuts along drawn lines: grooves as wide as the cutter, and engraved marks."""

from collections.abc import Sequence

from camplan.geometry.along import Place, opened_at
from camplan.geometry.chains import Chain, backwards
from camplan.passes.entry import Descent, ramp_round, ramp_to_and_fro, straight_down
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.units import Mm

_GAP: Mm = 0.2
_BEGIN = Place(segment=0, part=0.0, point=(0.0, 0.0), distance=0.0)


def slot_passes(line: Chain, *, top: Mm, levels: Sequence[Mm], descent: Descent) -> Pass:
    """One line slotted without lifting: ramped down along itself, then cut level (closed ones at the last level)."""
    strokes: list[Stroke] = []
    run, above = (opened_at(line, place=_BEGIN) if line.closed else line), top
    for level in levels:
        start = above if strokes else above + _GAP
        if line.closed:
            strokes.extend(ramp_round(run, descent=descent, start=start, end=level))
            if level == levels[-1]:
                strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
        else:
            strokes.extend(ramp_to_and_fro(run, descent=descent, start=start, end=level))
            strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
            run = backwards(run)
        above = level
    return Pass(strokes=tuple(strokes), free=top)


def mark_passes(line: Chain, *, top: Mm, levels: Sequence[Mm]) -> Pass:
    """One line engraved: straight down, then along, back and forth for each level."""
    strokes: list[Stroke] = []
    run = opened_at(line, place=_BEGIN) if line.closed else line
    above = top + _GAP
    for level in levels:
        first = (float(run.points[0, 0]), float(run.points[0, 1]))
        strokes.append(straight_down(first, start=above, end=level, feed=Feed.PLUNGE))
        strokes.append(level_stroke(run, z=level, feed=Feed.CUT))
        run = run if line.closed else backwards(run)
        above = level
    return Pass(strokes=tuple(strokes), free=top)
