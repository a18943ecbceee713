"""Arcs as lines of text.

The ends are rounded first; the centre is then set anew between the rounded ends, on the nearest decimals for which
the two radii agree.  What has no such centre, is too flat, too wide or too short for its words becomes chords within
`camplan.tolerance.CHORD`.  No arc ever becomes a full circle by rounding, and no full circle vanishes.
"""

import math

from camplan import tolerance
from camplan.moves.path import SAME
from camplan.moves.records import Arc, Position
from camplan.rs274.page import Page, motion, straight, units
from camplan.units import Mm, Rad

_WIDEST: Rad = math.radians(270.0)
"""Wider arcs are written as two: the nearer the ends, the farther rounding them moves the opposite side."""
_SHORTEST = 8.0
"""Units of the last decimal between the ends of the shortest arc that is written as one."""
_SURELY = 0.95
"""The share of the dialect's limit that the radii may take up."""


def write_arc(arc: Arc, *, page: Page) -> None:
    """The lines of an arc from where the page is; ValueError if that is not known."""
    if page.x is None or page.y is None or page.z is None:
        raise ValueError("an arc needs a known start")
    planned = page.planned or (page.x / page.scale, page.y / page.scale)
    sweep = swept(planned, arc=arc)
    radius = math.dist(planned, arc.centre)
    full = _returns(planned, to=arc.to)
    chord = math.hypot(round(arc.to[0] * page.scale) - page.x, round(arc.to[1] * page.scale) - page.y)
    sagitta = radius * (1.0 - math.cos(min(abs(sweep), math.pi) / 2.0))
    if sagitta < tolerance.CHORD or radius > page.post.arc_radius_max or radius * page.scale < _SHORTEST:
        _chords(arc, start=(*planned, page.z / page.scale), sweep=sweep, radius=radius, page=page)
    elif full:
        i, j = (round((c - s / page.scale) * page.scale) for c, s in zip(arc.centre, (page.x, page.y), strict=True))
        _line(arc, end=(page.x, page.y), offsets=(i, j), page=page)
    elif abs(sweep) >= _WIDEST:
        _halves(arc, start=(*planned, page.z / page.scale), sweep=sweep, page=page)
    elif chord < _SHORTEST or (offsets := _offsets(arc, page=page)) is None:
        _chords(arc, start=(*planned, page.z / page.scale), sweep=sweep, radius=radius, page=page)
    else:
        end = (round(arc.to[0] * page.scale), round(arc.to[1] * page.scale))
        _line(arc, end=end, offsets=offsets, page=page)
    page.planned = arc.to[:2]


def swept(start: tuple[Mm, Mm], *, arc: Arc) -> Rad:
    """The signed angle of the arc as planned: a full turn only where it returns to its very start."""
    a = (start[0] - arc.centre[0], start[1] - arc.centre[1])
    b = (arc.to[0] - arc.centre[0], arc.to[1] - arc.centre[1])
    angle = math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    if _returns(start, to=arc.to):
        return -2.0 * math.pi if arc.clockwise else 2.0 * math.pi
    if arc.clockwise:
        return angle - 2.0 * math.pi if angle > 0.0 else angle
    return angle + 2.0 * math.pi if angle < 0.0 else angle


def _returns(start: tuple[Mm, Mm], *, to: Position) -> bool:
    return abs(start[0] - to[0]) < SAME and abs(start[1] - to[1]) < SAME


def _line(arc: Arc, *, end: tuple[int, int], offsets: tuple[int, int], page: Page) -> None:
    z = round(arc.to[2] * page.scale)
    words = [f"X{units(page, end[0])}", f"Y{units(page, end[1])}"]
    if z != page.z or page.marked:
        words.append(f"Z{units(page, z)}")
    words += [f"I{units(page, offsets[0])}", f"J{units(page, offsets[1])}"]
    page.x, page.y, page.z, page.marked = *end, z, False
    motion(page, word="G2" if arc.clockwise else "G3", words=words, feed=arc.feed)


def _offsets(arc: Arc, *, page: Page) -> tuple[int, int] | None:
    """I and J in units of the last decimal; None if no centre near the planned one has radii that agree.

    The planned centre is moved along the rounded chord to where both radii are the same, then rounded to that one of
    the decimals around it for which they differ least.
    """
    assert page.x is not None and page.y is not None
    scale = page.scale
    to = (round(arc.to[0] * scale) - page.x, round(arc.to[1] * scale) - page.y)
    chord = math.hypot(*to)
    off = (arc.centre[0] * scale - page.x - to[0] / 2.0, arc.centre[1] * scale - page.y - to[1] / 2.0)
    rise = (off[1] * to[0] - off[0] * to[1]) / chord
    best = (to[0] / 2.0 - rise * to[1] / chord, to[1] / 2.0 + rise * to[0] / chord)
    granted = page.post.arc_tolerance * scale * _SURELY
    near = (math.floor(best[0]), math.floor(best[1]))

    def unlike(place: tuple[int, int]) -> tuple[float, float]:
        gap = abs(math.hypot(*place) - math.hypot(to[0] - place[0], to[1] - place[1]))
        return (round(gap, 6), math.dist(place, best))

    for reach in (1, 2):
        around = range(1 - reach, 1 + reach)
        found = min(((near[0] + a, near[1] + b) for a in around for b in around), key=unlike)
        if unlike(found)[0] <= granted:
            return found
    return None


def _halves(arc: Arc, *, start: Position, sweep: Rad, page: Page) -> None:
    """A wide arc as two."""
    angle = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0]) + sweep / 2.0
    radius = math.dist(start[:2], arc.centre)
    half = (
        arc.centre[0] + radius * math.cos(angle),
        arc.centre[1] + radius * math.sin(angle),
        (start[2] + arc.to[2]) / 2.0,
    )
    for to in (half, arc.to):
        write_arc(Arc(to=to, centre=arc.centre, clockwise=arc.clockwise, feed=arc.feed), page=page)


def _chords(arc: Arc, *, start: Position, sweep: Rad, radius: Mm, page: Page) -> None:
    step = 2.0 * math.acos(max(1.0 - tolerance.CHORD / max(radius, tolerance.CHORD), 0.0))
    count = max(math.ceil(abs(sweep) / step - 1e-9), 1)
    first = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0])
    for place in range(1, count):
        angle = first + sweep * place / count
        to = (
            arc.centre[0] + radius * math.cos(angle),
            arc.centre[1] + radius * math.sin(angle),
            start[2] + (arc.to[2] - start[2]) * place / count,
        )
        straight(page, word="G1", to=to, feed=arc.feed)
    straight(page, word="G1", to=arc.to, feed=arc.feed)
