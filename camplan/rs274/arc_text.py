"""Arcs as lines of text.

The ends are rounded first; the centre is then the one of the decimals around the planned one for which the two radii
agree and the arc keeps to the planned path.  What has none is halved; what is too flat or too short becomes chords
within `camplan.tolerance.CHORD`.  No arc ever becomes a full circle by rounding, and no full circle vanishes.
"""

import math

from camplan import tolerance
from camplan.moves.path import SAME
from camplan.moves.records import Arc, Position
from camplan.rs274.page import ArcWords, Page, motion, straight, units
from camplan.units import Mm, Rad

_WIDEST: Rad = math.radians(270.0)
"""Wider arcs are written as two: the nearer the ends, the farther rounding them moves the opposite side."""
_SHORTEST = 8.0
"""Units of the last decimal between the ends of the shortest arc that is written as one."""
_STRAY: Mm = 0.0013
"""How far the arc that the text says may leave the planned one, or `_STRAY_UNITS` of a coarse last decimal."""
_STRAY_UNITS = 1.3
_PARTS = (0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0)
_AROUND = sorted(((a, b) for a in range(-2, 3) for b in range(-2, 3)), key=lambda step: (math.hypot(*step), step))
_SPLIT: Rad = math.radians(20.0)
"""Arcs wider than this that find no centre are written as two."""
_SURELY = 0.95
"""The share of the dialect's limit that the radii may take up."""


def write_arc(arc: Arc, *, page: Page) -> None:
    """The lines of an arc from where the page is; ValueError if that is not known."""
    if page.x is None or page.y is None or page.z is None:
        raise ValueError("an arc needs a known start")
    level = not page.marked and round(arc.to[2] * page.scale) == page.z
    if level and (known := page.arcs.get(_key(arc, page=page))) is not None:
        page.x, page.y = known.end
        motion(page, word="G2" if arc.clockwise else "G3", words=known.words, feed=arc.feed)
        page.planned = arc.to[:2]
        return
    _write_new(arc, page=page)
    page.planned = arc.to[:2]


def _key(arc: Arc, *, page: Page) -> tuple[object, ...]:
    return (page.x, page.y, page.planned, arc.to[0], arc.to[1], arc.centre, arc.clockwise)


def _write_new(arc: Arc, *, page: Page) -> None:
    assert page.x is not None and page.y is not None and page.z is not None
    planned = page.planned or (page.x / page.scale, page.y / page.scale)
    sweep = swept(planned, arc=arc)
    radius = math.dist(planned, arc.centre)
    full = _returns(planned, to=arc.to)
    chord = math.hypot(round(arc.to[0] * page.scale) - page.x, round(arc.to[1] * page.scale) - page.y)
    sagitta = radius * (1.0 - math.cos(min(abs(sweep), math.pi) / 2.0))
    if sagitta < tolerance.CHORD or radius > page.post.arc_radius_max or radius * page.scale < _SHORTEST:
        _chords(arc, start=(*planned, page.z / page.scale), sweep=sweep, radius=radius, page=page)
    elif full:
        _line(arc, end=(page.x, page.y), offsets=_full_offsets(arc, radius=radius, page=page), page=page)
    elif abs(sweep) >= _WIDEST:
        _halves(arc, start=(*planned, page.z / page.scale), sweep=sweep, page=page)
    elif chord < _SHORTEST:
        _chords(arc, start=(*planned, page.z / page.scale), sweep=sweep, radius=radius, page=page)
    elif (offsets := _offsets(arc, start=planned, sweep=sweep, page=page)) is None and abs(sweep) > _SPLIT:
        _halves(arc, start=(*planned, page.z / page.scale), sweep=sweep, page=page)
    elif offsets is None:
        _chords(arc, start=(*planned, page.z / page.scale), sweep=sweep, radius=radius, page=page)
    else:
        end = (round(arc.to[0] * page.scale), round(arc.to[1] * page.scale))
        _line(arc, end=end, offsets=offsets, page=page)


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
    place = [f"X{units(page, end[0])}", f"Y{units(page, end[1])}"]
    centre = [f"I{units(page, offsets[0])}", f"J{units(page, offsets[1])}"]
    level = z == page.z and not page.marked
    if level:
        page.arcs[_key(arc, page=page)] = ArcWords(end=end, words=(*place, *centre))
    words = [*place, *centre] if level else [*place, f"Z{units(page, z)}", *centre]
    page.x, page.y, page.z, page.marked = *end, z, False
    motion(page, word="G2" if arc.clockwise else "G3", words=words, feed=arc.feed)


def _full_offsets(arc: Arc, *, radius: Mm, page: Page) -> tuple[int, int]:
    """I and J of the full circle that strays least from the planned one."""
    assert page.x is not None and page.y is not None
    centre = (arc.centre[0] * page.scale - page.x, arc.centre[1] * page.scale - page.y)
    nearest = (round(centre[0]), round(centre[1]))

    def stray(place: tuple[int, int]) -> float:
        return math.dist(place, centre) + abs(math.hypot(*place) - radius * page.scale)

    return min(((nearest[0] + a, nearest[1] + b) for a, b in _AROUND), key=stray)


def _offsets(arc: Arc, *, start: tuple[Mm, Mm], sweep: Rad, page: Page) -> tuple[int, int] | None:
    """I and J in units of the last decimal; None if no centre near the planned one keeps to the planned path.

    Around the planned centre that one of the decimals is taken whose radii agree and whose arc strays least.
    """
    assert page.x is not None and page.y is not None
    scale = page.scale
    to = (round(arc.to[0] * scale) - page.x, round(arc.to[1] * scale) - page.y)
    centre = (arc.centre[0] * scale - page.x, arc.centre[1] * scale - page.y)
    near = math.dist(start, arc.centre) * scale
    grown = math.dist(arc.to[:2], arc.centre) * scale - near
    first = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0])
    granted = page.post.arc_tolerance * scale * _SURELY
    limit = max(_STRAY * scale, _STRAY_UNITS)
    nearest = (round(centre[0]), round(centre[1]))
    best, least = None, limit
    for a, b in _AROUND:
        place = (nearest[0] + a, nearest[1] + b)
        r = math.hypot(place[0], place[1])
        widens = math.hypot(to[0] - place[0], to[1] - place[1]) - r
        if abs(widens) > granted:
            continue
        x, y, off = place[0] - centre[0], place[1] - centre[1], r - near
        if math.hypot(x, y) + max(abs(off), abs(off + widens - grown)) <= least:
            return place
        stray = 0.0
        for part in _PARTS:
            angle = first + sweep * part
            out = x * math.cos(angle) + y * math.sin(angle) + off + (widens - grown) * part
            stray = max(stray, abs(out))
        if stray <= least:
            best, least = place, stray
    return best


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
