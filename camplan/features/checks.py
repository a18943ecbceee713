"""Features against the plate and against each other: what cannot be, and what to look at before cutting."""

import math
from dataclasses import dataclass, replace
from typing import Any, assert_never

import numpy as np
from scipy.spatial import cKDTree

from camplan import tolerance
from camplan.errors import Problem
from camplan.features.edge_sides import sided
from camplan.features.holds import Fit, Magnet
from camplan.features.mouths import mouths
from camplan.features.records import Feature
from camplan.features.sections import shallow_floor
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import planar
from camplan.geometry.chains import circle
from camplan.geometry.places import place
from camplan.regions import Region
from camplan.units import Mm

NEAR: Mm = 50.0
"""Parts of other outlines farther away than this are out of every kerf's reach."""
_CHORD: Mm = 0.005
_LINE: Mm = 0.01
_SLIVER: Mm = 0.02
_SHARE = 0.01
_DRILLED: Mm = 13.0  # wider holes are bored (common practice, no source)
_POINT = math.radians(118.0)  # the usual point of a twist drill (common practice, no source)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checked:
    """The features with their open edges and neighbours, and what was seen."""

    features: tuple[Feature, ...]
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Part:
    """One region, hole or line of a feature as it is at its widest, as a shapely figure."""

    feature: Feature
    shape: Any


def checked(features: tuple[Feature, ...], *, outline: Region, thickness: Mm, file: str) -> Checked:
    """Everything as drawn; places are said in the drawing's coordinates."""
    problems: list[Problem] = []
    findings: list[Finding] = []
    parts = {index: _parts(feature) for index, feature in enumerate(features)}
    plate = planar.polygon(outline, chord=_CHORD)
    within, core = plate.buffer(tolerance.JOIN), plate.buffer(-tolerance.JOIN)
    edged: list[Feature] = []
    for index, feature in enumerate(features):
        if isinstance(feature.spec, EdgeSpec):
            edged.append(feature)
            continue
        problems.extend(_outside(parts[index], plate=plate, within=within, file=file))
        problems.extend(_closing(feature))
        findings.extend(_over_edge(parts[index], plate=plate, within=within))
        findings.extend(_shallow(feature))
        findings.extend(_loose(feature))
        findings.extend(_thin_floor(feature, thickness=thickness))
        open_edges = isinstance(feature.spec, PocketSpec | GrooveSpec) and not all(
            core.contains(part.shape) for part in parts[index]
        )
        open_ = replace(feature, open_edges=open_edges)
        edged.append(replace(open_, mouths=mouths(open_, outline=outline)))
    findings.extend(_twice([part for found in parts.values() for part in found]))
    found, crossing = _neighbours(edged)
    edges = sided(found, outline=outline, thickness=thickness, file=file)
    return Checked(
        features=edges.features,
        problems=(*problems, *edges.problems),
        findings=(*findings, *crossing, *edges.findings),
    )


def _parts(feature: Feature) -> tuple[_Part, ...]:
    spec = feature.spec
    match spec:
        case PocketSpec():
            rise = math.tan(spec.draft) * (feature.bottom - feature.top) if spec.nominal == "floor" else 0.0
            shapes = [planar.polygon(region, chord=_CHORD).buffer(rise) for region in feature.regions]
        case OutlineSpec(side="outside", nominal="top", draft=draft) if draft > 0.0:
            rise = math.tan(draft) * (feature.bottom - feature.top)
            shapes = [planar.polygon(region, chord=_CHORD).buffer(rise) for region in feature.regions]
        case OutlineSpec() | FaceSpec():
            shapes = [planar.polygon(region, chord=_CHORD) for region in feature.regions]
        case HoleSpec():
            shapes = [
                planar.filled(circle((x, y), radius=diameter / 2.0), chord=_CHORD) for x, y, diameter in feature.circles
            ]
        case GrooveSpec():
            shapes = [planar.line(path, chord=_CHORD).buffer(spec.width / 2.0) for path in feature.lines]
        case MarkSpec():
            shapes = [planar.line(path, chord=_CHORD).buffer(_LINE) for path in feature.lines]
        case EdgeSpec():
            shapes = [planar.polygon(region, chord=_CHORD).boundary.buffer(_LINE) for region in feature.regions]
        case _:
            assert_never(spec)
    return tuple(_Part(feature=feature, shape=shape) for shape in shapes)


def _outside(parts: tuple[_Part, ...], *, plate: Any, within: Any, file: str) -> list[Problem]:
    found = []
    for part in parts:
        spec = part.feature.spec
        sliver = min(_SLIVER * part.shape.length, _SHARE * part.shape.area)
        beside = plate.intersection(part.shape).area <= sliver
        parting = isinstance(spec, OutlineSpec) and not within.contains(part.shape)
        if not (beside or parting):
            continue
        said = "lies outside the plate" if beside else "reaches over the plate's edge, so it cannot be cut out whole"
        message = f"the one {_box(part.shape)} {said}, {_box(plate)}"
        accepted = "features on the plate" if beside else "outlines inside the plate's outline"
        found.append(Problem(message=message, file=file, key=f'feature "{spec.name}"', accepted=accepted))
    return found


def _over_edge(parts: tuple[_Part, ...], *, plate: Any, within: Any) -> list[Finding]:
    found = []
    for part in parts:
        spec = part.feature.spec
        crosses = isinstance(spec, HoleSpec | MarkSpec) and plate.intersects(part.shape)
        if crosses and not within.contains(part.shape):
            message = f'"{spec.name}": the one {_box(part.shape)} runs over the plate\'s edge'
            found.append(_caution("over-the-edge", message, where=spec.name))
    return found


def _closing(feature: Feature) -> list[Problem]:
    """Pockets of which draft or allowance leaves nothing at the floor, and outlines of whose part or window draft
    leaves nothing."""
    spec = feature.spec
    if isinstance(spec, OutlineSpec) and spec.draft > 0.0:
        return _closing_outline(feature, spec=spec)
    if not isinstance(spec, PocketSpec):
        return []
    fall = math.tan(spec.draft) * (feature.bottom - feature.top) if spec.nominal == "top" else 0.0
    found = []
    for region in feature.regions:
        shape = planar.polygon(region, chord=_CHORD)
        if shape.buffer(-(fall + spec.allowance)).is_empty:
            message = (
                f"the region {_box(shape)} closes above its floor: draft takes {fall:.3f} mm a side and the "
                f"allowance {spec.allowance:g} mm"
            )
            accepted = "a smaller draft_deg, depth_mm or allowance_mm, or a wider contour"
            found.append(Problem(message=message, key=f'feature "{spec.name}"', accepted=accepted))
    return found


def _closing_outline(feature: Feature, *, spec: OutlineSpec) -> list[Problem]:
    """Parts that come to a point below their top, and windows that close above their floor."""
    rise = math.tan(spec.draft) * (feature.bottom - feature.top)
    narrows = spec.nominal == ("floor" if spec.side == "outside" else "top")
    found = []
    for region in feature.regions if narrows else ():
        shape = planar.polygon(region, chord=_CHORD)
        if shape.buffer(-rise).is_empty:
            where = "at its top" if spec.side == "outside" else "at its floor"
            message = f"nothing is left {where} of the one {_box(shape)}: draft takes {rise:.3f} mm a side"
            accepted = "a smaller draft_deg or depth_mm, or a wider contour"
            found.append(Problem(message=message, key=f'feature "{spec.name}"', accepted=accepted))
    return found


def _shallow(feature: Feature) -> list[Finding]:
    spec = feature.spec
    least = shallow_floor(feature)
    depth = (feature.bottom if least is None else least) - feature.top
    if not isinstance(spec, GrooveSpec) or spec.section != "round" or depth >= spec.width / 2.0:
        return []
    radius = spec.width / 2.0
    width = 2.0 * math.sqrt(depth * (2.0 * radius - depth))
    where = "" if least is None else "where it is shallowest "
    message = (
        f'"{spec.name}" is {where}{depth:g} mm deep, less than half its width: its round section is only '
        f"{width:.3f} mm wide at the top, not {spec.width:g}"
    )
    return [_caution("groove-narrower", message, where=spec.name)]


def _loose(feature: Feature) -> list[Finding]:
    """Pieces that nothing holds once the feature is cut."""
    spec = feature.spec
    if isinstance(spec, OutlineSpec) and feature.through and spec.hold == "none":
        message = f'"{spec.name}" is cut free with nothing to hold it: clamp the piece, or ask for bridges or a skin'
        return [_caution("piece-comes-loose", message, where=spec.name)]
    if isinstance(spec, PocketSpec) and feature.through and any(region.islands for region in feature.regions):
        shape = planar.filled(next(region.islands[0] for region in feature.regions if region.islands), chord=_CHORD)
        message = f'"{spec.name}" goes through the plate, so the island {_box(shape)} comes loose while it is cut'
        return [_caution("piece-comes-loose", message, where=spec.name)]
    return []


def _thin_floor(feature: Feature, *, thickness: Mm) -> list[Finding]:
    """Blind features with no floor to speak of: as deep as the plate, or deep enough for a drill's point to come
    out."""
    spec = feature.spec
    if feature.through:
        return []
    if isinstance(spec, GrooveSpec | MarkSpec) and feature.bottom >= thickness - tolerance.SAME_POINT:
        message = f'"{spec.name}" is as deep as the plate is thick and leaves no floor'
        return [_caution("no-floor", message, where=spec.name)]
    widest = max((diameter for _, _, diameter in feature.circles if diameter <= _DRILLED), default=0.0)
    point = widest / 2.0 / math.tan(_POINT / 2.0)
    milled = isinstance(spec, HoleSpec) and isinstance(spec.holds, Fit | Magnet)
    if isinstance(spec, HoleSpec) and not milled and feature.bottom + point > thickness + tolerance.SAME_POINT:
        message = (
            f'"{spec.name}" is {feature.bottom:g} mm deep at its full width; the point of a 118 degree drill reaches '
            f"{point:.2f} mm deeper and comes out of the underside"
        )
        return [_caution("point-comes-out", message, where=spec.name)]
    return []


def _twice(parts: list[_Part]) -> list[Finding]:
    """The same figure asked for by two features at the same heights."""
    kept = [part for part in parts if isinstance(part.feature.spec, PocketSpec | OutlineSpec | HoleSpec | GrooveSpec)]
    if len(kept) < 2:
        return []
    bounds = np.array([part.shape.bounds for part in kept])
    found: dict[tuple[str, str], Finding] = {}
    for first, second in sorted(cKDTree(bounds).query_pairs(2.0 * _SLIVER)):
        a, b = kept[first], kept[second]
        names = (a.feature.spec.name, b.feature.spec.name)
        same = a.shape.symmetric_difference(b.shape).area <= _SLIVER * a.shape.length
        if a.feature is b.feature or names in found or not same or not _meet(a.feature, b.feature):
            continue
        message = f'"{names[0]}" and "{names[1]}" ask for the same region at the same heights, {_box(a.shape)}'
        found[names] = _caution("same-region-twice", message, where=names[1])
    return list(found.values())


def _meet(a: Feature, b: Feature) -> bool:
    heights = max(a.top, b.top) < min(a.bottom, b.bottom) - tolerance.SAME_POINT
    return heights and _beside(a) == _beside(b)


def _beside(feature: Feature) -> bool:
    """Whether material goes beside the feature's regions, not in them."""
    return isinstance(feature.spec, OutlineSpec) and feature.spec.side == "outside"


def _neighbours(features: list[Feature]) -> tuple[tuple[Feature, ...], list[Finding]]:
    """Each outline with the parts of other outlines that its kerf might reach; outlines that cross are told."""
    findings: list[Finding] = []
    shapes = {
        index: [planar.polygon(region, chord=_CHORD) for region in feature.regions]
        for index, feature in enumerate(features)
        if isinstance(feature.spec, OutlineSpec)
    }
    found = list(features)
    for index, mine in shapes.items():
        near: list[Region] = []
        for other, theirs in shapes.items():
            if other == index or not _beside(features[other]):
                continue
            for region, shape in zip(features[other].regions, theirs, strict=True):
                common = [one.intersection(shape).area for one in mine]
                apart = all(area <= _SLIVER * shape.length for area in common)
                if apart and min(one.distance(shape) for one in mine) < NEAR:
                    near.append(region)
                crossing = _beside(features[index]) and any(_cross(one, shape) for one in mine)
                if crossing and index < other:
                    names = (features[index].spec.name, features[other].spec.name)
                    message = f'the outlines of "{names[0]}" and "{names[1]}" cross: each cuts into the other\'s part'
                    findings.append(_caution("outlines-cross", message, where=names[1]))
        found[index] = replace(features[index], neighbours=tuple(near))
    return tuple(found), findings


def _cross(a: Any, b: Any) -> bool:
    common = a.intersection(b).area
    sliver = _SLIVER * min(a.length, b.length)
    return bool(common > sliver and common < min(a.area, b.area) - sliver)


def _box(shape: Any) -> str:
    x0, y0, x1, y1 = shape.bounds
    return f"from {place((x0, y0))} to {place((x1, y1))} in the drawing"


def _caution(code: str, message: str, *, where: str) -> Finding:
    return Finding(severity=Severity.CAUTION, code=code, message=message, where=where)
