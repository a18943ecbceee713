"""The picture of `camplan cutters`: the plate, coloured by the widest cutter that clears each place, its tight places.

One SVG that asks for nothing from outside.  Y points up, X to the right, as on the mill.  Below the plate stands what
each letter marks; at its right what each colour means.
"""

import textwrap

from camplan.catalogue.records import Cutter
from camplan.features.records import Plate
from camplan.geometry.clipper import Area
from camplan.planned import CutterRow, CutterTable, RegionRow
from camplan.report.annotations import Frame, plate_sizes
from camplan.report.shapes import STEADY, coordinate, feature_shape, plate_shape, words, zero_shape
from camplan.report.style import FAINT, INK, OTHER
from camplan.report.words import figure, place
from camplan.units import Mm

MARK = '<svg xmlns="http://www.w3.org/2000/svg" data-of="camplan cutters"'
"""How every such picture begins, so that one may be written over an earlier one."""

_TONES = ("#cfdcd8", "#f0d58c", "#e2a458", "#c9713f", "#9c4540", "#6a2f4d", "#3b2148")
"""From what the widest cutter clears to what only the narrowest does."""
_NOBODY = "#e0007a"
_STEPS = 1600
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_LINE = 3.4


def cutter_picture(table: CutterTable) -> str:
    """The picture of a table of cutters."""
    plate = table.plate
    x0, y0, x1, y1 = plate.bounds
    content = Frame(x0=x0, y0=y0, x1=x1, y1=y1)
    unit = max(content.width, 1.3 * content.height) / 100.0
    shown = _shown(table)
    names = dict.fromkeys(row.feature for row in table.rows)
    tight = _marked(table.regions)
    notes = [_note(letter, one=one) for letter, one in tight.items()]
    said = textwrap.wrap(table.answer, width=96, break_on_hyphens=False)
    lines = len(said) + len(notes) + 2
    frame = Frame(
        x0=content.x0 - 12 * unit,
        y0=content.y0 - (14 + _LINE * lines) * unit,
        x1=content.x1 + 52 * unit,
        y1=content.y1 + 10 * unit,
    )
    body = _plate(table, plate=plate, shown=shown, step=frame.width / _STEPS)
    body += plate_sizes(plate, content=content, unit=unit) + zero_shape(size=9 * unit)
    body += "".join(_mark(letter, one=one, unit=unit) for letter, one in tight.items())
    body += words(table.title, at=(content.x0, content.y1 + 5 * unit), size=4.4 * unit, anchor="start")
    left = any(_able(table, feature=name)[-1:] and _able(table, feature=name)[-1].lost for name in names)
    body += _legend(shown, left=left, at=(content.x1 + 19 * unit, content.y1 - 2 * unit), unit=unit)
    top = content.y0 - 14 * unit
    for number, line in enumerate([*said, "", *notes]):
        colour = INK if number < len(said) else FAINT
        at = (content.x0, top - _LINE * unit * number)
        body += words(line, at=at, size=2.6 * unit, colour=colour, anchor="start") if line else ""
    box = " ".join(coordinate(value) for value in (frame.x0, -frame.y1, frame.width, frame.height))
    about = "The plate from above, coloured by the widest cutter that clears each place; tight places are marked."
    return (
        f'{MARK} viewBox="{box}" role="img" aria-label="{about}" '
        f'font-family="Arial, Helvetica, sans-serif">{_paper(frame)}{body}</svg>\n'
    )


def _paper(frame: Frame) -> str:
    x, y, w, h = (coordinate(value) for value in (frame.x0, -frame.y1, frame.width, frame.height))
    return f'<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="#fff"/>'


def _shown(table: CutterTable) -> list[Cutter]:
    """The cutters that clear something which no wider one does, widest first: each has a tone of its own."""
    found: dict[str, Cutter] = {}
    for name in dict.fromkeys(row.feature for row in table.rows):
        before: float | None = None
        for row in _able(table, feature=name):
            if before is None or row.area_left < before - 1e-2:
                found[row.cutter.name] = row.cutter
            before = row.area_left if before is None else min(before, row.area_left)
    return sorted(found.values(), key=lambda cutter: (-cutter.diameter, cutter.name))


def _able(table: CutterTable, *, feature: str) -> list[CutterRow]:
    """The rows of the cutters that cut a feature at all and reach its depth."""
    return [row for row in table.rows if row.feature == feature and row.seconds is not None and row.reaches_depth]


def _tone(cutter: Cutter, *, shown: list[Cutter]) -> str:
    names = [one.name for one in shown]
    return _TONES[min(names.index(cutter.name), len(_TONES) - 1)]


def _plate(table: CutterTable, *, plate: Plate, shown: list[Cutter], step: Mm) -> str:
    drawn = plate_shape(plate, step=step)
    names = {one.name for one in shown}
    for feature in sorted(table.features, key=lambda one: one.top):
        rows = [row for row in _able(table, feature=feature.spec.name) if row.cutter.name in names]
        tone = _tone(rows[0].cutter, shown=shown) if rows else OTHER
        drawn += feature_shape(feature, step=step, here=bool(rows), tone=tone)
        for row, narrower in zip(rows, [*rows[1:], None][: len(rows)], strict=True):
            colour = _tone(narrower.cutter, shown=shown) if narrower is not None else _NOBODY
            drawn += _filled(row.lost, colour=colour)
    return drawn


def _filled(area: Area, *, colour: str) -> str:
    if not area:
        return ""
    d = "".join("M" + "L".join(f"{coordinate(x)} {coordinate(-y)}" for x, y in ring.tolist()) + "Z" for ring in area)
    return f'<path d="{d}" fill="{colour}" stroke="{colour}" stroke-width="0.6" fill-rule="evenodd" {STEADY}/>'


def _marked(regions: tuple[RegionRow, ...]) -> dict[str, RegionRow]:
    """The regions whose places get a letter: for each feature the tightest, then the tightest of all others."""
    ordered = sorted(regions, key=lambda one: (_width(one), one.feature, one.number))
    first = {one.feature: one for one in reversed(ordered)}
    kept = [one for one in ordered if first[one.feature] is one]
    kept += [one for one in ordered if first[one.feature] is not one]
    real = [one for one in kept if one.radius is not None or one.neck is not None]
    return dict(zip(_LETTERS, real[: min(len(_LETTERS), max(12, len(first)))], strict=False))


def _width(one: RegionRow) -> Mm:
    return min(2.0 * one.radius if one.radius is not None else 1e9, one.neck if one.neck is not None else 1e9)


def _note(letter: str, *, one: RegionRow) -> str:
    facts = []
    if one.radius is not None and one.radius_at is not None:
        facts.append(f"inner radius {figure(one.radius, places=3)} at {place(one.radius_at)}")
    if one.neck is not None and one.neck_at is not None:
        facts.append(f"neck {figure(one.neck)} at {place(one.neck_at)}")
    return f"{letter}   {one.feature}, region {one.number}: {'; '.join(facts)}"


def _mark(letter: str, *, one: RegionRow, unit: Mm) -> str:
    """A ring at the smallest radius, a stroke across the narrowest neck, each with the region's letter."""
    found = ""
    if one.radius_at is not None:
        x, y = one.radius_at
        r = 1.5 * unit
        found += (
            f'<circle cx="{coordinate(x)}" cy="{coordinate(-y)}" r="{coordinate(r)}" fill="none" stroke="{INK}" '
            f'stroke-width="1.6" {STEADY}/>' + words(letter, at=(x + 2.6 * unit, y + 1.6 * unit), size=3.0 * unit)
        )
    if one.neck_ends is not None and one.neck_at is not None:
        (ax, ay), (bx, by) = one.neck_ends
        a, b, c, d = (coordinate(value) for value in (ax, -ay, bx, -by))
        found += (
            f'<path d="M{a} {b}L{c} {d}" stroke="{INK}" stroke-width="1.8" {STEADY}/>'
            f'<path d="M{a} {b}h0M{c} {d}h0" stroke="{INK}" stroke-width="5.5" stroke-linecap="round" {STEADY}/>'
            + words(letter, at=(one.neck_at[0] + 1.8 * unit, one.neck_at[1] + 1.8 * unit), size=3.0 * unit)
        )
    return found


def _legend(shown: list[Cutter], *, left: bool, at: tuple[Mm, Mm], unit: Mm) -> str:
    x, y = at
    found = ""
    said = [(f"{shown[0].name} clears it", _tone(shown[0], shown=shown))] if shown else []
    said += [(f"{one.name} and narrower", _tone(one, shown=shown)) for one in shown[1:-1]]
    said += [(f"{one.name} only", _tone(one, shown=shown)) for one in shown[1:][-1:]]
    said += [("no listed cutter", _NOBODY)] if left else []
    for number, (text, colour) in enumerate(said):
        top = y - 5.2 * unit * number
        found += (
            f'<rect x="{coordinate(x)}" y="{coordinate(-top - 1.6 * unit)}" width="{coordinate(3.2 * unit)}" '
            f'height="{coordinate(3.2 * unit)}" fill="{colour}" stroke="{INK}" stroke-width="0.8" {STEADY}/>'
            + words(text, at=(x + 4.6 * unit, top), size=2.7 * unit, anchor="start")
        )
    low = y - 5.2 * unit * len(said) - 1.5 * unit
    keys = ("ring: smallest inner radius", "stroke: narrowest neck")
    return found + "".join(
        words(text, at=(x, low - 3.6 * unit * number), size=2.5 * unit, colour=FAINT, anchor="start")
        for number, text in enumerate(keys)
    )
