"""Balloons beside the plate."""

import dataclasses
import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.report.leaders import balloons

PLACES = st.lists(st.tuples(st.floats(0, 100), st.floats(0, 60)), min_size=1, max_size=40, unique=True)


@given(PLACES)
@settings(max_examples=60, deadline=None)
def test_balloons_keep_apart_stay_beside_the_plate_and_do_not_cross(plans, places):
    features = tuple(
        dataclasses.replace(
            plans.pins(), spec=dataclasses.replace(plans.pins().spec, name=str(index)), circles=((x, y, 2.0),)
        )
        for index, (x, y) in enumerate(places)
    )
    numbers = {str(index): index for index in range(len(places))}
    made = balloons(features, numbers=numbers, left=-10.0, right=110.0, low=0.0, high=60.0, gap=6.0)
    assert len(made) == min(len(places), 22), "as many as two columns of 60 mm hold"
    for side in (-10.0, 110.0):
        column = sorted((item for item in made if item.at[0] == side), key=lambda item: item.at[1])
        heights = [item.at[1] for item in column]
        assert all(-1e-9 <= height <= 60.0 + 1e-9 for height in heights)
        assert all(b - a >= 6.0 - 1e-9 for a, b in itertools.pairwise(heights))
        assert [item.to[1] for item in column] == sorted(item.to[1] for item in column)
    assert all(places[item.number] == item.to for item in made)


def test_features_in_the_middle_go_by_turns_to_both_sides(plans):
    features = tuple(
        dataclasses.replace(plans.pins(), spec=dataclasses.replace(plans.pins().spec, name=str(index)), circles=one)
        for index, one in enumerate([((50.0, 10.0 * row, 2.0),) for row in range(1, 5)])
    )
    numbers = {str(index): index for index in range(4)}
    made = balloons(features, numbers=numbers, left=-10.0, right=110.0, low=0.0, high=60.0, gap=6.0)
    assert sorted(item.at[0] for item in made) == [-10.0, -10.0, 110.0, 110.0]
