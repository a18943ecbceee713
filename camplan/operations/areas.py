"""Sections worked out as areas for planning, and the circles known to lie in their offsets."""

import math
from collections.abc import Iterable

import numpy as np

from camplan import tolerance
from camplan.features.existing import gone
from camplan.features.records import Beads, HalfPlane, Plate, Section
from camplan.geometry import clipper
from camplan.geometry.chains import STRAIGHT, Chain, Points, arcs, circle, ends, tessellated
from camplan.geometry.clipper import Area
from camplan.geometry.fitting import NO_CIRCLES, Circles
from camplan.regions import Region
from camplan.units import Mm

_SMOOTH = math.radians(4.0)


def of_regions(regions: Iterable[Region]) -> Area:
    """The area of regions, arcs as chords."""
    return tuple(
        tessellated(path, chord=tolerance.CHORD) for region in regions for path in (region.outer, *region.islands)
    )


def standing(plate: Plate, *, z: Mm) -> Area:
    """What of a plate stands at height ``z`` before it is cut."""
    return clipper.difference(of_regions((plate.outline,)), less=clipper.union([of_regions(gone(plate, z=z))]))


def of_section(section: Section) -> Area:
    """The area of a section."""
    grown = clipper.offset(clipper.union([of_regions(section.regions)]), by=section.grow) if section.regions else ()
    if section.lines and section.grow > 0.0:
        grown = clipper.union([grown, along(section.lines, by=section.grow)])
    if section.beads:
        grown = clipper.union([grown, *(beaded(one) for one in section.beads)])
    if section.keep:
        grown = clipper.difference(grown, less=clipper.offset(of_regions(section.keep), by=section.keep_grow))
    left = clipper.difference(grown, less=of_regions(section.stay))
    return clipper.intersection(left, with_=_beyond(section.within, area=left)) if section.within else left


def _beyond(within: HalfPlane, *, area: Area) -> Area:
    """A square that holds what of an area lies in a half plane, one of its sides on the plane's edge."""
    if not area:
        return ()
    points = np.vstack(area)
    size = float(np.hypot(*(points - within.point).T).max()) + 1.0
    (x, y), (dx, dy) = within.point, within.direction
    near = [(x - size * -dy, y - size * dx), (x + size * -dy, y + size * dx)]
    far = [(px + size * dx, py + size * dy) for px, py in reversed(near)]
    ring = np.array([*near, *far])
    return (ring if clipper.ring_area(ring) > 0.0 else ring[::-1],)


def along(lines: Iterable[Chain], *, by: Mm) -> Area:
    """All within a distance of chains, open or closed."""
    parts = []
    for line in lines:
        points = tessellated(line, chord=tolerance.CHORD)
        parts.append(clipper.around([points], by=by, closed=line.closed))
    return clipper.union(parts)


def beaded(beads: Beads) -> Area:
    """All that discs cover as they go from place to place and grow or shrink evenly: two discs, and between them the
    quadrangle of their outer tangents (plane geometry)."""
    rings: list[Points] = []
    for places, radii in zip(beads.points, beads.radii, strict=True):
        rings.extend(_disc(place, radius=float(radius)) for place, radius in zip(places, radii, strict=True))
        for number in range(len(places) - 1):
            ring = _tangents(places[number : number + 2], radii=(float(radii[number]), float(radii[number + 1])))
            rings.extend([] if ring is None else [ring])
    return clipper.union([tuple(ring for ring in rings if len(ring) > 2)])


def _disc(place: Points, *, radius: Mm) -> Points:
    if radius <= tolerance.SAME_POINT:
        return place[None, :]
    return tessellated(circle((float(place[0]), float(place[1])), radius=radius), chord=tolerance.CHORD)


def _tangents(places: Points, *, radii: tuple[Mm, Mm]) -> Points | None:
    """The quadrangle between the outer tangents of two discs; None where one holds the other."""
    way = places[1] - places[0]
    size = float(np.hypot(way[0], way[1]))
    if size <= abs(radii[0] - radii[1]) + tolerance.SAME_POINT:
        return None
    along, lean = way / size, (radii[0] - radii[1]) / size
    across = math.sqrt(1.0 - lean**2) * np.array([-along[1], along[0]])
    left, right = lean * along + across, lean * along - across
    return np.array(
        [
            places[0] + radii[0] * right,
            places[1] + radii[1] * right,
            places[1] + radii[1] * left,
            places[0] + radii[0] * left,
        ]
    )


def box(*, x: Mm, y: Mm, width: Mm, length: Mm) -> Area:
    """A rectangle from its front left corner."""
    return (np.array([(x, y), (x + width, y), (x + width, y + length), (x, y + length)]),)


def known_circles(regions: Iterable[Region], *, shrunk: Mm) -> Circles:
    """The circles in the edge of regions shrunk by a disc (grown if negative): drawn arcs and rounded corners."""
    centres: list[Points] = []
    radii: list[float] = []
    for region in regions:
        for path in (region.outer, *region.islands):
            found = arcs(path)
            curved = np.abs(path.bulges) >= STRAIGHT
            centres.append(found.centres[curved])
            radii.extend((found.radii - shrunk * np.sign(path.bulges))[curved].tolist())
            corners = _turning(path, to_the_right=shrunk > 0.0)
            centres.append(corners)
            radii.extend([abs(shrunk)] * len(corners))
    if not radii:
        return NO_CIRCLES
    sizes = np.array(radii)
    merged = np.unique(np.round(np.column_stack((np.vstack(centres), sizes)), 7), axis=0)
    merged = merged[merged[:, 2] > tolerance.GOUGE]
    return Circles(centres=merged[:, :2], radii=merged[:, 2])


def _turning(path: Chain, *, to_the_right: bool) -> Points:
    """The vertices where a closed chain turns by more than a smooth joint does."""
    start, end = ends(path)
    chord = end - start
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    half = 2.0 * np.arctan(path.bulges)
    turn = (heading - half) - np.roll(heading + half, 1)
    turn = (turn + math.pi) % (2.0 * math.pi) - math.pi
    return start[turn < -_SMOOTH] if to_the_right else start[turn > _SMOOTH]


def of_circles(circles: Iterable[tuple[Mm, Mm, Mm]], *, diameter: Mm) -> Area:
    """The discs of one diameter among (x, y, diameter) circles."""
    return tuple(
        tessellated(circle((x, y), radius=diameter / 2.0), chord=tolerance.CHORD)
        for x, y, size in circles
        if abs(size - diameter) < 1e-9
    )
