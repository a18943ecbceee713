"""How far a cutter bends and how its root is stressed, as a stepped cantilever loaded at its tip."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import radius
from camplan.units import Mm, NewtonPerMm2

FLUTED = 0.8
"""A fluted part bends as a round bar of 0.8 times its diameter (Kops & Vo, CIRP Annals 39, 1990, confirmed)."""

ELASTICITY: dict[str, NewtonPerMm2] = {"carbide": 580_000.0, "hss": 200_000.0}
"""The low ends of 580 to 630 and 200 to 210 GPa (MATERIAL-DATA, from memory)."""

BEARABLE: dict[str, NewtonPerMm2] = {"carbide": 600.0, "hss": 500.0}
"""Bending stress for good: the low ends of 600 to 1000 and 500 to 800 N/mm2 (common practice, no source)."""

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(12)
_SAMPLES = 17


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of the beam between two distances from the tip, its diameter changing evenly."""

    start: Mm
    end: Mm
    diameter_start: Mm
    diameter_end: Mm

    def diameter(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """The diameter at distances ``x`` (n,) from the tip."""
        share = (x - self.start) / (self.end - self.start)
        return self.diameter_start + share * (self.diameter_end - self.diameter_start)


def beam(cutter: Cutter, *, overhang: Mm, load_height: Mm = 0.0) -> tuple[Piece, ...]:
    """The cutter as pieces from ``load_height`` above its tip to the collet at ``overhang``: flutes at 0.8 of their
    diameter, neck and shank in full.

    Below the end of a corner arc the fluted part counts as wide as there: the load stands on the whole tip.
    """
    corner = (cutter.corner_radius or 0.0) * (1.0 - math.sin(cutter.half_angle or 0.0))
    corners = [corner, load_height, cutter.flute_length]
    if cutter.point_angle is not None:
        corners.append((cutter.diameter - cutter.tip_diameter) / 2.0 / math.tan(cutter.point_angle / 2.0))
    heights = sorted({0.0, *(min(height, cutter.flute_length) for height in corners)})
    least = max(corner, load_height)
    wide = [2.0 * FLUTED * float(radius(cutter, height=min(max(h, least), cutter.flute_length))) for h in heights]
    pieces = [
        Piece(start=heights[i], end=heights[i + 1], diameter_start=wide[i], diameter_end=wide[i + 1])
        for i in range(len(heights) - 1)
        if heights[i] >= load_height
    ]
    if cutter.reach > cutter.flute_length:
        neck = cutter.neck_diameter or cutter.diameter
        pieces.append(Piece(start=cutter.flute_length, end=cutter.reach, diameter_start=neck, diameter_end=neck))
    if overhang > cutter.reach:
        shank = cutter.shank_diameter
        pieces.append(Piece(start=cutter.reach, end=overhang, diameter_start=shank, diameter_end=shank))
    return tuple(pieces)


def compliance(pieces: tuple[Piece, ...], *, elasticity: NewtonPerMm2) -> float:
    """Bending of the tip a newton, mm/N: the integral of x^2/(E I) along the beam, I = pi d^4/64 (Castigliano).

    For two diameters this is [L1^3/I1 + (L^3 - L1^3)/I2] / 3E.

    >>> bar = Piece(start=0.0, end=20.0, diameter_start=6.0, diameter_end=6.0)
    >>> round(50.0 * 1000.0 * compliance((bar,), elasticity=600_000.0), 2)
    3.49
    """
    total = 0.0
    for piece in pieces:
        half = (piece.end - piece.start) / 2.0
        x = piece.start + half * (_GAUSS_X + 1.0)
        inertia = math.pi * piece.diameter(x) ** 4 / 64.0
        total += half * float(np.sum(_GAUSS_W * x**2 / inertia))
    return total / elasticity


def highest_stress(pieces: tuple[Piece, ...]) -> float:
    """Highest bending stress a newton, 1/mm2: the most of 32 x / (pi d^3) along the beam (beam theory).

    >>> bar = Piece(start=0.0, end=20.0, diameter_start=6.0, diameter_end=6.0)
    >>> round(highest_stress((bar,)), 3)
    0.943
    """
    highest = 0.0
    for piece in pieces:
        x = np.linspace(piece.start, piece.end, _SAMPLES)
        highest = max(highest, float(np.max(32.0 * x / (math.pi * piece.diameter(x) ** 3))))
    return highest


def slenderness(compliance_: float, *, diameter: Mm, elasticity: NewtonPerMm2) -> float:
    """The overhang, in diameters, of an even fluted bar of ``diameter`` that bends as far a newton.

    It puts stepped cutters on the scale that rules of thumb for overhang (3 D, 5 D, 8 D) speak of.
    """
    inertia = math.pi * (FLUTED * diameter) ** 4 / 64.0
    return float((3.0 * elasticity * inertia * compliance_) ** (1.0 / 3.0)) / diameter
