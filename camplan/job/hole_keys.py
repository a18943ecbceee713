"""The keys of a hole that holds something: a fit, a dowel pin, a thread, a screw or a magnet."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from camplan import tolerance
from camplan.catalogue.standards import SERIES, ScrewSize, Standards, load_standards
from camplan.errors import InputError
from camplan.features.holds import RUN_OUT, Fit, Holds, Magnet, Screw, Thread, Way
from camplan.fields import Fields
from camplan.job.keys import length
from camplan.units import UM_PER_MM, Mm

KEYS = ("fit", "dowel", "thread", "counterbore", "clearance_for", "magnet")
_ONLY_WITH = {
    "thread_depth_mm": ("thread",),
    "clearance": ("counterbore", "clearance_for"),
    "counterbore_depth_mm": ("counterbore",),
    "gap_um": ("magnet",),
}
_WIDEST_UM = 1000.0
_HEAD_BELOW: Mm = 0.4
"""How far a sunk head ends below the top (common practice, no source)."""
_GAPS_UM: dict[Way, float] = {"press": 20.0, "glue": 100.0}
"""How much narrower a socket is for a magnet pressed in, and wider for one glued in (common practice, no source)."""
_DOWELS: dict[Way, str] = {"press": "H7", "slip": "G7"}
"""The hole's class for a pin m6 (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What a hole's keys are read against: where it starts, the file's unit in mm, the plate's thickness (None: not
    known), the folder of the job, and how its depth is read (None: through)."""

    top: Mm
    unit: Mm
    thickness: Mm | None
    folder: Path
    depth: Callable[[], Mm | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a hole holds (None: nothing) and its depth (None: through)."""

    holds: Holds | None
    depth: Mm | None


def read_held(fields: Fields, *, bounds: Bounds) -> Held:
    """What a hole holds; every problem of its keys, and of the keys with its depth, is recorded."""
    asked = [key for key in KEYS if fields.has(key)]
    for key in (*KEYS, *_ONLY_WITH):
        fields.raw(key)
    for key in asked[1:]:
        fields.refuse(key, f"stands beside {asked[0]}", accepted=f"one of {', '.join(KEYS)}")
    for key, partners in _ONLY_WITH.items():
        if fields.has(key) and not any(one in asked[:1] for one in partners):
            fields.refuse(key, "has no use here", accepted=f"{key} beside {' or '.join(partners)}")
    if len(asked) != 1:
        return Held(holds=None, depth=bounds.depth())
    try:
        standards = load_standards(beside=bounds.folder)
    except InputError as error:
        fields.problems.extend(error.problems)
        return Held(holds=None, depth=bounds.depth())
    match asked[0]:
        case "fit" | "dowel":
            return _fit(fields, standards=standards, bounds=bounds)
        case "thread":
            return _thread(fields, standards=standards, bounds=bounds)
        case "magnet":
            return _magnet(fields, bounds=bounds)
        case key:
            return _screw(fields, key=key, standards=standards, bounds=bounds)


def _fit(fields: Fields, *, standards: Standards, bounds: Bounds) -> Held:
    if fields.has("tolerance_um"):
        fields.refuse("tolerance_um", "stands beside a fit, whose limits say it", accepted="leave it out")
    depth = bounds.depth()
    if not fields.has("dowel"):
        name = fields.choice("fit", tuple(standards.holes))
        return Held(holds=Fit(fit=standards.holes[name]), depth=depth)
    way = fields.choice("dowel", tuple(_DOWELS))
    missing = [name for name in (_DOWELS[way], "m6") if name not in {**standards.holes, **standards.pins}]
    if missing:
        fields.refuse("dowel", f"needs {' and '.join(missing)} in tooling/standards/iso286.toml", accepted="those rows")
        return Held(holds=None, depth=depth)
    return Held(holds=Fit(fit=standards.holes[_DOWELS[way]], pin=standards.pins["m6"], way=way), depth=depth)


def _thread(fields: Fields, *, standards: Standards, bounds: Bounds) -> Held:
    before = len(fields.problems)
    size = standards.threads[fields.choice("thread", tuple(standards.threads))]
    run_out = RUN_OUT * size.pitch
    given = None
    if fields.has("thread_depth_mm"):
        given = length(fields, "thread_depth_mm", unit=bounds.unit, above=bounds.top)
    if len(fields.problems) > before:
        bounds.depth()
        return Held(holds=None, depth=None)
    unit = bounds.unit
    thickness = bounds.thickness
    if given is not None and not fields.has("depth") and not fields.has("depth_mm"):
        fields.raw("depth")
        fields.raw("depth_mm")
        depth: Mm | None = given + run_out
        if thickness is not None and given + run_out > thickness + tolerance.SAME_POINT:
            fields.refuse(
                "thread_depth_mm",
                f"{given / unit:g} and {RUN_OUT:g} pitches for the tap's lead end below the plate, which is "
                f"{thickness / unit:g} thick",
                accepted=f'up to {(thickness - run_out) / unit:g}; or depth = "through"',
            )
        return Held(holds=Thread(size=size, depth=given), depth=depth)
    depth = bounds.depth()
    if len(fields.problems) > before:
        return Held(holds=None, depth=depth)
    if depth is None or (thickness is not None and depth >= thickness - tolerance.SAME_POINT):
        return Held(holds=Thread(size=size, depth=given), depth=depth)
    most = depth - run_out
    if (given if given is not None else bounds.top + size.pitch) > most + tolerance.SAME_POINT:
        key = "thread_depth_mm" if given is not None else "depth_mm"
        least = (given if given is not None else bounds.top + size.pitch) + run_out
        fields.refuse(
            key,
            f"a hole {depth / unit:g} deep leaves {size.name} a full thread to {most / unit:g}: a tap's lead takes "
            f"{RUN_OUT:g} pitches, {run_out / unit:g}",
            accepted=f"depth_mm of {least / unit:g} and more"
            + (f", or thread_depth_mm up to {most / unit:g}" if given is not None and most > bounds.top else ""),
        )
    return Held(holds=Thread(size=size, depth=given if given is not None else most), depth=depth)


def _screw(fields: Fields, *, key: str, standards: Standards, bounds: Bounds) -> Held:
    before = len(fields.problems)
    sinks = key == "counterbore"
    known = [name for name, size in standards.screws.items() if not sinks or size.bore is not None]
    size = standards.screws[fields.choice(key, known)]
    series = fields.choice("clearance", SERIES, default="medium")
    depth = bounds.depth() if fields.has("depth") or fields.has("depth_mm") else None
    for one in ("depth", "depth_mm"):
        fields.raw(one)
    thickness = bounds.thickness
    blind = depth is not None and thickness is not None and depth < thickness - tolerance.SAME_POINT
    if blind and len(fields.problems) == before:
        fields.refuse("depth_mm", "a screw goes through the plate", accepted='depth = "through", or no depth')
    head = _head(fields, size=size, bounds=bounds) if sinks else None
    return Held(holds=Screw(size=size, series=series, head=head), depth=depth)


def _head(fields: Fields, *, size: ScrewSize, bounds: Bounds) -> Mm:
    """The depth of the bore that takes the head."""
    usual = bounds.top + size.height + _HEAD_BELOW
    head = length(fields, "counterbore_depth_mm", unit=bounds.unit, default=usual, above=bounds.top)
    if bounds.thickness is not None and head >= bounds.thickness - tolerance.SAME_POINT:
        given = fields.has("counterbore_depth_mm")
        fields.refuse(
            "counterbore_depth_mm" if given else "counterbore",
            f"a bore {head / bounds.unit:g} deep for the head of {size.name} leaves nothing of the plate, which is "
            f"{bounds.thickness / bounds.unit:g} thick",
            accepted=f"counterbore_depth_mm below {bounds.thickness / bounds.unit:g}, or a smaller screw",
        )
    return head


def _magnet(fields: Fields, *, bounds: Bounds) -> Held:
    way: Way = fields.choice("magnet", tuple(_GAPS_UM))
    gap = fields.number("gap_um", default=_GAPS_UM[way], at_least=0.0, at_most=_WIDEST_UM) / UM_PER_MM
    before = len(fields.problems)
    depth = bounds.depth()
    thickness = bounds.thickness
    through = depth is None or (thickness is not None and depth >= thickness - tolerance.SAME_POINT)
    if through and len(fields.problems) == before:
        key = "depth" if fields.has("depth") else "depth_mm"
        fields.refuse(key, "a magnet's socket has a floor", accepted="depth_mm, less than the plate's thickness")
    return Held(holds=Magnet(way=way, gap=gap if way == "glue" else -gap), depth=depth)
