"""What of a feature the finest listed cutter can reach at a height, and what of that is asked for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.catalogue.records import Cutter
from camplan.comparison.fits import Fit, makes_hole
from camplan.comparison.wanted import Wanted, allowed, asked_for, demanded, drawn
from camplan.features.edges import strip_due
from camplan.features.leaning import stands_out
from camplan.features.records import Feature
from camplan.features.sections import must as section
from camplan.features.specs import EdgeSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec, SettingSpec
from camplan.simulation import solids
from camplan.simulation.blank import blank_at
from camplan.simulation.figures import polygon_of, region_polygon, regions_polygon
from camplan.simulation.solids import Nearness, Solid
from camplan.units import Mm

SLACK: Mm = 0.001
"""How much narrower a cutter is taken when it is asked where it fits, so that it fits a groove of its own width."""
_DEAD_END = 3.0
"""A corner is at most this many radii deep (a corner of 29 degrees is); deeper is a narrow end."""
_BESIDE: Mm = 0.02
_SLOT = 0.5
"""What only a narrower disc covers is a slot if it is this wide, over the disc's radius; else the end of a wedge."""
_LEAST = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What there is to cut with: listed cutters, settings with their clamps, the radius of the machine's holder."""

    cutters: Sequence[Cutter]
    settings: Sequence[SettingSpec]
    holder_radius: Mm


class Cleared:
    """What was removed of a cluster at one height, asked by several features."""

    def __init__(self, solid: Solid) -> None:
        self.solid = solid
        self._grown: dict[Mm, Solid] = {}

    @cached_property
    def near(self) -> Nearness:
        """Distances from it."""
        return Nearness(self.solid)

    def grown(self, *, by: Mm) -> Solid:
        """The same, wider."""
        if by not in self._grown:
            self._grown[by] = solids.grown(self.solid, by=by)
        return self._grown[by]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wall:
    """What was removed at a height, at the foot of an edge."""

    removed: Solid
    z: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """One feature at one height: ``may`` of its cluster, what was ``removed`` of it, the cutters that ``worked`` there,
    and the radius of the widest of them; ``wall``, of an edge, what stands open at its foot."""

    wanted: Wanted
    number: int
    z: Mm
    may: Solid
    removed: Cleared
    used: Mm
    worked: tuple[Cutter, ...]
    shop: Shop
    wall: Wall | None = None

    @property
    def feature(self) -> Feature:
        """The feature."""
        return self.wanted.features[self.number]


def corner_asked(feature: Feature) -> Mm | None:
    """The corner radius that is granted, if any."""
    corner = feature.spec.corner if isinstance(feature.spec, PocketSpec | OutlineSpec) else None
    return corner if corner is not None and corner > SLACK else None


def reach_of(asked: Asked, *, fit: Fit | None, must: Solid) -> Solid:
    """What the finest cutter can reach."""
    feature = asked.feature
    match feature.spec:
        case MarkSpec():
            return must if fit is not None else solids.NOTHING
        case GrooveSpec() if feature.slopes:
            # one cutter of its section sweeps all of it
            return must if fit is not None else solids.NOTHING
        case HoleSpec():
            made = tuple(
                one for one in feature.circles if makes_hole(feature, cutters=asked.shop.cutters, diameter=one[2])
            )
            return polygon_of(section(replace(feature, circles=made), z=asked.z)) if made else solids.NOTHING
        case EdgeSpec() as spec:
            return solids.NOTHING if fit is None else _beside_wall(asked, spec=spec, must=must)
        case PocketSpec() if feature.incline is not None:
            return solids.NOTHING if fit is None else covered(_below_grants(asked), radius=fit.radius)
        case _:
            return solids.NOTHING if fit is None else covered(asked, radius=fit.radius)


def _below_grants(asked: Asked) -> Asked:
    """The same asked of a plane that falls a little lower: what is granted in height is much to the side there."""
    own = drawn(asked.wanted, number=asked.number, z=asked.z - tolerance.WALL_PROOF)
    granted = allowed(asked.wanted, number=asked.number, z=asked.z)
    return replace(asked, may=solids.less(asked.may, solids.less(granted, own)))


def foot_of_walls(asked: Asked, *, radius: Mm) -> Solid:
    """What of a plane that falls a flat tip leaves because it stands level: all that it would reach in a floor that
    does not fall."""
    whole = replace(asked, may=drawn(asked.wanted, number=asked.number, z=-asked.feature.top))
    return covered(whole, radius=radius)


def _beside_wall(asked: Asked, *, spec: EdgeSpec, must: Solid) -> Solid:
    """All of an edge that lies beside the wall as its cutters have left it: the edge follows its round corners."""
    if asked.wall is None:
        return solids.NOTHING
    top = asked.feature.top
    across = strip_due(spec, below=-asked.z - top) - strip_due(spec, below=-asked.wall.z - top)
    around = solids.box(solids.bounds(solids.grown(must, by=1.0)))
    opened = solids.united([asked.wall.removed, solids.less(around, blank_at(asked.wanted.plate, z=asked.wall.z))])
    return solids.grown(opened, by=max(across, 0.0))


def due_of(asked: Asked, *, reach: Solid, must: Solid) -> Solid:
    """What is asked for: all that is reachable, less the corners that a granted radius leaves, and less what the
    round of the cutter leaves beside a bridge."""
    corner = corner_asked(asked.feature)
    due = reach
    if corner is not None:
        wide = covered(asked, radius=corner)
        plain = solids.common(wide, must)
        finer = solids.parts(solids.less(solids.common(reach, must), plain), least=_LEAST)
        beside = wide if isinstance(asked.feature.spec, OutlineSpec) else plain
        in_corner = in_corners(asked, parts=finer, beside=beside, radius=corner)
        necks = [part for part, held in zip(finer, in_corner.tolist(), strict=True) if not held]
        due = solids.united([plain, *necks])
    return solids.less(due, beside_bridges(asked.feature))


def covered(asked: Asked, *, radius: Mm, barred: Solid = solids.NOTHING) -> Solid:
    """What a disc covers that stays where the cluster may be cut while the allowance of this feature stands; air
    beside the plate is open to it, and its middle stays out of ``barred`` places.

    A slot as wide as the disc is covered; but how far a disc comes between walls that close in slowly is not a matter
    of a micrometre less: there the disc's own size decides.
    """
    room = _room(asked, radius=radius)
    exact = _moved(room, radius=radius, barred=barred)
    slim = _moved(room, radius=max(radius - SLACK, 0.0), barred=barred)
    more = solids.parts(solids.less(slim, exact), least=_LEAST)
    return solids.united([exact, *(part for part in more if solids.inscribed(part)[1] > _SLOT * radius)])


def _moved(room: Solid, *, radius: Mm, barred: Solid) -> Solid:
    """What a disc covers that stays in a room, its middle out of ``barred`` places."""
    return solids.grown(solids.less(solids.grown(room, by=-radius), barred), by=radius)


def in_corners(asked: Asked, *, parts: Sequence[Solid], beside: Solid, radius: Mm) -> NDArray[np.bool_]:
    """Which pieces lie in a corner: they touch what a disc covers on one side only, and are not deep.

    Of an outline only the band along its contour is asked for; there the whole room in which a piece lies decides.
    """
    if not isinstance(asked.feature.spec, OutlineSpec):
        return _one_sided(parts, beside=beside, radius=radius)
    if not parts or beside.is_empty:
        return np.zeros(len(parts), dtype=bool)
    whole = solids.parts(solids.less(_room(asked, radius=radius), beside), least=_LEAST)
    held = _one_sided(whole, beside=beside, radius=radius)
    corners = solids.united([part for part, one in zip(whole, held.tolist(), strict=True) if one])
    sizes = np.array([solids.area(part) for part in parts])
    found: NDArray[np.bool_] = solids.shares(parts, other=corners) > 0.5 * sizes
    return found


def _one_sided(parts: Sequence[Solid], *, beside: Solid, radius: Mm) -> NDArray[np.bool_]:
    if not parts or beside.is_empty:
        return np.zeros(len(parts), dtype=bool)
    wider = [solids.grown(part, by=_BESIDE) for part in parts]
    sides = solids.meetings(wider, other=beside, least=1e-6)
    deep = solids.deepest(parts, near=solids.Nearness(beside))
    found: NDArray[np.bool_] = (sides == 1) & (deep <= _DEAD_END * radius)
    return found


def _room(asked: Asked, *, radius: Mm) -> Solid:
    """Where the cluster may be cut while the allowance of a feature stands, and the air beside the plate; a hollow that
    was there before is such air if it is as deep as the feature."""
    room = solids.less(asked.may, _skin(asked))
    stands = blank_at(asked.wanted.plate, z=-asked.feature.bottom)
    if solids.contains(stands, room):
        return room
    around = solids.bounds(solids.grown(room, by=2.0 * radius + 1.0))
    return solids.united([room, solids.less(solids.box(around), stands)])


def beside_bridges(feature: Feature) -> Solid:
    """Where the round of the cutter ends beside a bridge: what stands there goes when the bridge is cut by hand."""
    bridges = [region_polygon(region) for region in feature.bridges]
    return solids.grown(solids.united(bridges), by=feature.kerf or 0.0)


def _skin(asked: Asked) -> Solid:
    """What a feature leaves on its walls on purpose."""
    feature = asked.feature
    match feature.spec:
        case PocketSpec(allowance=allowance) if allowance > 0.0:
            may = drawn(asked.wanted, number=asked.number, z=asked.z)
            if feature.incline is not None:
                # above the floor the skin is whole; at a height of its own it would end on the floor's edge as well
                top = -feature.top
                whole = drawn(asked.wanted, number=asked.number, z=top)
                return solids.less(whole, asked_for(asked.wanted, number=asked.number, z=top))
            return solids.less(may, demanded(asked.wanted, number=asked.number, z=asked.z))
        case OutlineSpec(allowance=allowance) as spec if allowance > 0.0:
            parts = regions_polygon(feature.regions)
            out = stands_out(feature, spec=spec, depth=-asked.z) + allowance
            if spec.side == "outside":
                return solids.grown(parts, by=out)
            return solids.less(asked.may, solids.grown(parts, by=-out))
        case _:
            return solids.NOTHING
