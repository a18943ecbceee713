"""What operations are chosen from: the shelf, the material and the machine, asked for cutting data once each."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting.data import capped_data, cutting_data
from camplan.cutting.records import CutKind, CuttingData, Reason
from camplan.errors import InputError
from camplan.features.records import Feature
from camplan.features.specs import PocketSpec
from camplan.units import Mm, Seconds

FLATS = (CutterKind.SLOT_DRILL, CutterKind.END_MILL)

DataFor = Callable[[Cutter, CutKind, Mm, Mm | None], CuttingData]
"""Cutter, kind of cut, depth to reach, width (None: as wide as it bears) to cutting data."""

WallData = Callable[[Cutter, Mm, Mm | None, Mm], CuttingData]
"""Cutter, depth to reach, width of the skin (None: as wide as it bears) and the wall's tolerance to cutting data."""


EvenData = Callable[[Cutter, Mm, Mm, Mm], CuttingData]
"""Cutter, depth to reach, step over and depth of a level to the cutting data of fronts."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shop:
    """``cutters`` in the order of the job; ``data_for``, for finished walls ``wall_data`` and for fronts ``even_data``
    remember answers; ``both_ways``: whether fronts may run either way."""

    cutters: tuple[Cutter, ...]
    material: Material
    machine: Machine
    data_for: DataFor
    wall_data: WallData
    even_data: EvenData
    both_ways: bool = False


def furnished(cutters: tuple[Cutter, ...], *, material: Material, machine: Machine, both_ways: bool = False) -> Shop:
    """A shop that works out each cutting data once."""

    @cache
    def data_for(cutter: Cutter, kind: CutKind, depth: Mm, width: Mm | None) -> CuttingData:
        return cutting_data(cutter, material=material, machine=machine, kind=kind, depth=depth, width=width)

    @cache
    def wall_data(cutter: Cutter, depth: Mm, width: Mm | None, tolerance: Mm) -> CuttingData:
        return cutting_data(
            cutter,
            material=material,
            machine=machine,
            kind=CutKind.WALL,
            depth=depth,
            width=width,
            tolerance=tolerance,
        )

    @cache
    def even_data(cutter: Cutter, depth: Mm, width: Mm, deepest: Mm) -> CuttingData:
        return capped_data(
            cutter, material=material, machine=machine, kind=CutKind.EVEN, depth=depth, width=width, deepest=deepest
        )

    return Shop(
        cutters=cutters,
        material=material,
        machine=machine,
        data_for=data_for,
        wall_data=wall_data,
        even_data=even_data,
        both_ways=both_ways,
    )


_FLOOR_SHARE = 0.25


def wall_finish(spec: PocketSpec, *, shop: Shop) -> Mm:
    """What roughing leaves on a pocket's walls."""
    return shop.material.finish_wall if spec.finish is None else spec.finish


def floor_finish(feature: Feature, *, depth: Mm, shop: Shop) -> Mm:
    """What roughing leaves on a pocket's floor, ``depth`` below its top; nothing where it goes through."""
    return 0.0 if feature.through else min(shop.material.finish_floor, _FLOOR_SHARE * depth)


def allowed(shop: Shop, *, names: tuple[str, ...], kinds: tuple[CutterKind, ...]) -> tuple[Cutter, ...]:
    """The cutters of some kinds, only those named if any are, widest first."""
    found = [cutter for cutter in shop.cutters if cutter.kind in kinds and (not names or cutter.name in names)]
    return tuple(sorted(found, key=lambda cutter: (-cutter.diameter, -cutter.reach, cutter.name)))


def straight_walled(shop: Shop, *, names: tuple[str, ...], below: Mm) -> tuple[Cutter, ...]:
    """The cutters that leave a straight wall down to a depth that they pass by ``below``, widest first: flat ones, and
    bull noses whose round ends by then."""
    listed = allowed(shop, names=names, kinds=(*FLATS, CutterKind.BULL_NOSE))
    return tuple(cutter for cutter in listed if cutter.kind in FLATS or (cutter.corner_radius or 0.0) <= below + 1e-9)


def reaching(cutters: tuple[Cutter, ...], *, depth: Mm) -> tuple[Cutter, ...]:
    """The cutters whose neck lets them down to a depth."""
    return tuple(cutter for cutter in cutters if cutter.reach >= depth - 1e-9)


def suited(cutters: tuple[Cutter, ...], *, kind: CutKind, depth: Mm, shop: Shop) -> tuple[Cutter, ...]:
    """The cutters for which there is cutting data for a kind of cut at a depth."""
    found = []
    for cutter in cutters:
        try:
            shop.data_for(cutter, kind, depth, None)
        except InputError:
            continue
        found.append(cutter)
    return tuple(found)


def change_seconds(shop: Shop) -> Seconds:
    """What another cutter costs: the change, and the spindle up to speed again."""
    return shop.machine.cutter_change + shop.machine.spin_up


def why(figure: str, sentence: str, *, source: str = "") -> Reason:
    """A reason of the planner's own."""
    return Reason(figure=figure, sentence=sentence, source=source)
