"""The picture of `camplan journal`: how far each size was from the wanted one, skim by skim.

One SVG that asks for nothing from outside.  Heights are on a scale on which each line is ten times as far from the
wanted size as the one before, so that the first cut's allowance and the last micrometres both show.
"""

import math
from dataclasses import dataclass

from camplan.recut.history import Reading
from camplan.recut.story import Chapter, Story
from camplan.report.journal_text import size_name
from camplan.report.shapes import coordinate, words
from camplan.report.style import DATUM, FAINT, HAIR
from camplan.units import UM_PER_MM

MARK = '<svg xmlns="http://www.w3.org/2000/svg" data-of="camplan journal"'
"""How every such picture begins, so that one may be written over an earlier one."""

_TONES = ("#00666b", "#b98a24", "#86402c", "#341836", "#2c5a3f", "#7a4a00", "#56636c")
_LEFT, _RIGHT, _TOP, _LOW = 26.0, 30.0, 16.0, 16.0
_LEAST_WIDE = 190.0
_STEP, _DECADE = 28.0, 18.0
_LETTERS = 3.4


@dataclass(frozen=True, slots=True, kw_only=True)
class _Dot:
    """A size after ``skim``: how far from the wanted one, in um, and the range of 95 % about it."""

    skim: int
    off: float
    range: float


def journal_picture(story: Story, *, title: str) -> str:
    """The picture of a story; a note where nothing was measured."""
    series = [one for chapter in story.chapters for one in _series(chapter)]
    dots = [dot for _, each in series for dot in each]
    most = max((abs(dot.off) + dot.range for dot in dots), default=10.0)
    decades = max(math.ceil(_height(most)), 1)
    skims = max((dot.skim for dot in dots), default=0)
    above = decades if any(dot.off > 0.5 for dot in dots) else 1
    wide = max(_LEFT + _STEP * (skims + 1) + _RIGHT, _LEAST_WIDE)
    high = _TOP + _DECADE * (above + decades) + _LOW + 5.0 * len(series)
    zero = _TOP + _DECADE * above
    body = words(title, at=(_LEFT, -7.0), size=4.6, anchor="start")
    for number in range(-decades, above + 1):
        y = zero - _DECADE * number
        look = f'stroke="{DATUM}" stroke-width="0.5"' if number == 0 else f'stroke="{HAIR}" stroke-width="0.3"'
        body += f'<path d="M{_LEFT} {coordinate(y)}H{coordinate(wide - 8)}" {look}/>'
        said = "as wanted" if number == 0 else f"{'+' if number > 0 else '-'}{10 ** abs(number)} um"
        body += words(said, at=(_LEFT - 2.0, -y), size=_LETTERS, colour=FAINT, anchor="end")
    for skim in range(skims + 1):
        said = "first cut" if skim == 0 else f"skim {skim}"
        low = zero + _DECADE * decades + 6.0
        body += words(said, at=(_LEFT + _STEP * (skim + 0.5), -low), size=_LETTERS, colour=FAINT)
    for number, (name, each) in enumerate(series):
        tone = _TONES[number % len(_TONES)]
        shift = 2.2 * (number - (len(series) - 1) / 2.0)
        body += _line(each, zero=zero, tone=tone, shift=shift)
        at = (_LEFT, -(zero + _DECADE * decades + _LOW + 5.0 * number - 2.0))
        offs = ", ".join(f"{dot.off:+.0f}" for dot in each)
        body += words(f"{name}: off by {offs} um", at=at, size=_LETTERS, colour=tone, anchor="start")
    if not dots:
        body += words("nothing was measured yet", at=(wide / 2.0, -zero + 6.0), size=_LETTERS, colour=FAINT)
    about = "How far each measured size was from the wanted one, skim by skim."
    return (
        f'{MARK} viewBox="0 0 {coordinate(wide)} {coordinate(high)}" role="img" aria-label="{about}" '
        f'font-family="Arial, Helvetica, sans-serif"><rect width="{coordinate(wide)}" height="{coordinate(high)}" '
        f'fill="#fff"/>{body}</svg>\n'
    )


def _series(chapter: Chapter) -> list[tuple[str, list[_Dot]]]:
    """Each size of a chapter with its dots, in the order in which it was first measured."""
    found: dict[tuple[object, ...], tuple[str, dict[int, _Dot]]] = {}
    for one in chapter.told:
        if not isinstance(one, Reading):
            continue
        key = (one.feature, one.regions, one.along, one.wall, one.at, one.at_depth)
        name = f"{chapter.folder}: {one.feature}, {size_name(one)}, {one.wanted:.3f} mm wanted last"
        off = (one.mean - one.wanted) * UM_PER_MM
        dots = found[key][1] if key in found else {}
        dots[one.skim] = _Dot(skim=one.skim, off=off, range=one.half_width * UM_PER_MM)
        found[key] = (name, dots)
    return [(name, [dots[skim] for skim in sorted(dots)]) for name, dots in found.values()]


def _height(off: float) -> float:
    """Where a deviation in um stands, in decades: 0 at 0, 1 at 10, 2 at 100, nearly even below 1."""
    return math.copysign(math.log10(1.0 + abs(off) * 0.9), off)


def _line(dots: list[_Dot], *, zero: float, tone: str, shift: float) -> str:
    places = [(_LEFT + _STEP * (dot.skim + 0.5) + shift, zero - _DECADE * _height(dot.off)) for dot in dots]
    path = "L".join(f"{coordinate(x)} {coordinate(y)}" for x, y in places)
    found = f'<path d="M{path}" fill="none" stroke="{tone}" stroke-width="0.6"/>' if len(dots) > 1 else ""
    for dot, (x, y) in zip(dots, places, strict=True):
        ends = [zero - _DECADE * _height(dot.off + sign * dot.range) for sign in (-1.0, 1.0)]
        found += (
            f'<path d="M{coordinate(x)} {coordinate(ends[0])}V{coordinate(ends[1])}" stroke="{tone}" '
            f'stroke-width="0.4"/><circle cx="{coordinate(x)}" cy="{coordinate(y)}" r="1.1" fill="{tone}"/>'
        )
    return found
