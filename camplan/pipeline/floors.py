"""Floors so thin and wide that they give under the cutter where nothing lies beneath them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from camplan.catalogue.records import Material
from camplan.cutting.floors import AXIAL_SHARE, ELASTICITY, gives
from camplan.features.records import Feature, PlateFace
from camplan.features.sections import floor, must
from camplan.features.specs import PocketSpec
from camplan.findings import Finding, Severity
from camplan.operations.records import Operation, Part
from camplan.simulation import solids
from camplan.simulation.figures import polygon_of
from camplan.simulation.solids import Solid
from camplan.units import Mm

_ON_THE_FLOOR = (Part.AREA, Part.FLOOR)
_JUST_ABOVE: Mm = 1e-4
_LEAST: Mm = 0.01
"""A floor thinner than this is none: that is said elsewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Floor:
    """A floor, or the part of one that lies over a pocket of the other face: its thickness, width and middle."""

    thickness: Mm
    span: Mm
    at: tuple[Mm, Mm]


def floor_findings(
    operations: Sequence[Operation], *, face: PlateFace, others: Sequence[PlateFace], material: Material
) -> list[Finding]:
    """Pockets of a face whose floor may give by more than their tolerance under the force of what cuts it last; what
    the ``others`` cut away beneath it is taken to be gone."""
    elasticity = ELASTICITY.get(material.group)
    found: dict[str, Finding] = {}
    floors: dict[str, tuple[_Floor, ...]] = {}
    for operation in operations:
        feature, force = operation.feature, operation.data.force
        if elasticity is None or force is None or operation.part not in _ON_THE_FLOOR or feature.through:
            continue
        name = feature.spec.name
        if not isinstance(feature.spec, PocketSpec):
            continue
        if name not in floors:
            floors[name] = tuple(_floors(feature, face=face, others=others))
        load = AXIAL_SHARE * force
        ways = [
            (gives(load, span=one.span, thickness=one.thickness, elasticity=elasticity), one) for one in floors[name]
        ]
        way, worst = max(ways, key=lambda pair: pair[0], default=(0.0, None))
        found.pop(name, None)
        if worst is None or way <= feature.spec.tolerance:
            continue
        x, y = worst.at
        message = (
            f'"{name}" leaves a floor {worst.thickness:.3g} mm thick and {worst.span:.3g} mm wide, near X{x:.3f} '
            f"Y{y:.3f}: under {load:.0f} N along the axis of {operation.cutter.name} it gives about {way:.2g} mm where "
            "nothing lies beneath it; lay the plate on something flat and firm there"
        )
        found[name] = Finding(severity=Severity.CAUTION, code="floor-gives", message=message, where=name)
    return list(found.values())


def _floors(feature: Feature, *, face: PlateFace, others: Sequence[PlateFace]) -> Iterator[_Floor]:
    figure = polygon_of(must(feature, z=-feature.bottom + _JUST_ABOVE))
    rest = face.plate.thickness - feature.bottom
    yield from _widest(figure, thickness=rest)
    for other in others:
        for beneath in other.features:
            if isinstance(beneath.spec, PocketSpec) and not beneath.through:
                both = solids.common(figure, _seen(beneath, lies=other, seen=face))
                yield from _widest(both, thickness=rest - floor(beneath))


def _widest(figure: Solid, *, thickness: Mm) -> Iterator[_Floor]:
    if thickness < _LEAST:
        return
    middles = [solids.inscribed(part) for part in solids.parts(figure)]
    if middles:
        at, radius = max(middles, key=lambda one: one[1])
        yield _Floor(thickness=thickness, span=2.0 * radius, at=at)


def _seen(feature: Feature, *, lies: PlateFace, seen: PlateFace) -> Solid:
    """The floor of a pocket of one face, where the other face lies over it."""
    about = lies.about or seen.about
    assert about is not None
    figure = polygon_of(must(feature, z=-feature.bottom + _JUST_ABOVE))
    return solids.turned(figure, about=about, lies=lies.plate.bounds, seen=seen.plate.bounds)
