"""Answers to single questions."""

import math

from camplan.planned import CutterRow, CutterTable
from camplan.report.tables import cut_heading, cutter_table_text


def row(plans, diameter: float, *, left: float, deepest: float, seconds: float | None) -> CutterRow:
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
    )


def test_each_cutter_has_a_line_under_its_feature(plans):
    table = CutterTable(
        rows=(
            row(plans, 6.0, left=14.25, deepest=1.9, seconds=300.0),
            row(plans, 3.0, left=0.0, deepest=0.0, seconds=600.0),
            row(plans, 1.0, left=90.0, deepest=math.inf, seconds=None),
        ),
        answer="The smallest cutter that this plate needs is slot-3.",
    )
    lines = cutter_table_text(table, width=80).splitlines()
    assert lines[0] == "disc, 6.5 deep"
    assert lines[1] == "  smallest inner radius 1.2 mm at X 40 Y 30"
    assert lines[2].split() == ["cutter", "diameter", "reaches", "leaves", "mm2", "thickest", "time"]
    assert lines[3].split() == ["slot-6", "6", "yes", "14.25", "1.9", "5", "min"]
    assert lines[4].split() == ["slot-3", "3", "yes", "0", "0", "10", "min"]
    assert lines[5].split() == ["slot-1", "1", "no", "all"]
    assert lines[-1] == table.answer


def test_features_are_told_apart(plans):
    rows = tuple(row(plans, size, left=1.0, deepest=0.5, seconds=60.0) for size in (6.0, 3.0))
    text = cutter_table_text(CutterTable(rows=rows, answer="slot-3"), width=80)
    assert text.count("disc, 6.5 deep") == 1


def test_a_cut_is_repeated_before_its_figures():
    said = cut_heading(cutter="slot-6", material="brass", machine="bench-mill", kind="slot", depth=2.0, width=None)
    assert said == "slot-6 in brass on bench-mill: slot, 2 mm deep"
