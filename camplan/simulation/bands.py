"""A cutter as bands: stretches of height above the tip in which its radius is constant or changes evenly."""

import itertools
import math
from dataclasses import dataclass

from camplan.catalogue.records import Cutter, Machine
from camplan.catalogue.shape import body_radius, profile
from camplan.simulation.solids import SAGITTA
from camplan.units import Mm

_JUST_ABOVE: Mm = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """From ``low`` to ``high`` above the tip the radius goes from ``low_radius`` to ``high_radius``."""

    low: Mm
    high: Mm
    low_radius: Mm
    high_radius: Mm


def cutting_bands(cutter: Cutter) -> tuple[Band, ...]:
    """The cutting part, lowest first; round corners as straight pieces at most `SAGITTA` inside them."""
    pairs = profile(cutter, steps=_steps(cutter))
    bands: list[Band] = []
    for (low, low_radius), (high, high_radius) in itertools.pairwise(pairs):
        if high - low < 1e-12:
            continue
        last = bands[-1] if bands else None
        if last is not None and last.low_radius == last.high_radius == low_radius == high_radius:
            bands[-1] = Band(low=last.low, high=high, low_radius=low_radius, high_radius=high_radius)
        else:
            bands.append(Band(low=low, high=high, low_radius=low_radius, high_radius=high_radius))
    return tuple(bands)


def body_bands(cutter: Cutter) -> tuple[Band, ...]:
    """What does not cut: the neck if there is one, and the shank, up to the holder."""
    edges = sorted({cutter.flute_length, max(cutter.reach, cutter.flute_length), cutter.stick_out})
    bands = []
    for low, high in itertools.pairwise(edges):
        radius = float(body_radius(cutter, height=low + _JUST_ABOVE))
        if high > low and not math.isnan(radius):
            bands.append(Band(low=low, high=high, low_radius=radius, high_radius=radius))
    return tuple(bands)


def holder_band(cutter: Cutter, *, machine: Machine) -> Band:
    """The machine's holder above the cutter's stick-out."""
    radius = machine.holder_diameter / 2.0
    top = cutter.stick_out + machine.holder_length
    return Band(low=cutter.stick_out, high=top, low_radius=radius, high_radius=radius)


def straight(bands: tuple[Band, ...]) -> bool:
    """Whether the cutting part has one radius from the tip up."""
    return len(bands) == 1 and bands[0].low_radius == bands[0].high_radius


def widest(bands: tuple[Band, ...]) -> Mm:
    """The largest radius of all bands."""
    return max(max(band.low_radius, band.high_radius) for band in bands)


def slimmer(bands: tuple[Band, ...], *, by: Mm) -> tuple[Band, ...]:
    """The bands with less radius."""
    return tuple(
        Band(
            low=band.low,
            high=band.high,
            low_radius=max(band.low_radius - by, 0.0),
            high_radius=max(band.high_radius - by, 0.0),
        )
        for band in bands
    )


def _steps(cutter: Cutter) -> int:
    corner = cutter.corner_radius or 0.0
    if corner <= SAGITTA:
        return 1
    return max(math.ceil(math.pi / 4.0 / math.acos(1.0 - SAGITTA / corner)), 1)
