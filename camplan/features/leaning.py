"""Outlines whose walls lean: the kerf opens upward, so that a part is narrower at its top than at its foot."""

import math

from camplan.features.records import Feature, Section
from camplan.features.specs import OutlineSpec
from camplan.regions import Region
from camplan.units import Mm

MUST_BAND: Mm = 0.1
"""How wide beside an outline's wall material must be gone; the rest of its kerf may be."""


def stands_out(feature: Feature, *, spec: OutlineSpec, depth: Mm) -> Mm:
    """How far, at a depth below the plate's top, the wall stands on the cutter's side of the drawn contour.

    Below the plate it goes on as it came.
    """
    level = feature.top if spec.nominal == "top" else feature.bottom
    return (depth - level) * math.tan(spec.draft)


def outline_may(feature: Feature, *, spec: OutlineSpec, depth: Mm, lowest: Mm, stay: tuple[Region, ...]) -> Section:
    """All between the wall and the far side of the kerf, which stands upright; ``lowest`` is the depth of its floor."""
    if feature.kerf is None:
        raise ValueError(f"what outline {spec.name!r} may remove is open until its kerf is known")
    near = stands_out(feature, spec=spec, depth=depth)
    far = stands_out(feature, spec=spec, depth=lowest) + spec.allowance + feature.kerf
    return _between(feature, spec=spec, near=near, far=far, stay=stay)


def outline_must(feature: Feature, *, spec: OutlineSpec, depth: Mm, stay: tuple[Region, ...]) -> Section:
    """A band beside the wall as it is left."""
    near = stands_out(feature, spec=spec, depth=depth) + spec.allowance
    return _between(feature, spec=spec, near=near, far=near + MUST_BAND, stay=stay)


def _between(feature: Feature, *, spec: OutlineSpec, near: Mm, far: Mm, stay: tuple[Region, ...]) -> Section:
    regions = feature.regions
    match spec.side:
        case "outside":
            return Section(regions=regions, grow=far, keep=regions, keep_grow=near, stay=stay)
        case "inside":
            return Section(regions=regions, grow=-near, keep=regions, keep_grow=-far, stay=stay)
        case _:
            raise ValueError(f"an outline's side is not {spec.side!r}")
