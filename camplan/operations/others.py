"""Operations for grooves and marks."""

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.shape import profile
from camplan.cutting.records import CutKind, CuttingData
from camplan.features.build import with_profile
from camplan.features.records import Feature
from camplan.features.specs import GrooveSpec, MarkSpec
from camplan.operations.levels import even_levels
from camplan.operations.records import Operation, Part, Purpose
from camplan.operations.shop import FLATS, Shop, allowed, suited, why
from camplan.operations.sloped import exact_cutters, of_its_section
from camplan.units import Mm

_PROFILE_STEPS = 64


def groove_operations(feature: Feature, *, spec: GrooveSpec, shop: Shop) -> tuple[Operation, ...]:
    """A cutter as wide as the groove along its line."""
    exact = exact_cutters(feature, spec=spec, shop=shop)
    if not exact:
        return ()
    cutter = exact[0]
    data = shop.data_for(cutter, CutKind.SLOT, feature.bottom, None)
    levels = even_levels(-feature.top, bottom=-feature.bottom, step_down=data.step_down)
    sentence = f"{cutter.name}: {of_its_section(spec)}"
    return (_line(feature, purpose=Purpose.GROOVE, cutter=cutter, data=data, levels=levels, sentence=sentence),)


def mark_operations(feature: Feature, *, spec: MarkSpec, shop: Shop) -> tuple[Feature, tuple[Operation, ...]]:
    """An engraver along the lines; the feature with the section that it leaves."""
    engravers = allowed(shop, names=spec.cutters, kinds=(CutterKind.ENGRAVER,))
    finest = tuple(reversed(allowed(shop, names=spec.cutters, kinds=(CutterKind.BALL, *FLATS))))
    found = suited(engravers or finest, kind=CutKind.ENGRAVE, depth=feature.bottom, shop=shop)
    if not found:
        return feature, ()
    depth = feature.bottom - feature.top
    cutter = found[0]
    if spec.width is not None:
        wanted = spec.width
        cutter = min(found, key=lambda one: abs(_width_at(one, depth=depth) - wanted))
    data = shop.data_for(cutter, CutKind.ENGRAVE, feature.bottom, None)
    levels = even_levels(-feature.top, bottom=-feature.bottom, step_down=data.step_down)
    shaped = with_profile(feature, profile=profile(cutter, steps=_PROFILE_STEPS))
    sentence = f"{cutter.name}: a line {_width_at(cutter, depth=depth):.2f} mm wide at the top"
    return shaped, (_line(shaped, purpose=Purpose.MARK, cutter=cutter, data=data, levels=levels, sentence=sentence),)


def _width_at(cutter: Cutter, *, depth: Mm) -> Mm:
    heights = profile(cutter, steps=_PROFILE_STEPS)
    return 2.0 * max((radius for height, radius in heights if height <= depth + 1e-9), default=0.0)


def _line(
    feature: Feature, *, purpose: Purpose, cutter: Cutter, data: CuttingData, levels: tuple[Mm, ...], sentence: str
) -> Operation:
    return Operation(
        feature=feature,
        purpose=purpose,
        part=Part.LINE,
        cutter=cutter,
        data=data,
        levels=levels,
        stay=0.0,
        reasons=(why("cutter", sentence), *data.reasons),
    )
