"""Features made larger so that what is moulded in them comes out as drawn.

Contours, lines and centres are scaled in X and Y about one place; widths, allowances and corners stay as they are
asked for.  Arcs stay arcs where both factors are one; else they become arcs that keep to the ellipse.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from camplan import tolerance
from camplan.drawing.curves import Conic, conic_chain
from camplan.errors import Problem
from camplan.features.records import Feature
from camplan.features.specs import EdgeSpec, FaceSpec, FeatureSpec, GrooveSpec, HoleSpec, PocketSpec
from camplan.geometry.chains import STRAIGHT, Chain, arcs, chain, ends
from camplan.regions import Region
from camplan.units import Mm

_ALIKE = 1e-12
Spec = TypeVar("Spec", bound=FeatureSpec)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaling:
    """Which features are scaled, and the factors of drawn sizes along X, along Y and of depths (1: as drawn).

    ``about``: the place that stays put, in the drawing's coordinates; None is the middle of the plate's outline.
    """

    features: tuple[str, ...]
    x: float
    y: float
    depth: float
    about: tuple[Mm, Mm] | None

    @property
    def even(self) -> bool:
        """Whether X and Y are scaled alike, so that circles stay circles."""
        return abs(self.x - self.y) <= _ALIKE * self.x


def deepened(spec: Spec, *, by: Scaling) -> Spec:
    """A feature's spec with its depths scaled from the plate's top; one that goes through stays as it is."""
    if by.depth == 1.0 or spec.name not in by.features or isinstance(spec, FaceSpec) or spec.depth is None:
        return spec
    if isinstance(spec, EdgeSpec):
        top = spec.top * by.depth
        return replace(spec, top=top, depth=top + spec.depth - spec.top)
    deeper = replace(spec, top=spec.top * by.depth, depth=spec.depth * by.depth)
    if isinstance(deeper, GrooveSpec) and deeper.fall is not None:
        fall = deeper.fall
        return replace(deeper, fall=replace(fall, first=fall.first * by.depth, last=fall.last * by.depth))
    if isinstance(deeper, PocketSpec) and deeper.incline is not None:
        plane = deeper.incline
        return replace(deeper, incline=replace(plane, first=plane.first * by.depth, last=plane.last * by.depth))
    return deeper


def scaled(feature: Feature, *, by: Scaling, about: tuple[Mm, Mm]) -> Feature:
    """A feature with its contours, lines, circles and the places that its spec names scaled about a place; ``by.even``
    where it has circles.  Floors that fall and widths that change are not followed: they are made anew from the lines.
    """
    return replace(
        feature,
        spec=_named_places(feature.spec, by=by, about=about),
        slopes=(),
        widening=(),
        incline=None,
        regions=tuple(
            Region(
                outer=scaled_chain(region.outer, x=by.x, y=by.y, about=about),
                islands=tuple(scaled_chain(island, x=by.x, y=by.y, about=about) for island in region.islands),
            )
            for region in feature.regions
        ),
        lines=tuple(scaled_chain(path, x=by.x, y=by.y, about=about) for path in feature.lines),
        points=tuple(_place(point, by=by, about=about) for point in feature.points),
        circles=tuple((*_place((x, y), by=by, about=about), by.x * diameter) for x, y, diameter in feature.circles),
    )


def _named_places(spec: FeatureSpec, *, by: Scaling, about: tuple[Mm, Mm]) -> FeatureSpec:
    if isinstance(spec, GrooveSpec) and spec.fall is not None and spec.fall.deepest_at is not None:
        return replace(spec, fall=replace(spec.fall, deepest_at=_place(spec.fall.deepest_at, by=by, about=about)))
    if isinstance(spec, PocketSpec) and spec.incline is not None:
        start, end = (_place(at, by=by, about=about) for at in (spec.incline.start, spec.incline.end))
        return replace(spec, incline=replace(spec.incline, start=start, end=end))
    return spec


def _place(at: tuple[Mm, Mm], *, by: Scaling, about: tuple[Mm, Mm]) -> tuple[Mm, Mm]:
    return (about[0] + by.x * (at[0] - about[0]), about[1] + by.y * (at[1] - about[1]))


def scaling_problems(features: Sequence[Feature], *, by: Scaling) -> list[Problem]:
    """What cannot be scaled: holes by unequal factors, and features that start where another, unscaled one ends."""
    named = [feature for feature in features if feature.spec.name in by.features]
    layers = {feature.spec.layer: feature.spec.name for feature in named}
    found = [
        Problem(
            message=f'it breaks the edge of "{layers[feature.spec.layer]}", which is scaled, and is not scaled itself',
            key=f'feature "{feature.spec.name}"',
            accepted="both in shrinkage.features, or neither",
        )
        for feature in features
        if isinstance(feature.spec, EdgeSpec) and feature not in named and feature.spec.layer in layers
    ]
    for feature in named:
        key = f'feature "{feature.spec.name}"'
        if isinstance(feature.spec, HoleSpec) and feature.spec.holds is not None:
            message = "what a hole of the plate holds does not shrink with the moulding, and its size is the standard's"
            found.append(Problem(message=message, key=key, accepted="left out of shrinkage.features"))
        elif feature.circles and not by.even:
            message = f"a hole is round, and this one would be scaled by {by.x:.5f} along X and {by.y:.5f} along Y"
            accepted = "one shrinkage for both, a pocket drawn in its place, or a hole not named in shrinkage.features"
            found.append(Problem(message=message, key=key, accepted=accepted))
        under = [other for other in features if _starts_at(feature, floor=other, by=by)]
        if under:
            message = (
                f'it starts at {feature.top / by.depth:g} mm, where "{under[0].spec.name}" ends, and with '
                "depths = true only one of the two is scaled"
            )
            found.append(Problem(message=message, key=key, accepted="both in shrinkage.features, or depths = false"))
    return found


def scaled_chain(path: Chain, *, x: float, y: float, about: tuple[Mm, Mm]) -> Chain:
    """A chain scaled by the factors ``x`` and ``y`` (above 0) about a place."""
    place = np.asarray(about, dtype=np.float64)
    factors = np.array([x, y])
    points = place + factors * (path.points - place)
    curved = np.flatnonzero(np.abs(path.bulges) >= STRAIGHT)
    if abs(x - y) <= _ALIKE * x or not len(curved):
        return Chain(points=points, bulges=path.bulges, closed=path.closed)
    start, _ = ends(path)
    found = arcs(path)
    vertices: list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]] = []
    bulges: list[float] = []
    for segment, bulge in enumerate(path.bulges):
        if abs(bulge) < STRAIGHT:
            vertices.append(points[segment])
            bulges.append(0.0)
            continue
        arm = start[segment] - found.centres[segment]
        piece = conic_chain(
            Conic(
                centre=place + factors * (found.centres[segment] - place),
                u=factors * arm,
                v=factors * np.array([-arm[1], arm[0]]),
                start=0.0,
                sweep=float(found.sweeps[segment]),
            ),
            within=tolerance.CHORD,
        )
        vertices += [points[segment], *piece.points[1:-1]]
        bulges += piece.bulges.tolist()
    if not path.closed:
        vertices.append(points[-1])
    return chain(np.array(vertices), bulges=bulges, closed=path.closed)


def _starts_at(feature: Feature, *, floor: Feature, by: Scaling) -> bool:
    """Whether ``feature`` is scaled in depth and starts on the floor of a feature that is not."""
    if by.depth == 1.0 or feature.top <= 0.0 or floor.spec.name in by.features or isinstance(floor.spec, FaceSpec):
        return False
    return abs(floor.bottom - feature.top / by.depth) <= tolerance.SAME_POINT
