"""What is to be cut for the plastic to come in and the air to go out: runner, gate, vents, and how far it flows."""

from camplan.catalogue.plastics import Plastic, Span
from camplan.findings import Finding, Severity
from camplan.moulding.channels import (
    HEAVIEST,
    THICKEST,
    WIDEST,
    gate_thickness,
    gate_width,
    hydraulic_diameter,
    runner_cutter,
    runner_diameter,
)
from camplan.moulding.records import CavityFigures, Estimate
from camplan.moulding.said import caution, one, spanned, unknown
from camplan.units import G_PER_MM3, MM2_PER_CM2, PERCENT, UM_PER_MM, Mm

_NEAR = 0.0005


def runner_estimates(plastic: Plastic, *, figures: CavityFigures, wall: Mm, findings: list[Finding]) -> list[Estimate]:
    """The runner's diameter, and how the drawn one compares."""
    if not figures.runners:
        findings.append(unknown("runner", "no runner is drawn, so it has no length"))
        return []
    longest = max(figures.runners, key=lambda channel: channel.length)
    mass = G_PER_MM3 * plastic.density * figures.largest * figures.cavity_volume
    if mass > HEAVIEST:
        message = f"a moulding of {mass:.0f} g is heavier than the {HEAVIEST:g} g that the runner's formula holds for"
        findings.append(unknown("runner", message))
        return []
    diameter = runner_diameter(mass, length=longest.length, factor=plastic.runner_factor)
    wider = f", times {plastic.runner_factor:g} for {plastic.title}" if plastic.runner_factor != 1.0 else ""
    found = [
        one(
            "runner diameter",
            diameter,
            "mm",
            f"full round, sqrt(W) L^(1/4) / 3.7 with W {mass:.2f} g, the largest moulding, and L "
            f"{longest.length:.1f} mm, the longest line of {longest.name}{wider}; next cutter "
            f"{runner_cutter(diameter):g} mm; a main runner takes the area of its branches together",
            "PYE equation 4.1",
        ),
        one(
            "runner as drawn",
            hydraulic_diameter(longest),
            "mm",
            f"{longest.name}, {longest.width:.2f} wide and {longest.depth:.2f} deep in this plate alone: four times "
            "its area over all its sides",
            "",
        ),
    ]
    if wall >= THICKEST:
        message = f"the runner's formula is for walls below {THICKEST:g} mm, and this one has {wall:g} mm"
        findings.append(caution("runner-thick-wall", message))
    if diameter > WIDEST:
        message = f"{diameter:.1f} mm is wider than runners usually are, 2 to {WIDEST:g} mm"
        findings.append(caution("runner-wide", message))
    if hydraulic_diameter(longest) < diameter:
        message = (
            f"{longest.name} works like a round runner of {hydraulic_diameter(longest):.2f} mm in this plate, less "
            f"than the {diameter:.2f} mm: enough if trial shots fill, or if the other half has its part"
        )
        findings.append(Finding(severity=Severity.NOTE, code="runner-narrow", message=message, where=longest.name))
    return found


def gate_estimates(plastic: Plastic, *, figures: CavityFigures, wall: Mm, findings: list[Finding]) -> list[Estimate]:
    """Thickness and width of a side gate."""
    constant = plastic.gate_constant
    if constant is None:
        findings.append(unknown("gate", f"no constant is published for side gates of {plastic.title}"))
        return []
    surface = figures.largest * (2.0 * figures.cavity_area + figures.walls)
    thick = gate_thickness(wall, constant=constant)
    found = [
        one(
            "gate thickness",
            thick,
            "mm",
            f"side gate, n t with n {constant:g} and a wall of {wall:g} mm; land 0.5 to 1.5 mm long; start below it",
            f"MOULD-110; {plastic.gate_source}",
        ),
        one(
            "gate width",
            gate_width(surface, constant=constant),
            "mm",
            f"side gate, n sqrt(A) / 30 with A {surface / MM2_PER_CM2:.1f} cm2, the surface of one moulding: walls, "
            "floor and as much again as the floor for the other half; start below it",
            f"MOULD-110; {plastic.gate_source}",
        ),
    ]
    for gate in figures.gates:
        if gate.depth > thick + _NEAR:
            message = (
                f"{gate.name} is {gate.depth:.2f} mm deep, more than {thick:.2f} mm: start shallower, metal does not "
                "grow back"
            )
            findings.append(caution("gate-deep", message, where=gate.name))
    return found


def vent_estimates(plastic: Plastic, *, figures: CavityFigures, findings: list[Finding]) -> list[Estimate]:
    """Depth of the vents' land."""
    land = plastic.vent_land
    if not figures.vents:
        message = "no vent is drawn: trapped air burns the plastic and keeps the cavity from filling"
        findings.append(caution("no-vents", message))
    for vent in figures.vents:
        if vent.depth > land.most + _NEAR:
            message = f"{vent.name} is {UM_PER_MM * vent.depth:.0f} um deep, more than {_um(land)}: it may flash"
            findings.append(caution("vent-deep", message, where=vent.name))
        elif vent.depth < land.least - _NEAR:
            message = (
                f"{vent.name} is {UM_PER_MM * vent.depth:.0f} um deep, less than {_um(land)}: a start, deepen it after "
                "trial shots"
            )
            findings.append(Finding(severity=Severity.NOTE, code="vent-shallow", message=message, where=vent.name))
    return [
        spanned(
            "vent depth",
            land,
            "mm",
            "of the land, 1.5 mm long, then a relief 0.5 mm deep and 3 to 13 mm wide out to air; opposite the gate, at "
            "ends of runners and where streams meet. Near a small mill's error: set Z on the finished parting face, "
            "cut shallow, deepen after trial shots",
            plastic.vent_source,
            places=3,
        )
    ]


def _um(span: Span) -> str:
    return f"the {UM_PER_MM * span.least:.0f} to {UM_PER_MM * span.most:.0f} um of its land"


def flow_estimates(figures: CavityFigures, *, wall: Mm, findings: list[Finding]) -> list[Estimate]:
    """How far the plastic flows."""
    flow = figures.flow
    if flow is None:
        findings.append(unknown("flow length", "no gate and no runner of this plate meets the cavity"))
        return []
    if flow.unreached > 0.01:
        message = (
            f"no way leads to {PERCENT * flow.unreached:.0f} % of the cavity in this plate: filled through the other "
            "half?"
        )
        findings.append(caution("cavity-unreached", message))
    sentence = (
        "from where gates (or runners) meet the cavity to its farthest place: the straight line, and the way within "
        "the figure seen from above on a fine grid"
    )
    return [
        spanned("flow length", Span(least=flow.straight, most=flow.along), "mm", sentence, "", places=1),
        spanned(
            "flow over wall",
            Span(least=flow.straight / wall, most=flow.along / wall),
            "",
            "flow length over the wall: hold it against the sheet of the plastic's maker",
            "",
            places=0,
        ),
    ]
