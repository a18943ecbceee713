"""What is cut from the two faces of a plate, held against each other: floors that the other face cuts away."""

import itertools
from collections.abc import Iterator, Sequence

from camplan import tolerance
from camplan.comparison.wanted import comparable
from camplan.features.records import Feature, PlateFace
from camplan.features.sections import floor, heights, may
from camplan.findings import Finding, Severity
from camplan.simulation import solids
from camplan.simulation.figures import polygon_of
from camplan.simulation.solids import Solid
from camplan.units import Mm, Mm2

THIN: Mm = 1.0
"""A floor between the faces that is thinner gives under the cutter (common practice, no source)."""
_LEAST: Mm2 = 1e-3
_STEPS = 8


def meetings(faces: Sequence[PlateFace]) -> list[Finding]:
    """Where blind features of the back come through the floor of those of the top, or all but do.

    What goes through on purpose is left alone: it meets the other face wherever it is.  Places are as seen from the
    top.
    """
    top = next((face for face in faces if face.about is None), None)
    back = next((face for face in faces if face.about is not None), None)
    if top is None or back is None:
        return []
    found: list[Finding] = []
    for one, other in itertools.product(_blind(top), _blind(back)):
        found.extend(_meeting(one, other, top=top, back=back))
    return found


def _blind(face: PlateFace) -> list[Feature]:
    return [feature for feature in face.features if not feature.through and comparable(feature)]


def _meeting(one: Feature, other: Feature, *, top: PlateFace, back: PlateFace) -> Iterator[Finding]:
    """What is to be said of a feature of the top and one of the back."""
    thickness = top.plate.thickness
    rest = thickness - floor(one) - floor(other)
    names = f'"{one.spec.name}" of the top and "{other.spec.name}" of the back'
    if rest > THIN - tolerance.SAME_POINT:
        return
    # as far as both go, between the floor of the one and that of the other, their sections may not meet
    for z in _between(one, other, thickness=thickness):
        both = solids.common(_section(one, z=max(z, -floor(one))), _seen(other, z=z, top=top, back=back))
        if both.is_empty or solids.area(both) <= _LEAST:
            continue
        part = max(solids.parts(both), key=solids.area)
        (x, y), _ = solids.inscribed(part)
        place = f"near X{x:.3f} Y{y:.3f}, seen from the top"
        if rest <= tolerance.WALL_PROOF:
            message = (
                f"{names} meet {place}: {floor(one):g} and {floor(other):g} mm deep in {thickness:g} mm they leave no "
                f"floor over {solids.area(both):.2f} mm2; make one of them shallower, or, where they are to meet, let "
                "one go through"
            )
            yield Finding(severity=Severity.UNMET, code="faces-meet", message=message, where=other.spec.name)
        else:
            message = (
                f"between {names} {rest:.3f} mm are left {place}, over {solids.area(both):.2f} mm2: so thin a floor "
                "gives under the cutter; cut the second face with something firm in the first one's pocket, or leave "
                "more"
            )
            yield Finding(severity=Severity.CAUTION, code="thin-between-faces", message=message, where=other.spec.name)
        return


def _between(one: Feature, other: Feature, *, thickness: Mm) -> list[Mm]:
    """Heights of the top from the floor of the one up to that of the other; where a floor stays, that of the one."""
    low, high = -floor(one), -(thickness - floor(other))
    if low >= high:
        return [low]
    edges = {z for z in heights(one) if low < z < high} | {-thickness - z for z in heights(other)}
    evenly = {low + (high - low) * step / _STEPS for step in range(_STEPS + 1)}
    return sorted(z for z in {*evenly, *edges} if low <= z <= high)


def _section(feature: Feature, *, z: Mm) -> Solid:
    return polygon_of(may(feature, z=z))


def _seen(feature: Feature, *, z: Mm, top: PlateFace, back: PlateFace) -> Solid:
    """The section of a feature of the back at a height of the top; above its floor that of its floor."""
    about = back.about
    assert about is not None
    own = max(-top.plate.thickness - z, -floor(feature))
    return solids.turned(_section(feature, z=own), about=about, lies=back.plate.bounds, seen=top.plate.bounds)
