"""Laying a plate over others: mirrored if its drawing shows its own parting face, then moved; arcs stay exact."""

from dataclasses import dataclass, fields, replace
from typing import Any, assert_never

from camplan.features.records import Feature, Plate
from camplan.geometry.chains import Chain, backwards
from camplan.job.project import Axis, Common, ProjectPlate
from camplan.regions import Region
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Lie:
    """How own coordinates become common ones: x is ``x_sign`` times x plus ``x`` and y alike; signs are 1 or -1."""

    x_sign: int = 1
    y_sign: int = 1
    x: Mm = 0.0
    y: Mm = 0.0

    @property
    def mirrors(self) -> bool:
        """Whether left becomes right."""
        return self.x_sign * self.y_sign < 0

    @property
    def back(self) -> "Lie":
        """The way back."""
        x, y = 0.0 - self.x_sign * self.x, 0.0 - self.y_sign * self.y
        return Lie(x_sign=self.x_sign, y_sign=self.y_sign, x=x, y=y)

    def common(self, at: tuple[Mm, Mm]) -> tuple[Mm, Mm]:
        """A place of the plate in common coordinates."""
        return self.x_sign * at[0] + self.x, self.y_sign * at[1] + self.y

    def own(self, at: tuple[Mm, Mm]) -> tuple[Mm, Mm]:
        """A place in common coordinates in the plate's own."""
        return self.x_sign * (at[0] - self.x), self.y_sign * (at[1] - self.y)


def lie_of(plate: Plate, *, spec: ProjectPlate, common: Common) -> Lie:
    """How a plate lies as its project says."""
    return laid_as(plate, spec=spec, common=common, about=spec.about)


def laid_as(plate: Plate, *, spec: ProjectPlate, common: Common, about: Axis | None, half_turn: bool = False) -> Lie:
    """How a plate would lie if it were mirrored ``about`` an axis in that direction (None: not mirrored), or turned in
    its own plane by half a turn."""
    x0, y0, x1, y1 = plate.bounds
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    match common:
        case "centre":
            dx, dy = -middle[0], -middle[1]
        case "drawing":
            dx, dy = -plate.drawn_at[0], -plate.drawn_at[1]
        case "zero":
            dx, dy = 0.0, 0.0
        case _:
            assert_never(common)
    turned_x = (about == "y") != half_turn
    turned_y = (about == "x") != half_turn
    axis_x = spec.axis if spec.axis is not None and spec.about == about == "y" else middle[0] + dx
    axis_y = spec.axis if spec.axis is not None and spec.about == about == "x" else middle[1] + dy
    return Lie(
        x_sign=-1 if turned_x else 1,
        y_sign=-1 if turned_y else 1,
        x=(2.0 * axis_x - dx if turned_x else dx) + spec.by[0],
        y=(2.0 * axis_y - dy if turned_y else dy) + spec.by[1],
    )


def laid_feature(feature: Feature, *, lie: Lie) -> Feature:
    """A feature in common coordinates: every region and chain that it holds, and its circles."""
    circles = tuple((*lie.common((x, y)), diameter) for x, y, diameter in feature.circles)
    held = {one.name: _laid_geometry(getattr(feature, one.name), lie=lie) for one in fields(feature)}
    return replace(feature, **{**held, "circles": circles})


def _laid_geometry(held: Any, *, lie: Lie) -> Any:
    """Regions and chains in common coordinates, one or many; anything else as it is."""
    match held:
        case Region():
            return laid_region(held, lie=lie)
        case Chain():
            return _laid(held, lie=lie)
        case tuple():
            return tuple(_laid_geometry(one, lie=lie) for one in held)
        case _:
            return held


def laid_plate(plate: Plate, *, lie: Lie) -> Plate:
    """A plate in common coordinates."""
    (ax, ay), (bx, by) = lie.common(plate.bounds[:2]), lie.common(plate.bounds[2:])
    bounds = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
    return replace(plate, outline=laid_region(plate.outline, lie=lie), bounds=bounds)


def laid_region(region: Region, *, lie: Lie) -> Region:
    """A region in common coordinates, its outer chain counter-clockwise again."""
    chains = [_laid(path, lie=lie) for path in (region.outer, *region.islands)]
    if lie.mirrors:
        chains = [backwards(path) for path in chains]
    return Region(outer=chains[0], islands=tuple(chains[1:]))


def _laid(path: Chain, *, lie: Lie) -> Chain:
    """The chain in common coordinates, walked as before."""
    points = path.points * (lie.x_sign, lie.y_sign) + (lie.x, lie.y)
    return Chain(points=points, bulges=-path.bulges if lie.mirrors else path.bulges, closed=path.closed)
