"""Holes: feed a turn, thrust and torque, pecks."""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, CutterKind, CuttingRow, Machine, Material
from camplan.cutting.bending import BEARABLE, FLUTED
from camplan.cutting.chip import least_mean_chip, table_chip
from camplan.cutting.entry import PLUNGE_FEED
from camplan.cutting.force import WEAR, specific_force
from camplan.cutting.limits import CUSTOM, Bound, power_at, tightest
from camplan.cutting.speed import FULL_SPEED, ChosenSpeed, SpeedFactor, chosen_speed
from camplan.units import Mm, Newton, NewtonMm, NewtonPerMm2, Rad, Rpm, Watt

DEEP = 3.0
"""A hole deeper than this many diameters is deep: it is pecked, slower and with less feed (DRILL-NOTES, confirmed)."""

DEEP_SPEED = 0.5
"""Speed in a deep hole without coolant through the drill (UF-DML, confirmed)."""

DEEP_FEED = 0.8
"""Feed a turn in a deep hole (common practice, no source; that it is cut back: DRILL-NOTES, confirmed)."""

SMALL: Mm = 2.0
"""Drills below this peck half a diameter from the start (common practice, no source)."""

POINT_DEFAULT: Rad = math.pi
"""A cutter without a point bores with a flat end."""


def chip_thickness(feed_a_turn: Mm, *, lips: int, point_angle: Rad) -> Mm:
    """h = f/z sin(sigma/2), mm (KLOCKE; TSCHAETSCH, from memory).

    >>> round(chip_thickness(0.2, lips=2, point_angle=math.radians(118.0)), 4)
    0.0857
    """
    return feed_a_turn / lips * math.sin(point_angle / 2.0)


def drill_torque(feed_a_turn: Mm, *, diameter: Mm, specific: NewtonPerMm2) -> NewtonMm:
    """M = kc f D^2 / 8, N mm (KLOCKE; TSCHAETSCH, from memory).

    >>> drill_torque(0.2, diameter=10.0, specific=500.0)
    1250.0
    """
    return specific * feed_a_turn * diameter**2 / 8.0


def drill_thrust(feed_a_turn: Mm, *, diameter: Mm, specific: NewtonPerMm2, point_angle: Rad) -> Newton:
    """F = kc f D/2 sin(sigma/2), N, both lips together (TSCHAETSCH, from memory); a blunt web asks more."""
    return specific * feed_a_turn * diameter / 2.0 * math.sin(point_angle / 2.0)


def peck_depths(depth: Mm, *, diameter: Mm, free: Mm) -> tuple[Mm, ...]:
    """The pecks that make ``depth``; none up to ``free``.

    2 D first (DRILL-NOTES, confirmed), 1 D down to 5 D, 0.5 D beyond (common practice, no source); drills below 2 mm
    0.5 D from the start.

    >>> peck_depths(12.0, diameter=4.0, free=12.0)
    ()
    >>> peck_depths(23.0, diameter=4.0, free=12.0)
    (8.0, 4.0, 4.0, 4.0, 2.0, 1.0)
    """
    if depth <= free:
        return ()
    pecks: list[Mm] = []
    done = 0.0
    while depth - done > 1e-6:
        share = 0.5 if diameter < SMALL or done >= 5.0 * diameter - 1e-9 else 1.0 if pecks else 2.0
        pecks.append(round(min(share * diameter, depth - done), 6))
        done += pecks[-1]
    return tuple(pecks)


def peck_free_depth(cutter: Cutter) -> Mm:
    """Depth that needs no peck: 3 D for drills of 2 mm and more, 2 D below (DRILL-NOTES, confirmed: 2 to 3 D); half a
    diameter for cutters that are no drills (CUTTER-NOTES, confirmed: 0.5 to 1.0 D); a reamer is never pecked."""
    match cutter.kind:
        case CutterKind.REAMER:
            return cutter.flute_length
        case CutterKind.DRILL | CutterKind.SPOT_DRILL:
            return (DEEP if cutter.diameter >= SMALL else 2.0) * cutter.diameter
        case _:
            return 0.5 * cutter.diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """What was found for a hole; ``floor`` is the feed a turn below which the lips rub."""

    speed: ChosenSpeed
    rpm: Rpm
    feed_a_turn: Mm
    feed_limits: tuple[Bound, ...]
    floor: Mm
    peck_free: Mm
    pecks: tuple[Mm, ...]
    thrust: Newton | None
    power: Watt | None


def drilled(cutter: Cutter, *, material: Material, machine: Machine, row: CuttingRow, depth: Mm) -> Drilled:
    """The figures of a hole of ``depth`` made by a drill, spotting drill, reamer, or a cutter that may plunge."""
    diameter = cutter.diameter
    deep = depth > DEEP * diameter
    factor = _speed_factor(cutter, deep=deep)
    speed = chosen_speed(cutter, row=row, machine=machine, diameter=diameter, factor=factor)
    feed, feed_why, feed_source = _feed_a_turn(cutter, material=material, row=row, deep=deep)
    limits = [
        Bound(most=feed, what=feed_why, source=feed_source),
        Bound(
            most=machine.feed_max / speed.rpm,
            what=f"the mill's highest feed, {machine.feed_max:,.0f} mm/min",
            source=machine.source,
        ),
    ]
    point = cutter.point_angle or POINT_DEFAULT
    thrust = power = None
    loaded = material.kc11 is not None and material.mc is not None and cutter.kind is not CutterKind.REAMER
    if loaded and material.kc11 is not None and material.mc is not None:
        kc11, mc = material.kc11 * WEAR, material.mc
        spindle = 1000.0 * power_at(machine, rpm=speed.rpm) / (2.0 * math.pi * speed.rpm / 60.0)
        shear = BEARABLE[cutter.tool_material] / 2.0
        twist = shear * math.pi * (FLUTED * diameter) ** 3 / 16.0
        for torque, what, source in (
            (spindle, f"more would ask more than the spindle's {spindle / 1000.0:.2f} N m", machine.source),
            (twist, f"more would twist the cutter above {shear:.0f} N/mm2", CUSTOM),
        ):
            most = _feed_for_torque(torque, diameter=diameter, kc11=kc11, mc=mc, lips=cutter.teeth, point=point)
            limits.append(Bound(most=most, what=what, source=f"KLOCKE; {material.kc_source}; {source}"))
    ordered = tightest(limits)
    feed = ordered[0].most
    if loaded and material.kc11 is not None and material.mc is not None:
        thickness = chip_thickness(feed, lips=cutter.teeth, point_angle=point)
        kc = WEAR * specific_force(thickness, kc11=material.kc11, mc=material.mc)
        thrust = drill_thrust(feed, diameter=diameter, specific=kc, point_angle=point)
        power = drill_torque(feed, diameter=diameter, specific=kc) * 2.0 * math.pi * speed.rpm / 60.0 / 1000.0
    free = peck_free_depth(cutter)
    pecks_wanted = cutter.kind is not CutterKind.REAMER
    return Drilled(
        speed=speed,
        rpm=speed.rpm,
        feed_a_turn=feed,
        feed_limits=ordered,
        floor=least_mean_chip(cutter.edge_radius) * cutter.teeth / math.sin(point / 2.0),
        peck_free=free,
        pecks=peck_depths(depth, diameter=diameter, free=free) if pecks_wanted else (),
        thrust=thrust,
        power=power,
    )


def _speed_factor(cutter: Cutter, *, deep: bool) -> SpeedFactor:
    match cutter.kind:
        case CutterKind.SPOT_DRILL:
            return SpeedFactor(share=0.25, what="a quarter for spotting", source="UF-DML, confirmed for countersinks")
        case CutterKind.REAMER:
            return SpeedFactor(share=0.5, what="half for reaming", source=CUSTOM)
        case CutterKind.DRILL:
            slow = SpeedFactor(share=DEEP_SPEED, what="half in a deep hole", source="UF-DML, confirmed")
            return slow if deep else FULL_SPEED
        case _:
            return SpeedFactor(share=0.75, what="three quarters straight down", source="UF-DML, confirmed")


def _feed_a_turn(cutter: Cutter, *, material: Material, row: CuttingRow, deep: bool) -> tuple[Mm, str, str]:
    ratio = material.drill_feed_ratio
    match cutter.kind:
        case CutterKind.REAMER:
            return 2.0 * ratio * cutter.diameter, f"{2.0 * ratio:.3f} D a turn, twice a drill's, for reaming", CUSTOM
        case CutterKind.DRILL | CutterKind.SPOT_DRILL:
            share = DEEP_FEED if deep else 1.0
            deeper = ", a fifth less in a deep hole" if deep else ""
            return ratio * share * cutter.diameter, f"{ratio:.3f} D a turn is customary{deeper}", CUSTOM
        case _:
            table = table_chip(row, diameter=cutter.diameter)
            chip = (table.least + table.most) / 2.0
            return PLUNGE_FEED * chip * cutter.teeth, "a quarter of the side feed, straight down", "UF-DML, confirmed"


def _feed_for_torque(torque: NewtonMm, *, diameter: Mm, kc11: NewtonPerMm2, mc: float, lips: int, point: Rad) -> Mm:
    """The feed a turn at which `drill_torque` is ``torque``: kc itself falls with the feed."""
    at_one = drill_torque(
        1.0,
        diameter=diameter,
        specific=specific_force(chip_thickness(1.0, lips=lips, point_angle=point), kc11=kc11, mc=mc),
    )
    return float((torque / at_one) ** (1.0 / (1.0 - mc)))
