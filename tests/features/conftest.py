"""Specs, features and layers in short, and sections as shapely figures."""

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from camplan.drawing.records import Circle, Drawing, Layer
from camplan.features.records import Feature, Section
from camplan.features.specs import (
    FaceSpec,
    FeatureSpec,
    GrooveSpec,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PlateSpec,
    PocketSpec,
)
from camplan.geometry import planar
from camplan.geometry.chains import Chain, chain, circle

_WALL = {"allowance": 0.0, "finish": None, "corner": None}


def pocket(**changes: Any) -> PocketSpec:
    usual = {"name": "disc", "layer": "DISC", "top": 0.0, "depth": 6.5, "draft": 0.0, "nominal": "top"}
    return PocketSpec(**{**usual, **_WALL, "tolerance": 0.02, "cutters": (), **changes})


def outline(**changes: Any) -> OutlineSpec:
    usual = {"name": "part", "layer": "PART", "top": 0.0, "depth": None, "side": "outside", "hold": "bridges"}
    held = {"bridges": 4, "bridge_width": 3.0, "bridge_height": 1.5, "skin": 0.2}
    return OutlineSpec(**{**usual, **held, **_WALL, "tolerance": 0.02, "cutters": (), **changes})


def hole(**changes: Any) -> HoleSpec:
    usual = {"name": "pins", "layer": "PINS", "top": 0.0, "depth": 8.0, "diameter": None, "spot": True}
    return HoleSpec(**{**usual, "tolerance": 0.02, "cutters": (), **changes})


def groove(**changes: Any) -> GrooveSpec:
    usual = {"name": "runner", "layer": "RUNNER", "top": 0.0, "depth": 3.0, "width": 4.0, "section": "square"}
    return GrooveSpec(**{**usual, "tolerance": 0.02, "cutters": (), **changes})


def mark(**changes: Any) -> MarkSpec:
    usual = {"name": "marks", "layer": "MARKS", "top": 0.0, "depth": 0.2, "width": None, "cross": 4.0, "cutters": ()}
    return MarkSpec(**{**usual, **changes})


def face(**changes: Any) -> FaceSpec:
    return FaceSpec(**{"name": "top", "layer": None, "depth": 0.5, "cutters": (), **changes})


def plate(**changes: Any) -> PlateSpec:
    return PlateSpec(**{"thickness": 10.0, "outline": "PLATE", "zero": "front-left", "break_through": 0.3, **changes})


def feature(spec: FeatureSpec, **changes: Any) -> Feature:
    """A feature of a 10 mm plate, at the depths of its spec."""
    through = spec.depth is None
    depths = {
        "top": 0.0 if isinstance(spec, FaceSpec) else spec.top,
        "bottom": 10.0 if spec.depth is None else spec.depth,
        "through": through,
        "break_through": 0.3 if through else 0.0,
    }
    return Feature(spec=spec, **{**depths, **changes})


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return chain([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


def layer(name: str, *shapes: Chain, circles: Any = (), points: Any = ()) -> Layer:
    rounds = tuple(Circle(centre=(x, y), diameter=diameter) for x, y, diameter in circles)
    return Layer(
        name=name,
        closed=(
            *(shape for shape in shapes if shape.closed),
            *(circle(one.centre, radius=one.diameter / 2.0) for one in rounds),
        ),
        open=tuple(shape for shape in shapes if not shape.closed),
        circles=rounds,
        points=np.array(points, dtype=np.float64).reshape(-1, 2),
        findings=(),
    )


def drawing(*layers: Layer) -> Drawing:
    """A drawing with a plate of 100 x 80 mm, its front left corner at (10, 20)."""
    edge = layer("PLATE", rectangle(10.0, 20.0, 110.0, 100.0))
    return Drawing(file="plate.dxf", layers={one.name: one for one in (edge, *layers)}, findings=())


def figure(section: Section) -> shapely.Geometry:
    """A section worked out by shapely, arcs within 0.01 um."""

    def grown(shape: shapely.Geometry, by: float) -> shapely.Geometry:
        return shape.buffer(by, quad_segs=max(8, math.ceil(math.sqrt(abs(by) / 3e-5)))) if by else shape

    regions = shapely.union_all([planar.polygon(region, chord=1e-5) for region in section.regions])
    lines = shapely.union_all([planar.line(line, chord=1e-5) for line in section.lines])
    keep = shapely.union_all([planar.polygon(region, chord=1e-5) for region in section.keep])
    stay = shapely.union_all([planar.polygon(region, chord=1e-5) for region in section.stay])
    return (
        grown(regions, section.grow)
        .union(grown(lines, section.grow))
        .difference(grown(keep, section.keep_grow))
        .difference(stay)
    )


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    """Specs, features, layers and figures with everything usual left out."""
    return SimpleNamespace(
        pocket=pocket,
        outline=outline,
        hole=hole,
        groove=groove,
        mark=mark,
        face=face,
        plate=plate,
        feature=feature,
        rectangle=rectangle,
        layer=layer,
        drawing=drawing,
        figure=figure,
    )
