"""Every flat cutter tried on every feature: does it reach, what would it leave and where, how long would it cut."""

import math
from dataclasses import dataclass

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.features.records import Feature, Plate
from camplan.features.sections import may
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry import clipper, necks
from camplan.geometry.along import at_length, direction
from camplan.geometry.chains import Chain, Points, length
from camplan.geometry.clipper import Area
from camplan.geometry.edges import distance, edges_of, holds
from camplan.geometry.necks import Neck
from camplan.operations import areas
from camplan.operations.candidates import Task, tasks
from camplan.operations.corners import inner_corner
from camplan.operations.outlines import tip_bottom
from camplan.operations.shop import FLATS, Shop, allowed
from camplan.regions import InnerCorner
from camplan.units import Mm, Mm2, Seconds

_GAIN: Mm2 = 2e-3
_SEAM: Mm = 0.001
_CHORD: Mm = 0.002
_AIR: Mm = 6.0
_WIDE_AIR: Mm = 40.0
"""Beside the plate there is no wall for a neck: so much air is taken to be there."""
_MANY = 20
_FINE, _ROUGH = 1500, 400
"""Samples of the edge of a region in which a neck is looked for, in a feature of few or of many."""
_APART: Mm = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One cutter on one feature.

    ``left`` is the size of what it leaves by itself, ``lost`` the figure of that, ``deepest`` how far that reaches from
    what is cleared in the same piece, infinite where nothing is cleared at all, and ``at`` a place in the largest part
    of it; ``seconds`` None where no plan would cut it with this cutter alone.
    """

    feature: str
    depth: Mm
    cutter: Cutter
    reaches_depth: bool
    left: Mm2
    lost: Area
    deepest: Mm
    at: tuple[Mm, Mm] | None
    seconds: Seconds | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tight:
    """The tightest places of one region of a feature, counted from 1: its smallest inner radius and narrowest neck."""

    feature: str
    number: int
    corner: InnerCorner | None
    neck: Neck | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """All trials, by feature and falling diameter; the tight places of every region; ``needed``: for each feature that
    asks for a flat cutter the widest that leaves no more than the best of the shelf (or than its granted corners), the
    narrowest of which the plate needs; ``leaning``: the cutters of each feature whose walls lean."""

    trials: tuple[Trial, ...]
    tight: tuple[Tight, ...]
    needed: dict[str, Trial]
    leaning: dict[str, tuple[str, ...]]


def surveyed(features: tuple[Feature, ...], *, plate: Plate, shop: Shop) -> Survey:
    """The trials of all flat cutters on all features that flat cutters clear; drilled holes are none of these."""
    trials: list[Trial] = []
    tight: list[Tight] = []
    needed: dict[str, Trial] = {}
    leaning: dict[str, tuple[str, ...]] = {}
    for feature in features:
        outline = areas.standing(plate, z=-feature.bottom)
        area = _figure(feature, plate=outline)
        work = tasks(feature, plate=plate, shop=shop) if area is not None else ()
        if area is None or not any(task.flat for task in work):
            continue
        if isinstance(feature.spec, PocketSpec) and feature.spec.draft > 0.0:
            made = [one for task in work for option in task.options[:1] for one in option.operations]
            leaning[feature.spec.name] = tuple(dict.fromkeys(one.cutter.name for one in made))
        pieces = clipper.pieces(area)
        mine = [
            _trial(feature, cutter=cutter, pieces=pieces, plate=outline, work=work)
            for cutter in allowed(shop, names=feature.spec.cutters, kinds=FLATS)
        ]
        trials.extend(mine)
        tight.extend(_tight(feature, plate=outline))
        chosen = _needed(feature, trials=mine) if feature.spec.name not in leaning else None
        if chosen is not None:
            needed[feature.spec.name] = chosen
    return Survey(trials=tuple(trials), tight=tuple(tight), needed=needed, leaning=leaning)


def _figure(feature: Feature, *, plate: Area) -> Area | None:
    match feature.spec:
        case PocketSpec() if feature.incline is not None:
            return None
        case PocketSpec() as spec:
            area = clipper.offset(areas.of_regions(feature.regions), by=-spec.allowance)
            if not feature.open_edges:
                return area
            return clipper.union([area, clipper.difference(clipper.offset(area, by=_AIR), less=plate)])
        case GrooveSpec() as spec if spec.section == "square" and not feature.slopes:
            section = may(feature, z=-feature.bottom)
            return areas.of_section(section)
        case HoleSpec():
            sizes = sorted({circle[2] for circle in feature.circles})
            return clipper.union([areas.of_circles(feature.circles, diameter=size) for size in sizes])
        case GrooveSpec() | OutlineSpec() | MarkSpec() | FaceSpec() | EdgeSpec():
            return None


def _tight(feature: Feature, *, plate: Area) -> list[Tight]:
    """The tight places of each region by itself; a groove has one, round holes have none."""
    inland = plate if feature.open_edges else ()
    if isinstance(feature.spec, GrooveSpec):
        across = _narrow_end(feature) if feature.widening else _across(feature.lines[0], width=feature.spec.width)
        return [Tight(feature=feature.spec.name, number=1, corner=None, neck=across)]
    if not feature.regions:
        return []
    found = []
    allowance = feature.spec.allowance if isinstance(feature.spec, PocketSpec) else 0.0
    for number, region in enumerate(feature.regions, start=1):
        own = clipper.offset(areas.of_regions((region,)), by=-allowance)
        if inland:
            own = clipper.union([own, clipper.difference(clipper.offset(own, by=_WIDE_AIR), less=plate)])
        corner = inner_corner((region,), plate=inland)
        neck = necks.narrowest(own, count=_FINE if len(feature.regions) <= _MANY else _ROUGH) if own else None
        if neck is not None and inland and not holds(edges_of(inland), point=neck.at):
            neck = None
        found.append(Tight(feature=feature.spec.name, number=number, corner=corner, neck=neck))
    return found


def _narrow_end(feature: Feature) -> Neck:
    """A groove that narrows is narrowest at one end of its first line."""
    beads, line = feature.widening[0], feature.lines[0]
    radii = beads.radii[0]
    at = 0.0 if radii[0] < radii[-1] else length(line)
    dx, dy = direction(line, place=at_length(line, length=at))
    (x, y), r = at_length(line, length=at).point, float(min(radii[0], radii[-1]))
    return Neck(width=2.0 * r, at=(x, y), ends=((x - dy * r, y + dx * r), (x + dy * r, y - dx * r)))


def _across(line: Chain, *, width: Mm) -> Neck:
    """A groove is everywhere as narrow as half way along."""
    half = at_length(line, length=length(line) / 2.0)
    dx, dy = direction(line, place=half)
    (x, y), r = half.point, width / 2.0
    return Neck(width=width, at=half.point, ends=((x - dy * r, y + dx * r), (x + dy * r, y - dx * r)))


def _trial(feature: Feature, *, cutter: Cutter, pieces: tuple[Area, ...], plate: Area, work: tuple[Task, ...]) -> Trial:
    spec = feature.spec
    even = isinstance(spec, GrooveSpec) and not feature.widening
    exact = even and isinstance(spec, GrooveSpec) and abs(cutter.diameter - spec.width) <= spec.tolerance
    lost: list[Area] = []
    deepest, reached = 0.0, exact
    for piece in () if exact else pieces:
        radius = cutter.diameter / 2.0
        centre = clipper.offset(piece, by=-radius, chord=_CHORD)
        reach = clipper.offset(centre, by=radius + _SEAM, chord=_CHORD)
        left = clipper.difference(piece, less=reach)
        left = clipper.intersection(left, with_=plate) if feature.open_edges else left
        parts = [part for part in clipper.pieces(left) if clipper.surface(part) > _GAIN / 2.0]
        lost.extend(parts)
        deepest = max([deepest, *(_deepest(part, reach=reach) for part in parts if reach)])
        reached = reached or bool(reach)
    largest = max(lost, key=clipper.surface, default=None)
    return Trial(
        feature=spec.name,
        depth=feature.bottom,
        cutter=cutter,
        reaches_depth=cutter.reach >= -tip_bottom(feature) - 1e-9,
        left=sum(clipper.surface(part) for part in lost),
        lost=tuple(ring for part in lost for ring in part),
        deepest=deepest if reached else math.inf,
        at=(float(largest[0][0, 0]), float(largest[0][0, 1])) if largest is not None else None,
        seconds=_seconds(cutter, work=work) if reached else None,
    )


def _seconds(cutter: Cutter, *, work: tuple[Task, ...]) -> Seconds | None:
    """What a cutter by itself takes for all tasks of a feature, as choosing expects it; None if it cannot do one."""
    total = 0.0
    for task in work:
        found = [option.seconds for option in task.options if set(option.flats) <= {cutter.name}]
        if task.room is not None:
            names = [one.name for one in task.room.steps.cutters]
            if cutter.name in names:
                place = names.index(cutter.name)
                wall = task.room.steps.wall[place]
                found.append(float(task.room.steps.first[place] + (wall if math.isfinite(wall) else 0.0)))
        if not found:
            return None
        total += min(found)
    return total if work else None


def _deepest(lost: Area, *, reach: Area) -> Mm:
    """How far the farthest point of the edge of what is left lies from what is cleared."""
    cleared = edges_of(reach)
    points = np.vstack([_spread(ring) for ring in lost])
    away = [distance(cleared, point=point) for point in points if not holds(cleared, point=point)]
    return max(away, default=0.0)


def _spread(ring: Points) -> Points:
    """A ring's points, with more between them where they lie far apart."""
    ends = np.roll(ring, -1, axis=0)
    counts = np.maximum(np.ceil(np.hypot(*(ends - ring).T) / _APART), 1).astype(np.int64)
    shares = np.concatenate([np.arange(count) / count for count in counts])[:, None]
    start, end = np.repeat(ring, counts, axis=0), np.repeat(ends, counts, axis=0)
    spread: Points = start + shares * (end - start)
    return spread


def _needed(feature: Feature, *, trials: list[Trial]) -> Trial | None:
    able = [trial for trial in trials if trial.reaches_depth and trial.seconds is not None]
    if not able:
        return None
    spec = feature.spec
    granted = spec.corner if isinstance(spec, PocketSpec) else None
    if granted is not None:
        held = [trial for trial in able if trial.cutter.diameter / 2.0 <= granted + 1e-6]
        able = held or able
        least = min(trial.left for trial in able)
        necks_ = [trial for trial in able if trial.left - least <= _corners(trial) + _GAIN]
        return (necks_ or able)[0]
    least = min(trial.left for trial in able)
    return next(trial for trial in able if trial.left <= least + _GAIN)


def _corners(trial: Trial) -> Mm2:
    """What a cutter may leave in corners: as many parts as there are, each no larger than its radius squared."""
    return max(len(clipper.pieces(trial.lost)), 1) * (trial.cutter.diameter / 2.0) ** 2
