"""What the mould asks of the press: force, and plastic a shot."""

from camplan.catalogue.plastics import Plastic, Span
from camplan.findings import Finding, Severity
from camplan.moulding import clamp
from camplan.moulding.records import CavityFigures, Estimate, MouldingSpec
from camplan.moulding.said import caution, one, spanned, unknown
from camplan.units import G_PER_MM3, MM2_PER_CM2, N_PER_KN

_G_PER_KG = 1000.0
_MM3_PER_CM3 = 1000.0


def clamp_estimates(
    plastic: Plastic, *, figures: CavityFigures, spec: MouldingSpec, findings: list[Finding]
) -> list[Estimate]:
    """Projected area, clamp force, and what the press holds."""
    area = figures.cavity_area + figures.runner_area
    found = [
        one(
            "projected area",
            area / MM2_PER_CM2,
            "cm2",
            f"cavity {figures.cavity_area / MM2_PER_CM2:.2f} cm2, runners and gates beside it "
            f"{figures.runner_area / MM2_PER_CM2:.2f} cm2, seen from above, from the drawing of this plate",
        )
    ]
    pressure = plastic.clamp_pressure
    if pressure is None:
        findings.append(unknown("clamp force", f"no pressure in the cavity is published for {plastic.title}"))
        return found
    force = clamp.clamp_force(area, pressure=pressure)
    found.append(
        spanned(
            "clamp force",
            Span(least=force.least / N_PER_KN, most=force.most / N_PER_KN),
            "kN",
            f"area times {pressure.least:g} to {pressure.most:g} MPa in the cavity, times {clamp.FACTOR.least:g} to "
            f"{clamp.FACTOR.most:g}",
            plastic.clamp_source,
            places=0 if force.least > 20.0 * N_PER_KN else 1,
        )
    )
    if spec.press is not None:
        holds = clamp.largest_area(spec.press, pressure=pressure)
        found.append(
            spanned(
                "area the press holds",
                Span(least=holds.least / MM2_PER_CM2, most=holds.most / MM2_PER_CM2),
                "cm2",
                f"{spec.press / N_PER_KN:g} kN over the same pressures and factors",
                plastic.clamp_source,
                places=1,
            )
        )
        findings.extend(_press(force, press=spec.press))
    return found


def _press(force: Span, *, press: float) -> list[Finding]:
    kilo = f"{press / N_PER_KN:g} kN"
    if press < force.least:
        message = (
            f"a press of {kilo} does not hold this mould shut: it asks for {force.least / N_PER_KN:.1f} kN at least. "
            "Fit the part to the press: fewer cavities, or a smaller one"
        )
        return [caution("press-too-weak", message)]
    if press < force.most:
        message = (
            f"a press of {kilo} may hold this mould, which may ask for {force.most / N_PER_KN:.1f} kN: start with low "
            "pressure and watch the parting line for flash"
        )
        return [caution("press-may-flash", message)]
    message = f"a press of {kilo} holds this mould with the reserve asked for"
    return [Finding(severity=Severity.NOTE, code="press-holds", message=message, where="clamp force")]


def shot_estimates(plastic: Plastic, *, figures: CavityFigures, spec: MouldingSpec) -> list[Estimate]:
    """Plastic a shot, and for all shots."""
    grams = G_PER_MM3 * plastic.density
    whole = grams * (figures.cavity_volume + figures.runner_volume)
    found = [
        one(
            "shot",
            whole,
            "g",
            f"cavity {grams * figures.cavity_volume:.2f} g in {figures.cavity_volume / _MM3_PER_CM3:.2f} cm3, runners "
            f"and gates {grams * figures.runner_volume:.2f} g, at {plastic.density:g} kg/m3: what this plate holds; "
            "add what the other half and the sprue hold, less any cores of the other half",
            plastic.density_source,
        )
    ]
    if spec.shots is not None:
        sentence = f"{spec.shots} shots of what this plate holds, without starting and scrap"
        found.append(one("plastic for all shots", spec.shots * whole / _G_PER_KG, "kg", sentence))
    return found
