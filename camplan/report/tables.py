"""Answers to single questions as text: cutters against features, and the cutting data of one cut."""

import math
import textwrap
from itertools import groupby

from camplan.catalogue.sources import Source
from camplan.cutting.records import CutKind, CuttingData
from camplan.planned import CutterRow, CutterTable, RegionRow
from camplan.report.choices import choice_sentences
from camplan.report.summary import findings_text
from camplan.report.words import (
    duration,
    figure,
    figure_name,
    findings_in_order,
    place,
    source_words,
    sources_named,
)
from camplan.units import UM_PER_MM, deg_from_rad

HEADINGS = ("cutter", "diameter", "reaches", "leaves mm2", "thickest", "near", "alone", "in the plan")
REGIONS_SHOWN = 8
_FIGURES = (1, 3, 4, 6)


def cutter_table_text(table: CutterTable, *, width: int) -> str:
    """Each feature with its tightest places, what each cutter leaves in it, the cutters chosen, and the answer."""
    blocks = [
        _feature_block(list(rows), regions=[one for one in table.regions if one.feature == name])
        for name, rows in groupby(table.rows, key=lambda row: row.feature)
    ]
    if table.others:
        blocks.append("\n".join(_others(table.others, width=width)))
    if table.choice is not None and table.choice.taken.cutters:
        blocks.append("\n".join(_hanging_in(" ".join(choice_sentences(table.choice)), width=width)))
    blocks.append("\n".join(_hanging_in(table.answer, width=width)))
    return "\n\n".join(blocks) + "\n"


def _others(others: dict[str, tuple[str, ...]], *, width: int) -> list[str]:
    lines = ["Not a matter of clearing:"]
    for name, cutters in others.items():
        lines += _hanging(f"{name}: {', '.join(cutters) or 'no cutter'}", width=width)
    return lines


def _hanging_in(text: str, *, width: int) -> list[str]:
    return textwrap.wrap(text, width=max(width, 40), subsequent_indent="  ", break_on_hyphens=False)


def speeds_text(data: CuttingData, *, kind: CutKind, heading: str, sources: tuple[Source, ...], width: int) -> str:
    """One cut's figures and, below, what set each of them, and the publications behind that."""
    figures = _figures(data, kind=kind)
    longest = max(len(name) for name, _ in figures)
    said = [heading, *(f"  {name:<{longest}}  {value}" for name, value in figures)]
    reasons: list[str] = []
    for reason in data.reasons:
        source = f" ({reason.source})" if reason.source else ""
        reasons += _hanging(f"{figure_name(reason.figure)}: {reason.sentence}{source}", width=width)
    blocks = ["\n".join(said)]
    if reasons:
        blocks.append("\n".join(["Why:", *reasons]))
    if named := sources_named(data.reasons, sources=sources):
        lines = ["Sources:"]
        for publication in named:
            lines += _hanging(f"{publication.code}: {source_words(publication)}", width=width)
        blocks.append("\n".join(lines))
    if data.findings:
        blocks.append("\n".join(findings_text(findings_in_order(data.findings), width=width)))
    blocks.append("Estimates: start lower, listen, look at the chip, then raise. Eye protection on.")
    return "\n\n".join(blocks) + "\n"


def _feature_block(rows: list[CutterRow], *, regions: list[RegionRow]) -> str:
    first = rows[0]
    facts = [f"{first.feature}, {figure(first.depth, places=3)} deep"]
    if first.smallest_inner_radius is not None and first.smallest_inner_radius_at is not None:
        radius = figure(first.smallest_inner_radius, places=3)
        facts.append(f"  smallest inner radius {radius} mm at {place(first.smallest_inner_radius_at)}")
    if first.narrowest_neck is not None and first.narrowest_neck_at is not None:
        neck = figure(first.narrowest_neck)
        facts.append(f"  narrowest neck {neck} mm at {place(first.narrowest_neck_at)}")
    facts.extend(_regions(regions))
    cells = [HEADINGS, *(_cells(row) for row in rows)]
    widths = [max(len(line[column]) for line in cells) for column in range(len(HEADINGS))]
    table = ["  " + "  ".join(_padded(line, widths=widths)).rstrip() for line in cells]
    return "\n".join([*facts, *table])


def _regions(regions: list[RegionRow]) -> list[str]:
    """The tightest regions of several, each with its own places."""
    if len(regions) < 2:
        return []
    ordered = sorted(regions, key=lambda one: (_tightness(one), one.number))
    lines = []
    for one in ordered[:REGIONS_SHOWN]:
        facts = []
        if one.radius is not None and one.radius_at is not None:
            facts.append(f"radius {figure(one.radius, places=3)} at {place(one.radius_at)}")
        if one.neck is not None and one.neck_at is not None:
            facts.append(f"neck {figure(one.neck)} at {place(one.neck_at)}")
        lines.append(f"  region {one.number}: {', '.join(facts) or 'no inner corner and no neck'}")
    if len(ordered) > REGIONS_SHOWN:
        lines.append(f"  and {len(ordered) - REGIONS_SHOWN} regions more, none of them tighter")
    return lines


def _tightness(region: RegionRow) -> float:
    """The widest cutter that fits everywhere, about."""
    return min(
        2.0 * region.radius if region.radius is not None else math.inf,
        region.neck if region.neck is not None else math.inf,
    )


def _padded(line: tuple[str, ...], *, widths: list[int]) -> list[str]:
    """Words to the left, figures to the right."""
    columns = enumerate(zip(line, widths, strict=True))
    return [text.rjust(wide) if column in _FIGURES else text.ljust(wide) for column, (text, wide) in columns]


def _cells(row: CutterRow) -> tuple[str, ...]:
    able = row.reaches_depth and math.isfinite(row.deepest_left)
    leaves = able and row.area_left > 0.0
    return (
        row.cutter.name,
        figure(row.cutter.diameter, places=3),
        "yes" if row.reaches_depth else f"to {figure(row.cutter.reach)}",
        (figure(row.area_left, places=3) if leaves else "nothing") if able else "all",
        figure(row.deepest_left, places=3) if leaves else "",
        place(row.left_at) if leaves and row.left_at is not None else "",
        duration(row.seconds) if row.seconds is not None else "",
        ", ".join(row.roles),
    )


def _figures(data: CuttingData, *, kind: CutKind) -> list[tuple[str, str]]:
    items = [
        ("spindle", f"{figure(data.rpm, places=0)} 1/min"),
        ("feed", f"{figure(data.feed, places=0)} mm/min"),
        ("chip a tooth", f"{figure(data.chip, places=4)} mm"),
    ]
    if kind is not CutKind.DRILL:
        items += [
            ("feed in a full slot", f"{figure(data.slot_feed, places=0)} mm/min"),
            ("plunge", f"{figure(data.plunge_feed, places=0)} mm/min"),
            ("ramp and helix", f"{figure(data.ramp_feed, places=0)} mm/min, at most {_degrees(data.ramp_angle)}"),
            ("step down", f"{figure(data.step_down, places=3)} mm"),
            ("step over", f"{figure(data.step_over, places=3)} mm"),
        ]
    if data.pecks:
        items.append(("pecks", ", ".join(figure(peck) for peck in data.pecks) + " mm"))
    elif data.peck is not None:
        items.append(("first peck", f"{figure(data.peck)} mm"))
    if data.force is not None:
        items.append(("force", f"{figure(data.force, places=1)} N"))
    if data.power is not None:
        items.append(("power", f"{figure(data.power, places=0)} W"))
    if data.bending is not None:
        items.append(("bending at the tip", f"{figure(data.bending * UM_PER_MM, places=1)} um"))
    return items


def _hanging(text: str, *, width: int) -> list[str]:
    return textwrap.wrap(
        text, width=max(width, 40), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False
    )


def _degrees(angle: float) -> str:
    return f"{figure(deg_from_rad(angle))} degrees"


def cut_heading(*, cutter: str, material: str, machine: str, kind: str, depth: float, width: float | None) -> str:
    """What was asked, in a line."""
    wide = f", {figure(width, places=3)} mm wide" if width is not None else ""
    return f"{cutter} in {material} on {machine}: {kind}, {figure(depth, places=3)} mm deep{wide}"
