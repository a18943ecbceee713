"""Level trapezoid grooves wider than the tip of the taper of their angle: cleared by a flat cutter, then side by side.

Such a groove is a pocket with draft whose figure at each height is what lies within half its width of its lines.
"""

from camplan.catalogue.records import CutterKind
from camplan.features.records import Feature, Plate
from camplan.features.sections import groove_foot
from camplan.features.specs import GrooveSpec, PocketSpec
from camplan.operations.drafted import drafted_operations
from camplan.operations.records import Operation
from camplan.operations.shop import Shop, allowed, reaching
from camplan.operations.springs import SAME_ANGLE


def side_operations(feature: Feature, *, spec: GrooveSpec, plate: Plate, shop: Shop) -> tuple[Operation, ...]:
    """Flat cutters along the floor, then a taper of just the groove's angle along its sides; none if there is no such
    taper with a tip narrower than the floor, or no flat cutter for the floor."""
    foot = groove_foot(feature, spec=spec)
    tapers = reaching(allowed(shop, names=spec.cutters, kinds=(CutterKind.TAPER,)), depth=feature.bottom)
    fitting = [
        cutter
        for cutter in tapers
        if abs((cutter.half_angle or 0.0) - spec.draft) <= SAME_ANGLE
        and not cutter.corner_radius
        and cutter.tip_diameter < 2.0 * foot
        and cutter.flute_length >= feature.bottom - feature.top - 1e-9
    ]
    if not fitting:
        return ()
    found = drafted_operations(feature, spec=_as_pocket(spec, corner=foot), plate=plate, shop=shop).operations
    return found if found and found[-1].cutter in fitting else ()


def _as_pocket(spec: GrooveSpec, *, corner: float) -> PocketSpec:
    """The groove as a pocket whose walls lean as its sides do."""
    return PocketSpec(
        name=spec.name,
        layer=spec.layer,
        top=spec.top,
        depth=spec.depth,
        draft=spec.draft,
        nominal="floor",
        allowance=0.0,
        finish=None,
        corner=corner,
        tolerance=spec.tolerance,
        cutters=spec.cutters,
    )
