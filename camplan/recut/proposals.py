"""Places for marks on a plate that has none: far apart, on bare material, clear of clamps, within reach later."""

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely

from camplan.features.existing import gone
from camplan.features.marks import marks_of
from camplan.features.records import Feature, Plate
from camplan.features.specs import FaceSpec, MarkSpec, OutlineSpec, SettingSpec
from camplan.geometry import planar
from camplan.recut.registration import predicted_error, registered
from camplan.units import Mm

ROOM: Mm = 4.0
"""Bare material about a mark's middle: half a cross of 5 mm and a rim to see it against."""
_EDGE: Mm = 5.0
_CLAMP: Mm = 8.0
_GRID = 24
_COUNT = 3
_WAYS = 8
_CHORD: Mm = 0.05


def proposed_marks(
    features: Sequence[Feature], *, plate: Plate, settings: Sequence[SettingSpec]
) -> tuple[tuple[Mm, Mm], ...]:
    """Up to three places, in the plate's coordinates, for crosses that later say how the plate lies; none if the plate
    has crosses already, or no two places with room.

    A plate of which parts are cut free keeps its marks on those.  Of a grid over the bare plate, `ROOM` about every
    feature, `_EDGE` within its edge and `_CLAMP` off every clamp of every setting, those that give the least error at
    the plate's corners (`error_with`).
    """
    if any(feature.points for feature in features if isinstance(feature.spec, MarkSpec)):
        return ()
    stands = planar.polygon(plate.outline, chord=_CHORD)
    for region in gone(plate, z=0.0):
        stands = stands.difference(planar.polygon(region, chord=_CHORD))
    bare = stands.buffer(-_EDGE)
    parts = [
        planar.polygon(region, chord=_CHORD)
        for feature in features
        if isinstance(feature.spec, OutlineSpec) and feature.spec.side == "outside"
        for region in feature.regions
    ]
    if parts:
        bare = bare.intersection(shapely.union_all(parts))
    taken = [shape.buffer(ROOM) for feature in features for shape in _shapes(feature)]
    taken += [
        shapely.box(clamp.x, clamp.y, clamp.x + clamp.width, clamp.y + clamp.length).buffer(_CLAMP)
        for setting in settings
        for clamp in setting.clamps
    ]
    bare = bare.difference(shapely.union_all(taken))
    found = _corners(bare)
    if len(found) < 2:
        return ()
    x0, y0, x1, y1 = plate.bounds
    ends = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    groups = [group for count in range(2, _COUNT + 1) for group in combinations(found, count)]
    chosen = min(groups, key=lambda group: (round(error_with(group, at=ends, sigma=1.0), 6), group))
    return tuple(sorted(chosen))


def error_with(places: Sequence[tuple[Mm, Mm]], *, at: Sequence[tuple[Mm, Mm]], sigma: Mm) -> Mm:
    """The greatest standard error that marks at some places, each measured to ``sigma``, give at others."""
    marks = np.array(places)
    exact = registered(marks, measured=marks)
    return max(predicted_error(exact, at=place, sigma=sigma) for place in at)


def best_known(features: Sequence[Feature]) -> tuple[str, ...]:
    """The names of the two marks or holes that lie farthest apart; none where there are not two."""
    marks = marks_of(tuple(features))
    if len(marks) < 2:
        return ()
    pair = max(combinations(marks, 2), key=lambda two: math.dist((two[0].x, two[0].y), (two[1].x, two[1].y)))
    return (pair[0].name, pair[1].name)


def _shapes(feature: Feature) -> list[shapely.Geometry]:
    """What a feature takes of the plate's top, its width at least as drawn."""
    if isinstance(feature.spec, FaceSpec):
        return []
    shapes: list[shapely.Geometry] = [planar.polygon(region, chord=_CHORD) for region in feature.regions]
    if isinstance(feature.spec, OutlineSpec):
        shapes = [shape.boundary for shape in shapes]
    width = getattr(feature.spec, "width", None) or 0.0
    shapes += [planar.line(path, chord=_CHORD).buffer(max(width, 0.1) / 2.0) for path in feature.lines]
    shapes += [shapely.Point(x, y).buffer(diameter / 2.0) for x, y, diameter in feature.circles]
    return shapes


def _corners(bare: shapely.Geometry) -> list[tuple[Mm, Mm]]:
    """The places of a grid on bare material that lie farthest out in eight directions."""
    if bare.is_empty:
        return []
    x0, y0, x1, y1 = bare.bounds
    xs, ys = np.meshgrid(np.linspace(x0, x1, _GRID + 1), np.linspace(y0, y1, _GRID + 1))
    places = np.round(np.column_stack((xs.ravel(), ys.ravel())), 1)
    shapely.prepare(bare)
    places = places[shapely.intersects_xy(bare, places[:, 0], places[:, 1])]
    found: dict[tuple[Mm, Mm], None] = {}
    for number in range(_WAYS):
        angle = math.tau * (number + 0.5) / _WAYS
        if len(places):
            away = np.round(places @ (math.cos(angle), math.sin(angle)), 6)
            x, y = places[int(np.argmax(away))].tolist()
            found[(x, y)] = None
    return sorted(found)
