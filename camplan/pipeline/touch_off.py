"""Shallow work: what the mill, the touching off and the plate leave sure of it, and where to touch off for it.

A vent a few hundredths deep is as deep as Z zero is true where it is cut.  Zeroed on that very spot, the plate's own
flatness falls away; so what is shallow stands in a program of its own, whose header and sheet name the place.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby

from camplan.catalogue.records import Machine
from camplan.features.records import Feature, Plate
from camplan.features.sections import may, shallow_floor
from camplan.features.specs import FaceSpec, GrooveSpec, HoleSpec, PocketSpec
from camplan.findings import Finding, Severity
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.operations import areas
from camplan.operations.records import Operation
from camplan.operations.sequence import Batch
from camplan.passes.entry import roomiest
from camplan.planned import TouchOff
from camplan.units import UM_PER_MM, Mm

SHARE = 3.0
"""Work less deep than so many times what may be off is shallow (common practice, no source)."""
_MOST_SPOTS = 6
_BERTH: Mm = 0.3
_BESIDE: Mm = 2.0


def touch_offs(
    features: Sequence[Feature], *, operations: Sequence[Operation], plate: Plate, machine: Machine, flatness: Mm
) -> tuple[TouchOff, ...]:
    """For each shallow pocket and groove that starts at the plate's top the places on which Z is to be zeroed.

    One cutter by itself touches where it is going to cut, in each piece where nothing else is cut; where several
    follow each other, they touch beside it, on what none of them cuts.
    """
    found = []
    off = machine.step + machine.touch_off + flatness
    outline = areas.standing(plate, z=0.0)
    for feature in features:
        depth = _least(feature)
        if not isinstance(feature.spec, PocketSpec | GrooveSpec) or feature.top > 0.0 or depth >= SHARE * off:
            continue
        figure = areas.of_section(may(feature, z=0.0))
        others = clipper.union([_cut(other) for other in features if other.spec.name != feature.spec.name])
        cutters = {one.cutter.name: one.cutter for one in operations if one.feature.spec.name == feature.spec.name}
        bare = clipper.difference(figure, less=others)
        if len(cutters) > 1:
            radius = max(cutter.diameter for cutter in cutters.values()) / 2.0
            bare = _beside(figure, others=others, plate=outline, radius=radius) or bare
        pieces = clipper.pieces(bare) or clipper.pieces(figure)
        spots = [roomiest(piece, within=piece) for piece in pieces[:_MOST_SPOTS]]
        at = tuple((round(spot.centre[0], 3), round(spot.centre[1], 3)) for spot in spots if spot is not None)
        found.append(TouchOff(feature=feature.spec.name, depth=depth, at=at))
    return tuple(found)


def _beside(figure: Area, *, others: Area, plate: Area, radius: Mm) -> Area:
    """Where a cutter's middle may be beside a figure so that it touches nothing that is cut."""
    near = clipper.offset(figure, by=2.0 * radius + _BESIDE)
    kept = clipper.offset(clipper.union([figure, others]), by=radius + _BERTH)
    return clipper.intersection(clipper.difference(near, less=kept), with_=clipper.offset(plate, by=-radius - _BERTH))


def shallow_findings(spots: Iterable[TouchOff], *, machine: Machine, flatness: Mm) -> list[Finding]:
    """What to look to before shallow work is cut."""
    off = (machine.step + machine.touch_off + flatness) * UM_PER_MM
    there = (machine.step + machine.touch_off) * UM_PER_MM
    return [
        Finding(
            severity=Severity.CAUTION,
            code="shallow-depth",
            message=f"{spot.feature} is {spot.depth:g} mm deep where it is shallowest; the mill's step of "
            f"{machine.step * UM_PER_MM:g} um, touching off to {machine.touch_off * UM_PER_MM:g} um and a plate flat "
            f"to {flatness * UM_PER_MM:g} um may make it {off:.0f} um more or less; zero Z at {said(spot)} before its "
            f"program: then {there:.0f} um remain",
            where=spot.feature,
        )
        for spot in spots
    ]


def said(spot: TouchOff) -> str:
    """The first place, and how many more there are."""
    x, y = spot.at[0]
    more = f" (or the nearest of {len(spot.at) - 1} more)" if len(spot.at) > 1 else ""
    return f"X{x:.3f} Y{y:.3f}{more}"


def parted(batches: Iterable[Batch], *, spots: Sequence[TouchOff]) -> list[Batch]:
    """The batches with the operations of each shallow feature in a batch of their own, on the untouched plate first
    where nothing is faced."""
    shallow = {spot.feature for spot in spots}

    def own(name: str) -> str:
        return name if name in shallow else ""

    found: list[Batch] = []
    for batch in batches:
        operations = list(batch.operations)
        if not any(isinstance(one.feature.spec, FaceSpec) for one in operations):
            operations.sort(key=lambda one: one.feature.spec.name not in shallow)
        runs = groupby(operations, key=lambda one: own(one.feature.spec.name))
        found.extend(Batch(cutter=batch.cutter, operations=tuple(run)) for _, run in runs)
    return found


def touch_off_of(batch: Batch, *, spots: Sequence[TouchOff]) -> TouchOff | None:
    """Where Z is zeroed for a batch of one shallow feature; None for any other."""
    name = batch.operations[0].feature.spec.name
    return next((spot for spot in spots if spot.feature == name), None)


def touch_off_lines(spot: TouchOff | None) -> tuple[str, ...]:
    """What a program's header says of it."""
    if spot is None:
        return ()
    return (f"TOUCH OFF Z AT {said(spot)}: {spot.feature} is {spot.depth:g} mm deep",)


def _least(feature: Feature) -> Mm:
    shallow = shallow_floor(feature)
    return feature.bottom if shallow is None else shallow


def _cut(feature: Feature) -> Area:
    """What a feature takes of the plate's top; nothing of what goes round parts or along marks."""
    if not isinstance(feature.spec, PocketSpec | GrooveSpec | HoleSpec) or feature.top > 0.0:
        return ()
    return areas.of_section(may(feature, z=0.0))
