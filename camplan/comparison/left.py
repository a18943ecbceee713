"""What must be gone and still stands: how much, how deep in its corner, and why."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from camplan import tolerance
from camplan.comparison.clamped import free_in, kept_out, nearest
from camplan.comparison.fits import Fit, finest, round_tipped, stepped
from camplan.comparison.reach import (
    Asked,
    beside_bridges,
    corner_asked,
    covered,
    due_of,
    foot_of_walls,
    in_corners,
    reach_of,
)
from camplan.comparison.records import FINISHED
from camplan.comparison.wanted import demanded, to_cut
from camplan.features import holds
from camplan.features.inclines import foot_height
from camplan.features.specs import EdgeSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.simulation import solids
from camplan.simulation.blank import gone_at
from camplan.simulation.solids import Nearness, Solid
from camplan.units import UM_PER_MM, Mm, Mm2

LEAST_AREA: Mm2 = 1e-4
"""Pieces below this are not spoken of."""
LEAST_UNCUT: Mm2 = 2e-3
"""Reachable pieces below this are left without fault: not worth another cutter."""
_LEAST_OWED: Mm2 = 1e-6
_BESIDE: Mm = 0.1
_TOO_LITTLE = "too little to be worth another cutter"
_STEP_IN_CORNER = 4.0
"""Steps in a corner stand 1 / sin(half its angle) times as high as on a wall: up to four times from 30 degrees on."""
_SAME: Mm = 1e-5
_NEAR: Mm = 1.0
_SEAM: Mm = 0.02


class Why(StrEnum):
    """Why something is left."""

    UNCUT = "left-uncut"
    CLAMPED = "clamp-in-the-way"
    CORNER_NOT_MET = "corner-not-met"
    NOT_REACHED = "not-reached"
    CORNER = "corner"
    FOOT = "foot"
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


def to_be_cut(asked: Asked) -> Solid:
    """What of a feature has to be cut at a height: all that must be gone and was not gone before."""
    return to_cut(asked.wanted, number=asked.number, z=asked.z, grant=_grant(asked))


def left_at(asked: Asked) -> LeftAt:
    """What a feature has left at a height."""
    must, grant = to_be_cut(asked), _grant(asked)
    near = asked.removed.near
    missing = solids.less(must, asked.removed.grown(by=grant))
    if not solids.parts(missing, least=1e-9):
        # what stands is thickest at corners of what must be gone: no need to cut one figure from the other
        return LeftAt(pieces=(), wall=float(near.distances(solids.coordinates(must)).max(initial=0.0)))
    fit = finest(asked.feature, cutters=asked.shop.cutters, z=asked.z)
    asked = replace(asked, may=solids.near(asked.may, to=solids.bounds(solids.grown(must, by=_NEAR))))
    # corners are told by all that has to be gone, what was gone before among it
    whole = demanded(asked.wanted, number=asked.number, z=asked.z)
    reach = reach_of(asked, fit=fit, must=whole)
    due = due_of(asked, reach=reach, must=whole)
    around = solids.less(solids.common(must, solids.grown(missing, by=_BESIDE)), asked.removed.solid)
    owed, kept = _sorted(missing, around=around, due=due)
    held, owed = _by_clamps(asked, parts=owed, fit=fit, reach=due)
    pieces = (
        *_clamped(asked, parts=held, fit=fit, reach=due, near=near),
        *_uncut(asked, parts=owed, fit=fit, reach=reach, near=near),
        *_kept(asked, parts=kept, fit=fit, reach=reach, near=near),
    )
    return LeftAt(pieces=pieces, wall=max(_off_size(must, due=due, near=near, grant=grant), _nearly_cut(pieces)))


def _off_size(must: Solid, *, due: Solid, near: Nearness, grant: Mm) -> Mm:
    """How far walls that are due stand inside the wanted ones where that is granted."""
    worst = 0.0
    for shape, other in ((must, due), (due, must)):
        places = solids.coordinates(shape)
        off = near.distances(places)
        asked = (off > 0.0) & (off <= grant)
        places, off = places[asked], off[asked]
        worst = max(worst, float(off[solids.distances(places, to=other) <= _SAME].max(initial=0.0)))
    return worst


def _nearly_cut(pieces: Sequence[Left]) -> Mm:
    """The thickest skin on walls that were finished."""
    skins = (piece.deepest for piece in pieces if piece.why is Why.UNCUT and piece.deepest <= FINISHED)
    return max(skins, default=0.0)


def _grant(asked: Asked) -> Mm:
    """How far a wall may stand inside the wanted one; where the cutter's own size or the steps of a leaning wall make
    it, the feature's tolerance; a hole with a fit is held to its own."""
    match asked.feature.spec:
        case HoleSpec(holds=holds.Fit(), tolerance=granted):
            return granted
        case HoleSpec(tolerance=granted) | GrooveSpec(tolerance=granted):
            return max(tolerance.WALL_PROOF, granted)
        case PocketSpec(draft=draft, tolerance=granted) | OutlineSpec(draft=draft, tolerance=granted) if stepped(
            asked.feature, cutters=asked.shop.cutters
        ):
            return granted / math.cos(draft) + tolerance.GOUGE
        case _:
            return tolerance.WALL_PROOF


def _sorted(missing: Solid, *, around: Solid, due: Solid) -> tuple[list[Solid], list[Solid]]:
    """The pieces that stand ``around`` missing ones, without the hairlines along finished walls: what of them is due,
    and the rest."""
    whole = solids.parts(around, least=LEAST_AREA)
    whole = [part for part, size in zip(whole, solids.shares(whole, other=missing).tolist(), strict=True) if size > 0.0]
    sizes = solids.shares(whole, other=solids.common(missing, due)).tolist()
    owed = [part for part, size in zip(whole, sizes, strict=True) if size > _LEAST_OWED]
    kept = [part for part, size in zip(whole, sizes, strict=True) if size <= _LEAST_OWED]
    together = solids.united(owed)
    return (
        solids.parts(solids.common(together, due), least=LEAST_AREA),
        [*solids.parts(solids.less(together, due), least=LEAST_AREA), *kept],
    )


def _by_clamps(asked: Asked, *, parts: list[Solid], fit: Fit | None, reach: Solid) -> tuple[list[Solid], list[Solid]]:
    """What of the pieces clamps keep out, and the rest."""
    if fit is None or not parts:
        return [], parts
    kept = kept_out(asked, finest=fit.cutter, reach=reach)
    if kept.is_empty:
        return [], parts
    # beside a clamp an outline's wall is left as far as the way off it takes
    lead = 0.5 * (asked.feature.kerf or 0.0) if isinstance(asked.feature.spec, OutlineSpec) else 0.0
    kept, together = solids.grown(kept, by=max(_SEAM, lead)), solids.united(parts)
    return (
        solids.parts(solids.common(together, kept), least=LEAST_AREA),
        solids.parts(solids.less(together, kept), least=LEAST_AREA),
    )


def _clamped(asked: Asked, *, parts: Sequence[Solid], fit: Fit | None, reach: Solid, near: Nearness) -> list[Left]:
    """Pieces that clamps keep out."""
    found = []
    for part in parts:
        one = nearest(part, asked=asked)
        others = free_in(part, asked=asked, finest=fit.cutter, reach=reach) if fit is not None else ()
        elsewhere = f"in setting {others[0]!r} too, whose clamps leave it free" if others else "in another setting too"
        cause = (
            f"clamp {one.place} of {one.setting!r} at X{one.clamp.x:g} Y{one.clamp.y:g} keeps the cutters out; move "
            f"or lower it, or name the feature {elsewhere}"
        )
        found.append(_left(part, why=Why.CLAMPED, cause=cause, asked=asked, near=near))
    return found


def _uncut(asked: Asked, *, parts: Sequence[Solid], fit: Fit | None, reach: Solid, near: Nearness) -> list[Left]:
    """Pieces that were asked for."""
    if not parts:
        return []
    corner = corner_asked(asked.feature)
    blunt = _blunt_corners(asked, parts=parts, corner=corner)
    within = solids.shares(parts, other=reach)
    causes = _unreached(asked, parts=parts, fit=fit, reach=reach)
    steps = _STEP_IN_CORNER * _grant(asked) if stepped(asked.feature, cutters=asked.shop.cutters) else 0.0
    found = []
    for number, part in enumerate(parts):
        size = solids.area(part)
        why, cause = Why.UNCUT, "within reach, but not cut"
        if corner is not None and blunt[number]:
            why, cause = Why.CORNER_NOT_MET, f"the corner radius is larger than the {corner:g} mm asked for"
        elif within[number] < LEAST_UNCUT / 2.0 or within[number] < 0.02 * size:
            why, cause = causes[number]
            why = Why.NOT_REACHED if corner is not None and why is not Why.FOOT else why
            if corner is None and why is Why.NOT_REACHED and size < LEAST_UNCUT:
                why, cause = Why.GRANTED, _TOO_LITTLE
        elif steps and float(near.distances(solids.coordinates(part)).max()) <= steps:
            why, cause = Why.GRANTED, "steps of the leaning wall round a corner"
        elif size < LEAST_UNCUT:
            why, cause = Why.GRANTED, _TOO_LITTLE
        found.append(_left(part, why=why, cause=cause, asked=asked, near=near))
    return found


def _blunt_corners(asked: Asked, *, parts: Sequence[Solid], corner: Mm | None) -> list[bool]:
    """Which pieces the widest cutter that worked there left because they lie in a corner."""
    if corner is None:
        return [False] * len(parts)
    radius = max(asked.used, corner)
    wide = covered(asked, radius=radius)
    held = solids.shares(parts, other=wide) <= 0.25 * np.array([solids.area(part) for part in parts])
    found: list[bool] = (held & in_corners(asked, parts=parts, beside=wide, radius=radius)).tolist()
    return found


def _kept(asked: Asked, *, parts: Sequence[Solid], fit: Fit | None, reach: Solid, near: Nearness) -> list[Left]:
    """Pieces that were not asked for: no cutter reaches them, or they are granted."""
    if not parts:
        return []
    corner = corner_asked(asked.feature)
    granted = [False] * len(parts)
    if corner is not None:
        beside = _with_removed(covered(asked, radius=corner), asked=asked)
        granted = in_corners(asked, parts=parts, beside=beside, radius=corner).tolist()
    bridged = solids.shares(parts, other=beside_bridges(asked.feature))
    causes = _unreached(asked, parts=parts, fit=fit, reach=reach)
    found = []
    for number, part in enumerate(parts):
        why, cause = causes[number]
        if why is Why.NOT_REACHED and solids.area(part) < LEAST_UNCUT:
            why, cause = Why.GRANTED, _TOO_LITTLE
        if bridged[number] > 0.5 * solids.area(part):
            why, cause = Why.GRANTED, "beside a bridge"
        elif granted[number]:
            why, cause = Why.GRANTED, f"a corner radius of up to {corner:g} mm is granted"
        elif fit is not None and isinstance(asked.feature.spec, EdgeSpec):
            why, cause = Why.CORNER, "the edge follows the wall as the cutters leave it, round in inner corners"
        found.append(_left(part, why=why, cause=cause, asked=asked, near=near))
    return found


def _unreached(asked: Asked, *, parts: Sequence[Solid], fit: Fit | None, reach: Solid) -> list[tuple[Why, str]]:
    """Why no cutter reaches each piece."""
    feature = asked.feature
    if isinstance(feature.spec, HoleSpec):
        deep = min([feature.bottom, *(bottom for _, bottom in feature.sunk if -asked.z <= bottom)])
        return [(Why.NOT_REACHED, f"no listed cutter makes this hole {deep:g} mm deep")] * len(parts)
    if fit is None:
        cause = f"no listed cutter of the right kind reaches {feature.bottom:g} mm deep"
        if not isinstance(feature.spec, MarkSpec) and (bull := round_tipped(feature, cutters=asked.shop.cutters)):
            cause = (
                f"only a bull nose is listed ({bull.name}): it leaves its corner radius of {bull.corner_radius:g} mm "
                "along the floor's edge"
            )
        return [(Why.NOT_REACHED, cause)] * len(parts)
    name, radius = fit.cutter.name, fit.radius
    corner = (Why.CORNER, f"inner corner tighter than cutter radius {radius:.3f} mm ({name})")
    narrow = f"neck narrower than {2.0 * radius:.3f} mm ({name}, the finest that reaches {feature.bottom:g} mm)"
    held = in_corners(asked, parts=parts, beside=_with_removed(reach, asked=asked), radius=radius).tolist()
    if feature.incline is not None:
        foot = foot_height(feature.incline, radius=radius) * UM_PER_MM
        sloped = (
            Why.FOOT,
            f"the flat tip of {name} stands level on a floor that falls: up to {foot:.0f} um stay at the foot of walls",
        )
        level = solids.shares(parts, other=foot_of_walls(asked, radius=radius))
        mostly = level > 0.5 * np.array([solids.area(part) for part in parts])
        usual = [corner if one else (Why.NOT_REACHED, narrow) for one in held]
        return [sloped if one else other for one, other in zip(mostly.tolist(), usual, strict=True)]
    return [corner if one else (Why.NOT_REACHED, narrow) for one in held]


def _with_removed(reach: Solid, *, asked: Asked) -> Solid:
    """What a cutter reaches, and what others have removed, now or before, that come farther into corners: a straight
    cutter where a wall leans, one that breaks an edge."""
    spec = asked.feature.spec
    leaning = isinstance(spec, PocketSpec | OutlineSpec) and spec.draft > 0.0
    edged = any(isinstance(one.spec, EdgeSpec) for one in asked.wanted.features)
    if not leaning and not edged:
        return reach
    return solids.united([reach, asked.removed.solid, gone_at(asked.wanted.plate, z=asked.z)])


def _left(part: Solid, *, why: Why, cause: str, asked: Asked, near: Nearness) -> Left:
    """A piece with the place that is farthest from what was removed."""
    middle, radius = solids.inscribed(part)
    size = solids.area(part)
    if asked.removed.solid.is_empty:
        return Left(why=why, cause=cause, area=size, deepest=radius, at=middle)
    places = np.vstack((solids.coordinates(part), np.array([middle])))
    away = np.round(near.distances(places), 9)
    worst = int(np.argmax(away))
    at = (float(places[worst, 0]), float(places[worst, 1]))
    return Left(why=why, cause=cause, area=size, deepest=float(away[worst]), at=at)
