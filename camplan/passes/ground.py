"""What earlier passes have cleared: the planner's own idea of the stock.

Each entry is an area cleared from one height down to another.  From it come the height down to which the cutter may
come down fast, and where it stands clear of material.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from camplan.catalogue.records import Cutter
from camplan.features.records import Plate
from camplan.geometry import clipper
from camplan.geometry.clipper import Area
from camplan.geometry.edges import Edges, distance, edges_of, holds
from camplan.operations import areas
from camplan.passes.layout import Layout
from camplan.units import Mm

_BERTH: Mm = 0.02
_BAR_BERTH: Mm = 0.5
_SAME: Mm = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hollow:
    """An area cleared between two heights, with its bounding box (x0, y0, x1, y1)."""

    feature: str
    area: Area
    edges: Edges
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
    """``plate``: the stock's outline; ``gone``: what was gone of it before anything is cut, the deepest first;
    ``bars``: what stands on it; ``holder_radius``: of the machine's holder; ``hollows``: what is cleared, what was gone
    before among it; by feature name and piece ``swept``: what its operations have cleared at its full depth, and
    ``layouts``: how its area was laid out last; ``earlier``: by feature name what stood on the plate in each setting
    before this one in which it was cut; ``begun``: how many hollows there were when this setting began; ``shut_in``: by
    operation where it found no way down, ``waived`` what it left alone because others had found none.
    """

    plate: Area
    bars: tuple[Bar, ...]
    holder_radius: Mm
    hollows: tuple[Hollow, ...]
    swept: dict[tuple[str, int], Area]
    layouts: dict[tuple[str, int], Layout] = field(default_factory=dict)
    earlier: dict[str, tuple[tuple[Bar, ...], ...]] = field(default_factory=dict)
    begun: int = 0
    shut_in: dict[tuple[str, str, str, Mm], Area] = field(default_factory=dict)
    waived: dict[tuple[str, str, str, Mm], Area] = field(default_factory=dict)
    gone: tuple[Hollow, ...] = ()


def bare_ground(plate: Plate, *, holder_radius: Mm) -> Ground:
    """The ground before anything is cut."""
    gone = tuple(
        _hollow(clipper.union([areas.of_regions(one.regions)]), top=0.0, bottom=-one.depth, feature="")
        for one in plate.existing
    )
    return Ground(
        plate=areas.of_regions((plate.outline,)),
        bars=(),
        holder_radius=holder_radius,
        hollows=gone,
        swept={},
        gone=gone,
    )


def gone_at(ground: Ground, *, z: Mm) -> Area:
    """What was gone before anything was cut at height ``z``: the last hollow that reaches it holds the deeper ones."""
    number = _gone_number(ground, z=z)
    return ground.gone[number - 1].area if number else ()


def _gone_number(ground: Ground, *, z: Mm) -> int:
    """How many of the hollows that were there before anything was cut reach down to ``z``."""
    return sum(hollow.bottom <= z + _SAME for hollow in ground.gone)


def stands_at(ground: Ground, *, z: Mm) -> Area:
    """What of the plate stood at height ``z`` before anything was cut."""
    gone = gone_at(ground, z=z)
    return clipper.difference(ground.plate, less=gone) if gone else ground.plate


def gone_over(ground: Ground, *, at: tuple[Mm, Mm], radius: Mm) -> Mm:
    """The height down to which all within ``radius`` of a place was gone before anything was cut; 0 if nothing was."""
    for hollow in ground.gone:
        if _boxed(hollow, at=at) and holds(hollow.edges, point=at) and distance(hollow.edges, point=at) >= radius:
            return hollow.bottom
    return 0.0


def over(ground: Ground, *, top: Mm, bottom: Mm) -> tuple[Hollow, ...]:
    """What was cleared all the way between two heights."""
    return tuple(one for one in ground.hollows if one.top >= top - _SAME and one.bottom <= bottom + _SAME)


def spread(levels: Sequence[Mm], *, ground: Ground) -> tuple[tuple[Mm, ...], ...]:
    """Levels in stretches at which the same was gone before, in their order."""
    found: list[list[Mm]] = []
    known: int | None = None
    for z in levels:
        count = _gone_number(ground, z=z)
        if count != known:
            found.append([])
            known = count
        found[-1].append(z)
    return tuple(tuple(each) for each in found)


def clamped_anew(ground: Ground, *, bars: tuple[Bar, ...], done: Sequence[str]) -> Ground:
    """The ground as the next setting finds it, after one in which the features ``done`` were cut."""
    earlier = {**ground.earlier, **{name: (*ground.earlier.get(name, ()), ground.bars) for name in done}}
    return replace(ground, bars=bars, earlier=earlier, begun=len(ground.hollows))


def with_hollow(ground: Ground, *, area: Area, top: Mm, bottom: Mm, feature: str, piece: int = 0) -> Ground:
    """The ground after an area was cleared for a feature."""
    if not area:
        return ground
    hollow = _hollow(area, top=top, bottom=bottom, feature=feature)
    key = (feature, piece)
    known = ground.swept.get(key)
    swept = {**ground.swept, key: area if known is None else clipper.union([known, area])}
    return replace(ground, hollows=(*ground.hollows, hollow), swept=swept)


def _hollow(area: Area, *, top: Mm, bottom: Mm, feature: str) -> Hollow:
    points = np.vstack(area)
    low, high = points.min(axis=0), points.max(axis=0)
    return Hollow(
        feature=feature,
        area=area,
        edges=edges_of(area),
        top=top,
        bottom=bottom,
        box=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
    )


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
    plate = edges_of(ground.plate)
    if not holds(plate, point=at) and distance(plate, point=at) >= reach:
        return -np.inf
    height = 0.0
    rest = [hollow for hollow in ground.hollows if _boxed(hollow, at=at)]
    while True:
        lower = [
            hollow
            for hollow in rest
            if hollow.top >= height - 1e-9
            and hollow.bottom < height - 1e-9
            and holds(hollow.edges, point=at)
            and distance(hollow.edges, point=at) >= reach
        ]
        if not lower:
            return height
        height = min(hollow.bottom for hollow in lower)


def _boxed(hollow: Hollow, *, at: tuple[Mm, Mm]) -> bool:
    x0, y0, x1, y1 = hollow.box
    return x0 <= at[0] <= x1 and y0 <= at[1] <= y1
