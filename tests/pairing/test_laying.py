"""Plates laid over each other: places go there and back, arcs stay arcs, and a mirrored part is the part mirrored."""

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from camplan.geometry import planar
from camplan.geometry.chains import chain, signed_area
from camplan.pairing.laying import laid_as, laid_feature, laid_plate, lie_of
from camplan.regions import Region

FAR = st.floats(-200.0, 200.0)


@given(x=FAR, y=FAR, dx=FAR, dy=FAR, about=st.sampled_from([None, "x", "y"]))
def test_a_place_comes_back_from_the_common_coordinates(
    make: SimpleNamespace, x: float, y: float, dx: float, dy: float, about: str | None
) -> None:
    lie = make.placed("back", about=about, by=(dx, dy)).lie
    assert lie.own(lie.common((x, y))) == pytest.approx((x, y), abs=1e-9)
    assert lie.back.common(lie.common((x, y))) == pytest.approx((x, y), abs=1e-9)


def test_plates_lie_on_their_middles_and_a_mirrored_one_stays_there(make: SimpleNamespace) -> None:
    for about in (None, "x", "y"):
        plate = make.placed("back", size=(60.0, 40.0), about=about)
        assert laid_plate(plate.plate, lie=plate.lie).bounds == pytest.approx((-30.0, -20.0, 30.0, 20.0))
    assert make.placed("back", about="y").lie.common((0.0, 0.0)) == pytest.approx((50.0, -40.0))
    assert make.placed("back", about="x").lie.common((0.0, 0.0)) == pytest.approx((-50.0, 40.0))


def test_a_plate_may_lie_in_its_drawings_coordinates_or_on_its_zero(make: SimpleNamespace) -> None:
    plate = make.placed("back")
    drawn = dataclasses.replace(plate.plate, drawn_at=(-10.0, -20.0))
    assert lie_of(drawn, spec=plate.spec, common="drawing").common((0.0, 0.0)) == (10.0, 20.0)
    assert lie_of(drawn, spec=plate.spec, common="zero").common((0.0, 0.0)) == (0.0, 0.0)
    spec = dataclasses.replace(plate.spec, about="y", axis=0.0)
    assert lie_of(drawn, spec=spec, common="drawing").common((0.0, 0.0)) == (-10.0, 20.0)


def test_lines_are_walked_as_they_are_drawn_and_their_arcs_bend_the_other_way(make: SimpleNamespace) -> None:
    line = chain([(10.0, 10.0), (30.0, 10.0), (40.0, 20.0)], bulges=[0.0, 0.4])
    drawn = dataclasses.replace(make.pocket("runner"), lines=(line,))
    plate = make.placed("back", drawn, about="y")
    (laid,) = laid_feature(drawn, lie=plate.lie).lines
    assert laid.points.tolist() == [[40.0, -30.0], [20.0, -30.0], [10.0, -20.0]]
    assert laid.bulges.tolist() == [0.0, -0.4]


def test_half_a_turn_is_both_mirrorings_in_turn(make: SimpleNamespace) -> None:
    plate = make.placed("back")
    lie = laid_as(plate.plate, spec=plate.spec, common="centre", about=None, half_turn=True)
    assert lie.common((80.0, 70.0)) == pytest.approx((-30.0, -30.0))
    assert not lie.mirrors


@pytest.mark.parametrize("about", [None, "x", "y"])
def test_a_laid_region_is_the_region_mirrored_with_its_islands_inside(make: SimpleNamespace, about: str | None) -> None:
    """Held against shapely's own affine map of the drawn figure."""
    region = Region(
        outer=make.rounded(10, 10, 60, 40, radius=6),
        islands=(make.rounded(20, 15, 40, 30, radius=3, clockwise=True),),
    )
    plate = make.placed("back", make.pocket("core", region), about=about, by=(1.0, -2.0))
    laid = laid_feature(plate.features[0], lie=plate.lie).regions[0]
    assert signed_area(laid.outer) > 0.0 > signed_area(laid.islands[0])
    lie = plate.lie
    drawn = planar.polygon(region, chord=1e-4)
    mapped = shapely.transform(drawn, lambda at: at * np.array([lie.x_sign, lie.y_sign]) + np.array([lie.x, lie.y]))
    assert planar.polygon(laid, chord=1e-4).symmetric_difference(mapped).area < 0.02
    assert planar.polygon(laid, chord=1e-4).area == pytest.approx(drawn.area, abs=1e-6)
