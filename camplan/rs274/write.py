"""Moves to text.

Words that stay in force are written once.  At every remark and change of cutter the page is marked: the spindle's
speed is said again, and the next motion says its word, every coordinate and its feed, height before a way across,
so that the program can be started again there.  What rounds to no motion is left out.
"""

import math
from collections.abc import Sequence
from typing import assert_never

from camplan.moves.expand import drill_steps
from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Position, Rapid, Remark, Spindle, ToolChange
from camplan.rs274.arc_text import write_arc
from camplan.rs274.page import (
    Page,
    mark,
    motion,
    number,
    page_for,
    put,
    raise_to,
    say,
    seconds_word,
    straight,
    turn,
    units,
)
from camplan.rs274.records import Post, Written


def write(moves: Sequence[Move], *, post: Post, header: Sequence[str], start: Position | None = None) -> Written:
    """The program text of ``moves``, and the lines of each; a move that needs none has the line before it.

    From an unknown ``start`` the first rapid goes to its height before it goes across.  Source: NISTIR 6556 section
    3; for ``grbl`` the firmware's own notes.  ValueError for moves that no text can say: a feed of 0, an arc from
    nowhere, a coordinate too long for the line.
    """
    page = page_for(post)
    if start is not None:
        page.x, page.y, page.z = (round(value * page.scale) for value in start)
        page.planned = (start[0], start[1])
    if post.percent_lines:
        put(page, "%")
    for text in header:
        say(page, text)
    for text in post.preamble:
        put(page, text)
    spans: list[tuple[int, int]] = []
    for place, move in enumerate(moves):
        before = len(page.lines)
        spindle_next = place + 1 < len(moves) and isinstance(moves[place + 1], Spindle)
        _write(move, page=page, spindle_next=spindle_next)
        after = len(page.lines)
        spans.append((before + 1, after) if after > before else (max(before, 1), max(before, 1)))
    if page.rpm > 0.0:
        turn(page, rpm=0.0)
    for text in post.closing:
        put(page, text)
    if post.percent_lines:
        put(page, "%")
    return Written(text="\n".join(page.lines) + "\n", lines=tuple(spans))


def _write(move: Move, *, page: Page, spindle_next: bool) -> None:
    match move:
        case Line(to=to, feed=feed):
            straight(page, word="G1", to=to, feed=feed)
            page.planned = to[:2]
        case Arc():
            write_arc(move, page=page)
        case Rapid(to=to):
            if page.z is None:
                raise_to(page, z=to[2])
            straight(page, word="G0", to=to, feed=None)
            page.planned = to[:2]
        case Drill():
            _drill(move, page=page)
        case Dwell(seconds=seconds):
            _dwell(seconds, page=page)
        case Spindle(rpm=rpm):
            turn(page, rpm=rpm)
        case ToolChange(number=tool, cutter=cutter):
            _change(tool, cutter=cutter, page=page)
        case Remark(text=text):
            say(page, text)
            if page.rpm > 0.0 and not page.turned and not spindle_next:
                turn(page, rpm=page.rpm)
            mark(page)
        case _:
            assert_never(move)


def _dwell(seconds: float, *, page: Page) -> None:
    put(page, f"G4 {seconds_word(page, seconds)}")
    page.word = ""


def _change(tool: int, *, cutter: str, page: Page) -> None:
    """M6 where the machine changes cutters, else the spindle off and a stop for the hand that does."""
    say(page, f"cutter: {cutter}")
    if page.post.changes_cutters:
        put(page, f"T{tool} M6")
    else:
        if page.rpm > 0.0:
            turn(page, rpm=0.0)
        put(page, "M0")
    page.rpm = 0.0
    mark(page)


def _drill(hole: Drill, *, page: Page) -> None:
    """A canned cycle where the post has them and one fits (no cycle both pecks and dwells), else its steps."""
    here = (
        math.nan if page.x is None else page.x / page.scale,
        math.nan if page.y is None else page.y / page.scale,
        hole.retract if page.z is None else page.z / page.scale,
    )
    if not page.post.cycles or (hole.peck is not None and hole.dwell > 0.0):
        for step in drill_steps(hole, at=here):
            match step:
                case Rapid(to=to):
                    straight(page, word="G0", to=to, feed=None)
                case Line(to=to, feed=feed):
                    straight(page, word="G1", to=to, feed=feed)
                case Dwell(seconds=seconds):
                    _dwell(seconds, page=page)
        page.planned = hole.at
        return
    word = "G83" if hole.peck is not None else "G82" if hole.dwell > 0.0 else "G81"
    x, y, z = round(hole.at[0] * page.scale), round(hole.at[1] * page.scale), round(hole.retract * page.scale)
    words = ["G99", word, f"X{units(page, x)}", f"Y{units(page, y)}"]
    words += [f"Z{units(page, round(hole.bottom * page.scale))}", f"R{units(page, z)}"]
    if hole.peck is not None:
        words.append(f"Q{number(hole.peck, decimals=page.post.decimals, point=page.point)}")
    elif hole.dwell > 0.0:
        words.append(seconds_word(page, hole.dwell))
    motion(page, word="", words=words, feed=hole.feed)
    put(page, "G80")
    page.x, page.y, page.z, page.planned, page.word, page.marked = x, y, z, hole.at, "", False
