"""The work offset as a program of its own: where the plate's zero is in the machine's coordinates."""

from collections.abc import Sequence

from camplan.rs274.page import number, page_for, put, say
from camplan.rs274.records import Post
from camplan.units import Mm


def offset_program(x: Mm, y: Mm, *, post: Post, header: Sequence[str]) -> str | None:
    """G10 L2 P1 with X and Y (NISTIR 6556 §3.5.5: the origin of coordinate system 1, which G54 selects); Z stays as it
    was touched off.  None for a post whose standard has no G10 L2: the figures are then typed in by hand.

    >>> from pathlib import Path
    >>> from camplan.rs274.posts import load_post
    >>> text = offset_program(12.5, -3.0, post=load_post("grbl", beside=Path(".")).post, header=())
    >>> text.splitlines()[1]
    'G10 L2 P1 X12.5 Y-3'
    """
    if post.dialect == "iso6983":
        return None
    page = page_for(post)
    if post.percent_lines:
        put(page, "%")
    for text in header:
        say(page, text)
    for text in post.preamble:
        put(page, text)
    place = [f"{axis}{number(value, decimals=post.decimals, point=page.point)}" for axis, value in (("X", x), ("Y", y))]
    put(page, " ".join(("G10 L2 P1", *place)))
    for text in post.closing:
        put(page, text)
    if post.percent_lines:
        put(page, "%")
    return "\n".join(page.lines) + "\n"
