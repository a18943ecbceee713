"""Grooves and pockets as drawn made into ones whose floors fall, or what stands against it."""

from dataclasses import replace

import numpy as np

from camplan import tolerance
from camplan.features.inclines import depth_under
from camplan.features.layers import Wanted
from camplan.features.network import distance_to, falling_along, falling_from
from camplan.features.records import Feature
from camplan.features.slopes import is_worth, widening
from camplan.features.specs import Fall, GrooveSpec, PocketSpec
from camplan.geometry.chains import Chain, tessellated
from camplan.geometry.places import listed, place
from camplan.units import Mm

_CHORD: Mm = 0.01
_FAR: Mm = 5.0
"""How far ``deepest_at`` may be from every line, or two widths if that is more (common practice, no source)."""


def with_slopes(feature: Feature, *, wanted: Wanted) -> Feature:
    """A groove with the floors and widths that its lines have in the drawing's coordinates; as it is, with the
    problems, if it cannot have them."""
    spec = feature.spec
    if not isinstance(spec, GrooveSpec) or (spec.fall is None and spec.widths is None) or not feature.lines:
        return feature
    asked = replace(wanted, key=f'feature "{spec.name}"')
    short = [line for line in feature.lines if not is_worth(line)]
    if short:
        asked.refuse(
            f"the line at {listed(line.points[0] for line in short)} is too short for anything to change along it",
            accepted="longer lines, or one depth_mm and one width_mm",
        )
        return feature
    if spec.widths is not None:
        feature = _widening(feature, widths=spec.widths, asked=asked)
    return feature if spec.fall is None else _falling(feature, spec=spec, fall=spec.fall, asked=asked)


def _widening(feature: Feature, *, widths: tuple[Mm, Mm], asked: Wanted) -> Feature:
    rings = [line for line in feature.lines if line.closed]
    if rings:
        asked.refuse(
            f"the closed line through {listed(_start(line) for line in rings)} has no ends at which it could be "
            f"{widths[0]:g} and {widths[1]:g} mm wide",
            accepted="open lines, or one width_mm",
        )
        return feature
    return replace(feature, widening=tuple(widening(line, widths=widths) for line in feature.lines))


def with_incline(feature: Feature, *, wanted: Wanted) -> Feature:
    """A pocket with the plane of its floor in the drawing's coordinates; told, if none of it falls in its regions."""
    spec = feature.spec
    if not isinstance(spec, PocketSpec) or spec.incline is None or not feature.regions:
        return feature
    corners = np.vstack([tessellated(region.outer, chord=_CHORD) for region in feature.regions])
    depths = depth_under(spec.incline, places=corners, radius=0.0)
    if float(np.ptp(depths)) < tolerance.GOUGE:
        x0, y0 = corners.min(axis=0)
        x1, y1 = corners.max(axis=0)
        asked = replace(wanted, key=f'feature "{spec.name}"')
        asked.refuse(
            f'the floor does not fall anywhere in the contours of layer "{spec.layer}", from {place((x0, y0))} to '
            f"{place((x1, y1))}: it falls from {place(spec.incline.start)} to {place(spec.incline.end)} and is level "
            "beyond",
            accepted="slope_from_mm and slope_to_mm in the drawing's coordinates, at both ends of the fall",
        )
    return replace(feature, incline=spec.incline)


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
