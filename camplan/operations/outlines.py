"""Operations for outlines: the slot that parts the plate, its wall, and what a wide cutter cannot enter."""

import math
from dataclasses import dataclass, replace

import numpy as np

from camplan.catalogue.records import Cutter, CutterKind
from camplan.cutting.records import CutKind
from camplan.errors import Problem
from camplan.features.build import with_kerf
from camplan.features.records import Feature
from camplan.features.sections import MUST_BAND
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper, planar
from camplan.geometry.clipper import Area, simplified
from camplan.operations import areas
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop, allowed, reaching, straight_walled, suited, why
from camplan.units import S_PER_MIN, Mm, Mm2, Seconds

_GAIN: Mm2 = 2e-3
"""Rest below this is not worth a cutter."""
_CORNER = 8.0
"""A corner loses at most this many radii of the wall beside it (one of 30 degrees 7.5); a narrow place loses more."""
_COARSE: Mm = 0.002
"""Figures are taken this coarsely for choosing, not for cutting."""
_STEP_RATIO = 4.0
_SNUG: Mm = 0.0005
"""A cutter as wide as a gap goes through it if its path keeps this much less from the walls."""
_SHARES = (1.0, 0.5, 0.25, 0.0)
"""Shares of the finishing allowance that are tried in narrow places."""
_SKIPPED = 4.0
"""The wall is skipped by roughing where it lies more than this many allowances from roughing's path (a corner of 30
degrees lies 3.9 from it)."""
_CHORD: Mm = 0.001


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fit:
    """How one cutter parts an outline: what it leaves for finishing, by how much its path is nearer
    to the wall than half its width, what beside the wall it does not reach and how
    much of that is asked for, and its time."""

    cutter: Cutter
    finish: Mm
    snug: Mm
    lost: Area
    owed: Mm2
    length: Mm
    seconds: Seconds


def tip_bottom(feature: Feature) -> Mm:
    """The height z of a flat tip that has cut the feature to its depth."""
    return -(feature.bottom + (feature.break_through if feature.through else 0.0))


def outline_operations(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """The outline with its kerf and bridges, and the slot and wall that part it; no operations if no cutter fits."""
    bottom = _bottom(feature, spec=spec)
    fits = _fits(feature, spec=spec, shop=shop)
    if not fits:
        return feature, ()
    main, finer = _main(fits, shop=shop)
    cutter, finish = main.cutter, main.finish
    parted = with_kerf(feature, kerf=cutter.diameter + finish)
    slot = shop.data_for(cutter, CutKind.SLOT, -bottom, None)
    bridge = -(feature.bottom - spec.bridge_height)
    held = bool(parted.bridges)

    def levels(step: Mm) -> tuple[Mm, ...]:
        if not held or not bottom < bridge < -feature.top:
            return even_levels(-feature.top, bottom=bottom, step_down=step)
        above = even_levels(-feature.top, bottom=bridge, step_down=step)
        return (*above, *even_levels(bridge, bottom=bottom, step_down=step))

    rough = Operation(
        feature=parted,
        purpose=Purpose.ROUGH,
        part=Part.KERF,
        cutter=cutter,
        data=slot,
        levels=levels(slot.step_down),
        stay=spec.allowance + finish - main.snug,
        reasons=(why("cutter", _said(main, fits=fits, finer=finer)), *slot.reasons),
    )
    found = [rough]
    if finish > 0.0:
        wall = shop.wall_data(cutter, -bottom, finish, spec.tolerance)
        found.append(
            replace(
                rough,
                purpose=Purpose.FINISH,
                part=Part.WALL,
                data=wall,
                levels=levels(min(wall.step_down, cutter.flute_length)),
                stay=spec.allowance,
                reasons=wall.reasons,
            )
        )
    for fit in finer:
        rest = shop.data_for(fit.cutter, CutKind.CORNERS, -bottom, None)
        full = shop.data_for(fit.cutter, CutKind.SLOT, -bottom, None)
        sentence = f"{fit.cutter.name}: {cutter.name} does not enter {main.owed:.2f} mm2 of corners and narrow places"
        found.append(
            replace(
                rough,
                purpose=Purpose.CORNERS,
                part=Part.REST,
                cutter=fit.cutter,
                data=rest,
                levels=levels(min(rest.step_down, full.step_down)),
                stay=spec.allowance - fit.snug,
                reasons=(why("cutter", sentence), *rest.reasons),
            )
        )
    return parted, tuple(found)


def refusal(feature: Feature, *, shop: Shop) -> Problem | None:
    """Why no cutter parts an outline, if another outline's part leaves no room, or all cutters are round at their
    tip."""
    spec = feature.spec
    if not isinstance(spec, OutlineSpec):
        return None
    cutters = _cutters(feature, spec=spec, shop=shop)
    bulls = reaching(
        allowed(shop, names=spec.cutters, kinds=(CutterKind.BULL_NOSE,)), depth=-_bottom(feature, spec=spec)
    )
    if not cutters and bulls:
        least = min(bulls, key=lambda one: one.corner_radius or 0.0)
        return Problem(
            message=f"{least.name} would leave its corner radius of {least.corner_radius:g} mm along the underside: "
            f"it goes {feature.break_through:g} mm past it",
            key=f"feature {spec.name!r}",
            accepted="a slot drill or end mill in `cutters`, or, cut through without a skin, break_through_mm of the "
            "corner radius or more",
        )
    between = _gap(feature, spec=spec)
    if not cutters or between >= cutters[-1].diameter:
        return None
    narrowest = cutters[-1]
    return Problem(
        message=f"another outline's part leaves only {between:.3f} mm beside it, and the narrowest cutter that reaches "
        f"{-_bottom(feature, spec=spec):.2f} mm deep, {narrowest.name}, is {narrowest.diameter:g} mm wide",
        key=f"feature {spec.name!r}",
        accepted=f"parts at least {narrowest.diameter + spec.allowance:g} mm apart, or a narrower cutter in `cutters`",
    )


def kerf_figure(feature: Feature) -> Area:
    """All that an outline may remove between its wall as it is left and the far side of its kerf, bridges standing."""
    spec = feature.spec
    assert isinstance(spec, OutlineSpec)
    drawn = areas.of_regions(feature.regions)
    near, far = spec.allowance, spec.allowance + (feature.kerf or 0.0)
    if spec.side == "outside":
        figure = clipper.difference(clipper.offset(drawn, by=far), less=clipper.offset(drawn, by=near))
    else:
        figure = clipper.difference(clipper.offset(drawn, by=-near), less=clipper.offset(drawn, by=-far))
    stay = clipper.union([areas.of_regions(feature.neighbours), areas.of_regions(feature.bridges)])
    return clipper.difference(figure, less=stay)


def _bottom(feature: Feature, *, spec: OutlineSpec) -> Mm:
    return -(feature.bottom - spec.skin) if feature.through and spec.hold == "skin" else tip_bottom(feature)


def _cutters(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> tuple[Cutter, ...]:
    """Flat cutters, and bull noses whose round ends below the plate, that reach and have data; widest first."""
    bottom = _bottom(feature, spec=spec)
    below = feature.break_through if feature.through else 0.0
    cutters = reaching(straight_walled(shop, names=spec.cutters, below=below), depth=-bottom)
    return suited(cutters, kind=CutKind.SLOT, depth=-bottom, shop=shop)


def _gap(feature: Feature, *, spec: OutlineSpec) -> Mm:
    """The least room between the wall as it is left and the parts of other outlines; infinite without any."""
    if spec.side != "outside" or not feature.neighbours:
        return math.inf
    mine = [planar.polygon(region, chord=_CHORD) for region in feature.regions]
    others = [planar.polygon(region, chord=_CHORD) for region in feature.neighbours]
    return min(float(one.distance(other)) for one in mine for other in others) - spec.allowance


def _fits(feature: Feature, *, spec: OutlineSpec, shop: Shop) -> list[_Fit]:
    """How each cutter parts the outline, widest first; without those that are wider than the room beside a part."""
    wanted = shop.material.finish_wall if spec.finish is None else spec.finish
    between = _gap(feature, spec=spec)
    bottom = _bottom(feature, spec=spec)
    drawn = simplified(areas.of_regions(feature.regions), within=_COARSE)
    found: list[_Fit] = []
    for cutter in _cutters(feature, spec=spec, shop=shop):
        if cutter.diameter > between + 1e-6:
            continue
        most = min(wanted, max(between - cutter.diameter, 0.0))
        radius = cutter.diameter / 2.0
        lost = _lost(drawn, spec=spec, radius=radius - _SNUG)
        snug = _SNUG if clipper.surface(_lost(drawn, spec=spec, radius=radius)) > clipper.surface(lost) + _GAIN else 0.0
        finish = 0.0 if snug else _thinned(drawn, cutter=cutter, spec=spec, finish=most)
        length = clipper.perimeter(_centres(drawn, spec=spec, by=radius - snug + finish))
        if length == 0.0:
            continue
        slot = shop.data_for(cutter, CutKind.SLOT, -bottom, None)
        minutes = length * math.ceil((-bottom - feature.top) / slot.step_down - 1e-9) / slot.slot_feed
        seconds = minutes * S_PER_MIN
        found.append(_Fit(cutter=cutter, finish=finish, snug=snug, lost=lost, owed=0.0, length=length, seconds=seconds))
    least = min((fit.cutter.diameter for fit in found), default=0.0)
    finest = [fit for fit in found if fit.cutter.diameter <= least + 1e-9]
    return [replace(fit, owed=0.0 if fit in finest else _owed(fit, finest=finest[0], spec=spec)) for fit in found]


def _centres(drawn: Area, *, spec: OutlineSpec, by: Mm) -> Area:
    """The figure whose edge the tool's centre follows at a distance from the wall as it is left."""
    out = spec.allowance + by
    return clipper.offset(drawn, by=out if spec.side == "outside" else -out)


def _thinned(drawn: Area, *, cutter: Cutter, spec: OutlineSpec, finish: Mm) -> Mm:
    """As much of the finishing allowance as lets roughing into every place into which the wall's path leads."""
    sign = 1.0 if spec.side == "outside" else -1.0
    radius = cutter.diameter / 2.0
    wall = [ring for ring in _centres(drawn, spec=spec, by=radius) if len(ring)]
    for share in _SHARES:
        left = finish * share
        if left == 0.0:
            break
        rough = _centres(drawn, spec=spec, by=radius + left)
        barred = clipper.offset(rough, by=-sign * _SKIPPED * left)
        lines = [np.vstack((ring, ring[:1])) for ring in wall]
        if not clipper.cut_lines(lines, area=barred, inside=spec.side == "outside"):
            return left
    return 0.0


def _lost(drawn: Area, *, spec: OutlineSpec, radius: Mm) -> Area:
    """What must be gone beside the wall and a disc that runs along it does not cover."""
    near, beyond = (_centres(drawn, spec=spec, by=by) for by in (0.0, MUST_BAND))
    covered = _centres(drawn, spec=spec, by=radius)
    if spec.side == "outside":
        band = clipper.difference(beyond, less=near)
        return clipper.intersection(band, with_=clipper.offset(covered, by=-radius + _COARSE))
    band = clipper.difference(near, less=beyond)
    return clipper.difference(band, less=clipper.offset(covered, by=radius + _COARSE))


def _owed(fit: _Fit, *, finest: _Fit, spec: OutlineSpec) -> Mm2:
    """How much of what a cutter loses is asked for: what the finest reaches, less corners that are granted."""
    radius = fit.cutter.diameter / 2.0
    granted = spec.corner is not None and radius <= spec.corner + 1e-6
    total = 0.0
    for piece in clipper.pieces(clipper.difference(fit.lost, less=clipper.offset(finest.lost, by=2.0 * _COARSE))):
        size = clipper.surface(piece)
        if size >= _GAIN and not (granted and size <= _CORNER * MUST_BAND * radius):
            total += size
    return total


def _main(fits: list[_Fit], *, shop: Shop) -> tuple[_Fit, list[_Fit]]:
    """The cutter that parts the plate, and the finer ones for places that it does not enter: in the least time."""
    found: list[tuple[Seconds, _Fit, list[_Fit]]] = []
    for place, fit in enumerate(fits):
        finer = _followers(fits[place + 1 :], wide=fit) if fit.owed > 0.0 else []
        alone = fit.owed / MUST_BAND
        more = sum(shop.machine.cutter_change + one.seconds * min(alone / one.length, 1.0) for one in finer)
        found.append((fit.seconds + more, fit, finer))
    _, main, finer = min(found, key=lambda one: (round(one[0], 6), one[1].cutter.diameter))
    return main, finer


def _followers(narrower: list[_Fit], *, wide: _Fit) -> list[_Fit]:
    """The widest cutter that leaves nothing more, and one midway where it is far smaller."""
    last = next((fit for fit in narrower if fit.owed == 0.0), None)
    if last is None:
        return []
    wide_, narrow = wide.cutter.diameter, last.cutter.diameter
    inside = [fit for fit in narrower if narrow * 1.3 < fit.cutter.diameter < wide_ / 1.3]
    if wide_ / narrow <= _STEP_RATIO or not inside:
        return [last]
    middle = math.sqrt(wide_ * narrow)
    return [min(inside, key=lambda fit: abs(math.log(fit.cutter.diameter / middle))), last]


def _said(main: _Fit, *, fits: list[_Fit], finer: list[_Fit]) -> str:
    """Why a cutter parts the plate."""
    cutter = main.cutter
    kerf = f"the kerf is {cutter.diameter + main.finish:.2f} mm"
    wider = [fit for fit in fits if fit.cutter.diameter > cutter.diameter + 1e-9 and fit.owed > 0.0]
    if finer:
        return f"{cutter.name}: parts the plate in the least time, corners and narrow places included; {kerf}"
    if wider:
        return f"{cutter.name}: goes all round, which {wider[-1].cutter.name} does not; {kerf}"
    return f"{cutter.name}: parts the plate in the least time; {kerf}"
