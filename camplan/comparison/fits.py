"""Which cutter of the shelf reaches the most of a feature at a height."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import radius
from camplan.features import holds
from camplan.features.records import Feature
from camplan.features.sections import floor
from camplan.features.specs import EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.units import Mm, Rad

FLATS = (CutterKind.SLOT_DRILL, CutterKind.END_MILL)
_SAME_ANGLE: Rad = math.radians(0.05)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The finest cutter that reaches a feature's bottom, and the radius it shows at the asked height."""

    cutter: Cutter
    radius: Mm


def finest(feature: Feature, *, cutters: Sequence[Cutter], z: Mm) -> Fit | None:
    """The listed cutter that leaves the least; None if none is of the kind and length that the feature needs.

    Flat cutters for straight walls, and bull noses whose round ends below a through cut; tapered ones of the wall's
    angle for sloped walls (flat ones if there is none), ball ones for round grooves, and for marks any cutter at all.
    """
    names = feature.spec.cutters
    long = [cutter for cutter in cutters if cutter.reach >= feature.bottom - 1e-9]
    listed = [cutter for cutter in long if not names or cutter.name in names]
    below = feature.break_through if feature.through else 0.0
    flats = [cutter for cutter in listed if _straight(cutter, below=below)]
    match feature.spec:
        case PocketSpec(draft=draft) | OutlineSpec(draft=draft) if draft > 0.0:
            tapers = [cutter for cutter in listed if _of_angle(cutter, angle=draft)]
            return _least(tapers, height=max(z + floor(feature), 0.0)) or _least(flats, height=below)
        case GrooveSpec(section="round"):
            balls = [cutter for cutter in listed if cutter.kind is CutterKind.BALL]
            return _least(balls, height=max(z + feature.bottom, 0.0))
        case GrooveSpec(section="trapezoid", draft=draft):
            tapers = [cutter for cutter in listed if _of_angle(cutter, angle=draft)]
            return _least(tapers, height=max(z + feature.bottom, 0.0))
        case PocketSpec() | OutlineSpec() | GrooveSpec() | FaceSpec():
            return _least(flats, height=below)
        case MarkSpec():
            return _least(listed, height=0.0)
        case HoleSpec():
            return _least(listed, height=0.0)
        case EdgeSpec(radius=None, angle=angle):
            sides = [cutter for cutter in listed if _of_slope(cutter, angle=angle)]
            return _least(sides, height=max(z + feature.bottom, 0.0))
        case EdgeSpec():
            return _beside_round(feature, balls=[one for one in listed if one.kind is CutterKind.BALL], z=z)
        case _:
            assert_never(feature.spec)


def stepped(feature: Feature, *, cutters: Sequence[Cutter]) -> bool:
    """Whether a leaning wall is cut in steps: no listed taper of its angle reaches its bottom."""
    if not isinstance(feature.spec, PocketSpec | OutlineSpec) or feature.spec.draft <= 0.0:
        return False
    names = feature.spec.cutters
    listed = [cutter for cutter in cutters if not names or cutter.name in names]
    angle = feature.spec.draft
    return not any(_of_angle(cutter, angle=angle) and cutter.reach >= feature.bottom - 1e-9 for cutter in listed)


def round_tipped(feature: Feature, *, cutters: Sequence[Cutter]) -> Cutter | None:
    """The listed bull nose of the smallest corner radius that reaches a feature's bottom; None if there is none."""
    names = feature.spec.cutters
    bulls = [
        cutter
        for cutter in cutters
        if cutter.kind is CutterKind.BULL_NOSE
        and cutter.reach >= feature.bottom - 1e-9
        and (not names or cutter.name in names)
    ]
    return min(bulls, key=lambda cutter: (cutter.corner_radius or 0.0, cutter.name), default=None)


def makes_hole(feature: Feature, *, cutters: Sequence[Cutter], diameter: Mm) -> bool:
    """Whether a listed cutter makes a hole of a diameter: a flat one no wider, or a drill or reamer of that size; a
    drill gives no fit and no flat floor."""
    names = feature.spec.cutters
    spec = feature.spec
    grant = spec.tolerance if isinstance(spec, HoleSpec) else 0.0
    depth = next((bottom for size, bottom in feature.sunk if size == diameter), None)
    flat = depth is not None or (isinstance(spec, HoleSpec) and isinstance(spec.holds, holds.Fit | holds.Magnet))
    for cutter in cutters:
        if cutter.reach < (feature.bottom if depth is None else depth) - 1e-9 or (names and cutter.name not in names):
            continue
        if cutter.kind in FLATS and cutter.diameter <= diameter + 1e-6:
            return True
        sized = abs(cutter.diameter - diameter) <= grant + 1e-6
        if sized and (cutter.kind is CutterKind.REAMER or (cutter.kind is CutterKind.DRILL and not flat)):
            return True
    return False


def _straight(cutter: Cutter, *, below: Mm) -> bool:
    """Whether a cutter leaves a straight wall down to a depth that it passes by ``below``."""
    if cutter.kind is CutterKind.BULL_NOSE:
        return (cutter.corner_radius or 0.0) <= below + 1e-9
    return cutter.kind in FLATS


def _of_angle(cutter: Cutter, *, angle: Rad) -> bool:
    return cutter.half_angle is not None and abs(cutter.half_angle - angle) <= _SAME_ANGLE


def _of_slope(cutter: Cutter, *, angle: Rad) -> bool:
    """Whether a cutter's side falls by an angle from the plate's top."""
    lean = cutter.half_angle or (cutter.point_angle or 0.0) / 2.0
    return lean > 0.0 and abs(lean + angle - math.pi / 2.0) <= _SAME_ANGLE


def _beside_round(feature: Feature, *, balls: Sequence[Cutter], z: Mm) -> Fit | None:
    """The smallest ball, and how wide it is at the height at which it touches a rounded edge."""
    if not balls:
        return None
    least = min(balls, key=lambda one: (one.diameter, one.name))
    round_ = feature.bottom - feature.top
    up = min(max(z + feature.bottom, 0.0), round_) / round_
    return Fit(cutter=least, radius=least.diameter / 2.0 * math.sqrt(1.0 - up**2))


def _least(cutters: Sequence[Cutter], *, height: Mm) -> Fit | None:
    shown = [
        (float(radius(cutter, height=min(height, cutter.flute_length))), cutter.name, cutter) for cutter in cutters
    ]
    if not shown:
        return None
    least = min(shown, key=lambda one: one[:2])
    return Fit(cutter=least[2], radius=least[0])
