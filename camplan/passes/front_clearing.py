"""Clearing an area level by level by fronts, down by a helix or in open ground, between cuts along ways at depth."""

from camplan.geometry.chains import length
from camplan.passes import entry
from camplan.passes.clearing import Cleared
from camplan.passes.entry import Descent
from camplan.passes.records import Feed, Pass, Stroke, grouped, level_stroke
from camplan.passes.swept import Sweep, SweptGroup, SweptLayout
from camplan.units import Mm

_GAP: Mm = 0.2
_RAMP_ROOM = 0.3
"""A path shorter than this share of the diameter is too short for a ramp."""


def swept_clear(layout: SweptLayout, *, top: Mm, levels: tuple[Mm, ...], descent: Descent) -> Cleared:
    """The passes that clear a room from ``top`` at every level, group by group; where a cutter has no way down to one,
    that is said as `Cleared.shut`."""
    passes: list[Pass] = []
    ways: list[str] = []
    shut: list[tuple[Mm, Mm]] = []
    for number, group in enumerate(layout.groups):
        if not group.sweeps:
            continue
        above = top
        for level in levels:
            made = _level(group, above=above, level=level, first=above == top, descent=descent)
            if made is None:
                x, y = group.sweeps[0].path.points[0]
                shut.append((float(x), float(y)))
                break
            passes.extend(grouped(made, group=number))
            above = level
        ways.append(_said(group))
    return Cleared(passes=tuple(passes), ways=tuple(dict.fromkeys(ways)), shut=tuple(shut))


def _said(group: SweptGroup) -> str:
    if group.open:
        return "comes in from open ground, front by front"
    return "enters by a helix, front by front" if group.spot is not None else "enters by a ramp, front by front"


def _level(group: SweptGroup, *, above: Mm, level: Mm, first: bool, descent: Descent) -> list[Pass] | None:
    """The passes of a group at one level; None without a way down."""
    strokes = _down(group, start=above + _GAP, end=level, descent=descent)
    if strokes is None:
        return None
    passes: list[Pass] = []
    free = above
    for number, sweep in enumerate(group.sweeps):
        if number == 0:
            if sweep.link is not None:
                strokes.append(level_stroke(sweep.link, z=level, feed=Feed.FREE))
        elif sweep.link is not None:
            strokes.append(level_stroke(sweep.link, z=level, feed=Feed.FREE))
        else:
            passes.append(Pass(strokes=tuple(strokes), free=free))
            anew = _anew(sweep, above=above, level=level, descent=descent)
            if anew is None:
                return None
            strokes, free = anew, level if sweep.clear else above
        strokes.append(level_stroke(sweep.path, z=level, feed=sweep.feed))
    passes.append(Pass(strokes=tuple(strokes), free=free))
    return passes


def _down(group: SweptGroup, *, start: Mm, end: Mm, descent: Descent) -> list[Stroke] | None:
    """The way down to where the first sweep, or the way to it, begins."""
    sweep = group.sweeps[0]
    if group.open:
        x, y = sweep.path.points[0]
        return [entry.straight_down((float(x), float(y)), start=start, end=end, feed=Feed.FREE)]
    if group.spot is not None:
        turns, level = entry.helix(group.spot, descent=descent, start=start, end=end)
        # the level turn meets no more than the last turn's slope left
        return [turns, level_stroke(level.path, z=end, feed=Feed.RAMP)]
    return _along(sweep, start=start, end=end, descent=descent)


def _anew(sweep: Sweep, *, above: Mm, level: Mm, descent: Descent) -> list[Stroke] | None:
    """The way down to a sweep that no way at depth leads to: free where all is clear, straight where it begins beside
    cleared ground, else along itself."""
    if sweep.clear:
        return []
    if sweep.feed is not Feed.SLOT and descent.plunges:
        x, y = sweep.path.points[0]
        return [entry.straight_down((float(x), float(y)), start=above + _GAP, end=level, feed=Feed.PLUNGE)]
    return _along(sweep, start=above + _GAP, end=level, descent=descent)


def _along(sweep: Sweep, *, start: Mm, end: Mm, descent: Descent) -> list[Stroke] | None:
    if length(sweep.path) >= _RAMP_ROOM * descent.diameter:
        return list(entry.ramp_to_and_fro(sweep.path, descent=descent, start=start, end=end))
    if not descent.plunges:
        return None
    x, y = sweep.path.points[0]
    return [entry.straight_down((float(x), float(y)), start=start, end=end, feed=Feed.PLUNGE)]
