"""Cutter shapes against plane geometry."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.catalogue.records import Cutter
from camplan.catalogue.shape import body_radius, can_plunge, cone_top, profile, radius


def test_a_slot_drill_is_a_cylinder(shelf: dict[str, Cutter]) -> None:
    assert radius(shelf["slot-6"], height=[0.0, 5.0, 13.0]).tolist() == [3.0, 3.0, 3.0]


def test_a_ball_is_half_a_sphere_and_then_a_cylinder(shelf: dict[str, Cutter]) -> None:
    ball = shelf["ball-6"]
    for height in (0.0, 0.1, 1.0, 2.9, 3.0):
        assert radius(ball, height=height) == pytest.approx(math.sqrt(9.0 - (3.0 - height) ** 2), abs=1e-12)
    assert radius(ball, height=5.0) == 3.0


def test_a_bull_nose_has_a_flat_tip_and_a_round_edge(shelf: dict[str, Cutter]) -> None:
    bull = shelf["bull-6-r1"]
    assert radius(bull, height=0.0) == 2.0
    assert radius(bull, height=1.0 - math.sqrt(0.5)) == pytest.approx(2.0 + math.sqrt(0.5))
    assert radius(bull, height=1.0) == 3.0


def test_a_taper_opens_by_its_angle_a_side_from_the_width_at_its_tip(shelf: dict[str, Cutter]) -> None:
    taper = shelf["taper-2deg-3"]
    assert radius(taper, height=10.0) == pytest.approx(1.5 + 10.0 * math.tan(math.radians(2.0)))
    assert radius(taper, height=taper.flute_length) == pytest.approx(taper.diameter / 2.0)


def test_a_taper_with_a_ball_tip_leaves_the_ball_tangentially(shelf: dict[str, Cutter]) -> None:
    taper = shelf["taper-3deg-r0.5"]
    angle = math.radians(3.0)
    meets = 0.5 * (1.0 - math.sin(angle))
    assert radius(taper, height=meets) == pytest.approx(0.5 * math.cos(angle))
    below, above = radius(taper, height=[meets - 1e-6, meets + 1e-6])
    assert (above - below) / 2e-6 == pytest.approx(math.tan(angle), rel=1e-3)


@pytest.mark.parametrize(("angle_deg", "share"), [(118.0, 0.300), (90.0, 0.500), (140.0, 0.182)])
def test_the_point_of_a_drill_is_as_long_as_geometry_says(
    shelf: dict[str, Cutter], angle_deg: float, share: float
) -> None:
    """Point length over diameter, 0.5 / tan(sigma / 2): plane geometry; 118 and 90 degrees as drill tables print it."""
    name = {118.0: "drill-4.2", 90.0: "spot-90-6", 140.0: "drill-2.5-carbide"}[angle_deg]
    drill = shelf[name]
    top = cone_top(drill)
    assert top is not None
    assert top / drill.diameter == pytest.approx(share, abs=5e-4)
    assert radius(drill, height=top) == pytest.approx(drill.diameter / 2.0)
    assert radius(drill, height=top / 2.0) == pytest.approx(drill.diameter / 4.0)


def test_an_engraver_cuts_as_wide_as_its_tip_and_twice_the_slope(shelf: dict[str, Cutter]) -> None:
    engraver = shelf["engrave-60-0.1"]
    assert 2.0 * radius(engraver, height=0.2) == pytest.approx(0.1 + 2.0 * 0.2 * math.tan(math.radians(30.0)))


def test_nothing_cuts_below_the_tip_or_above_the_flutes(shelf: dict[str, Cutter]) -> None:
    assert np.isnan(radius(shelf["slot-2"], height=[-0.1, 5.01])).all()


def test_a_neck_is_relieved_and_the_shank_stands_above_it_up_to_the_collet(shelf: dict[str, Cutter]) -> None:
    long = shelf["slot-2-long"]
    at = body_radius(long, height=[4.0, 4.01, 12.0, 12.01, 22.0, 22.01])
    assert np.isnan(at[[0, 5]]).all()
    assert at[1:5].tolist() == pytest.approx([0.95, 0.95, 3.0, 3.0])


def test_only_cutters_with_teeth_to_the_centre_may_plunge(shelf: dict[str, Cutter]) -> None:
    assert can_plunge(shelf["slot-6"])
    assert can_plunge(shelf["drill-4.2"])
    assert not can_plunge(shelf["end-6"])
    assert not can_plunge(shelf["ream-4-h7"])


@settings(max_examples=60, deadline=None)
@given(data=st.data(), steps=st.integers(1, 30))
def test_a_profile_rises_and_lies_on_the_shape(shelf: dict[str, Cutter], data: st.DataObject, steps: int) -> None:
    cutter = shelf[data.draw(st.sampled_from(sorted(shelf)))]
    pairs = profile(cutter, steps=steps)
    heights = [height for height, _ in pairs]
    assert heights[0] == 0.0
    assert heights[-1] == cutter.flute_length
    assert all(low < high for low, high in itertools.pairwise(heights))
    assert [wide for _, wide in pairs] == radius(cutter, height=heights).tolist()
    assert all(low[1] <= high[1] + 1e-12 for low, high in itertools.pairwise(pairs))
    assert pairs[-1][1] == pytest.approx(cutter.diameter / 2.0)


@settings(max_examples=60, deadline=None)
@given(data=st.data(), steps=st.integers(1, 16))
def test_between_its_pairs_a_profile_keeps_within_the_arc_it_stands_for(
    shelf: dict[str, Cutter], data: st.DataObject, steps: int
) -> None:
    cutter = shelf[data.draw(st.sampled_from(sorted(shelf)))]
    pairs = profile(cutter, steps=steps)
    height = data.draw(st.floats(0.0, cutter.flute_length))
    straight = float(np.interp(height, [h for h, _ in pairs], [r for _, r in pairs]))
    sagitta = (cutter.corner_radius or 0.0) * (1.0 - math.cos(math.pi / 4.0 / steps))
    slope = 1.0 / math.cos(math.pi / 2.0 - math.pi / 2.0 / (2.0 * steps)) if steps else 1.0
    off = float(radius(cutter, height=height)) - straight
    assert off >= -1e-9
    assert off <= sagitta * slope + 1e-9


def test_no_steps_are_refused(shelf: dict[str, Cutter]) -> None:
    with pytest.raises(ValueError, match="one step"):
        profile(shelf["ball-3"], steps=0)
