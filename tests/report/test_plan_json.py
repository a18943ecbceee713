"""``plan.json`` against its contract: the keys that others rely on, written out here once more."""

import json

from camplan.planned import Plan
from camplan.report.plan_json import plan_json

TOP = {"schema", "title", "units", "plate", "cutters", "programs", "features", "proof", "findings"}
CUTTER = {
    "kind",
    "diameter_mm",
    "tip_diameter_mm",
    "half_angle_deg",
    "corner_radius_mm",
    "point_angle_deg",
    "flute_length_mm",
    "reach_mm",
    "shank_diameter_mm",
    "teeth",
}
PROGRAM = {"file", "setting", "cutter", "rpm_max", "seconds", "operations"}
OPERATION = {
    "feature",
    "purpose",
    "first_line",
    "last_line",
    "rpm",
    "feed_mm_min",
    "plunge_mm_min",
    "step_down_mm",
    "step_over_mm",
    "levels_mm",
    "seconds",
    "reasons",
}
FEATURE = {
    "name",
    "kind",
    "top_mm",
    "depth_mm",
    "draft_deg",
    "allowance_mm",
    "smallest_inner_radius_mm",
    "left",
}
PROOF = {
    "passed",
    "gouge_um",
    "wall_error_um",
    "left_area_mm2",
    "rapids_in_stock",
    "clamp_hits",
    "outside_travel",
    "sections",
}


def test_every_key_of_the_contract_is_there(plan: Plan):
    document = json.loads(plan_json(plan))
    assert document.keys() >= TOP
    assert document["schema"] == "camplan.plan/1"
    assert document["units"] == "mm"
    assert document["plate"] == {"thickness_mm": 10.0, "zero": "front-left", "bounds_mm": [0.0, 0.0, 120.0, 80.0]}
    assert all(cutter.keys() >= CUTTER for cutter in document["cutters"].values())
    assert all(program.keys() >= PROGRAM for program in document["programs"])
    assert all(work.keys() >= OPERATION for program in document["programs"] for work in program["operations"])
    assert all(feature.keys() >= FEATURE for feature in document["features"])
    assert document["features"][0]["left"][0].keys() >= {"depth_mm", "area_mm2", "deepest_mm", "cause"}
    assert document["proof"].keys() >= PROOF
    assert document["proof"]["sections"][0].keys() >= {"z_mm", "gouge_um", "left_area_mm2"}
    assert all(finding.keys() == {"severity", "code", "message", "where"} for finding in document["findings"])


def test_figures_are_in_the_units_that_their_keys_say(plan: Plan):
    document = json.loads(plan_json(plan))
    disc = document["features"][0]
    assert (disc["kind"], disc["depth_mm"], disc["draft_deg"], disc["allowance_mm"]) == ("pocket", 6.5, 2.0, 0.15)
    assert document["proof"]["wall_error_um"] == 3.1
    assert document["cutters"]["taper-2deg-3"]["half_angle_deg"] == 2.0
    assert document["programs"][0]["operations"][0]["levels_mm"] == [-2.0, -4.0, -6.5]
    assert document["programs"][0]["operations"][0]["feed_mm_min"] == 480.0


def test_what_a_thing_does_not_have_is_null(plan: Plan):
    document = json.loads(plan_json(plan))
    assert document["cutters"]["slot-6"]["half_angle_deg"] is None
    assert document["features"][1]["smallest_inner_radius_mm"] is None


def test_findings_stand_gravest_first(plan: Plan):
    document = json.loads(plan_json(plan))
    assert [finding["severity"] for finding in document["findings"]] == ["unmet", "caution", "note"]


def test_the_same_plan_gives_the_same_bytes(plan: Plan, plans):
    assert plan_json(plan) == plan_json(plans.sample_plan())


def test_a_trace_stands_apart_from_the_programs_that_cut(plan: Plan):
    document = json.loads(plan_json(plan))
    assert all(program["cutter"] in document["cutters"] for program in document["programs"])
    assert {trace["file"] for trace in document["traces"]} == {
        program.file for program in plan.programs if program.cutter is None
    }


def test_the_time_is_held_against_that_of_the_best_rates(plan: Plan, plans):
    document = json.loads(plan_json(plans.bounded_plan()))
    seconds = document["seconds"]
    assert document["time"] == {
        "seconds": seconds,
        "bound_seconds": 270.0,
        "over_bound": round(seconds / 270.0, 3),
        "volume_mm3": 4000.0,
        "removal_mm3_min": 1000.0,
        "walls_mm": 900.0,
        "finish_feed_mm_min": 300.0,
        "drilling_seconds": 30.0,
    }
    unknown = json.loads(plan_json(plan))["time"]
    assert unknown["seconds"] == seconds
    assert unknown["bound_seconds"] is None and unknown["over_bound"] is None
