"""Figures, times and kinds in words."""

import dataclasses
import math

import pytest

from camplan.catalogue.sources import Source
from camplan.cutting.records import Reason
from camplan.report.words import (
    cutter_words,
    depth_of,
    duration,
    figure,
    figure_name,
    programs_in_order,
    source_words,
    sources_named,
)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (6.5, "6.5"),
        (4.0, "4"),
        (0.0, "0"),
        (-0.0001, "0"),
        (10.0, "10"),
        (0.125, "0.12"),
        (100, "100"),
        (math.inf, "unlimited"),
    ],
)
def test_figures_have_no_idle_zeros(value, said):
    assert figure(value) == said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.4, "0 s"), (45.0, "45 s"), (59.4, "59 s"), (59.6, "1 min"), (3570.0, "1 h 00 min"), (7500.0, "2 h 05 min")],
)
def test_times_are_said_as_a_person_does(seconds, said):
    assert duration(seconds) == said


def test_cutters_are_named_by_shape(plans):
    assert cutter_words(plans.slot_drill(6.0)) == "2-flute slot drill, 6 mm"
    assert cutter_words(plans.taper()) == "2-flute tapered cutter, tip 2.5 mm, 2° a side"
    assert cutter_words(plans.drill()) == "drill, 4.2 mm"


def test_depths_are_said_from_where_they_start(plans):
    assert depth_of(plans.disc()) == "6.5 deep"
    assert depth_of(plans.pins()) == "through"
    assert depth_of(dataclasses.replace(plans.disc(), top=2.0)) == "from 2 to 6.5 deep"


def test_a_trace_comes_first_in_its_setting(plan):
    trace = dataclasses.replace(plan.programs[1], file="00-trace.ngc", cutter=None, operations=())
    shuffled = dataclasses.replace(plan, programs=(plan.programs[2], *plan.programs[:2], trace))
    assert [program.file for program in programs_in_order(shuffled)] == [
        "00-trace.ngc",
        "01-clamps-slot-6.ngc",
        "02-clamps-slot-3.ngc",
        "03-middle-drill-4.2.ngc",
    ]


def publication(code: str, *, status: str = "confirmed") -> Source:
    return Source(code=code, publication=f"Handbook {code}", used_for="speeds", status=status, note="")


def test_only_publications_that_a_reason_names_are_listed():
    reasons = (
        Reason(figure="rpm", sentence="the low end", source="CAT-B 850 sfm; MEDH p.187, confirmed"),
        Reason(figure="feed", sentence="as in UF-DML", source=""),
    )
    known = tuple(publication(code) for code in ("CAT", "CAT-A", "CAT-B", "MED", "MEDH", "UF-DML"))
    assert [source.code for source in sources_named(reasons, sources=known)] == ["CAT-B", "MEDH", "UF-DML"]


def test_a_source_that_was_not_read_says_so():
    assert source_words(publication("A")) == "Handbook A"
    assert source_words(publication("A", status="from memory")) == "Handbook A (from memory)"


def test_figures_are_called_by_their_trade_names():
    assert [figure_name(name) for name in ("rpm", "step_down", "entry")] == ["spindle", "step down", "way in"]
