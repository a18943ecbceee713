"""What is said with every answer about a mould.

Heat, gas and the press: common practice, no source; ISO 20430 is the standard of the presses (from memory).
"""

from camplan.catalogue.plastics import Plastic
from camplan.findings import Finding, Severity

CAUTIONS = (
    "Estimates to start with: the plastic's own sheet comes first. Cut the first cavity so that metal can still be "
    "taken away (cores large, cavities small, gates and vents shallow), then mould, measure and cut again.",
    "Hot plates and melt burn: heat gloves, face shield and long sleeves at the press, never gloves at the mill. Never "
    "stand in line with the nozzle or the parting line; purge behind a screen.",
    "Never exceed the clamp; lock the guard before reaching in; let the mould cool before handling it.",
    "Ventilate, and do not overheat the plastic: its gas is harmful, that of acetal and PVC most, and never both of "
    "them in one barrel. Trapped air burns: no vent, no full shot.",
)


def cautions_of(plastic: Plastic) -> tuple[Finding, ...]:
    """The plastic's own cautions, then the usual ones."""
    own = tuple(
        Finding(severity=Severity.CAUTION, code="plastic-caution", message=caution, where=plastic.title)
        for caution in plastic.cautions
    )
    usual = tuple(
        Finding(severity=Severity.CAUTION, code="moulding-caution", message=caution, where="") for caution in CAUTIONS
    )
    return (*own, *usual)
