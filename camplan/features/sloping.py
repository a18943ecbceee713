"""Grooves as drawn made into grooves whose floors fall, or what stands against it."""

from dataclasses import replace

from camplan.features.layers import Wanted
from camplan.features.network import distance_to, falling_along, falling_from
from camplan.features.records import Feature
from camplan.features.slopes import is_worth
from camplan.features.specs import Fall, GrooveSpec
from camplan.geometry.chains import Chain
from camplan.geometry.places import listed, place
from camplan.units import Mm

_FAR: Mm = 5.0
"""How far ``deepest_at`` may be from every line, or two widths if that is more (common practice, no source)."""


def with_slopes(feature: Feature, *, wanted: Wanted) -> Feature:
    """A groove with the floors that its lines have in the drawing's coordinates; as it is, with the problems, if it
    cannot have them."""
    spec = feature.spec
    if not isinstance(spec, GrooveSpec) or spec.fall is None or not feature.lines:
        return feature
    asked = replace(wanted, key=f'feature "{spec.name}"')
    short = [line for line in feature.lines if not is_worth(line)]
    if short:
        asked.refuse(
            f"the line at {listed(line.points[0] for line in short)} is too short for a floor to fall along it",
            accepted="longer lines, or one depth_mm",
        )
        return feature
    return _falling(feature, spec=spec, fall=spec.fall, asked=asked)


def _falling(feature: Feature, *, spec: GrooveSpec, fall: Fall, asked: Wanted) -> Feature:
    lines = feature.lines
    if fall.deepest_at is None:
        rings = [line for line in lines if line.closed]
        if rings:
            asked.refuse(
                f"the closed line through {listed(_start(line) for line in rings)} has no first end from which its "
                "floor could fall",
                accepted="deepest_at = [x, y], from which both ways round fall to the far point; or one depth_mm",
            )
            return feature
        return replace(feature, slopes=falling_along(lines, first=fall.first, last=fall.last))
    away = distance_to(lines, place=fall.deepest_at)
    most = max(_FAR, 2.0 * spec.width)
    if away > most:
        asked.refuse(
            f'deepest_at {place(fall.deepest_at)} is {away:.3f} mm from the nearest line of layer "{spec.layer}"',
            accepted=f"a place in the drawing's coordinates within {most:g} mm of a line",
        )
        return feature
    slopes = falling_from(lines, place=fall.deepest_at, first=fall.first, last=fall.last)
    return replace(feature, slopes=slopes)


def _start(line: Chain) -> tuple[Mm, Mm]:
    x, y = line.points[0]
    return float(x), float(y)
