"""Outlines whose walls lean: parted by a straight cutter along the wall's foot, then the wall by a taper or in steps.

The kerf is opened beside the foot of the wall, where a part is widest, so that an upright skin stays in front of it,
thicker at the top by as much as the wall leans.  A taper of the wall's angle takes it in one pass a level; a cutter
that leans less leaves steps within the feature's tolerance; one that leans more would cut into the wall.
"""

import math
from dataclasses import dataclass, replace

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import wall_radius
from camplan.cutting.records import CutKind, CuttingData, Reason
from camplan.errors import InputError, Problem
from camplan.features.leaning import stands_out
from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.drafted import cusp_height, overcut
from camplan.operations.levels import even_levels
from camplan.operations.outlines import outline_operations, tip_bottom
from camplan.operations.records import Level, Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, reaching, why
from camplan.operations.springs import SAME_ANGLE
from camplan.units import UM_PER_MM, Mm, Mm2, Rad, deg_from_rad

_SLACK: Mm = 0.1
"""How much wider than a cutter that leans the kerf is at the top, so that it comes down beside both walls (common
practice, no source)."""
_SPECK: Mm2 = 1e-4
_ROOM = 4.0
"""How far about a corner, in radii, a cutter has room to come to it from what is cleared."""
_GAIN: Mm2 = 2e-3
_THICKEST = 0.5
"""Thickest skin that a taper takes into inner corners, over its tip: more overloads it there, as emitted moves show."""
_WIDEST = 0.9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leaning:
    """An outline with its kerf, and the operations that cut it; without any, why not."""

    feature: Feature
    operations: tuple[Operation, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Trench:
    """The straight slot beside a leaning wall's foot: its feature with kerf and bridges, the operation that opens it,
    and the heights between which the wall leans by ``rise`` in all."""

    feature: Feature
    spec: OutlineSpec
    rough: Operation
    top: Mm
    bottom: Mm
    finish: Mm

    @property
    def rise(self) -> Mm:
        return (self.top - self.bottom) * math.tan(self.spec.draft)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """A cutter for the wall, its data and levels, the height of the steps that it leaves (0: none), and how much of
    inner corners it does not reach."""

    cutter: Cutter
    data: CuttingData
    levels: tuple[Mm, ...]
    cusp: Mm
    lost: Mm2


def leaning_operations(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> Leaning:
    """The outline with its kerf and bridges, the slot beside its wall's foot, and the wall."""
    trench = _trench(feature, spec=spec, shop=shop)
    if trench is None:
        depth = -tip_bottom(feature)
        message = "no flat cutter on the shelf opens a slot beside the foot of its wall"
        return _refused(feature, message=message, key="", accepted=f"a flat cutter that reaches {depth:.2f} mm")
    tapers = reaching(allowed(shop, names=spec.cutters, kinds=(CutterKind.TAPER,)), depth=-trench.bottom)
    flats = reaching(allowed(shop, names=spec.cutters, kinds=FLATS), depth=-trench.bottom)
    alike = [cutter for cutter in tapers if abs(_lean(cutter) - spec.draft) <= SAME_ANGLE]
    less = [cutter for cutter in (*tapers, *flats) if _lean(cutter) < spec.draft - SAME_ANGLE]
    sides = _fittings(trench, cutters=alike or less, shop=shop)
    if not sides and alike:
        wider = _wider(feature, spec=spec, alike=alike, high=trench.top - trench.bottom, shop=shop)
        if wider is not None:
            trench, sides = wider, _fittings(wider, cutters=alike, shop=shop)
    if not sides:
        return _no_side(trench, tapers=tapers, alike=alike)
    least = min(side.lost for side in sides)
    enough = [side for side in sides if side.lost <= least + _GAIN]
    best = min(enough, key=lambda side: (len(side.levels), -wall_radius(side.cutter), side.cutter.name))
    return Leaning(feature=trench.feature, operations=_operations(trench, side=best, shop=shop), problems=())


def _wider(feature: Feature, *, spec: OutlineSpec, alike: list[Cutter], high: Mm, shop: Shop) -> _Trench | None:
    """The slot by a flat cutter so wide that a taper of the wall's angle comes down in it; None without one."""
    if not alike:
        return None
    need = min(_widest(cutter, high=high) for cutter in alike) + _SLACK
    kept = tuple(one for one in shop.cutters if one.kind not in FLATS or one.diameter >= need - 1e-9)
    return _trench(feature, spec=spec, shop=replace(shop, cutters=kept))


def _widest(cutter: Cutter, *, high: Mm) -> Mm:
    """How wide a cutter is at a height above its tip."""
    return 2.0 * (wall_radius(cutter) + high * math.tan(_lean(cutter)))


def _refused(feature: Feature, *, message: str, key: str, accepted: str) -> Leaning:
    where = f"feature {feature.spec.name!r}{key}"
    return Leaning(feature=feature, operations=(), problems=(Problem(message=message, key=where, accepted=accepted),))


def _trench(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> _Trench | None:
    """The slot as that of an upright wall that stands where the leaning one has its foot; by one cutter."""
    bottom = tip_bottom(feature)
    foot = stands_out(feature, spec=spec, depth=-bottom)
    upright = replace(spec, allowance=spec.allowance + foot)
    shaped, found = outline_operations(replace(feature, spec=upright), spec=upright, shop=shop)
    finer = [one for one in found if one.part is Part.REST]
    if finer:
        kept = tuple(one for one in shop.cutters if one.kind not in FLATS or one.name == finer[-1].cutter.name)
        alone = replace(shop, cutters=kept)
        shaped, found = outline_operations(replace(feature, spec=upright), spec=upright, shop=alone)
    if not found:
        return None
    rough = found[0]
    parted = replace(shaped, spec=spec)
    return _Trench(
        feature=parted,
        spec=spec,
        rough=replace(rough, feature=parted),
        top=-feature.top,
        bottom=bottom,
        finish=max(rough.stay - spec.allowance - foot, 0.0),
    )


def _lean(cutter: Cutter) -> Rad:
    return cutter.half_angle or 0.0


def _fittings(trench: _Trench, *, cutters: list[Cutter], shop: Shop) -> list[_Side]:
    """How each cutter that fits would cut the wall."""
    return [side for cutter in cutters if (side := _fitting(trench, cutter=cutter, shop=shop)) is not None]


def _fitting(trench: _Trench, *, cutter: Cutter, shop: Shop) -> _Side | None:
    """How a cutter would cut the wall; None if the kerf is too narrow for it or there are no data for it."""
    spec = trench.spec
    slack = _SLACK if _lean(cutter) > 0.0 else 0.0
    if _widest(cutter, high=trench.top - trench.bottom) + slack > trench.rough.cutter.diameter + 1e-9:
        return None
    if _too_thick(trench, cutter=cutter):
        return None
    tip = cutter.tip_diameter if cutter.kind is CutterKind.TAPER else cutter.diameter
    skin = min(_skin(trench), _WIDEST * tip)
    try:
        data = shop.wall_data(cutter, -trench.bottom, skin, spec.tolerance)
    except InputError:
        return None
    step = min(data.step_down, cutter.flute_length)
    steep = cusp_height(1.0, wall=spec.draft, cutter=_lean(cutter))
    leans_less = spec.draft - _lean(cutter) > SAME_ANGLE
    step = min(step, spec.tolerance / steep) if leans_less else step
    levels = _levels(trench, step=step)
    down = max(upper - lower for upper, lower in zip((trench.top, *levels), levels, strict=False))
    return _Side(
        cutter=cutter,
        data=data,
        levels=levels,
        cusp=steep * down if leans_less else 0.0,
        lost=_lost(trench, radius=wall_radius(cutter)),
    )


def _skin(trench: _Trench) -> Mm:
    """How thick the slot leaves the wall at its top."""
    return max(trench.finish, 0.01) + trench.rise


def _too_thick(trench: _Trench, *, cutter: Cutter) -> bool:
    """Whether a taper would meet a skin so thick that it is overloaded where two walls meet."""
    return cutter.kind is CutterKind.TAPER and _skin(trench) > _THICKEST * cutter.tip_diameter


def _levels(trench: _Trench, *, step: Mm) -> tuple[Mm, ...]:
    """Levels of even steps, one of them on top of the bridges."""
    feature, spec = trench.feature, trench.spec
    bridge = -(feature.bottom - spec.bridge_height)
    if not feature.bridges or not trench.bottom < bridge < trench.top:
        return even_levels(trench.top, bottom=trench.bottom, step_down=step)
    above = even_levels(trench.top, bottom=bridge, step_down=step)
    return (*above, *even_levels(bridge, bottom=trench.bottom, step_down=step))


def _lost(trench: _Trench, *, radius: Mm) -> Mm2:
    """How much of the wall's inner corners, at its foot, a cutter does not reach."""
    return clipper.surface(_unreached(trench, radius=radius, stay=0.0))


def _unreached(trench: _Trench, *, radius: Mm, stay: Mm) -> Area:
    """What beside the wall's foot, so much left on it, a disc does not cover."""
    spec = trench.spec
    drawn = areas.of_regions(trench.feature.regions)
    out = stands_out(trench.feature, spec=spec, depth=-trench.bottom) + spec.allowance + stay
    if spec.side == "outside":
        wall = clipper.offset(drawn, by=out)
        return clipper.difference(clipper.offset(clipper.offset(wall, by=radius), by=-radius), less=wall)
    room = clipper.offset(drawn, by=-out)
    return clipper.difference(room, less=clipper.opened(room, radius=radius))


def _operations(trench: _Trench, *, side: _Side, shop: Shop) -> tuple[Operation, ...]:
    """The slot, what it leaves in inner corners, and the wall."""
    spec, cutter = trench.spec, side.cutter
    angle = deg_from_rad(spec.draft)
    thick = trench.finish + trench.rise
    skin = why(
        "skin", f"a skin of {trench.finish:.2f} to {thick:.2f} mm stays on the leaning wall, thickest at its top"
    )
    rough = replace(trench.rough, reasons=(*trench.rough.reasons, skin))
    count = len(side.levels)
    held = "one level over the full depth" if count == 1 else f"{count} levels"
    sentence = f"{cutter.name}: its side leans by the wall's {angle:g} degrees; {held}"
    if side.cusp > 0.0:
        sentence = (
            f"{cutter.name}: it leans less than the wall's {angle:g} degrees; {count} levels leave steps of "
            f"{side.cusp * UM_PER_MM:.0f} um square to the wall, at most tolerance_um = {spec.tolerance * UM_PER_MM:g}"
        )
    reasons: tuple[Reason, ...] = (why("cutter", sentence), *side.data.reasons)
    wall = replace(
        trench.rough,
        purpose=Purpose.FINISH,
        part=Part.WALL,
        cutter=cutter,
        behind=trench.rough.cutter,
        data=side.data,
        levels=side.levels,
        stay=spec.allowance,
        reasons=reasons,
        by_level=tuple(_at(trench, z=z) for z in side.levels),
    )
    return rough, *_corners(trench, side=side, shop=shop), wall


def _corners(trench: _Trench, *, side: _Side, shop: Shop) -> list[Operation]:
    """The wall's cutter clears what the slot's leaves in inner corners, if it reaches more."""
    slot = trench.rough.cutter
    if slot.diameter / 2.0 <= wall_radius(side.cutter) + 1e-9:
        return []
    rest = clipper.difference(
        _unreached(trench, radius=slot.diameter / 2.0, stay=trench.finish),
        less=_unreached(trench, radius=wall_radius(side.cutter), stay=trench.finish),
    )
    rest = clipper.without_specks(rest, smaller=_SPECK)
    more = clipper.surface(rest)
    if more <= _GAIN:
        return []
    about = clipper.offset(rest, by=trench.finish + trench.rise + _ROOM * wall_radius(side.cutter))
    data = shop.data_for(side.cutter, CutKind.CORNERS, -trench.bottom, None)
    levels = even_levels(trench.top, bottom=trench.bottom, step_down=min(data.step_down, side.cutter.flute_length))
    sentence = f"{side.cutter.name}: {slot.name} leaves {more:.2f} mm2 in inner corners at the foot of the wall"
    return [
        replace(
            trench.rough,
            purpose=Purpose.CORNERS,
            part=Part.REST,
            cutter=side.cutter,
            behind=slot,
            data=data,
            levels=levels,
            stay=trench.spec.allowance + trench.finish,
            reasons=(why("cutter", sentence), *data.reasons),
            by_level=tuple(replace(_at(trench, z=z), pieces=(about,)) for z in levels),
        )
    ]


def _at(trench: _Trench, *, z: Mm) -> Level:
    """Where the wall stands at a height."""
    out = stands_out(trench.feature, spec=trench.spec, depth=-z)
    return Level(z=z, pieces=(), grow=out if trench.spec.side == "outside" else -out)


def _no_side(trench: _Trench, *, tapers: tuple[Cutter, ...], alike: list[Cutter]) -> Leaning:
    spec = trench.spec
    angle = deg_from_rad(spec.draft)
    deep = -trench.bottom
    accepted = f"a taper of {angle:g} degrees a side that reaches {deep:.2f} mm, or a flat cutter that cuts steps"
    more = [cutter for cutter in tapers if _lean(cutter) > spec.draft + SAME_ANGLE]
    thick = [cutter for cutter in alike if _too_thick(trench, cutter=cutter)]
    if thick and len(thick) == len(alike):
        stoutest = max(thick, key=lambda cutter: (cutter.tip_diameter, cutter.name))
        message = (
            f"the slot beside the wall's foot leaves {_skin(trench):.2f} mm at its top, and {stoutest.name}, its tip "
            f"{stoutest.tip_diameter:g} mm wide, takes no more than {_THICKEST * stoutest.tip_diameter:.2f} mm into "
            "corners"
        )
        accepted = f"a taper with a tip of {_skin(trench) / _THICKEST:.2f} mm or more, or less depth or draft"
    elif alike:
        least = min(alike, key=lambda cutter: (wall_radius(cutter), cutter.name))
        wide = _widest(least, high=trench.top - trench.bottom)
        message = (
            f"{least.name} is {wide:.2f} mm wide at the plate's top, and the kerf is only "
            f"{trench.feature.kerf or 0.0:.2f} mm wide: there is no room for it to come down"
        )
        accepted = "a narrower taper, or a wider flat cutter for the slot"
    elif more:
        least = min(more, key=lambda cutter: (_lean(cutter), cutter.name))
        into = overcut(trench.top - trench.bottom, wall=spec.draft, cutter=_lean(least))
        message = (
            f"{least.name} leans by {deg_from_rad(_lean(least)):g} degrees and the wall by {angle:g}: "
            f"it would cut {into:.3f} mm into the wall at the top"
        )
    else:
        message = f"no cutter on the shelf cuts walls that lean by {angle:g} degrees"
    return _refused(trench.feature, message=message, key=": draft_deg", accepted=accepted)
