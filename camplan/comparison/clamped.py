"""What clamps keep out: where a feature would be cut if nothing stood on the plate there.

A clamp keeps the middle of a cutter away by the widest radius of its cutting part and shank, by the holder's where
that comes down to the clamp, and by `CLAMP_BERTH`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import radius as radius_at
from camplan.comparison.fits import FLATS, makes_hole
from camplan.comparison.reach import Asked, covered
from camplan.features.records import Feature
from camplan.features.sections import heights
from camplan.features.specs import Clamp, HoleSpec, MarkSpec, SettingSpec
from camplan.simulation import solids
from camplan.simulation.solids import Solid
from camplan.units import Mm

_SEAM: Mm = 0.02
_LEAST_SHARE = 0.01
CLAMP_BERTH: Mm = 0.5
"""Nobody sends a cutter closer to a clamp (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamped:
    """A clamp by its place in its setting, from 1."""

    setting: str
    place: int
    clamp: Clamp


def clamps_of(feature: Feature, *, settings: Sequence[SettingSpec]) -> tuple[tuple[Clamped, ...], ...]:
    """The clamps of each setting in which a feature is cut; a setting that names no feature is for all."""
    return tuple(
        tuple(
            Clamped(setting=setting.name, place=place, clamp=clamp)
            for place, clamp in enumerate(setting.clamps, start=1)
        )
        for setting in settings
        if not setting.features or feature.spec.name in setting.features
    )


def kept_out(asked: Asked, *, finest: Cutter, reach: Solid) -> Solid:
    """What of ``reach`` no cutter that worked there, nor the finest (of holes: none that makes them), reaches beside
    the clamps in any setting."""
    settings = clamps_of(asked.feature, settings=asked.shop.settings)
    if not settings or not all(settings):
        return solids.NOTHING
    names = asked.feature.spec.cutters
    worked = [
        cutter
        for cutter in asked.worked
        if cutter.reach >= asked.feature.bottom - 1e-9 and (not names or cutter.name in names)
    ]
    cutters = (*worked, finest) if finest not in worked else tuple(worked)
    if isinstance(asked.feature.spec, HoleSpec):
        # a hole is made by any that is of its size or goes round in it
        cutters = tuple(cutter for cutter in asked.shop.cutters if not names or cutter.name in names)
    barred = [[_barred(asked, cutter=cutter, clamps=clamps) for clamps in settings] for cutter in cutters]
    if not any(solids.meets(one, other=reach) for each in barred for one in each):
        return solids.NOTHING
    open_to = [
        _covered_past(asked, cutter=cutter, reach=reach, barred=one)
        for cutter, each in zip(cutters, barred, strict=True)
        for one in each
    ]
    return solids.less(reach, solids.united([one for one in open_to if not one.is_empty]))


def nearest(part: Solid, *, asked: Asked) -> Clamped:
    """The clamp that stands nearest to a piece."""
    each = [one for clamps in clamps_of(asked.feature, settings=asked.shop.settings) for one in clamps]
    return min(each, key=lambda one: solids.apart(_footprint(one.clamp), other=part))


def free_in(part: Solid, *, asked: Asked, finest: Cutter, reach: Solid) -> tuple[str, ...]:
    """The settings that do not name the feature and whose clamps would let the finest cutter to a piece."""
    name = asked.feature.spec.name
    found = []
    for setting in asked.shop.settings:
        if not setting.features or name in setting.features:
            continue
        clamps = [Clamped(setting=setting.name, place=0, clamp=clamp) for clamp in setting.clamps]
        past = _covered_past(asked, cutter=finest, reach=reach, barred=_barred(asked, cutter=finest, clamps=clamps))
        if solids.area(solids.less(part, solids.grown(past, by=_SEAM))) <= _LEAST_SHARE * solids.area(part):
            found.append(setting.name)
    return tuple(found)


def _covered_past(asked: Asked, *, cutter: Cutter, reach: Solid, barred: Solid) -> Solid:
    """What a cutter covers whose middle stays out of the barred places."""
    feature = asked.feature
    match feature.spec:
        case HoleSpec():
            free = [
                solids.grown(solids.point(x, y), by=diameter / 2.0)
                for x, y, diameter in feature.circles
                if makes_hole(feature, cutters=(cutter,), diameter=diameter)
                and not solids.meets(barred, other=_round(x, y, diameter=diameter, cutter=cutter))
            ]
            return solids.united(free)
        case MarkSpec():
            return solids.less(reach, barred)
        case _:
            shown = float(radius_at(cutter, height=min(max(asked.z + feature.bottom, 0.0), cutter.flute_length)))
            return covered(asked, radius=shown, barred=barred)


def _round(x: Mm, y: Mm, *, diameter: Mm, cutter: Cutter) -> Solid:
    """Where the middle of a cutter goes that makes a hole: in a bore round the hole's own."""
    around = (diameter - cutter.diameter) / 2.0 if cutter.kind in FLATS else 0.0
    middle = solids.point(x, y)
    return solids.grown(middle, by=around) if around > 0.0 else middle


def _barred(asked: Asked, *, cutter: Cutter, clamps: Sequence[Clamped]) -> Solid:
    """Where the middle of a cutter may not be when its tip is at the feature's bottom."""
    tip = min(heights(asked.feature))
    body = max(cutter.diameter, cutter.shank_diameter) / 2.0
    found = []
    for one in clamps:
        low = tip + cutter.stick_out < one.clamp.height + CLAMP_BERTH
        wide = max(body, asked.shop.holder_radius) if low else body
        found.append(solids.grown(_footprint(one.clamp), by=wide + CLAMP_BERTH))
    return solids.united(found)


def _footprint(clamp: Clamp) -> Solid:
    return solids.box((clamp.x, clamp.y, clamp.x + clamp.width, clamp.y + clamp.length))
