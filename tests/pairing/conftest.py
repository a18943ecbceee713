"""Plates of a mould in short: holes, pockets with islands, and how they lie."""

from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from camplan.features.records import Feature, Plate
from camplan.features.specs import HoleSpec, PocketSpec
from camplan.geometry.chains import Chain, backwards, chain
from camplan.job.project import Axis, MatingSpec, Named, PatternSpec, ProjectPlate
from camplan.pairing.laying import lie_of
from camplan.pairing.records import Placed
from camplan.regions import Region

QUARTER = 2.0**0.5 - 1.0  # the bulge of a quarter circle


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float, clockwise: bool = False) -> Chain:
    """A rectangle with round corners."""
    points = [
        (x0 + radius, y0),
        (x1 - radius, y0),
        (x1, y0 + radius),
        (x1, y1 - radius),
        (x1 - radius, y1),
        (x0 + radius, y1),
        (x0, y1 - radius),
        (x0, y0 + radius),
    ]
    path = chain(points, bulges=[0.0, QUARTER] * 4, closed=True)
    return backwards(path) if clockwise else path


def holes(name: str, centres: Sequence[tuple[float, float]], *, diameter: float = 4.0) -> Feature:
    spec = HoleSpec(name=name, layer=name, top=0.0, depth=None, diameter=None, spot=True, tolerance=0.02, cutters=())
    circles = tuple((x, y, diameter) for x, y in centres)
    return Feature(spec=spec, top=0.0, bottom=10.0, through=True, break_through=0.3, circles=circles)


def pocket(name: str, *regions: Region, depth: float = 4.0, draft: float = 0.0, **changes: Any) -> Feature:
    usual = {"top": 0.0, "nominal": "top", "allowance": 0.0, "finish": None, "corner": None, "tolerance": 0.02}
    spec = PocketSpec(name=name, layer=name, depth=depth, draft=draft, cutters=(), **{**usual, **changes})
    return Feature(spec=spec, top=spec.top, bottom=depth, through=False, break_through=0.0, regions=regions)


def placed(
    name: str,
    *features: Feature,
    size: tuple[float, float] = (100.0, 80.0),
    about: Axis | None = None,
    by: tuple[float, float] = (0.0, 0.0),
) -> Placed:
    """A plate with its zero at its front left corner, laid on the middle of the others."""
    spec = ProjectPlate(name=name, job=Path(f"{name}.toml"), about=about, axis=None, by=by)
    outline = chain([(0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])], closed=True)
    plate = Plate(thickness=10.0, outline=Region(outer=outline), bounds=(0.0, 0.0, *size), zero="front-left")
    return Placed(spec=spec, plate=plate, features=features, lie=lie_of(plate, spec=spec, common="centre"))


def pattern(*names: str, within: float = 0.005) -> PatternSpec:
    features = tuple(Named(plate=plate, feature=feature) for plate, feature in (name.split(": ") for name in names))
    return PatternSpec(name="pins", features=features, within=within)


def mating(**changes: Any) -> MatingSpec:
    core, cavity = Named(plate="back", feature="core"), Named(plate="cavity", feature="disc")
    usual = {"name": "disc", "gap": 1.2, "tolerance": 0.02, "closed": None, "floor_gap": None}
    return MatingSpec(core=core, cavity=cavity, **{**usual, **changes})


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    return SimpleNamespace(rounded=rounded, holes=holes, pocket=pocket, placed=placed, pattern=pattern, mating=mating)
