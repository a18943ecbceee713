"""The units that figures are in inside the house, and the factors met at its edges.

Inside, lengths are mm, angles rad, feeds mm/min, forces N, powers W, times s.  A figure that
enters or leaves in another unit says so in its name (``diameter_mm``, ``draft_deg``).
"""

import math
from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, slots=True)
class Unit:
    """The unit of an annotated number."""

    symbol: str


Mm = Annotated[float, Unit("mm")]
Mm2 = Annotated[float, Unit("mm2")]
Mm3 = Annotated[float, Unit("mm3")]
Rad = Annotated[float, Unit("rad")]
MmPerMin = Annotated[float, Unit("mm/min")]
Mm3PerMin = Annotated[float, Unit("mm3/min")]
MmPerS2 = Annotated[float, Unit("mm/s2")]
MmPerS3 = Annotated[float, Unit("mm/s3")]
MPerMin = Annotated[float, Unit("m/min")]
Rpm = Annotated[float, Unit("1/min")]
Seconds = Annotated[float, Unit("s")]
Newton = Annotated[float, Unit("N")]
NewtonMm = Annotated[float, Unit("N mm")]
NewtonPerMm2 = Annotated[float, Unit("N/mm2")]
NewtonPerUm = Annotated[float, Unit("N/um")]
Watt = Annotated[float, Unit("W")]
Gram = Annotated[float, Unit("g")]
Celsius = Annotated[float, Unit("degrees C")]
Mm2PerS = Annotated[float, Unit("mm2/s")]
KgPerM3 = Annotated[float, Unit("kg/m3")]

MM_PER_INCH = 25.4
UM_PER_MM = 1000.0
S_PER_MIN = 60.0
N_PER_KN = 1000.0
MM2_PER_CM2 = 100.0
PERCENT = 100.0
G_PER_MM3 = 1e-6
"""A density in kg/m3 times this is one in g/mm3."""


def rad_from_deg(angle_deg: float) -> Rad:
    """An angle in degrees as radians."""
    return math.radians(angle_deg)


def deg_from_rad(angle: Rad) -> float:
    """An angle in radians as degrees."""
    return math.degrees(angle)
