"""Holes drawn in the floor of a pocket that do not say so."""

from camplan import tolerance
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import planar
from camplan.geometry.chains import circle

_CHORD = 0.005
_INSIDE = 0.05
"""A hole as wide as its pocket is the same region twice, which is said elsewhere."""


def nested_findings(features: tuple[Feature, ...]) -> tuple[Finding, ...]:
    """Layers of holes all of which lie in one pocket and end below its floor, but start above it: spots would be cut in
    the air, and pecks counted from too high."""
    pockets = [feature for feature in features if isinstance(feature.spec, PocketSpec) and not feature.through]
    found = []
    for feature in features:
        if not isinstance(feature.spec, HoleSpec) or not feature.circles:
            continue
        over = [pocket for pocket in pockets if _covers(pocket, hole=feature)]
        lowest = max(over, key=lambda pocket: pocket.bottom, default=None)
        if lowest is not None:
            message = (
                f'"{feature.spec.name}" starts {feature.top:g} mm deep, but lies in "{lowest.spec.name}", which is '
                f"{lowest.bottom:g} mm deep: with top_mm = {lowest.bottom:g} it is spotted and drilled from there, in "
                "less time"
            )
            note = Finding(severity=Severity.NOTE, code="starts-in-a-pocket", message=message, where=feature.spec.name)
            found.append(note)
    return tuple(found)


def _covers(pocket: Feature, *, hole: Feature) -> bool:
    if pocket.bottom <= hole.top + tolerance.SAME_POINT or pocket.bottom >= hole.bottom - tolerance.SAME_POINT:
        return False
    shapes = [planar.polygon(region, chord=_CHORD).buffer(-_INSIDE) for region in pocket.regions]
    discs = [planar.filled(circle((x, y), radius=size / 2.0), chord=_CHORD) for x, y, size in hole.circles]
    return all(any(shape.contains(disc) for shape in shapes) for disc in discs)
