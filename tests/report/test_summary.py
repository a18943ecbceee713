"""The summary's sentences."""

import dataclasses

from camplan.planned import Plan
from camplan.report.summary import proof_summary, summary


def test_it_names_programs_cutters_time_and_folder(plan: Plan):
    text = summary(plan, folder="cavity-out", width=100)
    assert "Plate 120 x 80 x 10 mm, 6082-T6, wrought aluminium" in text
    assert "3 programs, about 21 min of machine time:" in text
    assert "01-clamps-slot-6.ngc" in text
    assert "rough disc" in text
    assert "2-flute slot drill, 6 mm; stick-out 20 mm" in text
    assert "Written to cavity-out: 3 programs, plan.json, and sheet.html for the mill." in text


def test_it_says_what_is_left_where_and_why(plan: Plan):
    text = " ".join(summary(plan, folder="out", width=80).split())
    assert "disc: 0.82 mm2 at 6.5 deep, up to 0.41 mm thick, near X 60 Y 40: the smallest listed cutter" in text


def test_it_says_how_many_times_the_time_of_the_best_rates_is_planned(plans):
    made = plans.bounded_plan()
    # 4000 / 1000 min of roughing is more than 900 / 300 min along walls, and half a minute of holes comes to it
    said = f"The whole time is {made.seconds / 270.0:.1f} times the 4 min of its best rates alone."
    assert said in summary(made, folder="out", width=100)
    assert "best rates" not in summary(plans.sample_plan(), folder="out", width=100)


def test_findings_stand_gravest_first(plan: Plan):
    text = summary(plan, folder="out", width=100)
    assert text.index("[corner-too-large]") < text.index("[thin-web]") < text.index("[hidden-file]")


def test_a_passed_proof_says_what_was_compared(plan: Plan):
    text = " ".join(summary(plan, folder="out", width=80).split())
    assert "Proof passed: deepest gouge 0.4 um, finished walls within 3.1 um, 2 heights compared, 0.82 mm2 left" in text


def test_a_failed_proof_says_so_and_that_nothing_was_written(plans):
    text = " ".join(summary(plans.failed_plan(), folder="out", width=100).split())
    assert "PROOF FAILED" in text
    assert "1 rapid through stock" in text
    assert "No program was written, and none of an earlier run is left in out" in text
    assert "Written to" not in text


def test_no_line_is_wider_than_asked(plan: Plan):
    assert max(len(line) for line in summary(plan, folder="out", width=72).splitlines()) <= 72


def test_a_check_gives_the_verdict_alone(plan: Plan):
    proof = dataclasses.replace(plan.proof, leftovers=(), left_area=0.0)
    assert proof_summary(proof, width=100).splitlines()[0].startswith("Proof passed")
