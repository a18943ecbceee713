"""What new cuts leave between themselves and what a plate had before: walls and floors too thin, holes on an edge."""

import math
from collections.abc import Iterator, Sequence

from camplan import tolerance
from camplan.catalogue.records import Material
from camplan.cutting.floors import ELASTICITY, wall_gives
from camplan.features.records import Feature, PlateFace
from camplan.features.sections import floor, may
from camplan.features.specs import EdgeSpec, FaceSpec, HoleSpec, MarkSpec
from camplan.findings import Finding, Severity
from camplan.geometry.places import by_axes
from camplan.operations.records import Operation
from camplan.simulation import solids
from camplan.simulation.figures import polygon_of, regions_polygon
from camplan.simulation.solids import Solid
from camplan.units import UM_PER_MM, Mm, Newton

THIN: Mm = 0.5
"""A wall or a floor that is thinner does not stay as it is (common practice, no source)."""
SLENDER = 8.0
"""A wall so many times higher than thick gives where it is not known how much (common practice, no source)."""
_JUST: Mm = 1e-3
_LEAST = 1e-3
_EDGE = 0.02
_ASIDE = 0.02


def thin_findings(face: PlateFace, *, operations: Sequence[Operation], material: Material) -> list[Finding]:
    """Of each feature of a face the thinnest wall to what was gone of the plate before, the thinnest floor over what
    is open from beneath, and holes that begin half over an edge; nothing of what is thick enough."""
    found: list[Finding] = []
    for feature in face.features:
        if isinstance(feature.spec, MarkSpec | EdgeSpec | FaceSpec):
            continue
        force = max(
            (one.data.force or 0.0 for one in operations if one.feature.spec.name == feature.spec.name), default=0.0
        )
        found += _walls(feature, face=face, force=force, material=material)
        found += _floors(feature, face=face)
        found += _half_over(feature, face=face)
    return found


def _walls(feature: Feature, *, face: PlateFace, force: Newton, material: Material) -> Iterator[Finding]:
    """The wall that gives most, of those between a feature and each hollow that it does not meet."""
    worst: tuple[Mm, Mm, Mm, tuple[Mm, Mm]] | None = None
    for gone, height in _beside(feature, face=face):
        figure = polygon_of(may(feature, z=-feature.top - height + _JUST))
        for part in solids.parts(gone):
            across = solids.apart(part, other=figure) if not figure.is_empty else 0.0
            if across <= _JUST:
                continue
            way = _way(force, height=height, across=across, material=material)
            if worst is None or way > worst[0]:
                worst = (way, across, height, solids.nearest(figure, to=part))
    if worst is None:
        return
    way, across, height, at = worst
    allowed = getattr(feature.spec, "tolerance", tolerance.WALL_PROOF)
    if across >= THIN and way <= allowed:
        return
    gives = (
        f"under {force:.0f} N it gives about {way * UM_PER_MM:.0f} um"
        if force > 0.0 and material.group in ELASTICITY
        else "how far it gives is not known"
    )
    message = (
        f"leaves a wall {round(across, 2):g} mm thick and {round(height, 2):g} mm high to what the plate already has, "
        f"near {by_axes(at)}: {gives}; move it, make it shallower, or fill what is beside it while it is cut"
    )
    yield Finding(severity=Severity.CAUTION, code="thin-wall", message=message, where=feature.spec.name)


def _way(force: Newton, *, height: Mm, across: Mm, material: Material) -> Mm:
    """How far a wall gives; where that is not known, more than is ever allowed of a slender one, else nothing."""
    elasticity = ELASTICITY.get(material.group)
    if elasticity is None or force <= 0.0:
        return height if height > SLENDER * across else 0.0
    return wall_gives(force, height=height, thickness=across, elasticity=elasticity)


def _beside(feature: Feature, *, face: PlateFace) -> Iterator[tuple[Solid, Mm]]:
    """What was gone, and how high a wall between it and a feature would be: as far as both go."""
    thickness = face.plate.thickness
    for one in face.plate.existing:
        yield regions_polygon(one.regions), min(floor(feature), one.depth) - feature.top
    for one in face.plate.beneath:
        if thickness - one.depth < floor(feature):
            yield (
                regions_polygon(one.regions),
                min(floor(feature) - (thickness - one.depth), floor(feature) - feature.top),
            )


def _floors(feature: Feature, *, face: PlateFace) -> Iterator[Finding]:
    """What a feature leaves above what is open from beneath."""
    if feature.through:
        return
    for one in face.plate.beneath:
        rest = face.plate.thickness - floor(feature) - one.depth
        if one.depth >= face.plate.thickness - _JUST or rest >= THIN:
            continue
        figure = polygon_of(may(feature, z=-floor(feature) + _JUST))
        both = solids.common(figure, regions_polygon(one.regions))
        if both.is_empty or solids.area(both) <= _LEAST:
            continue
        at = solids.inside_point(max(solids.parts(both), key=solids.area))
        said = (
            f"leaves a floor {round(rest, 2):g} mm thick over what the plate already has from beneath"
            if rest > tolerance.WALL_PROOF
            else "comes through into what the plate already has from beneath"
        )
        message = f"{said}, near {by_axes(at)}; make it shallower, or plan it through if that is meant"
        yield Finding(severity=Severity.CAUTION, code="thin-floor", message=message, where=feature.spec.name)
        return


def _half_over(feature: Feature, *, face: PlateFace) -> Iterator[Finding]:
    """Holes whose drill would begin on an edge, and run off to the open side."""
    if not isinstance(feature.spec, HoleSpec):
        return
    for x, y, diameter in feature.circles:
        disc = solids.grown(solids.point(x, y), by=diameter / 2.0)
        for one in face.plate.existing:
            stands = solids.less(disc, regions_polygon(one.regions))
            share = solids.area(stands) / solids.area(disc)
            if _EDGE < share < 1.0 - _EDGE and _one_sided(stands, at=(x, y), diameter=diameter):
                message = (
                    f"the hole at {by_axes((x, y))} lies over an edge of what the plate already has: a drill runs off "
                    "to the open side there; mill it, or move it"
                )
                yield Finding(severity=Severity.CAUTION, code="hole-on-edge", message=message, where=feature.spec.name)
                break


def _one_sided(stands: Solid, *, at: tuple[Mm, Mm], diameter: Mm) -> bool:
    """Whether what stands under a drill has its middle aside of the drill's: not if it stands round a smaller hole."""
    x, y = solids.centre_of_area(stands)
    return math.hypot(x - at[0], y - at[1]) > _ASIDE * diameter
