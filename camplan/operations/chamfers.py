"""Chamfers at the mouths of threads: cut by a wide spot before the hole is drilled, or by a narrower point that walks
round its edge afterwards."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import cone_top, radius
from camplan.cutting.records import CutKind
from camplan.features.holds import MOUTH, Thread
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.findings import Finding, Severity
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import Shop, allowed, suited, why
from camplan.units import Mm, Rad

_NARROWEST, _BLUNTEST = math.radians(60.0), math.radians(120.0)
"""Cones that lead a tap in; a right angle is usual (common practice, no source)."""
_BELOW: Mm = 0.2
"""How far below a chamfer the tip of the point walks, so that its very end cuts nothing."""
_LEAST_WALK: Mm = 0.2
"""The narrowest circle that a point walks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MouthCutter:
    """The cutter of a chamfer, how wide it cuts at the top, and the angle of its cone."""

    cutter: Cutter
    width: Mm
    angle: Rad


def mouth_cutter(feature: Feature, *, spec: HoleSpec, shop: Shop) -> MouthCutter | None:
    """The spotting drill that chamfers a thread's mouth: nearest to a right angle, and of these the one that spots
    other holes too; None for other holes, without spots, and where none is wide enough or its point would go deeper
    than the hole."""
    if not isinstance(spec.holds, Thread) or not spec.spot:
        return None
    width = MOUTH * spec.holds.size.nominal
    found: list[tuple[float, MouthCutter]] = []
    for cutter in spot_drills(feature, spec=spec, shop=shop):
        angle = cutter.point_angle
        if angle is None or not _NARROWEST - 1e-9 <= angle <= _BLUNTEST + 1e-9 or cutter.diameter < width - 1e-9:
            continue
        if feature.top + width / 2.0 / math.tan(angle / 2.0) <= feature.bottom:
            off = round(abs(angle - math.pi / 2.0), 6)
            found.append((off, MouthCutter(cutter=cutter, width=width, angle=angle)))
    return min(found, key=lambda one: one[0])[1] if found else None


def mouth_milled(feature: Feature, *, diameter: Mm, spec: HoleSpec, shop: Shop) -> tuple[MouthCutter, Operation] | None:
    """A point that walks round the mouths of holes of a diameter, nearest to a right angle, and its operation; None
    where none has a cone tall enough, or the hole no room for it."""
    if not isinstance(spec.holds, Thread):
        return None
    width = MOUTH * spec.holds.size.nominal
    found: list[tuple[float, MouthCutter, Mm]] = []
    pointed = allowed(shop, names=spec.cutters, kinds=(CutterKind.ENGRAVER, CutterKind.SPOT_DRILL))
    for cutter in suited(pointed, kind=CutKind.ENGRAVE, depth=1.0, shop=shop):
        angle = cutter.point_angle
        if angle is None or not _NARROWEST - 1e-9 <= angle <= _BLUNTEST + 1e-9:
            continue
        deep = (width - diameter) / 2.0 / math.tan(angle / 2.0) + _BELOW
        walk = width / 2.0 - float(radius(cutter, height=deep))
        tall = deep <= (cone_top(cutter) or 0.0) and deep <= feature.bottom - feature.top
        if tall and walk >= _LEAST_WALK and cutter.reach >= feature.top + deep:
            off = round(abs(angle - math.pi / 2.0), 6)
            found.append((off, MouthCutter(cutter=cutter, width=width, angle=angle), deep))
    if not found:
        return None
    _, mouth, deep = min(found, key=lambda one: one[0])
    data = shop.data_for(mouth.cutter, CutKind.ENGRAVE, deep, None)
    sentence = (
        f"{mouth.cutter.name}: walks round the mouth, which it chamfers to {width:.2f} mm (common practice, no source)"
    )
    operation = Operation(
        feature=feature,
        purpose=Purpose.EDGE,
        part=Part.MOUTH,
        cutter=mouth.cutter,
        data=data,
        levels=even_levels(-feature.top, bottom=-(feature.top + deep), step_down=data.step_down),
        stay=0.0,
        reasons=(why("cutter", sentence), *data.reasons),
        diameter=diameter,
    )
    return mouth, operation


def spot_drills(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Cutter, ...]:
    """The spotting drills for a hole, the one to take first: the widest, but in a pocket the narrowest, which stays
    clear of its walls."""
    named = allowed(shop, names=spec.cutters, kinds=(CutterKind.SPOT_DRILL,))
    spots = named or allowed(shop, names=(), kinds=(CutterKind.SPOT_DRILL,))
    spots = suited(spots, kind=CutKind.DRILL, depth=1.0, shop=shop)
    pointed = tuple(cutter for cutter in spots if cutter.point_angle is not None)
    return tuple(reversed(pointed)) if feature.top > 0.0 else pointed


def unchamfered(feature: Feature) -> tuple[Finding, ...]:
    """That the mouths of a thread are left sharp, if they are."""
    spec = feature.spec
    if not isinstance(spec, HoleSpec) or not isinstance(spec.holds, Thread):
        return ()
    if feature.mouth is not None:
        return ()
    width = MOUTH * spec.holds.size.nominal
    message = (
        f"the mouths of {spec.holds.size.name} are left sharp: no spotting drill of 60 to 120 degrees in the list is "
        f"{width:.2f} mm wide or more, and no point of such an angle has room to walk round them; chamfer them by hand "
        f"before they are tapped, to about {width:.1f} mm"
    )
    return (Finding(severity=Severity.CAUTION, code="mouth-left-sharp", message=message, where=spec.name),)
