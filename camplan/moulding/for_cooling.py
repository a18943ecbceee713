"""How long the moulding has to stay in the mould."""

from camplan.catalogue.plastics import Plastic, Span
from camplan.findings import Finding
from camplan.moulding import cooling
from camplan.moulding.records import Estimate, MouldingSpec
from camplan.moulding.said import spanned, unknown
from camplan.units import Mm


def cooling_estimates(plastic: Plastic, *, wall: Mm, spec: MouldingSpec, findings: list[Finding]) -> list[Estimate]:
    """The time to the ejection temperature, by the wall's mean and by its middle."""
    thermal, melt, mould = plastic.thermal, plastic.melt, plastic.mould
    if thermal is None or melt is None or mould is None:
        findings.append(unknown("cooling time", f"heat figures of {plastic.title} are not published here"))
        return []
    ejection, said, source = spec.ejection, "as said", ""
    if ejection is None and plastic.ejection is not None:
        ejection = (plastic.ejection.least + plastic.ejection.most) / 2.0
        said = f"the middle of {plastic.ejection.least:g} to {plastic.ejection.most:g}; ejection_c says it"
        source = plastic.ejection_source
    if ejection is None:
        findings.append(unknown("cooling time", "nothing says how warm a moulding may leave: give ejection_c"))
        return []
    heat = cooling.shortest_and_longest(melt, mould=mould, ejection=ejection)
    if heat is None:
        message = (
            f"{ejection:g} degrees C is no temperature for {plastic.title} to leave a mould of {mould.least:g} to "
            f"{mould.most:g} degrees C at"
        )
        findings.append(unknown("cooling time", message))
        return []
    diffusivity = cooling.slower(thermal)
    found = []
    for name, constant in (("its mean", cooling.MEAN), ("its middle", cooling.CENTRE)):
        times = [cooling.cooling_time(wall, diffusivity=diffusivity, heat=one, constant=constant) for one in heat]
        sentence = (
            f"until {name} is at {ejection:g} degrees C ({said}): melt {heat[0].melt:g} to {heat[1].melt:g}, mould "
            f"{heat[0].mould:g} to {heat[1].mould:g} degrees C, diffusivity {diffusivity:.3f} mm2/s, the smaller of "
            "those known; grows with the square of the wall"
        )
        sources = "; ".join(part for part in ("BALLMAN", thermal.source, plastic.temperature_source, source) if part)
        span = Span(least=times[0], most=times[1])
        figure = f"cooling, {name.removeprefix('its ')}"
        found.append(spanned(figure, span, "s", sentence, sources, places=1 if span.most < 20.0 else 0))
    return found
