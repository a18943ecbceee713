"""What is gone of a plate before it is cut: layers of the drawing, or earlier plans."""

from pathlib import Path
from typing import Any

from camplan.features.specs import ExistingLayer, ExistingPlan, ExistingSpec, FaceUp
from camplan.fields import Fields, quoted
from camplan.job.keys import length, line
from camplan.units import Mm

_KEY = "existing"
_ACCEPTED = (
    'a layer of the drawing or the folder of an earlier plan: "OLD", { layer = "OLD", depth_mm = 5 }, '
    '{ plan = "first-out" }, or a list of these'
)
_FACES: tuple[FaceUp, ...] = ("top", "back")


def read_existing(fields: Fields, *, unit: Mm, thickness: Mm | None, folder: Path) -> tuple[ExistingSpec, ...]:
    """The key ``existing`` of the plate's table; nothing if it is left out.

    A text alone is an earlier plan if there is a folder of that name beside the job, else a layer cut through.
    """
    value: Any = fields.raw(_KEY)
    if value is None:
        return ()
    each = value if isinstance(value, list) else [value]
    found: list[ExistingSpec] = []
    for one in each:
        spec = _one(one, fields=fields, unit=unit, thickness=thickness, folder=folder)
        if spec is not None:
            found.append(spec)
    if not each:
        fields.refuse(_KEY, "names nothing", accepted=f"{_ACCEPTED}; or leave it out")
    return tuple(found)


def _one(value: Any, *, fields: Fields, unit: Mm, thickness: Mm | None, folder: Path) -> ExistingSpec | None:
    if isinstance(value, str) and value.strip() and value.isprintable():
        if (folder / value).is_dir():
            return ExistingPlan(folder=folder / value)
        return ExistingLayer(layer=value, depth=None, face="top")
    if not isinstance(value, dict):
        fields.refuse(_KEY, f"{quoted(value)} is neither a layer nor a plan", accepted=_ACCEPTED)
        return None
    table = fields.within(_KEY, value)
    before = len(table.problems)
    if table.has("plan"):
        return _plan(table, folder=folder)
    layer = line(table, "layer")
    face = table.choice("face", _FACES, default="top")
    depth = _depth(table, unit=unit, thickness=thickness)
    table.finish(known=("plan",))
    return ExistingLayer(layer=layer, depth=depth, face=face) if len(table.problems) == before else None


def _plan(table: Fields, *, folder: Path) -> ExistingSpec | None:
    before = len(table.problems)
    name = line(table, "plan")
    table.finish()
    if len(table.problems) > before:
        return None
    if not (folder / name).is_dir():
        table.refuse("plan", f"there is no folder {quoted(name)} beside the job", accepted="the folder of a plan")
        return None
    return ExistingPlan(folder=folder / name)


def _depth(table: Fields, *, unit: Mm, thickness: Mm | None) -> Mm | None:
    """How deep a layer is; None: it goes through, as it does where nothing is said."""
    if table.has("depth"):
        value = table.raw("depth")
        if value != "through":
            table.refuse("depth", f"{quoted(value)} is no depth", accepted='"through"; a figure stands in depth_mm')
        if table.has("depth_mm"):
            table.raw("depth_mm")
            table.refuse("depth_mm", "stands beside depth", accepted="one of the two")
        return None
    if not table.has("depth_mm"):
        table.refuse("depth_mm", "is missing", accepted='depth_mm, or depth = "through"')
        table.raw("depth_mm")
        return None
    depth = length(table, "depth_mm", unit=unit, above=0.0)
    if thickness is not None and depth > thickness + 1e-9:
        limit = f"{thickness / unit:g}"
        table.refuse(
            "depth_mm", f"{depth / unit:g} is below the plate, which is {limit} thick", accepted=f"up to {limit}"
        )
    return depth
