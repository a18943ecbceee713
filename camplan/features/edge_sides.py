"""Edges against the features beside them: on which side the material stands, what opens the other, and what cannot be.

Everything is as drawn; places are said in the drawing's coordinates.
"""

import math
from dataclasses import dataclass, replace
from typing import Any

import shapely

from camplan import tolerance
from camplan.errors import Problem
from camplan.features.edges import strip_width
from camplan.features.records import Feature
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, OutlineSpec, PocketSpec, Side
from camplan.findings import Finding, Severity
from camplan.geometry import planar
from camplan.geometry.chains import circle
from camplan.regions import Region
from camplan.units import Mm

_CHORD: Mm = 0.002
_NEAR: Mm = 0.05
"""How wide beside a contour it is asked what is open there."""
_KERF: Mm = 0.2
_TOUCH: Mm = 0.01
_SHARED = 0.05
"""Features that are open along less of a contour only cross it."""
_MOST = 0.95
_LEAST = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sided:
    """The features, edges with their side and what opens it, and what was seen."""

    features: tuple[Feature, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Open:
    """A figure that a feature opens between two depths; ``name`` None: the air beside the plate."""

    feature: Feature | None
    shape: Any
    top: Mm
    bottom: Mm


def sided(features: tuple[Feature, ...], *, outline: Region, thickness: Mm, file: str) -> Sided:
    """Every edge with its side, the features that it follows and the depth down to which they are open beside it."""
    if not any(isinstance(feature.spec, EdgeSpec) for feature in features):
        return Sided(features=features, problems=(), findings=())
    plate = planar.polygon(outline, chord=_CHORD)
    air = _Open(feature=None, shape=plate.buffer(1.0).difference(plate), top=0.0, bottom=thickness)
    opened = [air, *(made for feature in features if (made := _opened(feature)) is not None)]
    found: list[Feature] = []
    problems: list[Problem] = []
    findings: list[Finding] = []
    for feature in features:
        if not isinstance(feature.spec, EdgeSpec):
            found.append(feature)
            continue
        one, refused = _with_side(feature, spec=feature.spec, opened=opened, plate=plate, findings=findings)
        found.append(one)
        problems.extend(replace(problem, file=file) for problem in refused)
    return Sided(features=tuple(found), problems=tuple(problems), findings=tuple(findings))


def _opened(feature: Feature) -> _Open | None:
    """What a feature opens beside its contours."""
    spec, bottom = feature.spec, feature.bottom
    regions = [planar.polygon(region, chord=_CHORD) for region in feature.regions]
    match spec:
        case PocketSpec() | FaceSpec():
            shape = shapely.union_all(regions)
        case OutlineSpec(side="outside"):
            shape = shapely.union_all([one.buffer(_KERF).difference(one) for one in regions])
        case OutlineSpec():
            shape = shapely.union_all([one.difference(one.buffer(-_KERF)) for one in regions])
        case HoleSpec():
            discs = [planar.filled(circle((x, y), radius=size / 2.0), chord=_CHORD) for x, y, size in feature.circles]
            shape = shapely.union_all(discs)
        case GrooveSpec():
            lines = [planar.line(path, chord=_CHORD).buffer(spec.width / 2.0, quad_segs=64) for path in feature.lines]
            shape = shapely.union_all(lines)
        case _:
            return None
    if isinstance(spec, OutlineSpec) and feature.through and spec.hold == "bridges":
        bottom -= spec.bridge_height
    return _Open(feature=feature, shape=shape, top=feature.top, bottom=bottom)


def _with_side(
    feature: Feature, *, spec: EdgeSpec, opened: list[_Open], plate: Any, findings: list[Finding]
) -> tuple[Feature, list[Problem]]:
    shape = shapely.union_all([planar.polygon(region, chord=_CHORD) for region in feature.regions])
    if not plate.buffer(tolerance.JOIN).covers(shape.boundary):
        message = f"the contour {_box(shape)} is not on the plate, {_box(plate)}"
        return feature, [_problem(spec, key="layer", message=message, accepted="contours on the plate")]
    bands: dict[Side, Any] = {
        "outside": shape.buffer(_NEAR).difference(shape),
        "inside": shape.difference(shape.buffer(-_NEAR)),
    }
    beside = [one for one in opened if one.top <= spec.top + _LEAST and one.bottom > spec.top + _LEAST]
    shares = {side: _share(band, within=[one.shape for one in beside]) for side, band in bands.items()}
    side = spec.side or _guessed(shares)
    if shares[_other(side)] < _SHARED:
        message = (
            f"nothing opens the {_other(side)} of its contour at a depth of {spec.top:g} mm, so there is no edge "
            f"whose material stands {side}"
        )
        accepted = (
            'the contour of a pocket, a hole, an outline or the plate, and its depth in top_mm; or side = "'
            f'{_other(side)}"'
        )
        return feature, [_problem(spec, key="side" if spec.side else "layer", message=message, accepted=accepted)]
    if shares[side] > _MOST:
        message = f"no material stands {side} its contour at a depth of {spec.top:g} mm"
        accepted = f'side = "{_other(side)}", or another top_mm'
        return feature, [_problem(spec, key="side" if spec.side else "top_mm", message=message, accepted=accepted)]
    open_side = [one for one in beside if _share(bands[_other(side)], within=[one.shape]) > 0.0]
    along = [one for one in open_side if _share(bands[_other(side)], within=[one.shape]) >= _SHARED]
    followed = replace(
        feature,
        spec=replace(spec, side=side),
        follows=tuple(dict.fromkeys(one.feature.spec.name for one in open_side if one.feature is not None)),
        beside=min(one.bottom for one in along or open_side),
        circles=tuple(circle for one in open_side if one.feature is not None for circle in one.feature.circles),
    )
    if spec.side is None:
        names = ", ".join(f'"{name}"' for name in followed.follows) or "the plate's edge"
        message = f'"{spec.name}" shares its contour with {names}, so its material stands {side} it'
        findings.append(
            Finding(severity=Severity.NOTE, code="edge-side-guessed", message=message, where=spec.name),
        )
    return followed, [
        *_of_neighbours(followed, spec=spec, along=along),
        *_thin(followed, side=side, shape=shape, opened=opened),
    ]


def _other(side: Side) -> Side:
    return "inside" if side == "outside" else "outside"


def _guessed(shares: dict[Side, float]) -> Side:
    """The side that is less open."""
    return "inside" if shares["outside"] > shares["inside"] else "outside"


def _share(band: Any, *, within: list[Any]) -> float:
    open_ = shapely.union_all(within)
    return float(band.intersection(open_).area / band.area)


def _of_neighbours(feature: Feature, *, spec: EdgeSpec, along: list[_Open]) -> list[Problem]:
    """What the features whose contour an edge shares do not allow."""
    found = []
    for one in along:
        other = one.feature.spec if one.feature is not None else None
        if isinstance(other, PocketSpec | OutlineSpec) and other.draft > 0.0:
            message = f'the walls of "{other.name}" lean, and the edge of a leaning wall is not planned'
            found.append(_problem(spec, key="layer", message=message, accepted="an edge of upright walls"))
        if isinstance(other, OutlineSpec) and one.feature is not None and one.feature.through and other.hold == "none":
            message = f'"{other.name}" is cut free with nothing to hold it, and its edge is broken after that'
            accepted = f'hold = "bridges" or hold = "skin" for "{other.name}"'
            found.append(_problem(spec, key="layer", message=message, accepted=accepted))
    if feature.beside < feature.bottom - _LEAST:
        message = (
            f"the edge reaches {feature.bottom:.3f} mm deep, and beside it the floor is at {feature.beside:.3f} mm"
        )
        key = "radius_mm" if spec.radius is not None else "chamfer_mm"
        found.append(
            _problem(spec, key=key, message=message, accepted=f"up to {feature.beside - spec.top:.3f} mm deep")
        )
    return found


def _thin(feature: Feature, *, side: Side, shape: Any, opened: list[_Open]) -> list[Problem]:
    """Whether material enough stands beside the contour, and nothing above it."""
    spec = feature.spec
    assert isinstance(spec, EdgeSpec)
    across = strip_width(spec, below=0.0)
    strip = shape.buffer(across).difference(shape) if side == "outside" else shape.difference(shape.buffer(-across))
    key = "radius_mm" if spec.radius is not None else "chamfer_mm"
    found = []
    others = [one for one in opened if one.top < feature.bottom - _LEAST and one.bottom > feature.top + _LEAST]
    for one in others:
        parts = shapely.get_parts(one.shape.intersection(strip))
        for part in parts:
            if part.area < _LEAST or part.distance(shape.boundary) <= _TOUCH:
                continue
            name = f'"{one.feature.spec.name}"' if one.feature is not None else "the plate's edge"
            wall = float(part.distance(shape.boundary))
            message = f"it is {across:g} mm wide, and the wall between it and {name}, {_box(part)}, only {wall:.3f} mm"
            found.append(_problem(spec, key=key, message=message, accepted=f"less than {wall:.3f} mm"))
            break
    if spec.top > _LEAST:
        above = [one.shape for one in opened if one.top < spec.top - _LEAST and one.bottom >= spec.top - _LEAST]
        covered = strip.difference(shapely.union_all(above).buffer(_TOUCH))
        if covered.area > _LEAST:
            message = f"material stands above it, {_box(covered)}: no feature opens it down to {spec.top:g} mm"
            accepted = "the depth of the floor in which its contour lies, and a narrower edge than that floor"
            found.append(_problem(spec, key="top_mm", message=message, accepted=accepted))
    return found


def _problem(spec: EdgeSpec, *, key: str, message: str, accepted: str) -> Problem:
    return Problem(message=message, key=f'feature "{spec.name}".{key}', accepted=accepted)


def _box(shape: Any) -> str:
    x0, y0, x1, y1 = shape.bounds
    if not math.isfinite(x0):
        return "nowhere"
    return f"from ({x0:.3f}, {y0:.3f}) to ({x1:.3f}, {y1:.3f}) in the drawing"
