"""Every figure of a mould together: areas and volumes in, estimates and findings out."""

from camplan.catalogue.plastics import Plastic
from camplan.findings import Finding
from camplan.moulding.cautions import cautions_of
from camplan.moulding.for_channels import flow_estimates, gate_estimates, runner_estimates, vent_estimates
from camplan.moulding.for_cooling import cooling_estimates
from camplan.moulding.for_press import clamp_estimates, shot_estimates
from camplan.moulding.records import CavityFigures, Estimate, MouldAnswer, MouldingSpec
from camplan.moulding.said import one


def answered(plastic: Plastic, *, figures: CavityFigures, spec: MouldingSpec) -> MouldAnswer:
    """What the mould asks of the press, of its channels and of patience; what cannot be told is a finding."""
    wall = spec.wall if spec.wall is not None else figures.deepest
    findings: list[Finding] = []
    estimates = [
        *clamp_estimates(plastic, figures=figures, spec=spec, findings=findings),
        *shot_estimates(plastic, figures=figures, spec=spec),
        _wall(figures, spec=spec),
        *runner_estimates(plastic, figures=figures, wall=wall, findings=findings),
        *gate_estimates(plastic, figures=figures, wall=wall, findings=findings),
        *vent_estimates(plastic, figures=figures, findings=findings),
        *flow_estimates(figures, wall=wall, findings=findings),
        *cooling_estimates(plastic, wall=wall, spec=spec, findings=findings),
    ]
    return MouldAnswer(estimates=tuple(estimates), findings=(*findings, *cautions_of(plastic)))


def _wall(figures: CavityFigures, *, spec: MouldingSpec) -> Estimate:
    if spec.wall is not None:
        return one("wall", spec.wall, "mm", "as said")
    sentence = "assumed: the deepest place of the cavity, as if no core came in from the other half; wall_mm says it"
    return one("wall", figures.deepest, "mm", sentence)
