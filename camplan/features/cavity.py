"""What features hold: their figure from above, their volume, their walls, and the section of a groove.

Takes features with a floor (pockets, grooves, holes); all of it follows from their sections (`may`), so an allowance
that is left on a wall for now is counted as gone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from camplan.features.records import Beads, Feature, HalfPlane, Section
from camplan.features.sections import curved_between, heights, may
from camplan.geometry import planar
from camplan.geometry.chains import length
from camplan.units import Mm, Mm2, Mm3

_CHORD: Mm = 0.005
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_LEVELS = 200
_INSIDE: Mm = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The ``volume`` of some features together, and the area of their upright ``walls``."""

    volume: Mm3
    walls: Mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveSection:
    """A groove across: its ``width`` at the top, its ``area``, and all its sides ``around``, the open one included;
    ``line`` is the length of its longest line."""

    width: Mm
    depth: Mm
    area: Mm2
    around: Mm
    line: Mm


def from_above(features: Sequence[Feature]) -> shapely.Geometry:
    """The figure that features cover, each at its top."""
    return shapely.union_all([_figure(may(feature, z=-feature.top)) for feature in features])


def held(features: Sequence[Feature]) -> Held:
    """Volume and walls of features together, what two of them share counted once.

    Between the heights where a section changes abruptly, exact for upright walls, and by Gauss's six points where
    walls lean or are round.
    """
    levels = sorted({z for feature in features for z in heights(feature)}, reverse=True)
    volume = walls = 0.0
    for upper, lower in pairwise(levels):
        there = [feature for feature in features if -feature.top > lower and -feature.bottom < upper]
        if not there:
            continue
        thick = upper - lower
        curved = any(top > lower and bottom < upper for one in there for top, bottom in curved_between(one))
        middle, half = (upper + lower) / 2.0, thick / 2.0 - _INSIDE
        zs, shares = (middle + half * _POINTS, _WEIGHTS / 2.0) if curved else (np.array([middle]), np.array([1.0]))
        for z, share in zip(zs.tolist(), shares.tolist(), strict=True):
            figure = shapely.union_all([_figure(may(feature, z=z)) for feature in there])
            volume += thick * share * float(figure.area)
            walls += thick * share * float(figure.length)
    return Held(volume=volume, walls=walls)


def across(feature: Feature) -> GrooveSection:
    """A groove's section where it is deepest and as wide as is asked, from its half width at many heights."""
    level = replace(feature, slopes=(), widening=())
    zs = np.linspace(-feature.top, -feature.bottom, _LEVELS + 1)
    wide = np.array([2.0 * may(level, z=float(z)).grow for z in zs])
    sides = 2.0 * float(np.hypot(np.diff(wide) / 2.0, np.diff(zs)).sum())
    return GrooveSection(
        width=float(wide[0]),
        depth=feature.bottom - feature.top,
        area=float(np.sum((wide[1:] + wide[:-1]) / 2.0 * -np.diff(zs))),
        around=float(wide[0] + wide[-1]) + sides,
        line=max((length(path) for path in feature.lines), default=0.0),
    )


def _figure(section: Section) -> shapely.Geometry:
    regions = [planar.polygon(region, chord=_CHORD) for region in section.regions]
    lines = [planar.line(path, chord=_CHORD) for path in section.lines]
    drawn = shapely.union_all([*regions, *lines])
    grown = drawn.buffer(section.grow, quad_segs=32) if section.grow else drawn
    whole = shapely.union_all([grown, *(hull for beads in section.beads for hull in _hulls(beads))])
    return whole if section.within is None or whole.is_empty else whole.intersection(_side(section.within, of=whole))


def _hulls(beads: Beads) -> list[shapely.Geometry]:
    """What each disc covers on its way to the next."""
    found: list[shapely.Geometry] = []
    for places, radii in zip(beads.points, beads.radii, strict=True):
        discs = shapely.buffer(shapely.points(places), radii, quad_segs=32)
        found += [shapely.union(one, other).convex_hull for one, other in pairwise(discs)]
    return found


def _side(within: HalfPlane, *, of: shapely.Geometry) -> shapely.Geometry:
    """A square that holds what of a figure lies in a half plane."""
    size = of.hausdorff_distance(shapely.Point(within.point)) + 1.0
    foot, along = np.array(within.point), np.array(within.direction)
    across_ = size * np.array([-along[1], along[0]])
    return shapely.Polygon(
        [foot - across_, foot - across_ + size * along, foot + across_ + size * along, foot + across_]
    )
