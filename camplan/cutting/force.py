"""Cutting forces by Kienzle's specific force, torque and power; peaks over a turn with helical flutes."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.cutting.chip import engagement, mean_chip
from camplan.units import Mm, MmPerMin, MPerMin, Newton, NewtonMm, NewtonPerMm2, Rad, Rpm, Watt

WEAR = 1.3
"""Force of a worn edge over a sharp one's (TSCHAETSCH, 1.3 to 1.5, from memory; MCTH allows 25 %, confirmed)."""

RADIAL = 0.4
"""Radial over tangential force (common practice, no source: 0.3 to 0.5; CJME-2021 coefficients give 0.16 to 0.60)."""

_ARC_STEPS = 360
_TURN_STEPS = 240
_UPRIGHT: Rad = 1e-6
"""An edge that trails its tip by less is upright: a difference of sums would be rounding alone."""


def specific_force(thickness: Mm, *, kc11: NewtonPerMm2, mc: float) -> NewtonPerMm2:
    """kc = kc1.1 h**-mc, N/mm2 (Kienzle 1952, as in Klocke, Manufacturing Processes 1, from memory), h in mm above 0.

    >>> round(specific_force(0.03183, kc11=800.0, mc=0.25))
    1894
    """
    return float(kc11 * thickness**-mc)


def removal_rate(feed: MmPerMin, *, depth: Mm, width: Mm) -> float:
    """Q = ap ae vf, mm3/min (KALPAKJIAN, from memory).

    >>> removal_rate(500.0, depth=3.0, width=100.0)
    150000.0
    """
    return feed * depth * width


def power_of(removal: float, *, specific: NewtonPerMm2) -> Watt:
    """Pc = Q kc / 60 000, W, Q in mm3/min; a specific energy in W s/mm3 is 1000 times that in N/mm2.

    >>> power_of(150_000.0, specific=3000.0)
    7500.0
    """
    return removal * specific / 60_000.0


def cutting_power(
    chip: Mm, *, kc11: NewtonPerMm2, mc: float, diameter: Mm, depth: Mm, width: Mm, teeth: int, rpm: Rpm
) -> Watt:
    """Pc = ap ae vf kc(hm) / 60 000, W (KLOCKE, from memory).

    Taking kc at the mean chip is a little high: 3.6 % at ae = D/4 and mc = 0.25 against the integral along the arc.
    """
    reached = min(width, diameter)
    kc = specific_force(mean_chip(chip, diameter=diameter, width=reached), kc11=kc11, mc=mc)
    return power_of(removal_rate(chip * teeth * rpm, depth=depth, width=reached), specific=kc)


def torque_of(power: Watt, *, rpm: Rpm) -> NewtonMm:
    """M = P / omega, N mm (definition; 9550 P/n in kW and N m).

    >>> round(torque_of(7500.0, rpm=100.0) / 1000.0)
    716
    """
    return 1000.0 * power / (2.0 * math.pi * rpm / 60.0)


def mean_force_of(power: Watt, *, surface_speed: MPerMin) -> Newton:
    """Mean tangential force F = 60 P / vc, N (definition).

    >>> round(mean_force_of(240.0, surface_speed=14.13))
    1019
    """
    return 60.0 * power / surface_speed


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaks:
    """Highest forces over a turn, one for each depth asked: in the plane, and square to the feed."""

    resultant: NDArray[np.float64]
    normal: NDArray[np.float64]


def unit_peaks(
    depths: NDArray[np.float64], *, diameter: Mm, width: Mm, teeth: int, helix: Rad, mc: float, radial: float = RADIAL
) -> Peaks:
    """Peaks for kc1.1 = 1 N/mm2 and fz = 1 mm at each of ``depths`` (n,), down milling; multiply by
    kc1.1 fz**(1 - mc).

    A tooth's edge at height z trails its tip by z tan(helix) / R, so that only part of a deep edge cuts at once.
    Along the edge dFt = h**(1-mc) dz with h = sin(phi) and dFr = ``radial`` dFt; both are turned into feed and normal
    direction, summed along the edge by cumulated integrals over phi, over all teeth, and the highest sum over a
    pitch is kept.
    """
    phi_e = engagement(diameter, width=min(width, diameter))
    phi = math.pi - phi_e + np.linspace(0.0, phi_e, _ARC_STEPS + 1)
    tangential = np.maximum(np.sin(phi), 0.0) ** (1.0 - mc)
    along = tangential * (-np.cos(phi) - radial * np.sin(phi))
    across = tangential * (np.sin(phi) - radial * np.cos(phi))
    pitch = 2.0 * math.pi / teeth
    lag = 2.0 * math.tan(helix) / diameter
    turn = phi[0] + pitch * np.arange(_TURN_STEPS) / _TURN_STEPS
    teeth_needed = math.ceil((phi_e + lag * float(np.max(depths))) / pitch) + 1
    tip = turn[:, None] + pitch * np.arange(teeth_needed)[None, :]
    if lag * float(np.max(depths)) < _UPRIGHT:
        inside = (tip <= phi[-1]).astype(np.float64)
        one_x = np.sum(np.interp(tip, phi, along) * inside, axis=1)
        one_y = np.sum(np.interp(tip, phi, across) * inside, axis=1)
        x, y = depths[:, None] * one_x, depths[:, None] * one_y
    else:
        sum_x, sum_y = _cumulated(along, phi=phi), _cumulated(across, phi=phi)
        top = tip[None, :, :] - lag * depths[:, None, None]
        x = np.sum(np.interp(tip, phi, sum_x)[None, :, :] - np.interp(top, phi, sum_x), axis=2) / lag
        y = np.sum(np.interp(tip, phi, sum_y)[None, :, :] - np.interp(top, phi, sum_y), axis=2) / lag
    return Peaks(resultant=np.max(np.hypot(x, y), axis=1), normal=np.max(np.abs(y), axis=1))


def _cumulated(values: NDArray[np.float64], *, phi: NDArray[np.float64]) -> NDArray[np.float64]:
    pieces = (values[1:] + values[:-1]) / 2.0 * np.diff(phi)
    return np.concatenate([[0.0], np.cumsum(pieces)])
