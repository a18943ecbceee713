"""Regions and sections worked out by GEOS: what is drawn and wanted, as figures for the proof."""

from collections.abc import Iterable

import numpy as np

from camplan import tolerance
from camplan.features.records import HalfPlane, Section
from camplan.geometry.chains import tessellated
from camplan.regions import Region
from camplan.simulation import solids
from camplan.simulation.solids import Box, Floats, Solid, Solids
from camplan.units import Mm


def polygon_of(section: Section, *, chord: Mm = tolerance.CHORD) -> Solid:
    """A section as a figure."""
    whole = solids.grown(regions_polygon(section.regions, chord=chord), by=section.grow)
    if section.lines and section.grow > 0.0:
        paths = np.array([solids.line(tessellated(path, chord=chord), closed=path.closed) for path in section.lines])
        swept = solids.widened(paths, radii=np.full(len(paths), section.grow))
        whole = solids.united([part for part in (whole, *swept) if not part.is_empty])
    if section.beads:
        hulls = [
            _beaded(points, radii) for one in section.beads for points, radii in zip(one.points, one.radii, strict=True)
        ]
        whole = solids.united([part for part in (whole, *np.concatenate(hulls)) if not part.is_empty])
    if section.keep:
        keep = regions_polygon(section.keep, chord=chord)
        whole = solids.less(whole, solids.grown(keep, by=section.keep_grow))
    if section.stay:
        whole = solids.less(whole, regions_polygon(section.stay, chord=chord))
    if section.within and not whole.is_empty:
        whole = solids.common(whole, _half_plane(section.within, around=solids.bounds(whole)))
    return whole


def regions_polygon(regions: Iterable[Region], *, chord: Mm = tolerance.CHORD) -> Solid:
    """All regions as one figure, arcs as chords."""
    return solids.united([region_polygon(region, chord=chord) for region in regions])


def region_polygon(region: Region, *, chord: Mm = tolerance.CHORD) -> Solid:
    """A region as a polygon, arcs as chords."""
    holes = [tessellated(island, chord=chord) for island in region.islands]
    return solids.polygon(tessellated(region.outer, chord=chord), holes=holes)


def _half_plane(within: HalfPlane, *, around: Box) -> Solid:
    """As much of a half plane as matters to what lies in a box."""
    corners = np.array([(around[0], around[1]), (around[2], around[3])])
    far = float(np.hypot(*(corners - np.asarray(within.point)).T).max()) + float(np.hypot(*np.diff(corners, axis=0)[0]))
    along = np.asarray(within.direction)
    across = np.array([-along[1], along[0]])
    foot = np.asarray(within.point)
    sides = np.array([-across, along - across, along + across, across])
    return solids.polygon(foot + far * sides)


def _beaded(places: Floats, radii: Floats) -> Solids:
    """What a disc of changing radius covers as it goes from place to place."""
    return solids.cones(start=places[:-1], start_radii=radii[:-1], end=places[1:], end_radii=radii[1:])
