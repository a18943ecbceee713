"""Pieces of HTML that the sheet is put together from; every text goes through `html.escape`."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from camplan.cutting.records import Reason
from camplan.findings import Finding
from camplan.operations.records import Purpose
from camplan.planned import PlannedOperation
from camplan.report.style import DEPTHS
from camplan.report.summary import SEVERITY_WORDS
from camplan.report.tracks import BANDS
from camplan.report.words import duration, figure, figure_name
from camplan.units import Mm

LEVELS_SHOWN = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A table's column: its heading, and whether it holds figures, or leads each row on a phone."""

    heading: str
    figures: bool = False
    lead: bool = False
    fill: bool = False


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]], *, long: bool = False) -> str:
    """A table of plain texts that becomes a list of cards on a phone; ``long`` ones may break over pages."""
    if not rows:
        return ""
    head = "".join(f"<th{_class('n' if column.figures else '')}>{escape(column.heading)}</th>" for column in columns)
    lines = ("".join(_cell(column, text) for column, text in zip(columns, row, strict=True)) for row in rows)
    body = "".join(f"<tr>{line}</tr>" for line in lines)
    return f'<table class="cards{" long" if long else ""}"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def facts(items: Sequence[tuple[str, str]], *, style: str) -> str:
    """A list of terms and their values."""
    cells = "".join(f"<div><dt>{escape(term)}</dt><dd>{escape(value)}</dd></div>" for term, value in items)
    return f'<dl class="{style}">{cells}</dl>'


def figure_of(svg: str, *, caption: str, key: str = "") -> str:
    """A picture with its caption, and a key if there is one."""
    return f"<figure>{svg}<figcaption>{escape(caption)}</figcaption>{key}</figure>"


def depth_key(deepest: Mm) -> str:
    """What the shades and dashes of a picture mean."""
    edges = [deepest * index / BANDS for index in range(BANDS + 1)]
    shades = "".join(
        f'<li><i style="color:{shade}"></i>{figure(low, places=1)} to {figure(high, places=1)} deep</li>'
        for shade, low, high in zip(DEPTHS, edges[:-1], edges[1:], strict=True)
    )
    return f'<ul class="key">{shades}<li><i class="dash"></i>rapid, or above the plate</li></ul>'


def tone_key(tones: Sequence[tuple[str, str]]) -> str:
    """Tones and what each stands for."""
    shades = "".join(f'<li><i style="color:{tone}"></i>{escape(said)}</li>' for tone, said in tones)
    return f'<ul class="key">{shades}</ul>'


def findings_list(findings: Sequence[Finding]) -> str:
    """Each finding with its severity, place, sentence and code."""
    lines = "".join(
        f'<li class="{finding.severity.value}"><b>{escape(SEVERITY_WORDS[finding.severity].capitalize())}'
        f"{': ' + escape(finding.where) if finding.where else ''}.</b> {escape(finding.message)} "
        f"<code>{escape(finding.code)}</code></li>"
        for finding in findings
    )
    return f'<ul class="findings">{lines}</ul>'


def operation_figures(operation: PlannedOperation) -> str:
    """The figures to check at the mill, as terms and values."""
    items = [
        ("Spindle", f"{figure(operation.rpm, places=0)} 1/min"),
        ("Feed", f"{figure(operation.feed, places=0)} mm/min"),
        ("Time", duration(operation.seconds)),
    ]
    if operation.purpose is not Purpose.DRILL:
        items += [
            ("Plunge", f"{figure(operation.plunge, places=0)} mm/min"),
            ("Step down", f"{figure(operation.step_down, places=3)} mm"),
            ("Step over", f"{figure(operation.step_over, places=3)} mm"),
        ]
    items.append(("Lines", f"{operation.first_line} to {operation.last_line}"))
    cells = "".join(f"<div><dt>{term}</dt><dd>{escape(value)}</dd></div>" for term, value in items)
    levels = f'<div class="wide"><dt>Levels, Z</dt><dd>{escape(levels_said(operation.levels))}</dd></div>'
    return f'<dl class="figures">{cells}{levels if operation.levels else ""}</dl>'


def levels_said(levels: Sequence[Mm]) -> str:
    """Levels as Z words of the program; of many, how many and the first and last few."""
    said = [figure(level, places=3) for level in levels]
    if len(said) > LEVELS_SHOWN:
        return f"{len(said)} levels: {', '.join(said[:3])} … {', '.join(said[-2:])}"
    return ", ".join(said)


def reasons_list(reasons: Sequence[Reason]) -> str:
    """Why each figure is what it is, folded away until asked for."""
    if not reasons:
        return ""
    lines = "".join(
        f"<li><b>{escape(figure_name(reason.figure).capitalize())}:</b> {escape(reason.sentence)}"
        + (f' <span class="small">({escape(reason.source)})</span>' if reason.source else "")
        + "</li>"
        for reason in reasons
    )
    return f"<details><summary>Why these figures</summary><ul>{lines}</ul></details>"


def _cell(column: Column, text: str) -> str:
    names = [name for name, on in (("n", column.figures), ("lead", column.lead), ("fill", column.fill)) if on]
    label = "" if column.lead or not text else f' data-label="{escape(column.heading)}"'
    return f"<td{_class(*names)}{label}>{escape(text)}</td>"


def _class(*names: str) -> str:
    said = " ".join(name for name in names if name)
    return f' class="{said}"' if said else ""
