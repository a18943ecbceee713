"""The plan as ``plan.json``: the record that other tools read.

Its keys are stable.  Lengths are mm; heights ``z_mm`` and ``levels_mm`` are the setting's (0 at the plate's top,
negative in the material), depths are positive below the plate's top.  What a thing does not have is null.
"""

import hashlib
import json
import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from camplan import tolerance
from camplan.catalogue.records import Cutter
from camplan.comparison.records import Proof
from camplan.features.marks import marks_of
from camplan.features.records import Existing, Feature
from camplan.findings import Finding
from camplan.geometry.chains import Chain, tessellated
from camplan.planned import Load, MadeFrom, Plan, PlannedOperation, PlannedProgram
from camplan.recut.proposals import proposed_marks
from camplan.report.choices import choice_json
from camplan.report.holding import holding_json
from camplan.report.load_picture import peaks_of
from camplan.report.measures import measures
from camplan.report.shrinkage import shrinkage_json
from camplan.report.words import (
    allowance_of,
    cutters_by_name,
    draft_of,
    face_up,
    faces_of,
    features_by_name,
    findings_of,
    kind_of,
)
from camplan.units import UM_PER_MM, Mm, Rad, deg_from_rad

SCHEMA = "camplan.plan/1"


def plan_json(plan: Plan) -> str:
    """The text of ``plan.json``; the same plan gives the same bytes."""
    document = {
        "schema": SCHEMA,
        "title": plan.title,
        "units": "mm",
        "plate": {
            "thickness_mm": _length(plan.plate.thickness),
            "zero": plan.plate.zero,
            "bounds_mm": [_length(edge) for edge in plan.plate.bounds],
        },
        "existing": [
            *_existing(plan.plate.existing, face="top"),
            *_existing(plan.plate.beneath, face="back"),
        ],
        "made_from": _made_from(plan.made_from) if plan.made_from is not None else None,
        "material": plan.material.name,
        "machine": plan.machine.name,
        "post": plan.post.name,
        "seconds": _rounded(plan.seconds, 1),
        "time": _time(plan),
        "choice": choice_json(plan.choice) if plan.choice is not None else None,
        "shrinkage": shrinkage_json(plan),
        "back_choice": choice_json(plan.back_choice) if plan.back_choice is not None else None,
        "cutters": {name: _cutter(cutter) for name, cutter in cutters_by_name(plan).items()},
        "settings": [
            {
                "name": setting.name,
                "face": setting.face,
                "about": face_up(plan, setting.name).about,
                "zero": face_up(plan, setting.name).plate.zero,
                "plate_bounds_mm": [_length(edge) for edge in face_up(plan, setting.name).plate.bounds],
                "features": list(setting.features),
                "clamps": [
                    {
                        "x_mm": _length(clamp.x),
                        "y_mm": _length(clamp.y),
                        "width_mm": _length(clamp.width),
                        "length_mm": _length(clamp.length),
                        "height_mm": _length(clamp.height),
                    }
                    for clamp in setting.clamps
                ],
            }
            for setting in plan.settings
        ],
        "programs": [_program(program) for program in plan.programs if program.cutter is not None],
        "traces": [
            {
                "file": program.file,
                "setting": program.setting,
                "seconds": _rounded(program.seconds, 1),
                "sha256": text_sum(program.text),
            }
            for program in plan.programs
            if program.cutter is None
        ],
        "features": [_feature(feature, plan=plan) for feature in features_by_name(plan).values()],
        "marks": [
            {"name": mark.name, "feature": mark.feature, "x_mm": _length(mark.x), "y_mm": _length(mark.y)}
            for mark in marks_of(tuple(features_by_name(plan).values()))
        ],
        "mark_proposals": [
            {"x_mm": _length(x), "y_mm": _length(y)}
            for x, y in proposed_marks(tuple(features_by_name(plan).values()), plate=plan.plate, settings=plan.settings)
        ],
        "proof": _proof(plan.proof),
        "findings": [_finding(finding) for finding in findings_of(plan)],
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _existing(every: Sequence[Existing], *, face: str) -> Iterator[dict[str, Any]]:
    """What was gone of the plate before, as seen from its top, arcs as chords, the deepest first; what is gone deeper
    is gone above as well, and a region that is the same there is not written again."""
    deeper: list[dict[str, Any]] = []
    for one in every:
        regions = [
            {"outer_mm": _ring(region.outer), "islands_mm": sorted(_ring(island) for island in region.islands)}
            for region in one.regions
        ]
        yield {
            "face": face,
            "depth_mm": _length(one.depth),
            "regions": [region for region in regions if region not in deeper],
        }
        deeper = regions


def _ring(path: Chain) -> list[list[float]]:
    """The vertices from the least on, so that the same ring is always the same list."""
    places = np.round(tessellated(path, chord=tolerance.CHORD), 4) + 0.0
    first = int(np.lexsort((places[:, 1], places[:, 0]))[0])
    found: list[list[float]] = np.roll(places, -first, axis=0).tolist()
    return found


def text_sum(text: str) -> str:
    """The SHA-256 of a program's text in UTF-8, its line ends as camplan writes them."""
    return hashlib.sha256(text.replace("\r\n", "\n").encode("utf-8")).hexdigest()


def _made_from(files: MadeFrom) -> dict[str, Any]:
    return {
        "job": files.job,
        "job_sha256": files.job_sum,
        "drawing": files.drawing,
        "drawing_sha256": files.drawing_sum,
        "tooling_sha256": files.tooling_sum,
    }


def _time(plan: Plan) -> dict[str, Any]:
    """The planned time, and what it is held against; ``camplan.pipeline.bound`` says how that is worked out."""
    bound, over = plan.bound, plan.over_bound
    return {
        "seconds": _rounded(plan.seconds, 1),
        "bound_seconds": _rounded(bound.seconds, 1) if bound is not None else None,
        "over_bound": _rounded(over, 3) if over is not None else None,
        "volume_mm3": _rounded(bound.volume, 1) if bound is not None else None,
        "removal_mm3_min": _rounded(bound.removal, 1) if bound is not None else None,
        "walls_mm": _rounded(bound.walls, 1) if bound is not None else None,
        "finish_feed_mm_min": _rounded(bound.finish_feed, 1) if bound is not None else None,
        "drilling_seconds": _rounded(bound.drilling, 1) if bound is not None else None,
    }


def _cutter(cutter: Cutter) -> dict[str, Any]:
    return {
        "kind": cutter.kind.value,
        "diameter_mm": _length(cutter.diameter),
        "tip_diameter_mm": _length(cutter.tip_diameter),
        "half_angle_deg": _angle(cutter.half_angle),
        "corner_radius_mm": _length(cutter.corner_radius),
        "point_angle_deg": _angle(cutter.point_angle),
        "flute_length_mm": _length(cutter.flute_length),
        "reach_mm": _length(cutter.reach),
        "shank_diameter_mm": _length(cutter.shank_diameter),
        "stick_out_mm": _length(cutter.stick_out),
        "teeth": cutter.teeth,
    }


def _program(program: PlannedProgram) -> dict[str, Any]:
    return {
        "file": program.file,
        "setting": program.setting,
        "cutter": program.cutter.name if program.cutter is not None else None,
        "rpm_max": _rounded(program.rpm_max, 0),
        "seconds": _rounded(program.seconds, 1),
        "sha256": text_sum(program.text),
        "touch_off_mm": [
            [_length(x), _length(y)] for x, y in (program.touch_off.at if program.touch_off is not None else ())
        ],
        "operations": [_operation(operation) for operation in program.operations],
    }


def _operation(operation: PlannedOperation) -> dict[str, Any]:
    return {
        "feature": operation.feature,
        "purpose": operation.purpose.value,
        "first_line": operation.first_line,
        "last_line": operation.last_line,
        "rpm": _rounded(operation.rpm, 0),
        "feed_mm_min": _rounded(operation.feed, 1),
        "plunge_mm_min": _rounded(operation.plunge, 1),
        "step_down_mm": _length(operation.step_down),
        "step_over_mm": _length(operation.step_over),
        "levels_mm": [_length(level) for level in operation.levels],
        "seconds": _rounded(operation.seconds, 1),
        "expected_seconds": _rounded(operation.expected, 1),
        **_peaks(operation.load),
        "reasons": [
            {"figure": reason.figure, "sentence": reason.sentence, "source": reason.source}
            for reason in operation.reasons
        ],
    }


def _peaks(load: Load | None) -> dict[str, Any]:
    """The highest loads of an operation.  Of the engagement that of level moves: a way down into the full has a half
    turn by its nature."""
    peaks = peaks_of(load) if load is not None else None
    return {
        "peak_engagement_deg": _rounded(peaks.engagement_deg, 1) if peaks is not None else None,
        "usual_engagement_deg": _rounded(peaks.usual_deg, 1) if peaks is not None else None,
        "peak_force_n": _rounded(peaks.force, 1) if peaks is not None else None,
        "peak_power_w": _rounded(peaks.power, 1) if peaks is not None else None,
        "peak_bending_um": _rounded(peaks.bending_um, 1) if peaks is not None else None,
    }


def _feature(feature: Feature, *, plan: Plan) -> dict[str, Any]:
    name = feature.spec.name
    return {
        "name": name,
        "kind": kind_of(feature.spec),
        "top_mm": _length(feature.top),
        "depth_mm": _length(feature.bottom),
        "through": feature.through,
        "floors_mm": _floors(feature),
        "faces": list(faces_of(plan, name)),
        "draft_deg": _angle(draft_of(feature.spec)),
        "allowance_mm": _length(allowance_of(feature.spec)),
        "holds": holding_json(feature),
        "smallest_inner_radius_mm": _length(plan.smallest_inner_radius.get(name)),
        "measures": [
            {"what": one.what, "expected": one.expected, "remark": one.remark}
            for one in measures(feature, plate=plan.plate)
        ],
        "left": [
            {
                "depth_mm": _length(left.depth),
                "area_mm2": _rounded(left.area, 4),
                "deepest_mm": _length(left.deepest),
                "cause": left.cause,
                "at_mm": [_length(left.at[0]), _length(left.at[1])],
                "face": left.face,
            }
            for left in plan.proof.leftovers
            if left.feature == name
        ],
    }


def _floors(feature: Feature) -> list[list[list[float | None]]]:
    """[x, y, depth] at each place between which a floor falls evenly: of every line, or of a plane its two places."""
    if feature.incline is not None:
        ends = ((feature.incline.start, feature.incline.first), (feature.incline.end, feature.incline.last))
        return [[[_length(x), _length(y), _length(depth)] for (x, y), depth in ends]]
    return [
        [
            [_length(float(x)), _length(float(y)), _length(float(depth))]
            for (x, y), depth in zip(slope.path.points, slope.depths, strict=True)
        ]
        for slope in feature.slopes
    ]


def _proof(proof: Proof) -> dict[str, Any]:
    return {
        "passed": proof.passed,
        "gouge_um": _micrometres(proof.gouge),
        "wall_error_um": _micrometres(proof.wall_error),
        "left_area_mm2": _rounded(proof.left_area, 4),
        "rapids_in_stock": proof.rapids_in_stock,
        "clamp_hits": proof.clamp_hits,
        "outside_travel": proof.outside_travel,
        "sections": [
            {
                "z_mm": _length(section.z),
                "face": section.face,
                "gouge_um": _micrometres(section.gouge),
                "left_area_mm2": _rounded(section.left_area, 4),
            }
            for section in proof.sections
        ],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "severity": finding.severity.value,
        "code": finding.code,
        "message": finding.message,
        "where": finding.where,
    }


def _length(value: Mm | None) -> float | None:
    return _rounded(value, 4)


def _micrometres(value: Mm) -> float | None:
    return _rounded(value * UM_PER_MM, 2)


def _angle(value: Rad | None) -> float | None:
    return None if value is None else _rounded(deg_from_rad(value), 4)


def _rounded(value: float | None, places: int) -> float | None:
    """Rounded, without a negative zero; None for what is no finite number (JSON knows none)."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), places) + 0.0
