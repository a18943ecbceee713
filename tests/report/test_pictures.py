"""Pictures: well-formed, the right way up, complete, and small however long the program."""

import dataclasses
import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from camplan.geometry.chains import chain
from camplan.moves.table import Kind, MotionTable
from camplan.planned import Plan
from camplan.regions import Region
from camplan.report.annotations import left_marks
from camplan.report.pictures import operation_picture, plate_picture, setting_picture
from camplan.report.style import DEPTHS, LEFT

SVG = "{http://www.w3.org/2000/svg}"
SETTING = "clamps at the ends"


def texts(picture: str) -> list[str]:
    return ["".join(item.itertext()) for item in ElementTree.fromstring(picture).iter(f"{SVG}text")]


def all_pictures(plan: Plan) -> list[str]:
    made = [plate_picture(plan), *(setting_picture(plan, setting=setting.name) for setting in plan.settings)]
    for program in plan.programs:
        made += [operation_picture(plan, program=program, operation=item) for item in program.operations]
    return made


def wandering(count: int) -> MotionTable:
    """A path of short straight motions that hardly ever repeats itself."""
    heading = np.cumsum(np.random.default_rng(7).normal(0.0, 0.3, count + 1))
    x = 60.0 + 55.0 * np.sin(np.cumsum(np.cos(heading)) / 150.0)
    y = 40.0 + 35.0 * np.sin(np.cumsum(np.sin(heading)) / 120.0)
    points = np.column_stack((x, y, np.linspace(-0.1, -6.5, count + 1)))
    return MotionTable(
        start=points[:-1],
        end=points[1:],
        centre=np.full((count, 2), np.nan),
        kind=np.full(count, int(Kind.LINE), dtype=np.int8),
        feed=np.full(count, 400.0),
        rpm=np.full(count, 12000.0),
        line=np.arange(1, count + 1),
    )


def test_every_picture_is_well_formed_and_asks_for_nothing_from_outside(plan: Plan):
    for picture in all_pictures(plan):
        root = ElementTree.fromstring(picture)
        assert root.tag == f"{SVG}svg"
        assert root.get("aria-label")
        assert re.findall(r"https?://[^\"]+", picture) == ["http://www.w3.org/2000/svg"]


def test_the_same_plan_gives_the_same_pictures(plan: Plan, plans):
    assert all_pictures(plan) == all_pictures(plans.sample_plan())


def test_y_points_up(plan: Plan):
    root = ElementTree.fromstring(plate_picture(plan))
    holes = {(item.get("cx"), item.get("cy")) for item in root.iter(f"{SVG}circle")}
    assert {("12", "-12"), ("108", "-12"), ("108", "-68")} <= holes
    x, y, width, height = (float(value) for value in root.get("viewBox", "").split())
    assert x < 0.0
    assert x + width > 120.0
    assert y < -80.0
    assert y + height > 0.0


def test_the_plate_carries_its_size_its_zero_and_a_number_for_each_feature(plan: Plan):
    said = texts(plate_picture(plan))
    assert {"120", "80", "X", "Y", "1", "2", "3", "4"} <= set(said)


def test_a_setting_numbers_only_what_it_cuts_and_marks_what_is_left(plan: Plan):
    first = texts(setting_picture(plan, setting=SETTING))
    second = texts(setting_picture(plan, setting="clamp in the middle"))
    assert "4" not in first
    assert "a" in first
    assert "4" in second
    assert "a" not in second
    assert LEFT in setting_picture(plan, setting=SETTING)


def test_a_setting_draws_each_of_its_clamps(plan: Plan):
    picture = setting_picture(plan, setting=SETTING)
    assert "M0 -75H12V-55H0Z" in picture
    assert "M108 -60H120V-20H108Z" in picture
    assert "M50 -10" not in picture


def test_deep_cuts_are_dark_shallow_ones_light_and_rapids_dashed(plan: Plan):
    picture = setting_picture(plan, setting=SETTING)
    assert DEPTHS[0] in picture, "the mark, 0.2 deep"
    assert DEPTHS[3] in picture, "the pocket's floor, 6.5 of 10.3 deep"
    assert DEPTHS[4] not in picture, "nothing here goes as deep as the drill of the other setting"
    assert "stroke-dasharray" in picture


def test_a_round_path_is_drawn_on_its_circle(plan: Plan):
    """Points of the drawn rings against the circle's equation."""
    picture = operation_picture(plan, program=plan.programs[0], operation=plan.programs[0].operations[0])
    path = max(re.findall(r'<path transform="([^"]+)" d="([^"]+)" fill="none" stroke="#5f2a35"', picture), key=len)
    x0, y0, scale = (float(value) for value in re.findall(r"-?\d[\d.]*", path[0]))
    steps = re.findall(r"([ml])((?:-?\d+ ?)+)", path[1])
    here, places = np.zeros(2), []
    for _, numbers in steps:
        for step in np.array(re.findall(r"-?\d+", numbers), dtype=float).reshape(-1, 2):
            here = here + step
            places.append((x0 + here[0] * scale, -(y0 + here[1] * scale)))
    radii = np.hypot(*(np.array(places) - (60.0, 40.0)).T)
    outer = radii[radii > 22.5]
    assert len(outer) > 30
    assert np.all(np.abs(outer - 24.7) < 0.05)


def test_a_close_up_tells_the_coordinates_of_its_edges(plan: Plan):
    program = plan.programs[1]
    said = texts(operation_picture(plan, program=program, operation=program.operations[0]))
    edges = sorted(float(text[2:]) for text in said if text.startswith("X "))
    assert len(edges) == 2
    assert edges[0] < 4.0
    assert edges[1] > 32.0


def test_a_close_up_may_use_the_plate_drawn_before(plan: Plan):
    program = plan.programs[0]
    setting = setting_picture(plan, setting=SETTING, ident="plate-1")
    picture = operation_picture(plan, program=program, operation=program.operations[0], base="plate-1")
    assert '<g id="plate-1">' in setting
    assert '<use href="#plate-1"/>' in picture
    assert len(picture) < len(operation_picture(plan, program=program, operation=program.operations[0]))


@pytest.mark.parametrize("limit", [300_000, 40_000])
def test_a_hundred_and_fifty_thousand_motions_keep_the_limit(plan: Plan, limit: int):
    long = dataclasses.replace(plan.programs[0], motions=wandering(150_000))
    crowded = dataclasses.replace(plan, programs=(long, *plan.programs[1:]))
    picture = setting_picture(crowded, setting=SETTING, limit=limit)
    assert len(picture.encode()) <= limit
    assert len(picture) > limit / 10, "it still shows the paths"
    ElementTree.fromstring(picture)


def test_a_setting_without_programs_is_drawn_all_the_same(plan: Plan):
    bare = dataclasses.replace(plan, programs=())
    assert "120" in texts(setting_picture(bare, setting=SETTING))


def test_an_operation_without_motions_shows_the_plate(plan: Plan):
    empty = dataclasses.replace(plan.programs[0].operations[0], first_line=9000, last_line=9001)
    picture = operation_picture(plan, program=plan.programs[0], operation=empty)
    assert "X 120" in texts(picture)


def test_names_cannot_break_a_picture(plan: Plan):
    odd = "ends\" <&> 'x'"
    settings = (dataclasses.replace(plan.settings[0], name=odd), plan.settings[1])
    picture = setting_picture(dataclasses.replace(plan, settings=settings), setting=odd, ident='a"b')
    assert odd in (ElementTree.fromstring(picture).get("aria-label") or "")


def test_every_kind_of_feature_has_a_shape(plan: Plan, plans):
    features = (plans.disc(), plans.runner(), plans.number(), plans.pins(), plans.rim(), plans.skim())
    picture = plate_picture(dataclasses.replace(plan, features=features))
    assert {"1", "2", "3", "4", "5", "6"} <= set(texts(picture))
    widths = [
        float(value)
        for value in re.findall(r'stroke-linejoin="round" stroke="#22303a" stroke-width="([\d.]+)"', picture)
    ]
    scale = [float(value) for value in re.findall(r"scale\(([\d.e-]+)\)", picture)]
    assert math.isclose(max(widths) * scale[0], 4.0, rel_tol=0.01), "the groove is as wide as asked"


def balloon_places(picture: str) -> list[float]:
    """The x of every text that is only a number and stands in a balloon's ring."""
    rings = {(one.get("cx"), one.get("cy")) for one in ElementTree.fromstring(picture).iter() if one.get("cx")}
    found = ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text")
    return [float(one.get("x", "nan")) for one in found if (one.get("x"), one.get("y")) in rings]


def test_balloons_stand_beside_features_that_reach_over_the_plates_edge(plan: Plan):
    x0, y0, x1, y1 = plan.plate.bounds
    corners = [(x0 - 15.0, y0 + 5.0), (x1 + 15.0, y0 + 5.0), (x1 + 15.0, y1 - 5.0), (x0 - 15.0, y1 - 5.0)]
    wide = Region(outer=chain(corners, closed=True))
    pocket = next(feature for feature in plan.features if feature.spec.name == "disc")
    others = tuple(feature for feature in plan.features if feature is not pocket)
    changed = dataclasses.replace(plan, features=(dataclasses.replace(pocket, regions=(wide,)), *others))
    places = balloon_places(plate_picture(changed))
    assert places and all(x < x0 - 15.0 or x > x1 + 15.0 for x in places)


def test_places_left_close_together_share_a_mark_and_far_ones_do_not():
    one = left_marks({"a": (0.0, 0.0), "b": (3.0, 0.5), "c": (60.0, 0.0), "d": (0.0, 40.0)}, size=3.0)
    assert re.findall(r">([a-z ]+)</text>", one) == ["a b", "c", "d"]
