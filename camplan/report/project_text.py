"""The short text that a project's run ends with."""

import textwrap

from camplan.findings import Finding
from camplan.planned import ProjectPlan
from camplan.report.project_picture import lies_said
from camplan.report.project_words import mating_said, pattern_said, plan_said, plans_in_order
from camplan.report.summary import findings_text
from camplan.report.words import findings_in_order, findings_of


def project_summary(project: ProjectPlan, *, folder: str, width: int) -> str:
    """Each plate in a line, what agrees between them, and every finding; ``folder`` is where the files went."""
    pairing = project.pairing
    blocks = [_wrapped(pairing.project.title, width=width)]
    lies = {plate.spec.name: lies_said(plate) for plate in pairing.plates}
    plates = ["Plates:"]
    for name, plan in plans_in_order(project):
        plates += _wrapped(f"{name} ({lies[name]}): {plan_said(plan)}", width=width, first="  ")
    blocks.append(plates)
    if pairing.patterns:
        said = [f"{found.spec.name}: {one}" for found in pairing.patterns for one in pattern_said(found)]
        blocks.append(["Holes on shared centres:", *(row for one in said for row in _wrapped(one, width, first="  "))])
    if pairing.matings:
        said = [mating_said(found) for found in pairing.matings]
        blocks.append(["Cores in cavities:", *(row for one in said for row in _wrapped(one, width, first="  "))])
    blocks.append(findings_text(project_findings(project), width=width))
    written = (
        f"Written to {folder}: project.html, and the programs, plan.json and sheet.html of each plate in its folder."
    )
    blocks.append(_wrapped(written, width=width))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def project_findings(project: ProjectPlan) -> tuple[Finding, ...]:
    """What was found between the plates, and what was found of each, with the plate's name, the gravest first."""
    of_plates = (
        Finding(
            severity=finding.severity,
            code=finding.code,
            message=finding.message,
            where=f"{name}: {finding.where}" if finding.where else name,
        )
        for name, plan in plans_in_order(project)
        for finding in findings_of(plan)
    )
    return findings_in_order((*project.pairing.findings, *of_plates))


def _wrapped(text: str, width: int, *, first: str = "") -> list[str]:
    return textwrap.wrap(
        text,
        width=max(width, 40),
        initial_indent=first,
        subsequent_indent=first + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
