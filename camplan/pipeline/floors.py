"""Floors so thin and wide that they give under the cutter where nothing lies beneath them."""

from collections.abc import Sequence

from camplan.catalogue.records import Material
from camplan.cutting.floors import AXIAL_SHARE, ELASTICITY, gives
from camplan.features.records import Plate
from camplan.features.sections import must
from camplan.features.specs import PocketSpec
from camplan.findings import Finding, Severity
from camplan.operations.records import Operation, Part
from camplan.simulation import solids
from camplan.units import Mm

_ON_THE_FLOOR = (Part.AREA, Part.FLOOR)
_JUST_ABOVE: Mm = 1e-4
_LEAST: Mm = 0.01
"""A floor thinner than this is none: that is said elsewhere."""


def floor_findings(operations: Sequence[Operation], *, plate: Plate, material: Material) -> list[Finding]:
    """Pockets whose floor may give by more than their tolerance under the force of what cuts it last."""
    elasticity = ELASTICITY.get(material.group)
    found: dict[str, Finding] = {}
    for operation in operations:
        feature, force = operation.feature, operation.data.force
        thickness = plate.thickness - feature.bottom
        if elasticity is None or force is None or operation.part not in _ON_THE_FLOOR or feature.through:
            continue
        if not isinstance(feature.spec, PocketSpec) or thickness < _LEAST:
            continue
        figure = solids.polygon_of(must(feature, z=-feature.bottom + _JUST_ABOVE))
        widest = [solids.inscribed(part) for part in solids.parts(figure)]
        if not widest:
            continue
        (x, y), radius = max(widest, key=lambda one: one[1])
        load = AXIAL_SHARE * force
        way = gives(load, span=2.0 * radius, thickness=thickness, elasticity=elasticity)
        if way <= feature.spec.tolerance:
            found.pop(feature.spec.name, None)
            continue
        message = (
            f'"{feature.spec.name}" leaves a floor {thickness:.3g} mm thick and {2.0 * radius:.3g} mm wide, near '
            f"X{x:.3f} Y{y:.3f}: under {load:.0f} N along the axis of {operation.cutter.name} it gives about "
            f"{way:.2g} mm where nothing lies beneath it; lay the plate on something flat and firm there"
        )
        found[feature.spec.name] = Finding(
            severity=Severity.CAUTION, code="floor-gives", message=message, where=feature.spec.name
        )
    return list(found.values())
