"""Every cutter tried on every feature: whether it reaches, what it would leave, how long it would take."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter
from camplan.cutting.records import CutKind
from camplan.errors import InputError
from camplan.features.records import Feature, Plate
from camplan.features.specs import FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry import clipper, necks
from camplan.geometry.clipper import Area
from camplan.geometry.necks import Neck
from camplan.operations import areas
from camplan.operations.outlines import tip_bottom
from camplan.operations.pocket import inner_corner
from camplan.operations.shop import FLATS, Shop, allowed
from camplan.regions import InnerCorner
from camplan.units import S_PER_MIN, Mm, Mm2, Seconds

_GAIN: Mm2 = 2e-3
_HALVINGS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One cutter on one feature; ``seconds`` None where it cannot cut it at all."""

    feature: str
    depth: Mm
    corner: InnerCorner | None
    neck: Neck | None
    cutter: Cutter
    reaches_depth: bool
    left: Mm2
    deepest: Mm
    seconds: Seconds | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """All trials, by feature and falling diameter; ``needed``: for each feature the widest cutter that leaves no more
    than the best of the shelf (or than its granted corners), the narrowest of which the plate needs."""

    trials: tuple[Trial, ...]
    needed: dict[str, Trial]


def surveyed(features: tuple[Feature, ...], *, plate: Plate, shop: Shop) -> Survey:
    """The trials of all flat cutters on all features that flat cutters clear."""
    trials: list[Trial] = []
    needed: dict[str, Trial] = {}
    for feature in features:
        area = _figure(feature, plate=plate)
        if area is None:
            continue
        mine = _tried(feature, area=area, plate=areas.of_regions((plate.outline,)), shop=shop)
        trials.extend(mine)
        chosen = _needed(feature, trials=mine)
        if chosen is not None:
            needed[feature.spec.name] = chosen
    return Survey(trials=tuple(trials), needed=needed)


def _figure(feature: Feature, *, plate: Plate) -> Area | None:
    match feature.spec:
        case PocketSpec() as spec:
            area = clipper.offset(areas.of_regions(feature.regions), by=-spec.allowance)
            if not feature.open_edges:
                return area
            outline = areas.of_regions((plate.outline,))
            return clipper.union([area, clipper.difference(clipper.offset(area, by=6.0), less=outline)])
        case GrooveSpec() as spec if spec.section == "square":
            return areas.along(feature.lines, by=spec.width / 2.0)
        case HoleSpec():
            return clipper.union([areas.of_circles(feature.circles, diameter=size) for size in _sizes(feature)])
        case GrooveSpec() | OutlineSpec() | MarkSpec() | FaceSpec():
            return None


def _sizes(feature: Feature) -> list[Mm]:
    return sorted({circle[2] for circle in feature.circles})


def _tried(feature: Feature, *, area: Area, plate: Area, shop: Shop) -> list[Trial]:
    corner = inner_corner(feature.regions, plate=plate if feature.open_edges else ())
    neck = necks.narrowest(clipper.intersection(area, with_=plate) if feature.open_edges else area)
    depth = -tip_bottom(feature)
    return [
        _trial(feature, cutter=cutter, area=area, depth=depth, corner=corner, neck=neck, shop=shop)
        for cutter in allowed(shop, names=feature.spec.cutters, kinds=FLATS)
    ]


def _trial(
    feature: Feature,
    *,
    cutter: Cutter,
    area: Area,
    depth: Mm,
    corner: InnerCorner | None,
    neck: Neck | None,
    shop: Shop,
) -> Trial:
    radius = cutter.diameter / 2.0
    work = clipper.offset(area, by=-radius)
    reach = clipper.offset(work, by=radius)
    lost = clipper.difference(area, less=clipper.offset(reach, by=0.001))
    return Trial(
        feature=feature.spec.name,
        depth=feature.bottom,
        corner=corner,
        neck=neck,
        cutter=cutter,
        reaches_depth=cutter.reach >= depth - 1e-9,
        left=clipper.surface(lost),
        deepest=_deepest(lost, reach=reach),
        seconds=_seconds(cutter, work=work, depth=depth, top=feature.top, shop=shop),
    )


def _seconds(cutter: Cutter, *, work: Area, depth: Mm, top: Mm, shop: Shop) -> Seconds | None:
    if not work or cutter.reach < depth - 1e-9:
        return None
    try:
        data = shop.data_for(cutter, CutKind.ROUGH, depth, None)
    except InputError:
        return None
    path = clipper.surface(work) / data.step_over + clipper.perimeter(work) / 2.0
    return path * math.ceil((depth - top) / data.step_down - 1e-9) / data.feed * S_PER_MIN


def _deepest(lost: Area, *, reach: Area) -> Mm:
    """How far the farthest point left lies from what is cleared; infinite where nothing is."""
    if not lost:
        return 0.0
    if not reach:
        return math.inf
    low, high = 0.0, 1.0
    while clipper.difference(lost, less=clipper.offset(reach, by=high)):
        low, high = high, 2.0 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if clipper.difference(lost, less=clipper.offset(reach, by=middle)):
            low = middle
        else:
            high = middle
    return high


def _needed(feature: Feature, *, trials: list[Trial]) -> Trial | None:
    able = [trial for trial in trials if trial.reaches_depth and trial.seconds is not None]
    if not able:
        return None
    spec = feature.spec
    granted = spec.corner if isinstance(spec, PocketSpec) else None
    if granted is not None:
        held = [trial for trial in able if trial.cutter.diameter / 2.0 <= granted + 1e-6]
        able = held or able
        return able[0]
    least = min(trial.left for trial in able)
    return next(trial for trial in able if trial.left <= least + _GAIN)
