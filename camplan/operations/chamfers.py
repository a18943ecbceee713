"""Chamfers at the mouths of threads: cut by a wide spot before the hole is drilled."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, CutterKind
from camplan.cutting.records import CutKind
from camplan.features.holds import MOUTH, Thread
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.findings import Finding, Severity
from camplan.operations.shop import Shop, allowed, suited
from camplan.units import Mm, Rad

_NARROWEST, _BLUNTEST = math.radians(60.0), math.radians(120.0)
"""Cones that lead a tap in; a right angle is usual (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MouthCutter:
    """The spotting drill of a chamfer, how wide it cuts at the top, and the angle of its cone."""

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


def spot_drills(feature: Feature, *, spec: HoleSpec, shop: Shop) -> tuple[Cutter, ...]:
    """The spotting drills for a hole, the one to take first: the widest, but in a pocket the narrowest, which stays
    clear of its walls."""
    named = allowed(shop, names=spec.cutters, kinds=(CutterKind.SPOT_DRILL,))
    spots = named or allowed(shop, names=(), kinds=(CutterKind.SPOT_DRILL,))
    spots = suited(spots, kind=CutKind.DRILL, depth=feature.top + 1.0, shop=shop)
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
    why = (
        "the job asks for no spots"
        if not spec.spot
        else f"no spotting drill of 60 to 120 degrees in the list is {width:.2f} mm wide or more"
    )
    message = (
        f"the mouths of {spec.holds.size.name} are left sharp: {why}; chamfer them by hand before they are tapped, to "
        f"about {width:.1f} mm"
    )
    return (Finding(severity=Severity.CAUTION, code="mouth-left-sharp", message=message, where=spec.name),)
