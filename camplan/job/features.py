"""The ``[[feature]]`` tables."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from camplan import tolerance
from camplan.features.inclines import deep_end
from camplan.features.specs import (
    EdgeSpec,
    FaceSpec,
    FeatureSpec,
    GrooveSpec,
    Hold,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PocketSpec,
    Side,
)
from camplan.fields import Fields, quoted
from camplan.job.edge_keys import read_edge
from camplan.job.groove_keys import fall_of, groove_shape, incline_of, refuse_closed, widths_of
from camplan.job.hole_keys import Bounds, read_held
from camplan.job.keys import LONGEST, later, length, line, names, optional_length
from camplan.units import UM_PER_MM, Mm, rad_from_deg

KINDS = ("pocket", "outline", "hole", "groove", "mark", "face", "edge")
_SIDES: tuple[Side, ...] = ("outside", "inside")
_HOLDS: tuple[Hold, ...] = ("bridges", "skin", "none")
_HOLD_KEYS = ("hold", "bridges", "bridge_width_mm", "bridge_height_mm", "skin_mm")
_SQUARE_WALLS = "walls that stand upright"
_STEEPEST_DEG = 45.0
_MOST_BRIDGES = 50
_MOST_UM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What a feature is read against: the file's unit in mm, the plate's thickness (None: not known), the names of the
    job's cutters (None: the whole library) and the folder of the job, beside which own tables stand."""

    unit: Mm
    thickness: Mm | None
    cutters: tuple[str, ...] | None
    folder: Path


def read_feature(fields: Fields, *, ground: Ground) -> FeatureSpec | None:
    """One table; None, with the problem, if its kind is none that is planned."""
    before = len(fields.problems)
    kind = fields.choice("kind", KINDS)
    if len(fields.problems) > before:
        line(fields, "name")
        return None
    spec = _KIND_READERS[kind](fields, ground)
    fields.finish()
    return spec


def _pocket(fields: Fields, ground: Ground) -> PocketSpec:
    top = _top(fields, ground=ground)
    incline = incline_of(fields, top=top, unit=ground.unit, thickness=ground.thickness)
    return PocketSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=deep_end(incline) if incline else _depth_or_through(fields, top=top, ground=ground),
        incline=incline,
        draft=rad_from_deg(fields.number("draft_deg", default=0.0, at_least=0.0, at_most=_STEEPEST_DEG)),
        nominal=fields.choice("nominal", ("top", "floor"), default="top"),
        allowance=length(fields, "allowance_mm", unit=ground.unit, default=0.0, at_least=0.0),
        finish=optional_length(fields, "finish_mm", unit=ground.unit, at_least=0.0),
        corner=optional_length(fields, "corner_mm", unit=ground.unit, at_least=0.0),
        tolerance=_tolerance(fields),
        cutters=_cutters(fields, ground=ground),
    )


def _outline(fields: Fields, ground: Ground) -> OutlineSpec:
    top = _top(fields, ground=ground)
    depth = _depth_or_through(fields, top=top, ground=ground)
    thickness = ground.thickness if ground.thickness is not None else LONGEST
    through = depth is None or depth >= thickness - tolerance.SAME_POINT
    standing = max(thickness - top, tolerance.SAME_POINT)
    hold = fields.choice("hold", _HOLDS, default="bridges" if through else "none")
    _without_use(fields, hold=hold, through=through)
    return OutlineSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=depth,
        side=fields.choice("side", _SIDES, default="outside"),
        hold=hold,
        bridges=_bridges(fields) if hold == "bridges" else 0,
        bridge_width=length(fields, "bridge_width_mm", unit=ground.unit, default=3.0, above=0.0),
        bridge_height=length(
            fields, "bridge_height_mm", unit=ground.unit, default=min(1.5, standing / 2.0), above=0.0, at_most=standing
        ),
        skin=length(
            fields, "skin_mm", unit=ground.unit, default=min(0.2, standing / 2.0), above=0.0, at_most=standing / 2.0
        ),
        allowance=length(fields, "allowance_mm", unit=ground.unit, default=0.0, at_least=0.0),
        finish=optional_length(fields, "finish_mm", unit=ground.unit, at_least=0.0),
        corner=optional_length(fields, "corner_mm", unit=ground.unit, at_least=0.0),
        tolerance=_tolerance(fields),
        cutters=_cutters(fields, ground=ground),
        draft=rad_from_deg(fields.number("draft_deg", default=0.0, at_least=0.0, at_most=_STEEPEST_DEG)),
        nominal=fields.choice("nominal", ("top", "floor"), default="top"),
    )


def _without_use(fields: Fields, *, hold: Hold, through: bool) -> None:
    """Refuse what cannot take effect: bridges beside a skin, and holding a part that is not cut free."""
    if not through and hold != "none":
        fields.refuse("hold", "only an outline cut through the plate is held", accepted='depth = "through"; or no hold')
        return
    used: dict[Hold, tuple[str, ...]] = {"bridges": _HOLD_KEYS[:4], "skin": ("hold", "skin_mm"), "none": ("hold",)}
    for key in _HOLD_KEYS:
        if fields.has(key) and key not in used[hold]:
            fields.raw(key)
            fields.refuse(key, f'has no use with hold = "{hold}"', accepted=", ".join(used[hold]))


def _bridges(fields: Fields) -> int:
    count = fields.count("bridges", default=4, at_least=1)
    if count > _MOST_BRIDGES:
        fields.refuse("bridges", f"{quoted(count)} is impossible", accepted=f"1 to {_MOST_BRIDGES}")
        return 1
    return count


def _hole(fields: Fields, ground: Ground) -> HoleSpec:
    later(fields, accepted={"draft_deg": _SQUARE_WALLS})
    top = _top(fields, ground=ground)
    bounds = Bounds(
        top=top,
        unit=ground.unit,
        thickness=ground.thickness,
        folder=ground.folder,
        depth=lambda: _depth_or_through(fields, top=top, ground=ground),
    )
    held = read_held(fields, bounds=bounds)
    return HoleSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=held.depth,
        diameter=optional_length(fields, "diameter_mm", unit=ground.unit, above=0.0),
        spot=fields.flag("spot", default=True),
        tolerance=_tolerance(fields),
        cutters=_cutters(fields, ground=ground),
        holds=held.holds,
    )


def _groove(fields: Fields, ground: Ground) -> GrooveSpec:
    top = _top(fields, ground=ground)
    fall = fall_of(fields, top=top, unit=ground.unit, thickness=ground.thickness)
    shape = groove_shape(fields)
    depth = max(fall.first, fall.last) if fall else _depth(fields, top=top, ground=ground)
    widths = widths_of(fields, unit=ground.unit)
    width = max(widths) if widths else length(fields, "width_mm", unit=ground.unit, above=0.0)
    refuse_closed(fields, shape=shape, rise=depth - top, width=width)
    return GrooveSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=depth,
        width=width,
        section=shape.section,
        tolerance=_tolerance(fields),
        cutters=_cutters(fields, ground=ground),
        fall=fall,
        draft=shape.draft,
        widths=widths,
    )


def _mark(fields: Fields, ground: Ground) -> MarkSpec:
    top = _top(fields, ground=ground)
    return MarkSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer"),
        top=top,
        depth=_depth(fields, top=top, ground=ground, default=top + 0.2),
        width=optional_length(fields, "width_mm", unit=ground.unit, above=0.0),
        cross=length(fields, "cross_mm", unit=ground.unit, default=4.0, above=0.0),
        cutters=_cutters(fields, ground=ground),
    )


def _face(fields: Fields, ground: Ground) -> FaceSpec:
    depth = _depth(fields, top=0.0, ground=ground)
    if ground.thickness is not None and depth >= ground.thickness:
        fields.refuse("depth_mm", "a face as deep as the plate leaves nothing of it", accepted="less")
    return FaceSpec(
        name=line(fields, "name"),
        layer=line(fields, "layer") if fields.has("layer") else None,
        depth=depth,
        cutters=_cutters(fields, ground=ground),
    )


def _edge(fields: Fields, ground: Ground) -> EdgeSpec:
    return read_edge(
        fields,
        unit=ground.unit,
        thickness=ground.thickness,
        top=_top(fields, ground=ground),
        tolerance=_tolerance(fields),
        cutters=_cutters(fields, ground=ground),
    )


_KIND_READERS: dict[str, Callable[[Fields, Ground], FeatureSpec]] = {
    "pocket": _pocket,
    "outline": _outline,
    "hole": _hole,
    "groove": _groove,
    "mark": _mark,
    "face": _face,
    "edge": _edge,
}


def _top(fields: Fields, *, ground: Ground) -> Mm:
    top = length(fields, "top_mm", unit=ground.unit, default=0.0, at_least=0.0)
    if ground.thickness is not None and top >= ground.thickness:
        limit = ground.thickness / ground.unit
        fields.refuse("top_mm", f"{top / ground.unit:g} is not in the plate", accepted=f"below {limit:g}")
        return 0.0
    return top


def _depth_or_through(fields: Fields, *, top: Mm, ground: Ground) -> Mm | None:
    if not fields.has("depth"):
        if not fields.has("depth_mm"):
            fields.refuse("depth_mm", "is missing", accepted='depth_mm, or depth = "through"')
            fields.raw("depth_mm")
            return None
        if fields.raw("depth_mm") == "through":
            fields.refuse("depth_mm", "'through' is no figure", accepted='depth = "through", or a figure in depth_mm')
            return None
        return _depth(fields, top=top, ground=ground)
    value = fields.raw("depth")
    if value != "through":
        fields.refuse("depth", f"{quoted(value)} is no depth", accepted='"through"; a figure stands in depth_mm')
    if fields.has("depth_mm"):
        fields.raw("depth_mm")
        fields.refuse("depth_mm", "stands beside depth", accepted='one of the two: depth_mm, or depth = "through"')
    return None


def _depth(fields: Fields, *, top: Mm, ground: Ground, default: Mm | None = None) -> Mm:
    """A depth below the feature's top and not below the plate."""
    if fields.has("depth"):
        fields.raw("depth")
        fields.refuse("depth", "this kind of feature has a floor", accepted="depth_mm")
    before = len(fields.problems)
    depth = length(fields, "depth_mm", unit=ground.unit, default=default, above=0.0)
    if len(fields.problems) > before:
        return top + 1.0
    if ground.thickness is not None and depth > ground.thickness + tolerance.SAME_POINT:
        limit = f"{ground.thickness / ground.unit:g}"
        message = f"{depth / ground.unit:g} is below the plate, which is {limit} thick"
        fields.refuse("depth_mm", message, accepted=f"up to {limit}")
    elif depth <= top:
        message = f"{depth / ground.unit:g} is not below the feature's top at {top / ground.unit:g}"
        fields.refuse("depth_mm", message, accepted=f"above {top / ground.unit:g}")
    return depth


def _tolerance(fields: Fields) -> Mm:
    return fields.number("tolerance_um", default=20.0, above=0.0, at_most=_MOST_UM) / UM_PER_MM


def _cutters(fields: Fields, *, ground: Ground) -> tuple[str, ...]:
    return names(fields, "cutters", among=ground.cutters, what="cutter") or ()
