"""A program page being written: lines, and what the controller knows at the end of the last one."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from camplan.rs274.comments import comment_lines
from camplan.rs274.records import Post
from camplan.units import Mm, MmPerMin, Rpm, Seconds

_LAST_NUMBER = 99_999
_ROOM_FOR_NUMBER = 7
_SLOW: MmPerMin = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcWords:
    """The words of an arc on a level, and its end in units of the last decimal."""

    end: tuple[int, int]
    words: tuple[str, ...]


@dataclass(slots=True, kw_only=True)
class Page:
    """``x``, ``y``, ``z`` in units of the last decimal, None where nothing has said them; ``planned`` is where the
    moves are in XY before rounding; ``marked``: the next motion says everything anew; ``turned``: the spindle has been
    said since the last motion; ``arcs`` remembers the words of arcs on a level, which come again on the next."""

    post: Post
    scale: int
    point: bool
    lines: list[str] = field(default_factory=list)
    x: int | None = None
    y: int | None = None
    z: int | None = None
    planned: tuple[Mm, Mm] | None = None
    word: str = ""
    feed: str = ""
    rpm: Rpm = 0.0
    marked: bool = False
    turned: bool = False
    arcs: dict[tuple[object, ...], ArcWords] = field(default_factory=dict)


def page_for(post: Post) -> Page:
    """An empty page.  Where a missing point may mean least increments (ISO 6983-1), it is always written."""
    return Page(post=post, scale=10**post.decimals, point=post.dialect == "iso6983")


def put(page: Page, text: str) -> None:
    """One line, numbered if the post wants that; ValueError if it is longer than the controller reads."""
    if page.post.line_numbers and text != "%":
        number = (len(page.lines) * page.post.line_number_step) % (_LAST_NUMBER + 1)
        text = f"N{number} {text}"
    if len(text) > page.post.line_length:
        raise ValueError(f"{text!r} is longer than {page.post.line_length} characters")
    page.lines.append(text)


def say(page: Page, text: str) -> None:
    """A comment, on as many lines as it takes."""
    if page.post.comments:
        for line in comment_lines(text, room=page.post.line_length - _ROOM_FOR_NUMBER * page.post.line_numbers):
            put(page, line)


def mark(page: Page) -> None:
    """From here somebody may start again: the next motion says its word, all coordinates and its feed."""
    page.word, page.feed, page.marked = "", "", True


def turn(page: Page, *, rpm: Rpm) -> None:
    """The spindle on at ``rpm``, clockwise, or off."""
    put(page, f"M3 S{max(round(rpm), 1)}" if rpm > 0.0 else "M5")
    page.word, page.rpm, page.turned = "", rpm, True


def motion(page: Page, *, word: str, words: Sequence[str], feed: MmPerMin | None) -> None:
    """A line of motion: its G word and its F only where they are not in force."""
    parts = [word] if word and word != page.word else []
    parts += words
    page.word, page.turned = word, False
    if feed is not None:
        text = feed_word(feed)
        if text != page.feed:
            parts.append(text)
            page.feed = text
    put(page, " ".join(parts))


def raise_to(page: Page, *, z: Mm) -> None:
    """G0 to a height, wherever the page is in XY."""
    page.z, page.marked = round(z * page.scale), False
    motion(page, word="G0", words=[f"Z{units(page, page.z)}"], feed=None)


def straight(page: Page, *, word: str, to: tuple[Mm, Mm, Mm], feed: MmPerMin | None) -> None:
    """G0 or G1 to a place; nothing where the place rounds to the one it is at.  ValueError for no place at all.

    After a mark a way across at one height is two lines, the height first: whoever starts there goes up before
    across.
    """
    if not (math.isfinite(to[0]) and math.isfinite(to[1]) and math.isfinite(to[2])):
        raise ValueError(f"{to} is no place")
    scale = page.scale
    x, y, z = round(to[0] * scale), round(to[1] * scale), round(to[2] * scale)
    if x == page.x and y == page.y and z == page.z:
        return
    height_first = page.marked and word == "G0" and z == page.z
    if height_first:
        motion(page, word=word, words=[f"Z{units(page, z)}"], feed=feed)
    words = []
    if x != page.x or page.marked:
        words.append(f"X{units(page, x)}")
    if y != page.y or page.marked:
        words.append(f"Y{units(page, y)}")
    if z != page.z or (page.marked and not height_first):
        words.append(f"Z{units(page, z)}")
    page.x, page.y, page.z, page.marked = x, y, z, False
    motion(page, word=word, words=words, feed=feed)


def units(page: Page, value: int) -> str:
    """A coordinate in units of the last decimal, as it is written."""
    return number(value / page.scale, decimals=page.post.decimals, point=page.point)


def seconds_word(page: Page, seconds: Seconds) -> str:
    """P of a dwell; a dwell that is not 0 never rounds to 0."""
    return f"P{number(max(seconds, 0.01) if seconds > 0.0 else 0.0, decimals=2, point=page.point)}"


def feed_word(feed: MmPerMin) -> str:
    """F, finer where it is slow, so that it never rounds to 0; ValueError if it is 0 or less."""
    if not feed > 0.0:
        raise ValueError(f"a feed of {feed} mm/min cannot be written")
    if feed >= _SLOW:
        return f"F{number(feed, decimals=1)}"
    return f"F{number(max(feed, 0.001), decimals=3)}"


def number(value: float, *, decimals: int, point: bool = False) -> str:
    """A plain number without needless zeros; with ``point`` its decimal point is always there."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in ("-0", ""):
        text = "0"
    return f"{text}.0" if point and "." not in text else text
