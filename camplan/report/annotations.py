"""What a picture says beside its shapes: sizes, balloons, the frame of a close-up, plunges."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from camplan.features.records import Feature, Plate
from camplan.geometry.chains import Points
from camplan.report.leaders import Balloon, balloons
from camplan.report.shapes import STEADY, coordinate, left_mark, words
from camplan.report.style import DEPTHS, FAINT, HAIR, INK
from camplan.report.words import figure
from camplan.units import Mm

PLUNGES_SHOWN = 400
_BESIDE = 1.2
_LETTER = 0.8
_BELOW = 1.1
"""Room of a mark, of a letter beside it, and from one line of letters to the next, over the letters' size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What a picture shows: x0, y0, x1, y1 in mm."""

    x0: Mm
    y0: Mm
    x1: Mm
    y1: Mm

    @property
    def width(self) -> Mm:
        return self.x1 - self.x0

    @property
    def height(self) -> Mm:
        return self.y1 - self.y0


def plunge_marks(dots: Points, *, radius: Mm) -> str:
    """The cutter's size at its first plunge, and a dot at every plunge."""
    shade = DEPTHS[-1]
    first = dots[0]
    size = (
        f'<circle cx="{coordinate(first[0])}" cy="{coordinate(-first[1])}" r="{coordinate(radius)}" fill="none" '
        f'stroke="{INK}" stroke-width="1" stroke-dasharray="6 2 1 2" {STEADY}/>'
    )
    if len(dots) > PLUNGES_SHOWN:
        dots = dots[:: math.ceil(len(dots) / PLUNGES_SHOWN)]
    d = "".join(f"M{coordinate(x)} {coordinate(-y)}h0" for x, y in dots)
    return size + f'<path d="{d}" stroke="{shade}" stroke-width="6" stroke-linecap="round" {STEADY}/>'


def window(content: Frame, *, frame: Frame, unit: Mm) -> str:
    """The frame of a close-up, with the coordinates of its edges; white wherever the page is wider than the frame."""
    x, y, w, h = (coordinate(value) for value in (content.x0, -content.y1, content.width, content.height))
    wide, tall = 3.0 * frame.width, 3.0 * frame.height
    a, b = coordinate(frame.x0 - frame.width), coordinate(-frame.y1 - frame.height)
    c, d = coordinate(wide), coordinate(tall)
    hide = (
        f'<path d="M{a} {b}h{c}v{d}h-{c}ZM{x} {y}h{w}v{h}h-{w}Z" fill="#fff" fill-rule="evenodd"/>'
        f'<path d="M{x} {y}h{w}v{h}h-{w}Z" fill="none" stroke="{HAIR}" stroke-width="1" {STEADY}/>'
    )
    size, below = 4.2 * unit, content.y0 - 4 * unit
    low = words(f"X {figure(content.x0, places=1)}", at=(content.x0, below), size=size, colour=FAINT, anchor="start")
    high = words(f"X {figure(content.x1, places=1)}", at=(content.x1, below), size=size, colour=FAINT, anchor="end")
    inside = content.x0 + unit
    front = words(
        f"Y {figure(content.y0, places=1)}", at=(inside, content.y0 + 3 * unit), size=size, colour=FAINT, anchor="start"
    )
    back = words(
        f"Y {figure(content.y1, places=1)}", at=(inside, content.y1 - 3 * unit), size=size, colour=FAINT, anchor="start"
    )
    return hide + low + high + front + back


def plate_sizes(plate: Plate, *, content: Frame, unit: Mm) -> str:
    """The plate's size across and up, as on a drawing, beside everything that is drawn (``content``)."""
    x0, y0, x1, y1 = plate.bounds
    below, beside = content.y0 - 7 * unit, content.x1 + 12 * unit
    head = 1.6 * unit

    def arrow(x: Mm, y: Mm, *, dx: float, dy: float) -> str:
        bx, by = x - dx * head, y - dy * head
        sx, sy = dy * head * 0.28, dx * head * 0.28
        corners = ((x, y), (bx + sx, by + sy), (bx - sx, by - sy))
        return "M" + "L".join(f"{coordinate(px)} {coordinate(-py)}" for px, py in corners) + "Z"

    lines = "".join(
        f"M{coordinate(ax)} {coordinate(-ay)}L{coordinate(bx)} {coordinate(-by)}"
        for ax, ay, bx, by in (
            (x0, y0 - unit, x0, below - unit),
            (x1, y0 - unit, x1, below - unit),
            (x0, below, x1, below),
            (x1 + unit, y0, beside + unit, y0),
            (x1 + unit, y1, beside + unit, y1),
            (beside, y0, beside, y1),
        )
    )
    heads = (
        arrow(x0, below, dx=-1, dy=0)
        + arrow(x1, below, dx=1, dy=0)
        + arrow(beside, y0, dx=0, dy=-1)
        + arrow(beside, y1, dx=0, dy=1)
    )
    size = 3.6 * unit
    return (
        f'<path d="{lines}" fill="none" stroke="{FAINT}" stroke-width="0.8" {STEADY}/>'
        f'<path d="{heads}" fill="{FAINT}"/>'
        + words(figure(x1 - x0), at=((x0 + x1) / 2.0, below), size=size)
        + words(figure(y1 - y0), at=(beside, (y0 + y1) / 2.0), size=size, turned=True)
    )


def feature_balloons(features: tuple[Feature, ...], *, numbers: dict[str, int], content: Frame, unit: Mm) -> str:
    placed = balloons(
        features,
        numbers=numbers,
        left=content.x0 - 6 * unit,
        right=content.x1 + 6 * unit,
        low=content.y0,
        high=content.y1,
        gap=6.4 * unit,
    )
    return "".join(_balloon(item, unit=unit) for item in placed)


def left_marks(places: Mapping[str, tuple[Mm, Mm]], *, size: Mm) -> str:
    """The places where material is left by their letters; places too close for letters of their own share a mark."""
    groups: list[tuple[list[str], list[tuple[Mm, Mm]]]] = []
    for letter, at in places.items():
        for letters, members in groups:
            wide = (_BESIDE + _LETTER * len(letters)) * size
            if any(abs(at[0] - x) < wide and abs(at[1] - y) < _BELOW * size for x, y in members):
                letters.append(letter)
                members.append(at)
                break
        else:
            groups.append(([letter], [at]))
    drawn = []
    for letters, members in groups:
        middle = (sum(x for x, _ in members) / len(members), sum(y for _, y in members) / len(members))
        drawn.append(left_mark(middle, letter=" ".join(sorted(letters)), size=size))
    return "".join(drawn)


def _balloon(item: Balloon, *, unit: Mm) -> str:
    (tx, ty), (x, y), r = item.to, item.at, 2.7 * unit
    away = math.hypot(tx - x, ty - y) or 1.0
    ex, ey = x + (tx - x) * r / away, y + (ty - y) * r / away
    a, b, c, d = (coordinate(value) for value in (ex, -ey, tx, -ty))
    return (
        f'<path d="M{a} {b}L{c} {d}" stroke="{INK}" stroke-width="0.8" {STEADY}/>'
        f'<path d="M{c} {d}h0" stroke="{INK}" stroke-width="5" stroke-linecap="round" {STEADY}/>'
        f'<circle cx="{coordinate(x)}" cy="{coordinate(-y)}" r="{coordinate(r)}" fill="#fff" stroke="{INK}" '
        f'stroke-width="1" {STEADY}/>' + words(str(item.number), at=(x, y), size=3.3 * unit)
    )
