"""Cuts along drawn lines: grooves as wide as the cutter, and engraved marks."""

from collections.abc import Sequence

from camplan.geometry.along import Place, opened_at
from camplan.geometry.chains import Chain, backwards
from camplan.passes.entry import Descent, ramp_to_and_fro, straight_down
from camplan.passes.records import Feed, Pass, Stroke, level_stroke
from camplan.passes.slots import slotted_round
from camplan.units import Mm

_GAP: Mm = 0.2
MARK_CLEAR: Mm = 0.2
"""How far above the plate an engraver stops its rapid and goes on at the plunge feed (common practice, no source)."""
_BEGIN = Place(segment=0, part=0.0, point=(0.0, 0.0), distance=0.0)


def slot_passes(line: Chain, *, top: Mm, levels: Sequence[Mm], descent: Descent) -> Pass:
    """One line slotted without lifting: down a slope along itself, then level, level by level."""
    if line.closed:
        return Pass(strokes=tuple(slotted_round(line, top=top, levels=levels, descent=descent)), free=top)
    strokes: list[Stroke] = []
    run, above = line, top
    for level in levels:
        start = above if strokes else above + _GAP
        strokes.extend(ramp_to_and_fro(run, descent=descent, start=start, end=level))
        strokes.append(level_stroke(run, z=level, feed=Feed.SLOT))
        run, above = backwards(run), level
    return Pass(strokes=tuple(strokes), free=top)


def mark_passes(line: Chain, *, top: Mm, levels: Sequence[Mm]) -> Pass:
    """One line engraved: fast to a little above the plate, straight down, then along, back and forth for each level."""
    strokes: list[Stroke] = []
    run = opened_at(line, place=_BEGIN) if line.closed else line
    above = top + MARK_CLEAR
    for level in levels:
        first = (float(run.points[0, 0]), float(run.points[0, 1]))
        strokes.append(straight_down(first, start=above, end=level, feed=Feed.PLUNGE))
        strokes.append(level_stroke(run, z=level, feed=Feed.CUT))
        run = run if line.closed else backwards(run)
        above = level
    return Pass(strokes=tuple(strokes), free=top, near=MARK_CLEAR)
