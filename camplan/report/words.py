"""How figures, times and kinds are said: one wording for the text, the sheet and the pictures."""

import math
import re
from collections.abc import Iterable
from typing import assert_never

from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.sources import Source
from camplan.cutting.records import Reason
from camplan.features.records import Feature, PlateFace
from camplan.features.sections import shallow_floor
from camplan.features.specs import (
    EdgeSpec,
    FaceSpec,
    FeatureSpec,
    GrooveSpec,
    HoleSpec,
    MarkSpec,
    OutlineSpec,
    PocketSpec,
)
from camplan.findings import Finding, Severity
from camplan.planned import Plan, PlannedProgram
from camplan.units import S_PER_MIN, UM_PER_MM, Mm, Seconds, deg_from_rad

SEVERITY_ORDER = (Severity.UNSAFE, Severity.UNMET, Severity.CAUTION, Severity.NOTE)

FIGURES = {
    "rpm": "spindle",
    "chip": "chip a tooth",
    "slot_feed": "feed in a full slot",
    "feed_by_load": "feed by the load",
    "plunge_feed": "plunge",
    "ramp_feed": "ramp and helix",
    "ramp_angle": "steepest ramp",
    "peck": "pecks",
    "bending": "bending at the tip",
    "entry": "way in",
}
"""What a reason's figure is called where it is shown; the others by their own name."""


def figure(value: float, *, places: int = 2) -> str:
    """A figure with at most ``places`` decimals and no trailing zeros: 6.50 -> "6.5", 4.00 -> "4"."""
    if not math.isfinite(value):
        return "unlimited"
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def micrometres(value: Mm) -> str:
    """A small length in um with one decimal."""
    return figure(value * UM_PER_MM, places=1)


def place(at: tuple[Mm, Mm]) -> str:
    """A place on the plate: "X 12.5 Y 40"."""
    return f"X {figure(at[0])} Y {figure(at[1])}"


def duration(seconds: Seconds) -> str:
    """A time as a person says it: "45 s", "12 min", "2 h 05 min"; whole minutes from one minute up."""
    if seconds < S_PER_MIN - 0.5:
        return f"{round(seconds)} s"
    minutes = round(seconds / S_PER_MIN)
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def clock(seconds: Seconds) -> str:
    """A time as a stopwatch shows it: "0:45", "12:40", "1:02:40"."""
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, last = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{last:02d}" if hours else f"{minutes}:{last:02d}"


def counted(count: int, singular: str, *, plural: str = "") -> str:
    """ "1 program", "3 programs"."""
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


def kind_of(spec: FeatureSpec) -> str:
    """The job file's word for what a feature is."""
    match spec:
        case PocketSpec():
            return "pocket"
        case OutlineSpec():
            return "outline"
        case HoleSpec():
            return "hole"
        case GrooveSpec():
            return "groove"
        case MarkSpec():
            return "mark"
        case FaceSpec():
            return "face"
        case EdgeSpec():
            return "edge"
        case _:
            assert_never(spec)


def draft_of(spec: FeatureSpec) -> float:
    """The draft of a feature's wall in rad; 0 where it has none."""
    return spec.draft if isinstance(spec, PocketSpec | OutlineSpec | GrooveSpec) else 0.0


def allowance_of(spec: FeatureSpec) -> Mm:
    """What is left on a feature's wall on purpose."""
    return spec.allowance if isinstance(spec, PocketSpec | OutlineSpec) else 0.0


def depth_of(feature: Feature) -> str:
    """How deep a feature goes: "through", "6.5 deep", "from 2 to 6.5 deep", or "falling from 1.5 to 2.5 deep"."""
    if feature.through:
        return "through"
    shallow = shallow_floor(feature)
    if shallow is not None:
        starts = f", from {figure(feature.top)} on" if feature.top > 0.0 else ""
        return f"falling from {figure(shallow)} to {figure(feature.bottom)} deep{starts}"
    if feature.top > 0.0:
        return f"from {figure(feature.top)} to {figure(feature.bottom)} deep"
    return f"{figure(feature.bottom)} deep"


def face_up(plan: Plan, setting: str) -> PlateFace:
    """The face of the plate that is up in a setting, with what is cut from it, as the plate lies then."""
    whole = PlateFace(settings=(), about=None, plate=plan.plate, features=plan.features)
    return next((face for face in plan.faces if setting in face.settings), whole)


def faces_of(plan: Plan, feature: str) -> tuple[str, ...]:
    """The faces from which a feature is cut: "top", "back", or both."""
    found = {setting.face for setting in plan.settings if feature in setting.features}
    return tuple(face for face in ("top", "back") if face in found)


def features_by_name(plan: Plan) -> dict[str, Feature]:
    """Every feature once, as it was first met, in the plan's order."""
    named: dict[str, Feature] = {}
    for feature in plan.features:
        named.setdefault(feature.spec.name, feature)
    return named


def cutters_by_name(plan: Plan) -> dict[str, Cutter]:
    """Every cutter of the plan by name: those of its programs first, in their order, then the others."""
    named = {program.cutter.name: program.cutter for program in plan.programs if program.cutter is not None}
    for cutter in plan.cutters:
        named.setdefault(cutter.name, cutter)
    return named


def programs_in_order(plan: Plan) -> tuple[PlannedProgram, ...]:
    """The programs as they are run: setting by setting, in each the trace (which has no cutter) first."""
    ranks = {setting.name: rank for rank, setting in enumerate(plan.settings)}
    return tuple(sorted(plan.programs, key=lambda item: (ranks.get(item.setting, len(ranks)), item.cutter is not None)))


def cutters_used(plan: Plan) -> dict[str, tuple[Cutter, tuple[PlannedProgram, ...]]]:
    """The cutters that programs use, each with its programs, in the order in which they are wanted."""
    used: dict[str, tuple[Cutter, tuple[PlannedProgram, ...]]] = {}
    for program in programs_in_order(plan):
        if program.cutter is not None:
            name = program.cutter.name
            before = used[name][1] if name in used else ()
            used[name] = (program.cutter, (*before, program))
    return used


def findings_in_order(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Every finding once, the gravest first; those of one severity as they came."""
    once = tuple(dict.fromkeys(findings))
    return tuple(finding for severity in SEVERITY_ORDER for finding in once if finding.severity is severity)


def findings_of(plan: Plan) -> tuple[Finding, ...]:
    """What was noticed while planning and in the proof, the gravest first."""
    return findings_in_order((*plan.findings, *plan.proof.findings))


def cutter_words(cutter: Cutter) -> str:
    """A cutter's shape in a line: "2-flute slot drill, 6 mm"."""
    diameter = f"{figure(cutter.diameter, places=3)} mm"
    match cutter.kind:
        case CutterKind.SLOT_DRILL:
            shape = f"slot drill, {diameter}"
        case CutterKind.END_MILL:
            shape = f"end mill, {diameter}"
        case CutterKind.BALL:
            shape = f"ball nose, {diameter}"
        case CutterKind.BULL_NOSE:
            shape = f"bull nose, {diameter}, corner radius {figure(cutter.corner_radius or 0.0, places=3)}"
        case CutterKind.TAPER:
            angle = figure(deg_from_rad(cutter.half_angle or 0.0))
            shape = f"tapered cutter, tip {figure(cutter.tip_diameter, places=3)} mm, {angle}° a side"
        case CutterKind.DRILL:
            return f"drill, {diameter}"
        case CutterKind.SPOT_DRILL:
            return f"spotting drill, {diameter}, {figure(deg_from_rad(cutter.point_angle or 0.0))}° point"
        case CutterKind.ENGRAVER:
            angle = figure(deg_from_rad(cutter.point_angle or 0.0))
            shape = f"engraving cutter, tip {figure(cutter.tip_diameter, places=3)} mm, {angle}° point"
        case CutterKind.REAMER:
            return f"reamer, {diameter}{' ' + cutter.fit if cutter.fit else ''}"
        case _:
            assert_never(cutter.kind)
    return f"{cutter.teeth}-flute {shape}"


def figure_name(name: str) -> str:
    """What a reason's figure is called where it is shown: "step_down" -> "step down"."""
    return FIGURES.get(name, name.replace("_", " "))


def sources_named(reasons: Iterable[Reason], *, sources: tuple[Source, ...]) -> tuple[Source, ...]:
    """The publications whose codes stand in ``reasons``, in the order of ``sources``."""
    said = "\n".join(dict.fromkeys(f"{reason.sentence} {reason.source}" for reason in reasons))
    return tuple(source for source in sources if re.search(rf"(?<![\w-]){re.escape(source.code)}(?![\w-])", said))


def source_words(source: Source) -> str:
    """A publication as it stands in a list of sources."""
    status = "" if source.status == "confirmed" else f" ({source.status})"
    return f"{source.publication}{status}"
