"""A second force model, with edge forces: dF = (Kc h + Ke) dz (Altintas, Manufacturing Automation, 2nd ed., ch. 2,
from memory; checked by numeric integration)."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import ForceCoefficients
from camplan.cutting.chip import engagement
from camplan.units import Mm, Newton, NewtonMm


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotForces:
    """Mean forces over a turn in a full slot: along the feed, square to it, along the axis; and the mean torque."""

    along: Newton
    across: Newton
    axial: Newton
    torque: NewtonMm


def slot_forces(coefficients: ForceCoefficients, *, chip: Mm, depth: Mm, diameter: Mm, teeth: int) -> SlotForces:
    """Fx = -Na (Krc c/4 + Kre/pi), Fy = Na (Ktc c/4 + Kte/pi), Fz = Na (Kac c/pi + Kae/2), and `mean_torque`."""
    amount = teeth * depth
    return SlotForces(
        along=-amount * (coefficients.krc * chip / 4.0 + coefficients.kre / math.pi),
        across=amount * (coefficients.ktc * chip / 4.0 + coefficients.kte / math.pi),
        axial=amount * (coefficients.kac * chip / math.pi + coefficients.kae / 2.0),
        torque=mean_torque(coefficients, chip=chip, depth=depth, diameter=diameter, width=diameter, teeth=teeth),
    )


def mean_torque(
    coefficients: ForceCoefficients, *, chip: Mm, depth: Mm, diameter: Mm, width: Mm, teeth: int
) -> NewtonMm:
    """T = N a D/(4 pi) (Ktc c (cos phi_st - cos phi_ex) + Kte phi_e), N mm: the mean over a turn.

    In a full slot it is N D a (2 Ktc c + pi Kte) / (4 pi).
    """
    phi_e = engagement(diameter, width=min(width, diameter))
    cut = coefficients.ktc * chip * (1.0 - math.cos(phi_e)) + coefficients.kte * phi_e
    return teeth * depth * diameter / (4.0 * math.pi) * cut
