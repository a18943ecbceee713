"""What has to be cut before what: faces first, a feature after what lies above it, outlines after everything else."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from camplan.features.records import Feature
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, OutlineSpec, PocketSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Chain, bounds
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.records import Operation, Part
from camplan.regions import Region
from camplan.units import Mm, Mm2

Box = tuple[Mm, Mm, Mm, Mm]

_CLEARING = frozenset((Part.AREA, Part.FLOOR, Part.REST, Part.BORED, Part.LINE, Part.SLOPE, Part.DRILLED, Part.REAMED))
_BERTH: Mm = 0.5
_MEETS: Mm2 = 1e-3
_LEVEL: Mm = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Ties:
    """``above``: for each feature by name those that lie above it, where it is or may be; ``on``: for each that frees a
    piece those that lie on such a piece, which are cut while it still holds."""

    above: dict[str, frozenset[str]]
    on: dict[str, frozenset[str]] = field(default_factory=dict)


def ties(features: Sequence[Feature]) -> Ties:
    """Which features lie above which: those whose figures overlap, the one's floor no higher than the other's top."""
    boxes = {feature.spec.name: _box(feature) for feature in features}
    figures = cache(figure_of)
    above = _above(features, boxes=boxes, figures=figures)
    return Ties(above=above, on=_on_loose(features, above=above, boxes=boxes, figures=figures))


def _on_loose(
    features: Sequence[Feature],
    *,
    above: dict[str, frozenset[str]],
    boxes: dict[str, Box | None],
    figures: Callable[[Feature], Area],
) -> dict[str, frozenset[str]]:
    """What lies on the pieces that a feature frees: islands of a through pocket, the parts of an outline."""
    found: dict[str, frozenset[str]] = {}
    for feature in features:
        pieces = _freed(feature)
        name = feature.spec.name
        mine = [
            other.spec.name
            for other in features
            if pieces
            and other.spec.name != name
            and _meet(boxes[other.spec.name], other=boxes[name])
            and _lies_on(other, freed_by=feature, pieces=pieces, figures=figures)
            and not _waits_for(other.spec.name, name=name, needs=(above, found))
        ]
        if mine:
            found[name] = frozenset(mine)
    return found


def _freed(feature: Feature) -> Area:
    """The pieces that come loose once a feature is cut, filled; nothing where none does."""
    paths: list[Chain] = []
    if feature.through and isinstance(feature.spec, PocketSpec):
        paths = [island for region in feature.regions for island in region.islands]
    elif feature.through and isinstance(feature.spec, OutlineSpec):
        paths = [region.outer for region in feature.regions]
    return clipper.union([areas.of_regions([Region(outer=path)]) for path in paths])


def _lies_on(other: Feature, *, freed_by: Feature, pieces: Area, figures: Callable[[Feature], Area]) -> bool:
    """Whether a feature is cut from a loose piece, and does not come before or after it anyway: outlines come after
    everything but smaller ones in their parts, faces before."""
    parting = isinstance(freed_by.spec, OutlineSpec)
    if isinstance(other.spec, OutlineSpec) is not parting or isinstance(other.spec, FaceSpec):
        return False
    figure = figures(other)
    if not parting:
        return _overlap(figure, with_=pieces)
    smaller = clipper.surface(figure) < clipper.surface(pieces) - _MEETS
    inside = clipper.surface(clipper.difference(figure, less=pieces)) < _MEETS
    return smaller and inside


def _waits_for(one: str, *, name: str, needs: Sequence[dict[str, frozenset[str]]]) -> bool:
    """Whether a feature waits, itself or by others, for another."""
    seen: set[str] = set()
    waiting = [one]
    while waiting:
        now = waiting.pop()
        if now == name:
            return True
        if now not in seen:
            seen.add(now)
            waiting.extend(other for known in needs for other in known.get(now, ()))
    return False


def _above(
    features: Sequence[Feature], *, boxes: dict[str, Box | None], figures: Callable[[Feature], Area]
) -> dict[str, frozenset[str]]:
    return {
        feature.spec.name: frozenset(
            other.spec.name
            for other in features
            if _lies_above(other, below=feature)
            and _meet(boxes[other.spec.name], other=boxes[feature.spec.name])
            and _overlap(figures(other), with_=figures(feature))
        )
        for feature in features
        if feature.top > 0.0
    }


def _lies_above(feature: Feature, *, below: Feature) -> bool:
    """Whether a feature, judged by its depths, may have to be cleared before another; a hole that goes on past the
    other's top need not."""
    if (
        isinstance(feature.spec, OutlineSpec | FaceSpec | EdgeSpec)
        or not feature.top < below.top - _LEVEL <= feature.bottom
    ):
        return False
    return not isinstance(feature.spec, HoleSpec) or feature.bottom <= below.top + _LEVEL


def _box(feature: Feature) -> Box | None:
    """The bounding box of a feature with a berth; None where it has no figure."""
    boxes = [bounds(region.outer) for region in feature.regions]
    boxes.extend(bounds(line) for line in feature.lines)
    boxes.extend((x - size / 2.0, y - size / 2.0, x + size / 2.0, y + size / 2.0) for x, y, size in feature.circles)
    if not boxes:
        return None
    every = np.array(boxes)
    berth = _BERTH + (feature.spec.width / 2.0 if isinstance(feature.spec, GrooveSpec) else 0.0)
    low, high = every[:, :2].min(axis=0) - berth, every[:, 2:].max(axis=0) + berth
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _meet(one: Box | None, *, other: Box | None) -> bool:
    if one is None or other is None:
        return False
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def waits(operations: Sequence[Operation], *, known: Ties) -> list[int]:
    """For each operation those that must be done before it, as a number whose bit i stands for operation i."""
    mine: dict[str, list[int]] = {}
    faces = others = 0
    outlines = {one.feature.spec.name for one in operations if isinstance(one.feature.spec, OutlineSpec)}
    for place, operation in enumerate(operations):
        mine.setdefault(operation.feature.spec.name, []).append(place)
        faces |= (1 << place) * isinstance(operation.feature.spec, FaceSpec)
        others |= (1 << place) * (
            not isinstance(operation.feature.spec, OutlineSpec) and not _late(operation, outlines)
        )
    found = []
    for place, operation in enumerate(operations):
        name = operation.feature.spec.name
        needed = sum(1 << before for before in mine[name] if before < place and _tied(operations[before], to=operation))
        for other in known.above.get(name, ()):
            for before in mine.get(other, ()):
                needed |= (1 << before) * _uncovers(operations[before], for_=operation)
        for other in operation.feature.follows:
            needed |= sum(1 << before for before in mine.get(other, ()))
        for other in known.on.get(name, ()):
            for before in mine.get(other, ()):
                needed |= 1 << before
        if isinstance(operation.feature.spec, OutlineSpec):
            needed |= others
        if not isinstance(operation.feature.spec, FaceSpec):
            needed |= faces
        found.append(needed)
    return found


def _late(operation: Operation, outlines: set[str]) -> bool:
    """Whether an operation breaks an edge of what an outline parts."""
    return isinstance(operation.feature.spec, EdgeSpec) and not outlines.isdisjoint(operation.feature.follows)


def _tied(before: Operation, *, to: Operation) -> bool:
    """Whether a later operation of the same feature builds on an earlier one: holes of two sizes do not, but a head
    is sunk after the hole under it."""
    if any(to.diameter == diameter for diameter, _ in to.feature.sunk):
        return True
    return before.diameter is None or to.diameter is None or before.diameter == to.diameter


def _uncovers(before: Operation, *, for_: Operation) -> bool:
    """Whether an operation of a feature above removes what lies over another."""
    if before.part not in _CLEARING:
        return False
    if before.part is not Part.REST or not before.rest:
        return True
    return _overlap(before.rest, with_=figure_of(for_.feature))


def _overlap(one: Area, *, with_: Area) -> bool:
    return clipper.surface(clipper.intersection(one, with_=with_)) > _MEETS


def figure_of(feature: Feature) -> Area:
    """All that a feature covers, seen from above; its lines half a millimetre to either side."""
    sizes = {circle[2] for circle in feature.circles}
    width = feature.spec.width if isinstance(feature.spec, GrooveSpec) else 2.0 * _BERTH
    return clipper.union(
        [
            areas.of_regions(feature.regions),
            areas.along(feature.lines, by=width / 2.0) if feature.lines else (),
            *(areas.of_circles(feature.circles, diameter=size) for size in sorted(sizes)),
        ]
    )
