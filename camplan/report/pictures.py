"""Pictures of a plan as SVG: the plate with its zero, a setting with its paths, one operation close up.

Each is one ``<svg>`` that asks for nothing from outside.  Y points up, X to the right, as on the mill.
"""

import math
from collections.abc import Callable, Sequence
from html import escape

import numpy as np

from camplan.comparison.records import Leftover
from camplan.features.records import Feature, Plate
from camplan.features.specs import SettingSpec
from camplan.geometry.chains import Points
from camplan.planned import Plan, PlannedOperation, PlannedProgram
from camplan.regions import bounds
from camplan.report.annotations import Frame, feature_balloons, left_marks, plate_sizes, plunge_marks, window
from camplan.report.shapes import (
    clamp_shape,
    coordinate,
    feature_shape,
    grid_path,
    on_grid,
    plate_shape,
    zero_shape,
)
from camplan.report.style import DEPTHS, FAINT
from camplan.report.tracks import ABOVE, RAPID, Segments, plunges, rows_of, segments, strokes
from camplan.report.words import face_up, features_by_name
from camplan.units import Mm

LIMIT = 300_000
"""Bytes that one picture may take."""
ACROSS = 3200
"""Grid steps across a picture, if the limit allows: so fine that arcs look round on paper."""
LEFT_SHOWN = 26


def plate_picture(plan: Plan, *, limit: int = LIMIT) -> str:
    """The bare plate with its features, its size, its zero, and a numbered balloon for each feature."""
    content = _content(plan.plate, features=plan.features, settings=())
    frame, unit = _with_margins(content)
    features = tuple(features_by_name(plan).values())
    body = _base(plan.plate, shown=features, here=features, step=frame.width / ACROSS, limit=limit)
    body += plate_sizes(plan.plate, content=content, unit=unit) + zero_shape(size=9 * unit)
    body += feature_balloons(features, numbers=numbers_of(plan), content=content, unit=unit)
    return svg(body, frame=frame, said=f"The plate with its features, seen from above. {_zero_said(plan)}")


def setting_picture(plan: Plan, *, setting: str, ident: str = "", limit: int = LIMIT) -> str:
    """Every path of a setting with its clamps, features, zero and what is left.

    With ``ident`` plate, features and clamps carry that id, for `operation_picture` to draw them again.
    """
    spec = _setting(plan, setting)
    face = face_up(plan, setting)
    content = _content(face.plate, features=face.features, settings=(spec,))
    frame, unit = _with_margins(content)
    here = features_of(plan, setting)
    others = tuple(item for item in face.features if item.spec.name not in spec.features)
    base = _base(face.plate, shown=(*others, *here), here=here, step=frame.width / ACROSS, clamps=spec, limit=limit)
    group = f'<g id="{escape(ident)}">{base}</g>' if ident else base
    pieces = [
        segments(program.motions, sagitta=frame.width / ACROSS)
        for program in plan.programs
        if program.setting == setting and program.cutter is not None
    ]
    over = plate_sizes(face.plate, content=content, unit=unit) + zero_shape(size=9 * unit)
    over += feature_balloons(here, numbers=numbers_of(plan), content=content, unit=unit)
    here_left = {
        letter: left.at
        for letter, left in left_letters(plan).items()
        if left.feature in spec.features and left.face == spec.face
    }
    over += left_marks(here_left, size=3.4 * unit)
    deepest = deepest_of(plan)
    drawn = within(
        limit - len(group) - len(over),
        lambda step: "".join(_paths(piece, frame=frame, step=step, deepest=deepest) for piece in pieces),
        step=frame.width / ACROSS,
    )
    lies = "plate" if face.about is None else "plate turned over"
    return svg(group + drawn + over, frame=frame, said=f"Setting {setting}: {lies}, clamps and paths from above.")


def operation_picture(
    plan: Plan, *, program: PlannedProgram, operation: PlannedOperation, base: str = "", limit: int = LIMIT
) -> str:
    """The paths of one operation, close up.

    With ``base``, the id that a `setting_picture` in the same document carries, the plate is not drawn anew.
    """
    spec = _setting(plan, program.setting)
    motions = rows_of(program.motions, first_line=operation.first_line, last_line=operation.last_line)
    rough = segments(motions, sagitta=0.05)
    cutting = ~rough.rapid & (rough.z < -1e-9)
    places = np.vstack((rough.start[cutting], rough.end[cutting]))
    radius = program.cutter.diameter / 2.0 if program.cutter is not None else 0.0
    face = face_up(plan, program.setting)
    content = _close_up(places, plate=_content(face.plate, features=face.features, settings=()), radius=radius)
    unit = max(content.width, 1.2 * content.height) / 100.0
    frame = Frame(
        x0=content.x0 - 2 * unit, y0=content.y0 - 8 * unit, x1=content.x1 + 2 * unit, y1=content.y1 + 2 * unit
    )
    if base:
        under = f'<use href="#{escape(base)}"/>'
    else:
        here = features_of(plan, program.setting)
        under = _base(face.plate, shown=here, here=here, step=frame.width / ACROSS, clamps=spec, limit=limit)
    over = window(content, frame=frame, unit=unit)
    dots = plunges(motions)
    if len(dots):
        over = plunge_marks(dots, radius=radius) + over
    pieces = segments(motions, sagitta=frame.width / ACROSS)
    deepest = deepest_of(plan)
    drawn = within(
        limit - len(under) - len(over),
        lambda step: _paths(pieces, frame=frame, step=step, deepest=deepest),
        step=frame.width / ACROSS,
    )
    said = f"{operation.purpose.value} {operation.feature}: paths seen from above."
    return svg(under + drawn + over, frame=frame, said=said)


def numbers_of(plan: Plan) -> dict[str, int]:
    """The number by which pictures and tables name each feature."""
    return {name: number for number, name in enumerate(features_by_name(plan), start=1)}


def features_of(plan: Plan, setting: str) -> tuple[Feature, ...]:
    """The features that a setting cuts, as the plate lies in it."""
    names = _setting(plan, setting).features
    return tuple(feature for feature in face_up(plan, setting).features if feature.spec.name in names)


def left_letters(plan: Plan) -> dict[str, Leftover]:
    """The largest places where material is left, by the letter that marks them."""
    ordered = sorted(plan.proof.leftovers, key=lambda left: (-left.area, left.feature, left.depth, left.at))
    return {chr(ord("a") + index): left for index, left in enumerate(ordered[:LEFT_SHOWN])}


def deepest_of(plan: Plan) -> Mm:
    """The depth of the deepest level of the plan: the dark end of the depth shades."""
    levels = [-level for program in plan.programs for work in program.operations for level in work.levels]
    return max([*levels, 1e-3])


def _setting(plan: Plan, name: str) -> SettingSpec:
    return next(spec for spec in plan.settings if spec.name == name)


def _content(plate: Plate, *, features: Sequence[Feature], settings: tuple[SettingSpec, ...]) -> Frame:
    x0, y0, x1, y1 = plate.bounds
    for region in (region for feature in features for region in feature.regions):
        left, front, right, back = bounds(region)
        x0, y0, x1, y1 = min(x0, left), min(y0, front), max(x1, right), max(y1, back)
    for clamp in (clamp for spec in settings for clamp in spec.clamps):
        x0, y0 = min(x0, clamp.x), min(y0, clamp.y)
        x1, y1 = max(x1, clamp.x + clamp.width), max(y1, clamp.y + clamp.length)
    return Frame(x0=x0, y0=y0, x1=x1, y1=y1)


def _with_margins(content: Frame) -> tuple[Frame, Mm]:
    """Room for balloons left and right and sizes below and to the right; and one hundredth of the picture's size."""
    unit = max(content.width, content.height * 0.8) / 74.0
    spare = max(74.0 * unit - content.width, 0.0) / 2.0
    frame = Frame(
        x0=content.x0 - 11 * unit - spare,
        y0=content.y0 - 11 * unit,
        x1=content.x1 + 15 * unit + spare,
        y1=content.y1 + 5 * unit,
    )
    return frame, unit


def _close_up(places: Points, *, plate: Frame, radius: Mm) -> Frame:
    """The paths with the cutter's width around them, never narrower than a tenth of the plate."""
    if not len(places):
        return plate
    (x0, y0), (x1, y1) = places.min(axis=0), places.max(axis=0)
    room = radius + 0.06 * max(x1 - x0, y1 - y0) + 0.01 * plate.width
    least = 0.1 * max(plate.width, plate.height)
    width, height = max(x1 - x0 + 2 * room, least), max(y1 - y0 + 2 * room, least)
    width, height = max(width, height * 0.9), max(height, width * 0.5)
    cx, cy = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    return Frame(
        x0=float(cx - width / 2), y0=float(cy - height / 2), x1=float(cx + width / 2), y1=float(cy + height / 2)
    )


def _base(
    plate: Plate,
    *,
    shown: tuple[Feature, ...],
    here: tuple[Feature, ...],
    step: Mm,
    clamps: SettingSpec | None = None,
    limit: int = LIMIT,
) -> str:
    mine = {feature.spec.name for feature in here}

    def drawn(step: Mm) -> str:
        largest_first = sorted(shown, key=_spread, reverse=True)
        return plate_shape(plate, step=step) + "".join(
            feature_shape(feature, step=step, here=feature.spec.name in mine) for feature in largest_first
        )

    boxes = "".join(clamp_shape(clamp) for clamp in clamps.clamps) if clamps is not None else ""
    return within(limit // 2, drawn, step=step) + boxes


def _spread(feature: Feature) -> float:
    """How much of the plate a feature covers, so that small ones are drawn on top of large ones."""
    points = [region.outer.points for region in feature.regions]
    if not points:
        return 0.0
    spans = [item.max(axis=0) - item.min(axis=0) for item in points]
    return float(sum(span[0] * span[1] for span in spans))


def _paths(pieces: Segments, *, frame: Frame, step: Mm, deepest: Mm) -> str:
    origin = (frame.x0, frame.y0)
    parts: list[str] = []
    for item in strokes(pieces, origin=origin, step=step, deepest=deepest):
        match item.band:
            case value if value == RAPID:
                look = f'fill="none" stroke="{FAINT}" stroke-width="0.8" stroke-dasharray="4 3" stroke-opacity="0.75"'
            case value if value == ABOVE:
                look = f'fill="none" stroke="{FAINT}" stroke-width="0.7" stroke-dasharray="1 2"'
            case value:
                look = (
                    f'fill="none" stroke="{DEPTHS[value]}" stroke-width="1.2" stroke-linejoin="round" '
                    'stroke-linecap="round"'
                )
        parts.append(on_grid(grid_path(item.lines), origin=origin, step=step, look=look))
    return "".join(parts)


def within(limit: int, build: Callable[[Mm], str], *, step: Mm) -> str:
    """The finest drawing that keeps the limit; the grid is made coarser until it does."""
    text = build(step)
    while len(text) > limit and step < 1e6:
        step *= max(math.sqrt(2.0), 0.7 * len(text) / max(limit, 1))
        text = build(step)
    return text


def _zero_said(plan: Plan) -> str:
    return f"Zero: {plan.plate.zero}."


def svg(body: str, *, frame: Frame, said: str) -> str:
    box = " ".join(coordinate(value) for value in (frame.x0, -frame.y1, frame.width, frame.height))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" aria-label="{escape(said)}" '
        f'font-family="Arial, Helvetica, sans-serif">{body}</svg>'
    )
