"""The page of a project: its plates laid over each other, what agrees between them, and the way to each plate's sheet.

One HTML file that asks for nothing from outside but the sheets beside it.
"""

from html import escape
from urllib.parse import quote

from camplan import __version__
from camplan.findings import Severity
from camplan.pairing.records import Held, MatingFound, PatternFound
from camplan.planned import ProjectPlan
from camplan.report.project_picture import lies_said, overlay_key, overlay_picture
from camplan.report.project_text import project_findings
from camplan.report.project_words import hole_rows, mating_said, pattern_said, plan_said, plans_in_order
from camplan.report.sheet_parts import Column, facts, figure_of, findings_list, table
from camplan.report.style import STYLE
from camplan.report.words import counted, duration, figure, place

_LAID = {"centre": "plates on their middles", "drawing": "in their drawings' coordinates", "zero": "on their zeros"}


def project_page(project: ProjectPlan) -> str:
    """The whole page as an HTML document; each plate's sheet is expected in a folder of the plate's name."""
    pairing = project.pairing
    title = escape(pairing.project.title)
    caption = "The plates laid over each other as they close, seen from above the first; letters mark what is not met."
    body = "".join(
        (
            _header(project),
            _verdict(project),
            figure_of(overlay_picture(pairing), caption=caption, key=overlay_key(pairing)),
            _plates(project),
            *(_pattern(found, project=project) for found in pairing.patterns),
            *(_mating(found) for found in pairing.matings),
            _findings(project),
            f'<footer class="small">camplan {escape(__version__)}. Lengths in mm; places in each plate\'s own '
            "coordinates, from its zero; depths below the plate's top.</footer>",
        )
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8"/>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1"/>\n'
        f"<title>{title}: plates</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _header(project: ProjectPlan) -> str:
    plans = project.plans.values()
    total = duration(sum(program.seconds for plan in plans for program in plan.programs))
    block = facts(
        (
            ("Plates", ", ".join(project.plans)),
            ("Laid over each other", _LAID[project.pairing.project.common]),
            ("Programs", str(sum(len(plan.programs) for plan in plans if plan.proof.passed))),
            ("Machine time", f"about {total}"),
        ),
        style="block",
    )
    title = escape(project.pairing.project.title)
    return f'<header><p class="kicker">Plates that belong together</p><h1>{title}</h1>{block}</header>'


def _verdict(project: ProjectPlan) -> str:
    failed = [name for name, plan in project.plans.items() if not plan.proof.passed]
    unmet = [one for one in project_findings(project) if one.severity in (Severity.UNSAFE, Severity.UNMET)]
    between = [one for one in project.pairing.findings if one.severity is Severity.UNMET]
    if failed:
        head = f"Proof failed: do not cut {', '.join(failed)}"
    elif between:
        head = "The plates do not fit each other as asked"
    elif unmet:
        head = "The plates fit each other; something asked of one is not met"
    else:
        head = "The plates fit each other, and every program is proven"
    asked = ""
    if unmet:
        said = escape("; ".join(finding.message for finding in unmet[:3]))
        asked = f'<p><a href="#findings">{counted(len(unmet), "finding")} to read first</a>: {said}</p>'
    style = "verdict failed" if failed or between else "verdict"
    return f'<div class="{style}"><strong>{escape(head)}</strong>{asked}</div>'


def _plates(project: ProjectPlan) -> str:
    lies = {plate.spec.name: lies_said(plate) for plate in project.pairing.plates}
    items = "".join(
        f"<li><b>{escape(name)}</b> ({escape(lies[name])}): {escape(plan.title)}; {escape(plan_said(plan))}; "
        f'<a href="{escape(quote(name))}/sheet.html">setup sheet</a></li>'
        for name, plan in plans_in_order(project)
    )
    return f'<section><h2>Plates</h2><ul class="order">{items}</ul></section>'


def _pattern(found: PatternFound, *, project: ProjectPlan) -> str:
    tables = "".join(
        f"<p>{escape(said.replace(' um', ' µm'))}.</p>" + _holes(held, number=number, found=found, project=project)
        for number, (held, said) in enumerate(zip(found.held, pattern_said(found), strict=True), start=1)
    )
    return f"<section><h2>Holes: {escape(found.spec.name)}</h2>{tables}</section>"


def _holes(held: Held, *, number: int, found: PatternFound, project: ProjectPlan) -> str:
    first, other = held.first.plate, held.other.plate
    columns = (
        Column(heading="Mark"),
        Column(heading="Hole", lead=True),
        Column(heading=f"in {first}"),
        Column(heading=f"in {other}"),
        Column(heading="Off, µm", figures=True),
        Column(heading=f"Ø in {first}", figures=True),
        Column(heading=f"Ø in {other}", figures=True),
    )
    rows = hole_rows(held, fits=(found.fits[0], found.fits[number]), pairing=project.pairing, within=found.spec.within)
    return f'<div class="scroll">{table(columns, rows, long=True)}</div>'


def _mating(found: MatingFound) -> str:
    columns = (
        Column(heading="Depth", figures=True, lead=True),
        Column(heading="Narrowest", figures=True),
        Column(heading="at"),
        Column(heading="Widest", figures=True),
        Column(heading="at"),
    )
    rows = [
        (
            figure(gap.depth, places=3),
            figure(gap.least, places=3),
            place(gap.least_at),
            figure(gap.most, places=3),
            place(gap.most_at),
        )
        for gap in found.gaps
    ]
    said = f"<p>{escape(mating_said(found).replace('+-', '±').replace(' um', ' µm'))}.</p>"
    note = (
        f'<p class="small">Depths below the top of {escape(found.spec.cavity.plate)}, places in its coordinates; from '
        "every place of either wall to the nearest of the other, walls as drawn.</p>"
    )
    return f"<section><h2>Core: {escape(found.spec.name)}</h2>{said}{table(columns, rows, long=True)}{note}</section>"


def _findings(project: ProjectPlan) -> str:
    found = project_findings(project)
    said = findings_list(found) if found else "<p>None.</p>"
    return f'<section id="findings"><h2>Findings</h2>{said}</section>'
