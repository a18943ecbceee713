"""What a swept layout does: its path as polylines, what it leaves and gouges (by GEOS), its lengths and moves."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray
from passes.engaged import measured
from passes.pockets import disc

from camplan.geometry import chains, clipper
from camplan.passes.entry import Spot
from camplan.passes.records import Feed
from camplan.passes.swept import SweptGroup, SweptLayout

CHORD = 0.0005
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Degrees, mm and counts of one layout; ``ratio``: cuts and links over A / s + P / 2."""

    limit: float
    p99: float
    p999: float
    most: float
    ratio: float
    links: float
    lifts: int
    moves: int
    slots: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A path without lifts; ``slot``: at the feed for slots."""

    line: Floats
    slot: bool


def marked(group: SweptGroup) -> list[Run]:
    found: list[tuple[list[Floats], bool]] = []
    for sweep in group.sweeps:
        slot = sweep.feed is Feed.SLOT
        if sweep.link is None or not found or slot is not found[-1][1]:
            found.append(([], slot))
        if sweep.link is not None:
            found[-1][0].append(chains.tessellated(sweep.link, chord=CHORD))
        found[-1][0].append(chains.tessellated(sweep.path, chord=CHORD))
    return [Run(line=np.vstack(parts), slot=slot) for parts, slot in found]


def runs(group: SweptGroup) -> list[Floats]:
    return [run.line for run in marked(group)]


def begun(group: SweptGroup, layout: SweptLayout) -> list[Floats]:
    """Places of the disc before the first sweep."""
    if group.spot is not None:
        return [turns(group.spot, radius=group.helix)]
    if group.open:
        rings = layout.room.open_ground
        return [_filled(one) for one in rings]
    slots = [sweep for sweep in group.sweeps[:1] if sweep.feed is Feed.SLOT]
    return [_walk(chains.tessellated(one.path, chord=CHORD)) for one in slots]


def turns(spot: Spot, *, radius: float) -> Floats:
    return disc(*spot.centre, radius)


def _walk(line: Floats) -> Floats:
    return np.array([shapely.LineString(line).interpolate(at).coords[0] for at in np.arange(0, 100, 0.1)])


def _filled(ring: Floats) -> Floats:
    low, high = ring.min(axis=0), ring.max(axis=0)
    x, y = np.meshgrid(np.arange(low[0], high[0] + 0.01, 0.2), np.arange(low[1], high[1] + 0.01, 0.2))
    grid = np.column_stack((x.ravel(), y.ravel()))
    shape = shapely.Polygon(ring)
    return np.vstack((grid[shapely.contains_xy(shape, grid)], ring))


def engaged(layout: SweptLayout) -> Floats:
    """Degrees along all groups but for slots that are marked as such."""
    found = []
    for group in layout.groups:
        path = marked(group)
        met = measured([run.line for run in path], radius=layout.room.radius, cleared=begun(group, layout))
        found.append(met.degrees[~np.array([run.slot for run in path])[met.run]])
    return np.concatenate(found)


def figures(layout: SweptLayout) -> Figures:
    room = layout.room
    every = engaged(layout)
    sweeps = [sweep for group in layout.groups for sweep in group.sweeps]
    links = [sweep.link for sweep in sweeps if sweep.link is not None]
    cut = sum(chains.length(sweep.path) for sweep in sweeps)
    yard = clipper.surface(room.work) / room.step_over + clipper.perimeter(room.work) / 2.0
    return Figures(
        limit=math.degrees(math.acos(1.0 - room.step_over / room.radius)),
        p99=float(np.quantile(every, 0.99)),
        p999=float(np.quantile(every, 0.999)),
        most=float(every.max()),
        ratio=(cut + sum(chains.length(link) for link in links)) / yard,
        links=sum(chains.length(link) for link in links) / yard,
        lifts=sum(sweep.link is None for sweep in sweeps) - len(layout.groups),
        moves=sum(len(sweep.path.bulges) for sweep in sweeps) + sum(len(link.bulges) for link in links),
        slots=sum(chains.length(sweep.path) for sweep in sweeps if sweep.feed is Feed.SLOT),
    )


def polygon(area: clipper.Area) -> shapely.Geometry:
    figure: shapely.Geometry = shapely.Polygon()
    for one in area:
        figure = figure.symmetric_difference(shapely.Polygon(one))
    return figure


def cleared(layout: SweptLayout) -> shapely.Geometry:
    """All that the cutter sweeps, the way down included."""
    radius = layout.room.radius
    parts = []
    for group in layout.groups:
        for run in runs(group):
            parts.extend(
                shapely.LineString(run[at : at + 60]).buffer(radius, quad_segs=64) for at in range(0, len(run) - 1, 59)
            )
        if group.spot is not None:
            parts.append(shapely.Point(group.spot.centre).buffer(group.helix + radius, quad_segs=128))
    ground = polygon(layout.room.open_ground).buffer(radius) if layout.room.open_ground else shapely.Polygon()
    return shapely.union_all([*parts, ground])


def left(layout: SweptLayout, *, within: float) -> float:
    """Area in mm2 that the cutter could reach and is more than ``within`` from what it swept."""
    reach = polygon(layout.room.work).buffer(layout.room.radius, quad_segs=64)
    return float(reach.difference(cleared(layout).buffer(within)).area)


def outside(layout: SweptLayout) -> float:
    """How far the path leaves the area of the tool's centre."""
    work = polygon(layout.room.work)
    lines = [run for group in layout.groups for run in runs(group)]
    points = np.vstack(lines) if lines else np.zeros((0, 2))
    off = shapely.distance(work, shapely.points(points))
    return float(off.max(initial=0.0))


def met_by_links(group: SweptGroup, layout: SweptLayout) -> Floats:
    """Degrees met along the links of a group, but for half a millimetre at either end of each."""
    every = measured(runs(group), radius=layout.room.radius, cleared=begun(group, layout))
    degrees: list[Floats] = []
    for sweep in group.sweeps:
        if sweep.link is None:
            continue
        line = shapely.LineString(chains.tessellated(sweep.link, chord=CHORD))
        if line.length < 2.0:
            continue
        inner = shapely.ops.substring(line, 0.5, line.length - 0.5)
        near = shapely.dwithin(inner, shapely.points(every.places), 1e-6)
        degrees.append(every.degrees[near])
    return np.concatenate(degrees)
