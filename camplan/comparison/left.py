"""What must be gone and still stands: how much, how deep in its corner, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from camplan import tolerance
from camplan.catalogue.records import Cutter
from camplan.comparison.fits import Fit, finest, makes_hole
from camplan.comparison.wanted import Wanted, demanded, drawn
from camplan.features.records import Feature
from camplan.features.specs import GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.simulation import solids
from camplan.simulation.solids import Solid
from camplan.units import Mm, Mm2

SLACK: Mm = 0.001
"""How much narrower a cutter is taken when it is asked where it fits, so that it fits a groove of its own width."""
LEAST_AREA: Mm2 = 1e-4
"""Pieces below this are not spoken of."""
LEAST_UNCUT: Mm2 = 2e-3
"""Reachable pieces below this are left without fault: not worth another cutter."""
_LEAST_OWED: Mm2 = 1e-6
_BESIDE: Mm = 0.1
_DEAD_END = 3.0


class Why(StrEnum):
    """Why something is left."""

    UNCUT = "left-uncut"
    CORNER_NOT_MET = "corner-not-met"
    NOT_REACHED = "not-reached"
    CORNER = "corner"
    GRANTED = "granted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """One piece that stands at a height."""

    why: Why
    cause: str
    area: Mm2
    deepest: Mm
    at: tuple[Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAt:
    """All that one feature has left at a height, and how far its finished wall stands inside the wanted one."""

    pieces: tuple[Left, ...]
    wall: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """One feature at one height: ``may`` of its cluster, what was ``removed``, and the radius of the widest cutter
    that cut there."""

    wanted: Wanted
    number: int
    z: Mm
    may: Solid
    removed: Solid
    used: Mm
    cutters: Sequence[Cutter]


def left_at(asked: Asked) -> LeftAt:
    """What a feature has left at a height."""
    must = demanded(asked.wanted, number=asked.number, z=asked.z)
    if must.is_empty:
        return LeftAt(pieces=(), wall=0.0)
    feature = asked.wanted.features[asked.number]
    standing = solids.less(must, asked.removed)
    if standing.is_empty:
        return LeftAt(pieces=(), wall=0.0)
    missing = solids.less(must, solids.grown(asked.removed, by=_grant(feature)))
    rough = solids.parts(missing, least=1e-9)
    if not rough:
        return LeftAt(pieces=(), wall=_inside(standing, removed=asked.removed))
    fit = finest(feature, cutters=asked.cutters, z=asked.z)
    reach = _reach(asked, fit=fit, must=must)
    due = solids.less(_due(asked, reach=reach, must=must), _beside_bridges(feature))
    beyond = solids.common(missing, due)
    pieces: list[Left] = []
    for part in _whole(missing, standing=standing):
        owed = solids.area(solids.common(part, beyond)) > _LEAST_OWED
        for one in solids.parts(solids.common(part, due), least=LEAST_AREA) if owed else ():
            pieces.append(_uncut(asked, part=one, fit=fit, reach=reach))
        for one in solids.parts(solids.less(part, due), least=LEAST_AREA) if owed else (part,):
            pieces.append(_kept(asked, part=one, fit=fit, reach=reach))
    finished = solids.distances(solids.coordinates(solids.common(standing, due)), to=asked.removed)
    wall = float(finished[finished <= _grant(feature)].max(initial=0.0))
    uncut = max((piece.deepest for piece in pieces if piece.why is Why.UNCUT), default=0.0)
    return LeftAt(pieces=tuple(pieces), wall=max(wall, uncut))


def _grant(feature: Feature) -> Mm:
    """How far a wall may stand inside the wanted one; where the cutter's own size makes it, the feature's tolerance."""
    if isinstance(feature.spec, HoleSpec | GrooveSpec):
        return max(tolerance.WALL_PROOF, feature.spec.tolerance)
    return tolerance.WALL_PROOF


def _inside(standing: Solid, *, removed: Solid) -> Mm:
    """How far the farthest standing vertex is from what was removed; of an untouched figure its inner radius."""
    if standing.is_empty:
        return 0.0
    if removed.is_empty:
        return max((solids.inscribed(part)[1] for part in solids.parts(standing)), default=0.0)
    return float(solids.distances(solids.coordinates(standing), to=removed).max(initial=0.0))


def _reach(asked: Asked, *, fit: Fit | None, must: Solid) -> Solid:
    """What the finest cutter can reach; air beside the plate is open to it."""
    feature = asked.wanted.features[asked.number]
    match feature.spec:
        case MarkSpec():
            return must if fit is not None else solids.NOTHING
        case HoleSpec():
            discs = [
                solids.grown(solids.points(np.array([[x, y]]))[0], by=diameter / 2.0)
                for x, y, diameter in feature.circles
                if makes_hole(feature, cutters=asked.cutters, diameter=diameter)
            ]
            return solids.united(discs)
        case _:
            return solids.NOTHING if fit is None else _covered(asked, radius=fit.radius)


def _covered(asked: Asked, *, radius: Mm) -> Solid:
    """What a disc covers that stays where the cluster may be cut and the allowance of this feature stands."""
    room = solids.less(asked.may, _skin(asked))
    if not solids.contains(asked.wanted.plate, room):
        around = solids.bounds(solids.grown(room, by=2.0 * radius + 1.0))
        room = solids.united([room, solids.less(solids.box(around), asked.wanted.plate)])
    return solids.opened(room, radius=max(radius - SLACK, 0.0))


def _skin(asked: Asked) -> Solid:
    """What a feature leaves on its walls on purpose."""
    feature = asked.wanted.features[asked.number]
    match feature.spec:
        case PocketSpec(allowance=allowance) if allowance > 0.0:
            may = drawn(asked.wanted, number=asked.number, z=asked.z)
            return solids.less(may, demanded(asked.wanted, number=asked.number, z=asked.z))
        case OutlineSpec(allowance=allowance, side="outside") if allowance > 0.0:
            parts = [solids.region_polygon(region) for region in feature.regions]
            return solids.grown(solids.united(parts), by=allowance)
        case OutlineSpec(allowance=allowance) if allowance > 0.0:
            parts = [solids.region_polygon(region) for region in feature.regions]
            return solids.less(asked.may, solids.grown(solids.united(parts), by=-allowance))
        case _:
            return solids.NOTHING


def _due(asked: Asked, *, reach: Solid, must: Solid) -> Solid:
    """What is asked for: all that is reachable, less the corners that a granted radius leaves."""
    corner = _corner(asked.wanted.features[asked.number])
    if corner is None or corner <= SLACK:
        return reach
    plain = solids.common(_covered(asked, radius=corner), must)
    finer = solids.parts(solids.less(solids.common(reach, must), plain), least=LEAST_AREA)
    necks = [part for part in finer if not _in_corner(part, beside=plain, radius=corner)]
    return solids.united([plain, *necks])


def _beside_bridges(feature: Feature) -> Solid:
    """Where the round of the cutter ends beside a bridge: what stands there goes when the bridge is cut by hand."""
    bridges = [solids.region_polygon(region) for region in feature.bridges]
    return solids.grown(solids.united(bridges), by=feature.kerf or 0.0)


def _in_corner(part: Solid, *, beside: Solid, radius: Mm) -> bool:
    """Whether a piece lies in a corner: it touches what a disc covers on one side, and is not deep."""
    sides = len(solids.parts(solids.common(solids.grown(part, by=0.02), beside), least=1e-6))
    return sides == 1 and float(solids.distances(solids.coordinates(part), to=beside).max()) <= _DEAD_END * radius


def _corner(feature: Feature) -> Mm | None:
    return feature.spec.corner if isinstance(feature.spec, PocketSpec | OutlineSpec) else None


def _whole(trimmed: Solid, *, standing: Solid) -> list[Solid]:
    """The standing pieces of which trimmed ones were found, without the hairlines along finished walls."""
    found = solids.common(standing, solids.grown(trimmed, by=_BESIDE))
    return [part for part in solids.parts(found, least=LEAST_AREA) if part.intersects(trimmed)]


def _uncut(asked: Asked, *, part: Solid, fit: Fit | None, reach: Solid) -> Left:
    """A piece that was asked for."""
    feature = asked.wanted.features[asked.number]
    corner = _corner(feature)
    at, deepest = _deepest(part, removed=asked.removed)
    size = solids.area(part)
    within = solids.area(solids.common(part, reach))
    if corner is not None and _is_corner(asked, part=part, corner=corner):
        cause = f"the corner radius is larger than the {corner:g} mm asked for"
        return Left(why=Why.CORNER_NOT_MET, cause=cause, area=size, deepest=deepest, at=at)
    if within < LEAST_UNCUT / 2.0 or within < 0.02 * size:
        why, cause = _unreached(asked, part=part, fit=fit, reach=reach)
        why = Why.NOT_REACHED if why is Why.CORNER and corner is not None else why
        return Left(why=why, cause=cause, area=size, deepest=deepest, at=at)
    if size < LEAST_UNCUT:
        cause = "too little to be worth another cutter"
        return Left(why=Why.GRANTED, cause=cause, area=size, deepest=deepest, at=at)
    return Left(why=Why.UNCUT, cause="within reach, but not cut", area=size, deepest=deepest, at=at)


def _is_corner(asked: Asked, *, part: Solid, corner: Mm) -> bool:
    """Whether the widest cutter that worked there left a piece because it lies in a corner."""
    radius = max(asked.used, corner)
    wide = _covered(asked, radius=radius)
    if solids.area(solids.common(part, wide)) > 0.25 * solids.area(part):
        return False
    return not wide.is_empty and _in_corner(part, beside=wide, radius=radius)


def _kept(asked: Asked, *, part: Solid, fit: Fit | None, reach: Solid) -> Left:
    """A piece that was not asked for: no cutter reaches it, or its corner is granted."""
    at, deepest = _deepest(part, removed=asked.removed)
    feature = asked.wanted.features[asked.number]
    corner = _corner(feature)
    if feature.bridges and solids.area(solids.common(part, _beside_bridges(feature))) > 0.5 * solids.area(part):
        why, cause = Why.GRANTED, "beside a bridge"
    elif corner is not None and _in_corner(part, beside=_covered(asked, radius=corner), radius=corner):
        why, cause = Why.GRANTED, f"a corner radius of up to {corner:g} mm is granted"
    else:
        why, cause = _unreached(asked, part=part, fit=fit, reach=reach)
    return Left(why=why, cause=cause, area=solids.area(part), deepest=deepest, at=at)


def _unreached(asked: Asked, *, part: Solid, fit: Fit | None, reach: Solid) -> tuple[Why, str]:
    feature = asked.wanted.features[asked.number]
    if isinstance(feature.spec, HoleSpec):
        return Why.NOT_REACHED, f"no listed cutter makes this hole {feature.bottom:g} mm deep"
    if fit is None:
        return Why.NOT_REACHED, f"no listed cutter of the right kind reaches {feature.bottom:g} mm deep"
    name, wide = fit.cutter.name, 2.0 * fit.radius
    if _in_corner(part, beside=reach, radius=fit.radius):
        return Why.CORNER, f"inner corner tighter than cutter radius {fit.radius:.3f} mm ({name})"
    return Why.NOT_REACHED, f"neck narrower than {wide:.3f} mm ({name}, the finest that reaches {feature.bottom:g} mm)"


def _deepest(part: Solid, *, removed: Solid) -> tuple[tuple[Mm, Mm], Mm]:
    """The place of a piece that is farthest from what was removed, and how far."""
    middle, radius = solids.inscribed(part)
    if removed.is_empty:
        return middle, radius
    places = np.vstack((solids.coordinates(part), np.array([middle])))
    away = np.round(solids.distances(places, to=removed), 9)
    worst = int(np.argmax(away))
    return (float(places[worst, 0]), float(places[worst, 1])), float(away[worst])
