"""What features want, worked out once per stretch of height in which it is the same."""

import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from camplan import tolerance
from camplan.features.existing import gone_number
from camplan.features.records import Feature, Section
from camplan.features.sections import curved_between, heights, may, must
from camplan.features.specs import MarkSpec, OutlineSpec, PocketSpec
from camplan.simulation import solids
from camplan.simulation.blank import Blank, firm_at
from camplan.simulation.figures import polygon_of
from camplan.simulation.solids import Solid
from camplan.units import Mm

_Key = tuple[str, int, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wanted:
    """Features whose sections are remembered.  ``ranges`` and ``edges`` are each feature's curved ranges and the
    heights of its changes, rising."""

    features: tuple[Feature, ...]
    plate: Blank
    edges: tuple[tuple[Mm, ...], ...]
    ranges: tuple[tuple[tuple[Mm, Mm], ...], ...]
    known: dict[_Key, Solid] = field(default_factory=dict)


def wanted_of(features: Sequence[Feature], *, plate: Blank) -> Wanted:
    """The wants of features that can be compared (`comparable`)."""
    return Wanted(
        features=tuple(features),
        plate=plate,
        edges=tuple(tuple(sorted(heights(feature))) for feature in features),
        ranges=tuple(curved_between(feature) for feature in features),
    )


def comparable(feature: Feature) -> bool:
    """Whether it is known what a feature may remove: an outline has its kerf and a mark its cutter."""
    match feature.spec:
        case OutlineSpec():
            return feature.kerf is not None
        case MarkSpec():
            return bool(feature.profile)
        case _:
            return True


def curved(wanted: Wanted, *, number: int, z: Mm) -> bool:
    """Whether a feature's section changes continuously about height ``z``."""
    return any(lower <= z <= upper for upper, lower in wanted.ranges[number])


def allowed(wanted: Wanted, *, number: int, z: Mm) -> Solid:
    """What may be gone at ``z``; on sloped walls as much as they stand wider `tolerance.GOUGE` higher."""
    shift = tolerance.GOUGE if any(lo <= z <= up - tolerance.GOUGE for up, lo in wanted.ranges[number]) else 0.0
    return _solid(wanted, kind="may", number=number, z=z + shift, section=may)


def drawn(wanted: Wanted, *, number: int, z: Mm) -> Solid:
    """What may be gone at ``z``, nothing granted."""
    return _solid(wanted, kind="may", number=number, z=z, section=may)


def demanded(wanted: Wanted, *, number: int, z: Mm) -> Solid:
    """What of the plate must be gone at ``z``; on sloped walls what still must be `tolerance.WALL_PROOF` lower."""
    asked = z - _shift(wanted, number=number, z=z)
    key = ("cut", number, _stretch(wanted, number=number, z=asked))
    if key not in wanted.known:
        whole = _solid(wanted, kind="must", number=number, z=asked, section=must)
        wanted.known[key] = solids.common(whole, wanted.plate.outline)
    return wanted.known[key]


def to_cut(wanted: Wanted, *, number: int, z: Mm, grant: Mm) -> Solid:
    """What of the demanded was not gone before; walls that were cut then have the ``grant`` of those cut now."""
    gone = gone_number(wanted.plate.plate, z=z)
    whole = demanded(wanted, number=number, z=z)
    if not gone:
        return whole
    key = (f"to cut beside {gone}", number, _stretch(wanted, number=number, z=z - _shift(wanted, number=number, z=z)))
    if key not in wanted.known:
        wanted.known[key] = solids.common(whole, firm_at(wanted.plate, z=z, by=grant))
    return wanted.known[key]


def _shift(wanted: Wanted, *, number: int, z: Mm) -> Mm:
    """How much lower a feature's section is asked for than ``z``."""
    grant = floor_grant(wanted.features[number])
    if wanted.features[number].incline is not None and any(lo <= z <= up for up, lo in wanted.ranges[number]):
        return grant  # down to where nothing is asked for: the level part of such a floor may stand as high
    return grant if any(lo + grant <= z <= up for up, lo in wanted.ranges[number]) else 0.0


def asked_for(wanted: Wanted, *, number: int, z: Mm) -> Solid:
    """What must be gone at ``z``, nothing granted."""
    return _solid(wanted, kind="must", number=number, z=z, section=must)


def floor_grant(feature: Feature) -> Mm:
    """How far a surface that changes with height may stand above the wanted one: the ridges that a flat tip leaves on a
    plane that falls, within its tolerance."""
    if isinstance(feature.spec, PocketSpec) and feature.incline is not None:
        return max(tolerance.WALL_PROOF, feature.spec.tolerance)
    return tolerance.WALL_PROOF


def remembered(wanted: Wanted, *, kind: str, number: int, z: Mm, work: Callable[[], Solid]) -> Solid:
    """Something worked out from a feature's section at ``z``, once for each stretch."""
    key = (kind, number, _stretch(wanted, number=number, z=z))
    if key not in wanted.known:
        wanted.known[key] = work()
    return wanted.known[key]


def _solid(wanted: Wanted, *, kind: str, number: int, z: Mm, section: Callable[..., Section]) -> Solid:
    key = (kind, number, _stretch(wanted, number=number, z=z))
    if key not in wanted.known:
        wanted.known[key] = polygon_of(section(wanted.features[number], z=z))
    return wanted.known[key]


def _stretch(wanted: Wanted, *, number: int, z: Mm) -> float:
    """The same number for all heights at which the section is the same: the height itself where it is curved."""
    edges = wanted.edges[number]
    place = bisect.bisect_left(edges, z)
    on_edge = place < len(edges) and abs(edges[place] - z) < 1e-9
    if on_edge or curved(wanted, number=number, z=z):
        return z
    return 1e6 + place
