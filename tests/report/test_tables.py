"""Answers to single questions."""

import math

from camplan.planned import CutterRow, CutterTable, RegionRow
from camplan.report.tables import cut_heading, cutter_table_text


def row(plans, diameter: float, *, left: float, deepest: float, seconds: float | None, **more) -> CutterRow:
    return CutterRow(
        feature="disc",
        depth=6.5,
        smallest_inner_radius=1.2,
        smallest_inner_radius_at=(40.0, 30.0),
        narrowest_neck=None,
        narrowest_neck_at=None,
        cutter=plans.slot_drill(diameter),
        reaches_depth=diameter > 2.0,
        area_left=left,
        deepest_left=deepest,
        seconds=seconds,
        **more,
    )


def table(plan, rows, *, answer: str = "slot-3", **more) -> CutterTable:
    return CutterTable(rows=rows, answer=answer, title="Disc", plate=plan.plate, **more)


def test_each_cutter_has_a_line_under_its_feature(plans, plan):
    rows = (
        row(plans, 6.0, left=14.25, deepest=1.9, seconds=300.0, left_at=(12.0, 7.5), roles=("rough", "floor")),
        row(plans, 3.0, left=0.0, deepest=0.0, seconds=600.0),
        row(plans, 1.0, left=90.0, deepest=math.inf, seconds=None),
    )
    made = table(plan, rows, answer="The smallest cutter that this plate needs is slot-3.")
    lines = cutter_table_text(made, width=100).splitlines()
    assert lines[0] == "disc, 6.5 deep"
    assert lines[1] == "  smallest inner radius 1.2 mm at X 40 Y 30"
    headings = ["cutter", "diameter", "reaches", "leaves", "mm2", "thickest", "near", "alone", "in", "the", "plan"]
    assert lines[2].split() == headings
    assert lines[3].split() == [
        "slot-6",
        "6",
        "yes",
        "14.25",
        "1.9",
        "X",
        "12",
        "Y",
        "7.5",
        "5",
        "min",
        "rough,",
        "floor",
    ]
    assert lines[4].split() == ["slot-3", "3", "yes", "nothing", "10", "min"]
    assert lines[5].split() == ["slot-1", "1", "to", "2.5", "all"]
    assert lines[-1] == made.answer
    assert max(map(len, lines)) <= 100


def test_features_are_told_apart(plans, plan):
    rows = tuple(row(plans, size, left=1.0, deepest=0.5, seconds=60.0) for size in (6.0, 3.0))
    assert cutter_table_text(table(plan, rows), width=80).count("disc, 6.5 deep") == 1


def test_of_several_regions_the_tightest_come_first(plans, plan):
    regions = tuple(
        RegionRow(
            feature="disc",
            number=number,
            radius=radius,
            radius_at=(10.0 * number, 5.0),
            neck=neck,
            neck_at=(10.0 * number, 6.0),
            neck_ends=((10.0 * number, 5.5), (10.0 * number, 6.5)),
        )
        for number, radius, neck in ((1, 3.0, 9.0), (2, 2.0, 3.4), (3, 1.5, 8.0))
    )
    rows = (row(plans, 6.0, left=1.0, deepest=0.5, seconds=60.0),)
    said = cutter_table_text(table(plan, rows, regions=regions), width=100)
    places = [said.index(f"region {number}:") for number in (3, 2, 1)]
    assert places == sorted(places)
    assert "region 3: radius 1.5 at X 30 Y 5, neck 8 at X 30 Y 6" in said


def test_what_no_flat_cutter_clears_is_named_with_its_cutters(plans, plan):
    rows = (row(plans, 6.0, left=1.0, deepest=0.5, seconds=60.0),)
    said = cutter_table_text(table(plan, rows, others={"screws": ("spot-90-6", "drill-4.2")}), width=100)
    assert "\n  screws: spot-90-6, drill-4.2\n" in said


def test_a_cut_is_repeated_before_its_figures():
    said = cut_heading(cutter="slot-6", material="brass", machine="bench-mill", kind="slot", depth=2.0, width=None)
    assert said == "slot-6 in brass on bench-mill: slot, 2 mm deep"
