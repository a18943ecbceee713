"""Keys of floors that fall, along the lines of grooves or across pockets, and the shapes of grooves' sections."""

import math
from dataclasses import dataclass
from typing import Any, Literal

from camplan import tolerance
from camplan.features.specs import Fall, Incline
from camplan.fields import Fields, quoted
from camplan.job.keys import LONGEST
from camplan.units import Mm, Rad, rad_from_deg

_STEEPEST_DEG = 45.0
_SECTIONS: tuple[Literal["square", "round", "trapezoid"], ...] = ("square", "round", "trapezoid")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A groove's section, and how far the sides of a trapezoid lean outward."""

    section: Literal["square", "round", "trapezoid"]
    draft: Rad


def groove_shape(fields: Fields) -> Shape:
    """``section`` and ``draft_deg``; a trapezoid leans, and nothing else does."""
    section = fields.choice("section", _SECTIONS, default="square")
    if section == "trapezoid":
        if not fields.has("draft_deg"):
            fields.raw("draft_deg")
            message = "is missing: the sides of a trapezoid lean outward"
            fields.refuse("draft_deg", message, accepted=f"degrees a side, above 0, up to {_STEEPEST_DEG:g}")
            return Shape(section=section, draft=rad_from_deg(1.0))
        return Shape(section=section, draft=rad_from_deg(fields.number("draft_deg", above=0.0, at_most=_STEEPEST_DEG)))
    if fields.has("draft_deg") and fields.number("draft_deg", at_least=0.0) > 0.0:
        message = f"the sides of a {section} groove do not lean"
        fields.refuse("draft_deg", message, accepted='section = "trapezoid"; or no draft_deg')
    return Shape(section=section, draft=0.0)


def pair(fields: Fields, key: str, *, unit: Mm, what: str) -> tuple[Mm, Mm] | None:
    """Two lengths in mm; None, with the problem, where the key holds anything else."""
    value = fields.raw(key)
    if isinstance(value, list) and len(value) == 2 and all(_is_length(one) for one in value):
        return float(value[0]) * unit, float(value[1]) * unit
    fields.refuse(key, f"must be two numbers, not {quoted(value)}", accepted=what)
    return None


def depths_of(fields: Fields, *, top: Mm, unit: Mm, thickness: Mm | None) -> tuple[Mm, Mm] | None:
    """``depth_mm`` where it is a list: two depths below the feature's top and not below the plate."""
    if not fields.has("depth_mm") or not isinstance(fields.raw("depth_mm"), list):
        return None
    if fields.has("depth"):
        fields.raw("depth")
        fields.refuse("depth", "stands beside depth_mm", accepted="depth_mm")
    stand_in = (top + 1.0, top + 0.5)
    found = pair(fields, "depth_mm", unit=unit, what="[first, last]: two depths, or one depth")
    if found is None:
        return stand_in
    refused = False
    for depth in dict.fromkeys(found):
        if thickness is not None and depth > thickness + tolerance.SAME_POINT:
            limit = f"{thickness / unit:g}"
            message = f"{depth / unit:g} is below the plate, which is {limit} thick"
            fields.refuse("depth_mm", message, accepted=f"up to {limit}")
            refused = True
        elif depth <= top:
            message = f"{depth / unit:g} is not below the feature's top at {top / unit:g}"
            fields.refuse("depth_mm", message, accepted=f"above {top / unit:g}")
            refused = True
    return stand_in if refused else found


def fall_of(fields: Fields, *, top: Mm, unit: Mm, thickness: Mm | None) -> Fall | None:
    """``depth_mm = [first, last]`` and ``deepest_at``; None for a groove of one depth."""
    depths = depths_of(fields, top=top, unit=unit, thickness=thickness)
    place = None
    if fields.has("deepest_at"):
        place = pair(fields, "deepest_at", unit=unit, what="[x, y] in the drawing's coordinates")
        if depths is None:
            message = "has no use with one depth"
            fields.refuse("deepest_at", message, accepted="depth_mm = [depth there, depth at the far ends]")
        elif depths[0] < depths[1]:
            message = f"[{depths[0] / unit:g}, {depths[1] / unit:g}] is deeper at the far ends than at deepest_at"
            fields.refuse("depth_mm", message, accepted="the depth at deepest_at first, the one of the far ends last")
    if depths is None:
        return None
    return Fall(first=depths[0], last=depths[1], deepest_at=place)


def widths_of(fields: Fields, *, unit: Mm) -> tuple[Mm, Mm] | None:
    """``width_mm`` where it is a list: how wide a level, square groove is at both ends of each line."""
    if not fields.has("width_mm") or not isinstance(fields.raw("width_mm"), list):
        return None
    found = pair(fields, "width_mm", unit=unit, what="[first, last]: two widths, or one width")
    if found is None:
        return (2.0, 1.0)
    if min(found) <= 0.0:
        fields.refuse("width_mm", f"{min(found) / unit:g} is no width", accepted="above 0")
        return (2.0, 1.0)
    if isinstance(fields.raw("depth_mm"), list):
        fields.refuse("width_mm", "a groove narrows or falls, not both", accepted="one width_mm, or one depth_mm")
    if fields.raw("section") not in (None, "square"):
        fields.refuse("width_mm", "only a square groove narrows", accepted='one width_mm, or section = "square"')
    return found


def incline_of(fields: Fields, *, top: Mm, unit: Mm, thickness: Mm | None) -> Incline | None:
    """``depth_mm = [first, last]`` of a pocket with ``slope_from_mm`` and ``slope_to_mm``; None for one depth."""
    depths = depths_of(fields, top=top, unit=unit, thickness=thickness)
    places = []
    for key in ("slope_from_mm", "slope_to_mm"):
        if fields.has(key):
            places.append(pair(fields, key, unit=unit, what="[x, y] in the drawing's coordinates"))
            if depths is None:
                fields.refuse(key, "has no use with one depth", accepted="depth_mm = [depth there, depth at the other]")
        elif depths is not None:
            fields.raw(key)
            message = "is missing: a floor with two depths falls between two places"
            fields.refuse(key, message, accepted="[x, y] in the drawing's coordinates")
    if depths is None:
        return None
    stand_in = Incline(start=(0.0, 0.0), end=(1.0, 0.0), first=depths[0], last=depths[1])
    draft = fields.raw("draft_deg")
    if isinstance(draft, int | float) and draft > 0.0:
        fields.refuse("draft_deg", "a floor that falls has upright walls", accepted="0, or one depth_mm")
    if thickness is not None and thickness - tolerance.SAME_POINT <= max(depths) <= thickness + tolerance.SAME_POINT:
        message = "a floor that falls cannot be as deep as the plate"
        fields.refuse("depth_mm", message, accepted=f"below {thickness / unit:g}")
    if abs(depths[0] - depths[1]) <= tolerance.SAME_POINT:
        message = f"both depths are {depths[0] / unit:g}: nothing falls"
        fields.refuse("depth_mm", message, accepted="two depths, or one depth without slope_from_mm and slope_to_mm")
    known = [one for one in places if one is not None]
    if len(known) < 2:
        return stand_in
    start, end = known
    if math.dist(start, end) <= tolerance.JOIN:
        message = f"[{end[0] / unit:g}, {end[1] / unit:g}] is the place of slope_from_mm too"
        fields.refuse("slope_to_mm", message, accepted="a place on which the floor has its second depth")
        return stand_in
    return Incline(start=start, end=end, first=depths[0], last=depths[1])


def refuse_closed(fields: Fields, *, shape: Shape, rise: Mm, width: Mm) -> None:
    """A trapezoid whose sides meet above its floor: 2 h tan a is not below its width at the top (plane geometry)."""
    lean = 2.0 * rise * math.tan(shape.draft)
    if shape.section == "trapezoid" and lean >= width - tolerance.GOUGE:
        steepest = math.degrees(math.atan(width / (2.0 * rise)))
        message = (
            f"sides that lean {math.degrees(shape.draft):g} degrees over {rise:g} mm of depth take {lean:.3f} mm of "
            f"the {width:g} mm at the top and leave no floor"
        )
        fields.refuse("draft_deg", message, accepted=f"below {steepest:.2f} here; or a wider or shallower groove")


def _is_length(value: Any) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and math.isfinite(value) and abs(value) <= LONGEST
