"""Specs and a drawing made into the plate and its features, placed on the plate's zero."""

import math
from dataclasses import replace
from typing import assert_never

import numpy as np

from camplan import tolerance
from camplan.drawing.records import Drawing, Layer
from camplan.errors import InputError, Problem
from camplan.features import layers
from camplan.features.checks import checked
from camplan.features.holding import held, holding_findings
from camplan.features.holds import nominal_size
from camplan.features.inclines import shifted_incline
from camplan.features.layers import Wanted
from camplan.features.nested import nested_findings
from camplan.features.records import Built, Feature, Plate
from camplan.features.scaled import Scaling, deepened, scaled, scaling_problems
from camplan.features.shaped import with_flat_end as with_flat_end
from camplan.features.shaped import with_kerf as with_kerf
from camplan.features.shaped import with_mouth as with_mouth
from camplan.features.shaped import with_point as with_point
from camplan.features.shaped import with_profile as with_profile
from camplan.features.slopes import placed, placed_beads
from camplan.features.sloping import with_incline, with_slopes
from camplan.features.specs import (
    EdgeSpec,
    FaceSpec,
    FeatureSpec,
    GrooveSpec,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PlateSpec,
    PocketSpec,
)
from camplan.findings import Finding, Severity
from camplan.geometry.chains import Chain, bounds, chain, shifted
from camplan.geometry.places import place
from camplan.regions import Region, moved
from camplan.units import Mm

_SIZE_PLACES = 6
"""Decimals of a hole's diameter in mm, so that holes drawn alike have one size."""


def build(
    specs: tuple[FeatureSpec, ...], *, plate: PlateSpec, drawing: Drawing, scaling: Scaling | None = None
) -> Built:
    """The plate and the features of ``specs``, those that ``scaling`` names made larger by it.

    Everything is moved so that the plate's zero, a corner of the bounding box of its outline or the box's centre, is
    (0, 0).  InputError with every problem: layers that are missing, empty or of the wrong kind, contours that are
    open or cross themselves, features outside or below the plate.
    """
    problems: list[Problem] = []
    findings: list[Finding] = []
    outline = _outline(plate, drawing=drawing, problems=problems, findings=findings)
    about = _about(scaling, outline=outline)
    features: list[Feature] = []
    for drawn in specs:
        spec = deepened(drawn, by=scaling) if scaling is not None and not goes_through(drawn, plate=plate) else drawn
        too_deep = _depth_problems(spec, plate=plate)
        problems.extend(too_deep)
        feature = _feature(spec, plate=plate, outline=outline, drawing=drawing, problems=problems, findings=findings)
        if feature is not None and scaling is not None and spec.name in scaling.features:
            key = f'feature "{spec.name}".layer'
            wanted = Wanted(drawing=drawing, name=spec.layer or "", key=key, problems=problems, findings=findings)
            feature = scaled(feature, by=scaling, about=about)
            feature = with_incline(with_slopes(feature, wanted=wanted), wanted=wanted)
        if feature is not None and not too_deep:
            features.append(feature)
    if scaling is not None:
        problems.extend(scaling_problems(features, by=scaling))
    if outline is None and not problems:
        problems.append(
            Problem(
                message=f"layer {plate.outline!r} has no closed contour with an area",
                file=drawing.file,
                key="plate.outline",
                accepted="one closed contour that is the plate's edge",
            )
        )
    if outline is None or not _is_thickness(plate.thickness):
        raise InputError(tuple(problems))
    seen = checked(tuple(features), outline=outline, thickness=plate.thickness, file=drawing.file)
    problems.extend(seen.problems)
    if problems:
        raise InputError(tuple(problems))
    x0, y0, x1, y1 = bounds(outline.outer)
    by = _shift((x0, y0, x1, y1), plate=plate)
    return Built(
        plate=Plate(
            thickness=plate.thickness,
            outline=moved(outline, by=by),
            bounds=(x0 + by[0], y0 + by[1], x1 + by[0], y1 + by[1]),
            zero=plate.zero,
            drawn_at=by,
        ),
        features=tuple(_placed(feature, by=by) for feature in seen.features),
        findings=(
            *findings,
            *_full_depths(tuple(features)),
            *holding_findings(seen.features),
            *nested_findings(seen.features),
            *seen.findings,
        ),
        scaled_about=(about[0] + by[0], about[1] + by[1]) if scaling is not None else None,
    )


def _about(scaling: Scaling | None, *, outline: Region | None) -> tuple[Mm, Mm]:
    """The place that scaling leaves where it is, in the drawing's coordinates."""
    if scaling is not None and scaling.about is not None:
        return scaling.about
    x0, y0, x1, y1 = bounds(outline.outer) if outline is not None else (0.0, 0.0, 0.0, 0.0)
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0


def _outline(plate: PlateSpec, *, drawing: Drawing, problems: list[Problem], findings: list[Finding]) -> Region | None:
    if not _is_thickness(plate.thickness):
        message = f"a plate {plate.thickness:g} mm thick cannot be"
        problems.append(Problem(message=message, key="plate.thickness_mm", accepted="above 0"))
    wanted = Wanted(drawing=drawing, name=plate.outline, key="plate.outline", problems=problems, findings=findings)
    layer = layers.found(wanted)
    if layer is None:
        return None
    regions = layers.regions(layer, wanted=wanted, of="plate's outer edge")
    if len(regions) > 1:
        corners = ", ".join(place(bounds(region.outer)[:2]) for region in regions[:4])
        wanted.refuse(
            f'layer "{layer.name}" holds {len(regions)} regions, their lower left corners at {corners}',
            accepted="one closed contour: the outer edge of one plate",
        )
    return regions[0] if len(regions) == 1 else None


def _is_thickness(value: Mm) -> bool:
    return math.isfinite(value) and value > 0.0


def _shift(box: tuple[Mm, Mm, Mm, Mm], *, plate: PlateSpec) -> tuple[Mm, Mm]:
    x0, y0, x1, y1 = box
    match plate.zero:
        case "front-left":
            return -x0, -y0
        case "front-right":
            return -x1, -y0
        case "back-left":
            return -x0, -y1
        case "back-right":
            return -x1, -y1
        case "centre":
            return -(x0 + x1) / 2.0, -(y0 + y1) / 2.0
        case _:
            assert_never(plate.zero)


def _depth_problems(spec: FeatureSpec, *, plate: PlateSpec) -> list[Problem]:
    depth, top, key = spec.depth, top_of(spec), f'feature "{spec.name}"'
    found = []
    for name, value in (("top_mm", top), ("depth_mm", depth if depth is not None else plate.thickness)):
        if not math.isfinite(value) or value < 0.0:
            found.append(Problem(message=f"{value:g} is no depth", key=f"{key}.{name}", accepted="0 or more"))
        elif value > plate.thickness + tolerance.SAME_POINT:
            message = f"{value:g} mm is below the plate, which is {plate.thickness:g} mm thick"
            found.append(Problem(message=message, key=f"{key}.{name}", accepted=f"up to {plate.thickness:g}"))
    lowest = plate.thickness if depth is None else depth
    if not found and lowest <= top:
        message = f"the feature ends at {lowest:g} mm, not below its top at {top:g} mm"
        found.append(Problem(message=message, key=f"{key}.depth_mm", accepted=f"above {top:g}"))
    return found


def top_of(spec: FeatureSpec) -> Mm:
    """The depth at which a feature starts."""
    return 0.0 if isinstance(spec, FaceSpec) else spec.top


def goes_through(spec: FeatureSpec, *, plate: PlateSpec) -> bool:
    """Whether a feature parts the plate: it says so, or a pocket, an outline or a hole is as deep as the plate."""
    if spec.depth is None:
        return True
    full = spec.depth >= plate.thickness - tolerance.SAME_POINT
    return full and isinstance(spec, PocketSpec | OutlineSpec | HoleSpec)


def _feature(
    spec: FeatureSpec,
    *,
    plate: PlateSpec,
    outline: Region | None,
    drawing: Drawing,
    problems: list[Problem],
    findings: list[Finding],
) -> Feature | None:
    """One feature where it is drawn; None, with the problems, if it cannot be made."""
    bare = _bare(spec, plate=plate)
    if spec.layer is None:
        return replace(bare, regions=(outline,)) if outline is not None else None
    before = len(problems)
    key = f'feature "{spec.name}".layer'
    wanted = Wanted(drawing=drawing, name=spec.layer, key=key, problems=problems, findings=findings)
    layer = layers.found(wanted)
    if layer is None:
        return None
    match spec:
        case PocketSpec():
            regions = layers.regions(layer, wanted=wanted, of="pocket")
            feature = with_incline(replace(bare, regions=regions), wanted=wanted)
        case OutlineSpec():
            feature = replace(bare, regions=layers.regions(layer, wanted=wanted, of="outline"), stock=outline)
        case FaceSpec():
            feature = replace(bare, regions=layers.regions(layer, wanted=wanted, of="face"))
        case EdgeSpec():
            feature = replace(bare, regions=layers.regions(layer, wanted=wanted, of="edge"))
        case HoleSpec():
            feature = held(replace(bare, circles=_circles(spec, layer=layer, wanted=wanted)), spec=spec, wanted=wanted)
        case GrooveSpec():
            feature = with_slopes(replace(bare, lines=_lines(layer, wanted=wanted, of="groove")), wanted=wanted)
        case MarkSpec():
            crosses = _crosses(layer, size=spec.cross)
            drawn = (*layer.closed, *layer.open)
            lines = (*drawn, *crosses) if crosses else _lines(layer, wanted=wanted, of="mark")
            points = tuple((float(x), float(y)) for x, y in layer.points)
            feature = replace(bare, lines=lines, points=points)
        case _:
            assert_never(spec)
    return feature if len(problems) == before else None


def _bare(spec: FeatureSpec, *, plate: PlateSpec) -> Feature:
    through = goes_through(spec, plate=plate)
    bottom = plate.thickness if spec.depth is None or through else spec.depth
    if isinstance(spec, OutlineSpec) and through and spec.hold == "skin":
        through, bottom = False, plate.thickness - spec.skin
    return Feature(
        spec=spec,
        top=top_of(spec),
        bottom=bottom,
        through=through,
        break_through=plate.break_through if through else 0.0,
    )


def _circles(spec: HoleSpec, *, layer: Layer, wanted: Wanted) -> tuple[tuple[Mm, Mm, Mm], ...]:
    drawn = [(*circle.centre, circle.diameter) for circle in layer.circles]
    size = spec.diameter if spec.diameter is not None else nominal_size(spec.holds)
    if len(layer.points) and size is None:
        wanted.refuse(
            f'layer "{layer.name}" has {len(layer.points)} points, the first at {place(layer.points[0])}, and a point '
            "has no size",
            accepted="diameter_mm in the feature, or circles of the holes' size",
        )
    others = [diameter for _, _, diameter in drawn if spec.diameter is not None]
    if spec.diameter is not None and any(abs(one - spec.diameter) > tolerance.JOIN for one in others):
        sizes = ", ".join(f"{one:.3f}" for one in sorted({round(one, 3) for one in others}))
        wanted.refuse(
            f'layer "{layer.name}" has circles of {sizes} mm, and diameter_mm says {spec.diameter:g}',
            accepted="circles give their own size: leave diameter_mm out, or draw points",
        )
    if len(layer.closed) > len(layer.circles):
        first = next(path.points[0] for path in layer.closed if not _is_circle(path, layer=layer))
        wanted.refuse(
            f'layer "{layer.name}" has closed contours that are no circles, the first at {place(first)}',
            accepted="circles, or points with diameter_mm",
        )
    if layer.open:
        message = (
            f'layer "{layer.name}": {len(layer.open)} open lines on a layer of holes are left alone (centre lines?)'
        )
        wanted.findings.append(_caution("lines-among-holes", message, where=spec.name))
    sized = [(float(x), float(y), size) for x, y in layer.points if size is not None]
    if not drawn and not len(layer.points) and len(layer.closed) == len(layer.circles):
        wanted.refuse(
            f'layer "{layer.name}" has no circle and no point for a hole{layers.only_text(layer)}',
            accepted="circles or points",
        )
    return tuple(sorted({(x, y, round(diameter, _SIZE_PLACES)) for x, y, diameter in (*drawn, *sized)}))


def _is_circle(path: Chain, *, layer: Layer) -> bool:
    x0, y0, x1, y1 = bounds(path)
    middle, size = ((x0 + x1) / 2.0, (y0 + y1) / 2.0), x1 - x0
    return any(
        math.dist(one.centre, middle) < tolerance.JOIN and abs(one.diameter - size) < tolerance.JOIN
        for one in layer.circles
    )


def _lines(layer: Layer, *, wanted: Wanted, of: str) -> tuple[Chain, ...]:
    if not layer.open and not layer.closed:
        accepted = "lines, open or closed" + (", or points" if of == "mark" else "")
        wanted.refuse(f'layer "{layer.name}" has no line for the {of}{layers.only_text(layer)}', accepted=accepted)
    return (*layer.open, *layer.closed)


def _crosses(layer: Layer, *, size: Mm) -> tuple[Chain, ...]:
    half = size / 2.0
    found = []
    for x, y in np.asarray(layer.points, dtype=np.float64):
        found.append(chain([(x - half, y), (x + half, y)]))
        found.append(chain([(x, y - half), (x, y + half)]))
    return tuple(found)


def _placed(feature: Feature, *, by: tuple[Mm, Mm]) -> Feature:
    return replace(
        feature,
        regions=tuple(moved(region, by=by) for region in feature.regions),
        mouths=tuple(moved(region, by=by) for region in feature.mouths),
        lines=tuple(shifted(path, by=by) for path in feature.lines),
        slopes=tuple(placed(slope, by=by) for slope in feature.slopes),
        widening=tuple(placed_beads(one, by=by) for one in feature.widening),
        incline=shifted_incline(feature.incline, by=by) if feature.incline is not None else None,
        circles=tuple((x + by[0], y + by[1], diameter) for x, y, diameter in feature.circles),
        points=tuple((x + by[0], y + by[1]) for x, y in feature.points),
        neighbours=tuple(moved(region, by=by) for region in feature.neighbours),
        stock=moved(feature.stock, by=by) if feature.stock is not None else None,
    )


def _full_depths(features: tuple[Feature, ...]) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            severity=Severity.NOTE,
            code="full-depth",
            message=f'"{feature.spec.name}" is as deep as the plate is thick and is cut through, '
            f"{feature.break_through:g} mm past its underside",
            where=feature.spec.name,
        )
        for feature in features
        if feature.through and feature.spec.depth is not None
    )


def _caution(code: str, message: str, *, where: str) -> Finding:
    return Finding(severity=Severity.CAUTION, code=code, message=message, where=where)
