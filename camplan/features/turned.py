"""The plate turned over: drawings mirrored, the word of the zero, and features cut half from either face.

A drawing shows the plate as seen from its top.  Turned over about the Y axis, what was left is right; about the X axis,
what was in front is at the back.  Everything of a face is built from the drawing mirrored so, in the coordinates of the
plate as it then lies; depths count from the face that is up.
"""

from dataclasses import replace

import numpy as np

from camplan.drawing.records import Circle, Drawing, Layer
from camplan.features.records import Feature
from camplan.features.scaled import Scaling
from camplan.features.specs import Axis, FeatureSpec, GrooveSpec, OutlineSpec, PocketSpec, Zero
from camplan.geometry.chains import Chain
from camplan.units import Mm

OVERLAP: Mm = 0.5
"""How much of the plate's thickness both faces cut of a feature that is named in settings of both."""
_SWAPPED: dict[Axis, tuple[str, str]] = {"y": ("left", "right"), "x": ("front", "back")}


def turned_drawing(drawing: Drawing, *, about: Axis) -> Drawing:
    """The drawing as the plate shows it from its back."""
    return replace(drawing, layers={name: _layer(layer, about=about) for name, layer in drawing.layers.items()})


def turned_chain(path: Chain, *, about: Axis) -> Chain:
    """A chain mirrored, its points in the same order; arcs bend the other way."""
    return replace(path, points=path.points * _signs(about), bulges=-path.bulges)


def turned_spec(spec: FeatureSpec, *, about: Axis) -> FeatureSpec:
    """A spec with the places that it names in the drawing as the plate shows them from its back."""
    if isinstance(spec, GrooveSpec) and spec.fall is not None and spec.fall.deepest_at is not None:
        return replace(spec, fall=replace(spec.fall, deepest_at=_place(spec.fall.deepest_at, about=about)))
    if isinstance(spec, PocketSpec) and spec.incline is not None:
        start, end = _place(spec.incline.start, about=about), _place(spec.incline.end, about=about)
        return replace(spec, incline=replace(spec.incline, start=start, end=end))
    return spec


def turned_scaling(scaling: Scaling, *, about: Axis) -> Scaling:
    """What is scaled, about the same place of the plate."""
    return scaling if scaling.about is None else replace(scaling, about=_place(scaling.about, about=about))


def _place(at: tuple[Mm, Mm], *, about: Axis) -> tuple[Mm, Mm]:
    x, y = _signs(about).tolist()
    return (x * at[0], y * at[1])


def turned_zero(zero: str, *, about: Axis) -> Zero:
    """The word, on the turned plate, for the corner of the plate that a word names on its top."""
    one, other = _SWAPPED[about]
    words: dict[str, Zero] = {
        "front-left": "front-left",
        "front-right": "front-right",
        "back-left": "back-left",
        "back-right": "back-right",
        "centre": "centre",
    }
    swapped = "-".join({one: other, other: one}.get(word, word) for word in zero.split("-"))
    return words[swapped]


def half(feature: Feature, *, thickness: Mm, last: bool) -> Feature:
    """The part of a through feature that one of two faces cuts: half of the plate's thickness and half the overlap.

    Bridges stand in the half that is cut ``last``, as high as is asked above what the other face has cut away.
    """
    spec = feature.spec
    if isinstance(spec, OutlineSpec) and spec.hold == "bridges":
        spec = replace(spec, bridge_height=spec.bridge_height + OVERLAP) if last else replace(spec, hold="none")
    return replace(feature, spec=spec, bottom=(thickness + OVERLAP) / 2.0, break_through=0.0)


def _signs(about: Axis) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([-1.0, 1.0]) if about == "y" else np.array([1.0, -1.0])


def _layer(layer: Layer, *, about: Axis) -> Layer:
    x, y = _signs(about).tolist()
    return replace(
        layer,
        closed=tuple(turned_chain(path, about=about) for path in layer.closed),
        open=tuple(turned_chain(path, about=about) for path in layer.open),
        circles=tuple(
            Circle(centre=(x * circle.centre[0], y * circle.centre[1]), diameter=circle.diameter)
            for circle in layer.circles
        ),
        points=np.asarray(layer.points, dtype=np.float64) * np.array([x, y]),
    )
