"""Places by which a plate is found again: crosses of marks and centres of holes, known by name."""

from dataclasses import dataclass

from camplan.features.records import Feature
from camplan.features.specs import HoleSpec, MarkSpec
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One place: its ``name``, the feature that it is of, and where it is on the plate."""

    name: str
    feature: str
    x: Mm
    y: Mm


def marks_of(features: tuple[Feature, ...]) -> tuple[Mark, ...]:
    """Crosses of marks first, then holes, in the order of their features.

    Each is named by its feature and a number, from left to right and, in one column, from front to back; one that is
    alone has its feature's name.
    """
    found: list[Mark] = []
    for kind in (MarkSpec, HoleSpec):
        for feature in features:
            if isinstance(feature.spec, kind):
                found.extend(_of(feature))
    return tuple(found)


def _of(feature: Feature) -> list[Mark]:
    drawn = feature.points if isinstance(feature.spec, MarkSpec) else [(x, y) for x, y, _ in feature.circles]
    places = sorted(set(drawn))
    name = feature.spec.name
    return [
        Mark(name=name if len(places) == 1 else f"{name} {number}", feature=name, x=x, y=y)
        for number, (x, y) in enumerate(places, start=1)
    ]
