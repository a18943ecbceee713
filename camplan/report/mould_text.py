"""What a mould asks for, as text."""

import textwrap
from collections.abc import Iterable

from camplan.catalogue.sources import Source
from camplan.cutting.records import Reason
from camplan.moulding.records import Estimate
from camplan.planned import MouldTable
from camplan.report.summary import findings_text
from camplan.report.words import figure, findings_in_order, source_words, sources_named


def mould_text(table: MouldTable, *, sources: tuple[Source, ...], width: int) -> str:
    """Every estimate with its range, below what each rests on, the publications, and what to look to."""
    estimates = table.answer.estimates
    longest = max((len(one.figure) for one in estimates), default=0)
    head = [f"{table.title}, moulded in {table.plastic.title}"]
    for role, names in table.roles.items():
        head += _hanging(f"{role}: {', '.join(names) or 'none'}", width=width)
    lines = [f"  {one.figure:<{longest}}  {_value(one)}" for one in estimates]
    reasons: list[str] = []
    for one in estimates:
        source = f" ({one.source})" if one.source else ""
        reasons += _hanging(f"{one.figure}: {one.sentence}{source}", width=width)
    blocks = ["\n".join(head), "\n".join(lines), "\n".join(["Why:", *reasons])]
    if named := sources_named(_as_reasons(estimates), sources=sources):
        said = ["Sources:"]
        for publication in named:
            said += _hanging(f"{publication.code}: {source_words(publication)}", width=width)
        blocks.append("\n".join(said))
    blocks.append("\n".join(findings_text(findings_in_order(table.answer.findings), width=width)))
    return "\n\n".join(blocks) + "\n"


def _as_reasons(estimates: Iterable[Estimate]) -> list[Reason]:
    return [Reason(figure=one.figure, sentence=one.sentence, source=one.source) for one in estimates]


def _value(one: Estimate) -> str:
    low, high = figure(one.least, places=one.places), figure(one.most, places=one.places)
    return f"{low if low == high else f'{low} to {high}'} {one.unit}".rstrip()


def _hanging(text: str, *, width: int) -> list[str]:
    return textwrap.wrap(
        text, width=max(width, 40), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False
    )
