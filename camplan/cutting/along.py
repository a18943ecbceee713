"""Force, power and bending at every moment of a path whose engagement is known."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter, CutterKind, Machine, Material
from camplan.cutting.force import RADIAL, WEAR, cutting_power, unit_peaks
from camplan.cutting.strength import Engaged, hold, model_ratio
from camplan.units import Mm, Rad, Rpm

_ARCS = np.radians([2.0, 5.0, 10.0, 20.0, 30.0, 45.0, 60.0, 75.0, 90.0, 110.0, 130.0, 155.0, 180.0])
_DEPTHS = 16
_LEAST_CHIP: Mm = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moments:
    """k moments of one cutter: how much of its leading half is engaged, how deep, and how fast it is fed."""

    arc: NDArray[np.float64]
    deep: NDArray[np.float64]
    feed: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Borne:
    """Of each moment the highest force of a turn in the plane (N), the mean power (W) and the tip's way (mm), a worn
    edge assumed."""

    force: NDArray[np.float64]
    power: NDArray[np.float64]
    bending: NDArray[np.float64]


def borne(
    moments: Moments, *, cutter: Cutter, material: Material, machine: Machine, rpm: Rpm, depth: Mm
) -> Borne | None:
    """What cutter and mill bear at moments of a cut in a feature ``depth`` deep; None where no specific force is known.

    An arc of phi is taken as the cut beside a free side that has it, ae = D (1 - cos phi) / 2: the same formulas as
    the cutting data's (`strength.loads`), between 13 arcs and 16 depths straight.
    """
    if material.kc11 is None or material.mc is None or rpm <= 0.0 or not len(moments.arc):
        return None
    diameter = cutter.diameter
    arcs = np.clip(moments.arc, 0.0, math.pi)
    chips = np.maximum(moments.feed / (cutter.teeth * rpm), _LEAST_CHIP)
    table = _table(cutter.diameter, cutter.teeth, cutter.helix, material.mc, float(max(moments.deep.max(), 0.01)))
    unit = _between(table, arcs=arcs, depths=moments.deep)
    typical = float(np.median(chips))
    ratios = [_ratio(width, chip=typical, cutter=cutter, material=material) for width in _widths(diameter)]
    ratio = np.interp(arcs, _ARCS, np.maximum(ratios, 1.0))
    scale = material.kc11 * chips ** (1.0 - material.mc) * ratio * WEAR
    force = unit * scale
    each = [
        cutting_power(
            1.0, kc11=1.0, mc=material.mc, diameter=diameter, depth=1.0, width=width, teeth=cutter.teeth, rpm=rpm
        )
        for width in _widths(diameter)
    ]
    power = np.interp(arcs, np.concatenate(([0.0], _ARCS)), np.concatenate(([0.0], each))) * moments.deep * scale
    pointed = cutter.kind in (CutterKind.ENGRAVER, CutterKind.SPOT_DRILL)
    held = hold(
        cutter,
        machine=machine,
        diameter=diameter,
        overhang=max(cutter.stick_out, depth),
        load_height=min(depth, cutter.flute_length) if pointed else 0.0,
    )
    return Borne(force=force, power=power, bending=force * held.gives)


def _widths(diameter: Mm) -> list[Mm]:
    return [diameter * (1.0 - math.cos(arc)) / 2.0 for arc in _ARCS.tolist()]


def _ratio(width: Mm, *, chip: Mm, cutter: Cutter, material: Material) -> float:
    """Torque by the second force model over that by the first (`strength.model_ratio`)."""
    assert material.kc11 is not None and material.mc is not None
    none = np.zeros(0)
    case = Engaged(
        cutter=cutter,
        material=material,
        kc11=material.kc11,
        mc=material.mc,
        diameter=cutter.diameter,
        width=width,
        share=1.0,
        depths=none,
        resultant=none,
        normal=none,
        chip_most=math.inf,
    )
    return model_ratio(case, chip=chip)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Table:
    """Unit forces (arcs, depths) at `_ARCS` and at ``depths``, both from 0 on."""

    depths: NDArray[np.float64]
    unit: NDArray[np.float64]


@lru_cache(maxsize=128)
def _table(diameter: Mm, teeth: int, helix: Rad, mc: float, deepest: Mm) -> _Table:
    depths = np.linspace(deepest / _DEPTHS, deepest, _DEPTHS)
    rows = [
        unit_peaks(depths, diameter=diameter, width=width, teeth=teeth, helix=helix, mc=mc, radial=RADIAL).resultant
        for width in _widths(diameter)
    ]
    unit = np.zeros((len(_ARCS) + 1, _DEPTHS + 1))
    unit[1:, 1:] = rows
    return _Table(depths=np.concatenate(([0.0], depths)), unit=unit)


def _between(table: _Table, *, arcs: NDArray[np.float64], depths: NDArray[np.float64]) -> NDArray[np.float64]:
    """The table between its places, straight in both."""
    known = np.concatenate(([0.0], _ARCS))
    i = np.clip(np.searchsorted(known, arcs, side="right") - 1, 0, len(known) - 2)
    j = np.clip(np.searchsorted(table.depths, depths, side="right") - 1, 0, len(table.depths) - 2)
    u = np.clip((arcs - known[i]) / (known[i + 1] - known[i]), 0.0, 1.0)
    v = np.clip((depths - table.depths[j]) / (table.depths[j + 1] - table.depths[j]), 0.0, 1.0)
    unit = table.unit
    low = unit[i, j] * (1.0 - v) + unit[i, j + 1] * v
    high = unit[i + 1, j] * (1.0 - v) + unit[i + 1, j + 1] * v
    found: NDArray[np.float64] = low * (1.0 - u) + high * u
    return found
