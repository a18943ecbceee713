"""What earlier passes have cleared: the planner's own idea of the stock.

Each entry is an area cleared from one height down to another.  From it come the height down to which the cutter may
come down fast, and where it stands clear of material.
"""

from dataclasses import dataclass, replace

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.units import Mm

_BERTH: Mm = 0.02
_BAR_BERTH: Mm = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hollow:
    """An area cleared between two heights, with its bounding box (x0, y0, x1, y1)."""

    feature: str
    area: Area
    top: Mm
    bottom: Mm
    box: tuple[Mm, Mm, Mm, Mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bar:
    """A thing that stands on the plate up to a height."""

    area: Area
    height: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """``plate``: the stock's outline; ``bars``: what stands on it; ``holder_radius``: of the machine's holder;
    ``hollows``: what is cleared; ``swept``: by feature name, what its operations have cleared at its full depth."""

    plate: Area
    bars: tuple[Bar, ...]
    holder_radius: Mm
    hollows: tuple[Hollow, ...]
    swept: dict[str, Area]


def with_hollow(ground: Ground, *, area: Area, top: Mm, bottom: Mm, feature: str) -> Ground:
    """The ground after an area was cleared for a feature."""
    if not area:
        return ground
    points = np.vstack(area)
    low, high = points.min(axis=0), points.max(axis=0)
    hollow = Hollow(
        feature=feature,
        area=area,
        top=top,
        bottom=bottom,
        box=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
    )
    known = ground.swept.get(feature)
    swept = {**ground.swept, feature: area if known is None else clipper.union([known, area])}
    return replace(ground, hollows=(*ground.hollows, hollow), swept=swept)


def barred(cutter: Cutter, *, deepest: Mm, ground: Ground) -> Area:
    """Where the tool's centre may not be because of what stands on the plate, its tip as low as ``deepest``."""
    found: list[Area] = []
    for bar in ground.bars:
        body = max(cutter.diameter, cutter.shank_diameter) / 2.0
        holder = deepest + cutter.stick_out < bar.height + _BAR_BERTH
        radius = max(body, ground.holder_radius) if holder else body
        found.append(clipper.offset(bar.area, by=radius + _BAR_BERTH))
    return clipper.union(found) if found else ()


def free_height(ground: Ground, *, at: tuple[Mm, Mm], radius: Mm) -> Mm:
    """The height z above which a cylinder of ``radius`` over a point meets no material that this planner knows of."""
    reach = radius + _BERTH
    if not _inside(ground.plate, at=at) and _edge_distance(ground.plate, at=at) >= reach:
        return -np.inf
    height = 0.0
    rest = [hollow for hollow in ground.hollows if _boxed(hollow, at=at)]
    while True:
        lower = [
            hollow
            for hollow in rest
            if hollow.top >= height - 1e-9
            and hollow.bottom < height - 1e-9
            and _inside(hollow.area, at=at)
            and _edge_distance(hollow.area, at=at) >= reach
        ]
        if not lower:
            return height
        height = min(hollow.bottom for hollow in lower)


def _boxed(hollow: Hollow, *, at: tuple[Mm, Mm]) -> bool:
    x0, y0, x1, y1 = hollow.box
    return x0 <= at[0] <= x1 and y0 <= at[1] <= y1


def _inside(area: Area, *, at: tuple[Mm, Mm]) -> bool:
    """Whether a point lies in an area (crossings of a ray to the right, odd over all rings)."""
    x, y = at
    crossings = 0
    for ring in area:
        after = np.roll(ring, -1, axis=0)
        spans = (ring[:, 1] > y) != (after[:, 1] > y)
        first, last = ring[spans], after[spans]
        if len(first):
            cut = first[:, 0] + (y - first[:, 1]) * (last[:, 0] - first[:, 0]) / (last[:, 1] - first[:, 1])
            crossings += int(np.count_nonzero(cut > x))
    return crossings % 2 == 1


def _edge_distance(area: Area, *, at: tuple[Mm, Mm]) -> Mm:
    least = np.inf
    point = np.asarray(at)
    for ring in area:
        along = np.roll(ring, -1, axis=0) - ring
        size = np.sum(along**2, axis=1)
        part = np.clip(np.sum((point - ring) * along, axis=1) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
        least = min(least, float(np.min(np.hypot(*(ring + along * part[:, None] - point).T))))
    return float(least)
