"""Moves to text.

Coordinates are rounded to the post's decimals first; an arc's centre is then set anew between its rounded ends, so
that both radii agree as closely as the decimals allow.  What rounds to no motion is left out, but never an arc that
would become a full circle.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import assert_never

from camplan import tolerance
from camplan.moves.expand import drill_steps
from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Position, Rapid, Remark, Spindle, ToolChange
from camplan.rs274.comments import comment_lines
from camplan.rs274.records import Post, Written
from camplan.units import Mm

_LAST_NUMBER = 99_999
_NEARLY_FULL = math.radians(355.0)


@dataclass(slots=True, kw_only=True)
class _Page:
    """Lines so far, and what the controller knows: position in units of the last decimal, motion word, feed."""

    post: Post
    lines: list[str] = field(default_factory=list)
    x: int | None = None
    y: int | None = None
    z: int | None = None
    planned: tuple[Mm, Mm] | None = None
    word: str = ""
    feed: str = ""

    def put(self, text: str) -> None:
        """One line, numbered if the post wants that."""
        if self.post.line_numbers and text != "%":
            number = (len(self.lines) * self.post.line_number_step) % (_LAST_NUMBER + 1)
            text = f"N{number} {text}"
        self.lines.append(text)

    def say(self, text: str) -> None:
        """A comment; the motion word is written again after it."""
        room = self.post.line_length - (8 if self.post.line_numbers else 0)
        if self.post.comments:
            for line in comment_lines(text, room=room):
                self.put(line)
        self.word = ""


def write(moves: Sequence[Move], *, post: Post, header: Sequence[str], start: Position | None = None) -> Written:
    """The program text of ``moves``; from an unknown ``start`` the first rapid goes up before it goes across.

    Source: NISTIR 6556 section 3; for ``grbl`` the firmware's own notes.
    """
    page = _Page(post=post)
    scale = 10**post.decimals
    if start is not None:
        page.x, page.y, page.z = (round(value * scale) for value in start)
        page.planned = (start[0], start[1])
    if post.percent_lines:
        page.put("%")
    for text in header:
        page.say(text)
    for text in post.preamble:
        page.put(text)
    spans: list[tuple[int, int]] = []
    for move in moves:
        before = len(page.lines)
        _move(move, page=page, scale=scale)
        if isinstance(move, Line | Arc | Rapid):
            page.planned = (move.to[0], move.to[1])
        elif isinstance(move, Drill):
            page.planned = move.at
        after = len(page.lines)
        spans.append((before + 1, after) if after > before else (max(before, 1), max(before, 1)))
    for text in post.closing:
        page.put(text)
    if post.percent_lines:
        page.put("%")
    return Written(text="\n".join(page.lines) + "\n", lines=tuple(spans))


def _move(move: Move, *, page: _Page, scale: int) -> None:
    match move:
        case Line(to=to, feed=feed):
            _straight("G1", to=to, feed=feed, page=page, scale=scale)
        case Arc():
            _arc(move, page=page, scale=scale)
        case Rapid(to=to):
            if page.z is None:
                _straight("G0", to=(math.nan, math.nan, to[2]), feed=None, page=page, scale=scale)
            _straight("G0", to=to, feed=None, page=page, scale=scale)
        case Drill():
            _drill(move, page=page, scale=scale)
        case Dwell(seconds=seconds):
            page.put(f"G4 P{_number(seconds, decimals=2)}")
            page.word = ""
        case Spindle(rpm=rpm):
            page.put(f"M3 S{_number(rpm, decimals=0)}" if rpm > 0.0 else "M5")
            page.word = ""
        case ToolChange(number=number, cutter=cutter):
            page.say(f"cutter: {cutter}")
            page.put(f"T{number} M6" if page.post.changes_cutters else "M0")
            page.word = ""
        case Remark(text=text):
            page.say(text)
        case _:
            assert_never(move)


def _straight(word: str, *, to: Position, feed: float | None, page: _Page, scale: int) -> None:
    x = page.x if math.isnan(to[0]) else round(to[0] * scale)
    y = page.y if math.isnan(to[1]) else round(to[1] * scale)
    z = round(to[2] * scale)
    words = []
    if x != page.x:
        words.append(f"X{_units(x or 0, page=page)}")
    if y != page.y:
        words.append(f"Y{_units(y or 0, page=page)}")
    if z != page.z:
        words.append(f"Z{_units(z, page=page)}")
    if not words:
        return
    page.x, page.y, page.z = x, y, z
    _motion(word, words=words, feed=feed, page=page)


def _motion(word: str, *, words: list[str], feed: float | None, page: _Page) -> None:
    if word != page.word:
        words.insert(0, word)
        page.word = word
    if feed is not None:
        text = f"F{_number(feed, decimals=1)}"
        if text != page.feed:
            words.append(text)
            page.feed = text
    page.put(" ".join(words))


def _arc(arc: Arc, *, page: _Page, scale: int) -> None:
    if page.x is None or page.y is None or page.z is None:
        raise ValueError("an arc needs a known start")
    start = (page.x / scale, page.y / scale, page.z / scale)
    end = (round(arc.to[0] * scale) / scale, round(arc.to[1] * scale) / scale, arc.to[2])
    sweep = _sweep(page.planned or (start[0], start[1]), arc=arc)
    radius = math.hypot(arc.centre[0] - start[0], arc.centre[1] - start[1])
    chord = math.hypot(end[0] - start[0], end[1] - start[1])
    if abs(sweep) >= _NEARLY_FULL and radius > 4.0 / scale:
        _halves(arc, start=start, sweep=sweep, page=page, scale=scale)
        return
    sagitta = radius * (1.0 - math.cos(min(abs(sweep), math.pi) / 2.0))
    if sagitta < tolerance.CHORD or radius > page.post.arc_radius_max or chord < 8.0 / scale:
        _chords(arc, start=start, sweep=sweep, radius=radius, page=page, scale=scale)
        return
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    along = (-(end[1] - start[1]) / chord, (end[0] - start[0]) / chord)
    rise = (arc.centre[0] - middle[0]) * along[0] + (arc.centre[1] - middle[1]) * along[1]
    i, j = _offsets(
        (middle[0] + rise * along[0] - start[0], middle[1] + rise * along[1] - start[1]),
        to=(end[0] - start[0], end[1] - start[1]),
        scale=scale,
    )
    page.x, page.y = round(end[0] * scale), round(end[1] * scale)
    z = round(end[2] * scale)
    words = [f"X{_units(page.x, page=page)}", f"Y{_units(page.y, page=page)}"]
    if z != page.z:
        words.append(f"Z{_units(z, page=page)}")
    page.z = z
    words.extend((f"I{_units(i, page=page)}", f"J{_units(j, page=page)}"))
    _motion("G2" if arc.clockwise else "G3", words=words, feed=arc.feed, page=page)


def _offsets(centre: tuple[Mm, Mm], *, to: tuple[Mm, Mm], scale: int) -> tuple[int, int]:
    """The rounded offsets next to ``centre`` (from the start) for which the two radii differ least."""
    i0, j0 = math.floor(centre[0] * scale), math.floor(centre[1] * scale)

    def off(offsets: tuple[int, int]) -> tuple[float, float]:
        i, j = offsets[0] / scale, offsets[1] / scale
        return (
            round(abs(math.hypot(i, j) - math.hypot(to[0] - i, to[1] - j)), 9),
            math.hypot(i - centre[0], j - centre[1]),
        )

    return min(((i0 + a, j0 + b) for a in (0, 1) for b in (0, 1)), key=off)


def _halves(arc: Arc, *, start: Position, sweep: float, page: _Page, scale: int) -> None:
    """A nearly full turn as two arcs."""
    angle = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0]) + sweep / 2.0
    radius = math.hypot(start[0] - arc.centre[0], start[1] - arc.centre[1])
    half = (
        arc.centre[0] + radius * math.cos(angle),
        arc.centre[1] + radius * math.sin(angle),
        (start[2] + arc.to[2]) / 2.0,
    )
    for to in (half, arc.to):
        _arc(Arc(to=to, centre=arc.centre, clockwise=arc.clockwise, feed=arc.feed), page=page, scale=scale)
        page.planned = (to[0], to[1])


def _chords(arc: Arc, *, start: Position, sweep: float, radius: Mm, page: _Page, scale: int) -> None:
    """An arc as straight cuts within half a micrometre: too flat, too wide or too short for its words."""
    step = 2.0 * math.acos(max(1.0 - tolerance.CHORD / max(radius, tolerance.CHORD), -1.0))
    count = max(math.ceil(abs(sweep) / max(step, 1e-9) - 1e-9), 1) if radius > tolerance.CHORD else 1
    first = math.atan2(start[1] - arc.centre[1], start[0] - arc.centre[0])
    for number in range(1, count):
        angle = first + sweep * number / count
        to = (
            arc.centre[0] + radius * math.cos(angle),
            arc.centre[1] + radius * math.sin(angle),
            start[2] + (arc.to[2] - start[2]) * number / count,
        )
        _straight("G1", to=to, feed=arc.feed, page=page, scale=scale)
    _straight("G1", to=arc.to, feed=arc.feed, page=page, scale=scale)


def _sweep(start: tuple[Mm, Mm], *, arc: Arc) -> float:
    """The signed angle of the arc as planned: a full turn only where it returns to its very start."""
    a = (start[0] - arc.centre[0], start[1] - arc.centre[1])
    b = (arc.to[0] - arc.centre[0], arc.to[1] - arc.centre[1])
    turn = math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    if math.hypot(arc.to[0] - start[0], arc.to[1] - start[1]) < 1e-9:
        return -2.0 * math.pi if arc.clockwise else 2.0 * math.pi
    slip = 1e-7 / max(math.hypot(*a), 1e-7)
    if arc.clockwise:
        return turn - 2.0 * math.pi if turn > slip else turn
    return turn + 2.0 * math.pi if turn < -slip else turn


def _drill(hole: Drill, *, page: _Page, scale: int) -> None:
    here = hole.retract if page.z is None else page.z / scale
    if not page.post.cycles:
        for step in drill_steps(hole, z=here):
            _straight(
                "G0" if isinstance(step, Rapid) else "G1",
                to=step.to,
                feed=hole.feed if isinstance(step, Line) else None,
                page=page,
                scale=scale,
            )
        return
    word = "G83" if hole.peck is not None else "G82" if hole.dwell > 0.0 else "G81"
    x, y = round(hole.at[0] * scale), round(hole.at[1] * scale)
    words = ["G99", word, f"X{_units(x, page=page)}", f"Y{_units(y, page=page)}"]
    words.append(f"Z{_units(round(hole.bottom * scale), page=page)}")
    words.append(f"R{_units(round(hole.retract * scale), page=page)}")
    if hole.peck is not None:
        words.append(f"Q{_number(hole.peck, decimals=page.post.decimals)}")
    elif hole.dwell > 0.0:
        words.append(f"P{_number(hole.dwell, decimals=2)}")
    page.word = ""
    _motion("", words=words, feed=hole.feed, page=page)
    page.put("G80")
    page.x, page.y, page.z = x, y, round(hole.retract * scale)


def _units(value: int, *, page: _Page) -> str:
    return _number(value / 10**page.post.decimals, decimals=page.post.decimals)


def _number(value: float, *, decimals: int) -> str:
    """A plain number without needless zeros, its point kept where it has decimals."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0")
        text = text[:-1] if text.endswith(".") else text
    return "0" if text in ("-0", "") else text
