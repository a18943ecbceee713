"""How deep a cut may be before bending, root stress or power is too much, at each chip."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter, Machine, Material
from camplan.cutting.bending import BEARABLE, ELASTICITY, beam, compliance, highest_stress, slenderness
from camplan.cutting.chip import thinned
from camplan.cutting.force import RADIAL, WEAR, Peaks, cutting_power, torque_of, unit_peaks
from camplan.cutting.limits import CUSTOM, Bound, power_at
from camplan.cutting.mechanistic import mean_torque
from camplan.units import UM_PER_MM, Mm, Newton, NewtonPerMm2, Rad, Rpm, Watt

_STEPS = 128
_BEYOND = 32
_SMALLER = 10


def depths_tried(customary_depth: Mm) -> NDArray[np.float64]:
    """Depths, rising: 128 even steps up to the customary one of a stout cutter on a firm mill, a quarter as many
    beyond it, and halves of the first step.

    They do not depend on overhang or stiffness, so that neither can move the answer between two steps.
    """
    step = customary_depth / _STEPS
    small = step / 2.0 ** np.arange(_SMALLER, 0, -1)
    return np.concatenate([small, step * np.arange(1, _STEPS + _BEYOND + 1)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A cutter in its mill: how far its tip gives a newton (mm/N), with the mill and alone, and its root's stress."""

    gives: float
    stress: float
    slenderness: float
    bearable: NewtonPerMm2


def hold(cutter: Cutter, *, machine: Machine, diameter: Mm, overhang: Mm, load_height: Mm) -> Hold:
    """The cutter clamped at ``overhang``, loaded at ``load_height`` above its tip."""
    elasticity = ELASTICITY[cutter.tool_material]
    pieces = beam(cutter, overhang=overhang, load_height=load_height)
    bends = compliance(pieces, elasticity=elasticity)
    return Hold(
        gives=bends + 1.0 / (machine.stiffness * UM_PER_MM),
        stress=highest_stress(pieces),
        slenderness=slenderness(bends, diameter=diameter, elasticity=elasticity),
        bearable=BEARABLE[cutter.tool_material],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """How far the tip may give (mm): by the force square to the feed alone for a finished wall, else by all of it;
    ``edge`` is the edge's force over a sharp one's (`WEAR` when roughing, 1 for skims, which want a sharp edge).
    """

    most: Mm
    square_to_wall: bool
    edge: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Engaged:
    """A cutter engaged ``width`` at any of ``depths`` (n,), rising.

    ``resultant`` and ``normal`` (n,): highest force over a turn and over all lesser depths, for kc1.1 = 1 and fz = 1.
    ``share``: the chip per tooth over the wanted thickest chip before thinning, which raises it to ``chip_most`` at
    most.
    """

    cutter: Cutter
    material: Material
    kc11: NewtonPerMm2
    mc: float
    diameter: Mm
    width: Mm
    share: float
    depths: NDArray[np.float64]
    resultant: NDArray[np.float64]
    normal: NDArray[np.float64]
    chip_most: Mm


def engaged(
    cutter: Cutter,
    *,
    material: Material,
    diameter: Mm,
    width: Mm,
    share: float,
    depths: NDArray[np.float64],
    chip_most: Mm = math.inf,
) -> Engaged | None:
    """The engagement, or None where no specific force is known for the material."""
    if material.kc11 is None or material.mc is None:
        return None
    peaks = _peaks(
        depths.tobytes(), diameter=diameter, width=width, teeth=cutter.teeth, helix=cutter.helix, mc=material.mc
    )
    return Engaged(
        cutter=cutter,
        material=material,
        kc11=material.kc11,
        mc=material.mc,
        diameter=diameter,
        width=width,
        share=share,
        depths=depths,
        resultant=np.maximum.accumulate(peaks.resultant),
        normal=np.maximum.accumulate(peaks.normal),
        chip_most=chip_most,
    )


@lru_cache(maxsize=4096)
def _peaks(depths: bytes, *, diameter: Mm, width: Mm, teeth: int, helix: Rad, mc: float) -> Peaks:
    """Peaks at depths given as the bytes of their array; the same cut is asked for by many figures."""
    return unit_peaks(
        np.frombuffer(depths, dtype=np.float64),
        diameter=diameter,
        width=width,
        teeth=teeth,
        helix=helix,
        mc=mc,
        radial=RADIAL,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """What one depth and chip load cutter and mill with: highest force in the plane and mean power of a worn edge,
    root stress with the run-out on one tooth, and the tip's way that counts.
    """

    force: Newton
    power: Watt
    stress: NewtonPerMm2
    bending: Mm


def chip_of(case: Engaged, *, thickest: Mm) -> Mm:
    """Chip per tooth of the engagement for a wanted thickest chip."""
    return min(thinned(case.share * thickest, diameter=case.diameter, width=case.width), case.chip_most)


def bending_at(case: Engaged, *, depth: Mm, chip: Mm, held: Hold, bend: Bend) -> Mm:
    """The tip's way that counts at ``depth`` for a chip per tooth as it is fed."""
    moving = case.normal if bend.square_to_wall else case.resultant
    return float(moving[_place(case, depth=depth)]) * _sharp_scale(case, chip=chip) * bend.edge * held.gives


def _place(case: Engaged, *, depth: Mm) -> int:
    return min(int(np.searchsorted(case.depths, depth - 1e-9)), len(case.depths) - 1)


def model_ratio(case: Engaged, *, chip: Mm) -> float:
    """Mean torque by the second force model over that by Kienzle; 1 where the second has no coefficients."""
    if case.material.coefficients is None:
        return 1.0
    kienzle = torque_of(
        cutting_power(
            chip,
            kc11=case.kc11,
            mc=case.mc,
            diameter=case.diameter,
            depth=1.0,
            width=case.width,
            teeth=case.cutter.teeth,
            rpm=1000.0,
        ),
        rpm=1000.0,
    )
    second = mean_torque(
        case.material.coefficients,
        chip=chip,
        depth=1.0,
        diameter=case.diameter,
        width=case.width,
        teeth=case.cutter.teeth,
    )
    return second / kienzle


def _sharp_scale(case: Engaged, *, chip: Mm) -> float:
    return float(case.kc11 * chip ** (1.0 - case.mc)) * max(1.0, model_ratio(case, chip=chip))


def _uneven(case: Engaged, *, chip: Mm, run_out: Mm) -> float:
    worst = min(chip + run_out, case.cutter.teeth * chip)
    return float((worst / chip) ** (1.0 - case.mc))


def _power_a_mm(case: Engaged, *, chip: Mm, rpm: Rpm) -> Watt:
    sharp = cutting_power(
        chip,
        kc11=case.kc11,
        mc=case.mc,
        diameter=case.diameter,
        depth=1.0,
        width=case.width,
        teeth=case.cutter.teeth,
        rpm=rpm,
    )
    return sharp * WEAR * max(1.0, model_ratio(case, chip=chip))


def loads(case: Engaged, *, depth: Mm, thickest: Mm, rpm: Rpm, run_out: Mm, held: Hold, bend: Bend) -> Loads:
    """The loads at ``depth``: those of the next depth tried, so never too low."""
    chip = chip_of(case, thickest=thickest)
    place = _place(case, depth=depth)
    sharp = _sharp_scale(case, chip=chip)
    force = float(case.resultant[place]) * sharp * WEAR
    moving = case.normal if bend.square_to_wall else case.resultant
    return Loads(
        force=force,
        power=_power_a_mm(case, chip=chip, rpm=rpm) * depth,
        stress=force * _uneven(case, chip=chip, run_out=run_out) * held.stress,
        bending=float(moving[place]) * sharp * bend.edge * held.gives,
    )


def depth_bounds(
    case: Engaged, *, thickest: Mm, rpm: Rpm, machine: Machine, held: Hold, bend: Bend
) -> tuple[Bound, ...]:
    """How deep the cut may be by bending, by root stress and by power; infinite where the deepest tried is no limit,
    0 where the shallowest tried is too much.
    """
    chip = chip_of(case, thickest=thickest)
    sharp = _sharp_scale(case, chip=chip)
    moving = case.normal if bend.square_to_wall else case.resultant
    uneven = _uneven(case, chip=chip, run_out=machine.run_out)
    power = power_at(machine, rpm=rpm)
    by_power = power / _power_a_mm(case, chip=chip, rpm=rpm)
    slot = " in a slot" if case.width >= case.diameter else ""
    return (
        Bound(
            most=_deepest(case, moving * (sharp * bend.edge * held.gives), most=bend.most),
            what=f"deeper would bend cutter and mill by more than {bend.most * UM_PER_MM:.0f} um{slot}",
            source=f"KIENZLE; {case.material.kc_source}; KOPS-VO; limit: {CUSTOM}",
        ),
        Bound(
            most=_deepest(case, case.resultant * (sharp * WEAR * uneven * held.stress), most=held.bearable),
            what=f"deeper would stress the cutter above {held.bearable:.0f} N/mm2{slot}, run-out on one tooth",
            source=f"KIENZLE; {case.material.kc_source}; beam theory; limit: {CUSTOM}",
        ),
        Bound(
            most=by_power if by_power < float(case.depths[-1]) else math.inf,
            what=f"deeper would ask more than the {power:.0f} W at {rpm:,.0f} rpm{slot}",
            source=f"KIENZLE; {case.material.kc_source}; {machine.source}",
        ),
    )


def _deepest(case: Engaged, loads_: NDArray[np.float64], *, most: float) -> Mm:
    good = int(np.searchsorted(loads_, most, side="right"))
    if good == len(loads_):
        return math.inf
    return float(case.depths[good - 1]) if good else 0.0
