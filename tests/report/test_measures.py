"""Expected readings, against plain arithmetic on the drawn sizes."""

import dataclasses
import math

import pytest

from camplan.features.records import Feature
from camplan.features.specs import EdgeSpec
from camplan.report.measures import Measure, measures


def readings(found: tuple[Measure, ...]) -> dict[tuple[str, str], str]:
    return {(item.what, item.remark.partition(";")[0]): item.expected for item in found}


def test_a_pocket_is_narrower_by_its_allowance_and_towards_its_floor(plan, plans):
    said = readings(measures(plans.disc(), plate=plan.plate))
    assert said[("across X, widest", "at the top")] == "55.7"
    floor = 56.0 - 2.0 * 0.15 - 2.0 * 6.5 * math.tan(math.radians(2.0))
    assert said[("across Y, widest", "at the floor")] == f"{floor:.3f}"


def test_an_island_is_wider_by_the_allowance_and_towards_the_floor(plan, plans):
    said = readings(measures(plans.disc(), plate=plan.plate))
    assert said[("island across X, widest", "at the top")] == "12.3"
    assert float(said[("island across X, widest", "at the floor")]) > 12.3


def test_a_contour_drawn_at_the_floor_is_the_floor(plan, plans):
    disc = plans.disc()
    drawn_below = dataclasses.replace(disc, spec=dataclasses.replace(disc.spec, nominal="floor"))
    said = readings(measures(drawn_below, plate=plan.plate))
    assert said[("across X, widest", "at the floor")] == "55.7"
    top = 55.7 + 2.0 * 6.5 * math.tan(math.radians(2.0))
    assert said[("across X, widest", "at the top")] == f"{top:.3f}"


def test_equal_pockets_are_one_reading(plan, plans):
    disc = plans.disc()
    twice = dataclasses.replace(disc, regions=disc.regions * 2)
    assert len(measures(twice, plate=plan.plate)) == len(measures(disc, plate=plan.plate))
    assert any("2 of them" in item.remark for item in measures(twice, plate=plan.plate))


def test_holes_give_diameter_and_the_distance_of_the_farthest_two(plan, plans):
    found = measures(plans.pins(), plate=plan.plate)
    assert [item.expected for item in found if item.what == "diameter"] == ["4.2"]
    apart = next(item for item in found if item.what == "between centres")
    assert float(apart.expected) == pytest.approx(math.hypot(96.0, 56.0), abs=5e-4)
    assert "106.94 between the near edges, 115.34 over the far ones" in apart.remark
    assert found[-1].expected == "through"


def test_one_hole_has_no_distance(plan, plans):
    one = dataclasses.replace(plans.pins(), circles=((12.0, 12.0, 4.2),))
    assert all(item.what != "between centres" for item in measures(one, plate=plan.plate))


def test_a_part_cut_out_is_measured_outside(plan, plans):
    said = readings(measures(plans.rim(), plate=plan.plate))
    assert said[("part across X, widest", "")] == "116"
    assert said[("part across Y, widest", "")] == "76"


def test_an_opening_cut_out_is_narrower_by_its_allowance(plan, plans):
    rim = plans.rim()
    spec = dataclasses.replace(rim.spec, side="inside", allowance=0.1)
    said = [item.expected for item in measures(dataclasses.replace(rim, spec=spec), plate=plan.plate)]
    assert said[:2] == ["115.8", "75.8"]


def test_a_groove_a_mark_and_a_skim(plan, plans):
    assert [item.expected for item in measures(plans.runner(), plate=plan.plate)] == ["4", "2.5"]
    assert [item.expected for item in measures(plans.number(), plate=plan.plate)] == ["0.2"]
    assert [item.expected for item in measures(plans.skim(), plate=plan.plate)] == ["9.7"]


def test_a_ledge_says_how_deep_it_is_from_where_it_starts(plan, plans):
    ledge = dataclasses.replace(plans.disc(), top=2.0)
    depth = measures(ledge, plate=plan.plate)[-1]
    assert depth.expected == "6.5"
    assert "4.5 from where it starts" in depth.remark


def test_a_broken_edge_is_measured_from_above_and_along_its_slope(plan):
    """1 mm wide at 60 degrees from the top: 1 / cos 60 = 2 mm along the slope, tan 60 = 1.732 mm deep."""
    spec = EdgeSpec(
        name="rim",
        layer="RIM",
        top=0.0,
        depth=math.sqrt(3.0),
        side="outside",
        chamfer=1.0,
        angle=math.radians(60.0),
        radius=None,
        tolerance=0.02,
        cutters=(),
    )
    edge = Feature(spec=spec, top=0.0, bottom=math.sqrt(3.0), through=False, break_through=0.0)
    wide, deep = measures(edge, plate=plan.plate)
    assert (wide.what, wide.expected) == ("width", "1")
    assert "2 along its slope of 60 degrees" in wide.remark
    assert (deep.what, deep.expected) == ("depth", "1.732")
    rounded = dataclasses.replace(edge, spec=dataclasses.replace(spec, chamfer=None, radius=1.5))
    (round_,) = measures(rounded, plate=plan.plate)
    assert (round_.what, round_.expected) == ("radius", "1.5")


def test_a_part_with_leaning_walls_is_wider_at_its_foot(plan, plans):
    rim = plans.rim()
    leaning = dataclasses.replace(rim, spec=dataclasses.replace(rim.spec, draft=math.radians(2.0)))
    said = readings(measures(leaning, plate=plan.plate))
    rise = (rim.bottom - rim.top) * math.tan(math.radians(2.0))
    assert said[("part across X, widest", "at the top")] == "116"
    assert float(said[("part across X, widest", "at the foot")]) == pytest.approx(116.0 + 2.0 * rise, abs=6e-4)
