"""Features made larger: what moves, what stays, and that it shrinks back to the drawing."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.errors import InputError
from camplan.features.build import build
from camplan.features.scaled import Scaling, deepened, scaled_chain, scaling_problems
from camplan.features.specs import EdgeSpec
from camplan.geometry import planar
from camplan.geometry.chains import Chain, bounds, chain, circle, length, signed_area

FILLET = math.tan(math.pi / 8.0)
shares = st.floats(0.0, 0.1)
places = st.tuples(st.floats(-200.0, 200.0), st.floats(-200.0, 200.0))


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> Chain:
    points = [
        (x0 + radius, y0),
        (x1 - radius, y0),
        (x1, y0 + radius),
        (x1, y1 - radius),
        (x1 - radius, y1),
        (x0 + radius, y1),
        (x0, y1 - radius),
        (x0, y0 + radius),
    ]
    return chain(points, bulges=[0.0, FILLET] * 4, closed=True)


def by(**changes: object) -> Scaling:
    usual = {"features": ("disc",), "x": 1.02, "y": 1.02, "depth": 1.0, "about": None}
    return Scaling(**{**usual, **changes})  # type: ignore[arg-type]


@settings(max_examples=80)
@given(shares, shares, places)
def test_what_was_scaled_shrinks_back_to_the_drawing(
    share_x: float, share_y: float, about: tuple[float, float]
) -> None:
    """Every drawn corner comes back to within 1e-9 mm, whatever the shares along X and Y and the place."""
    drawn = chain([(12.0, 10.0), (48.0, 12.5), (45.0, 40.0), (11.0, 33.0)], closed=True)
    cavity = scaled_chain(drawn, x=1.0 / (1.0 - share_x), y=1.0 / (1.0 - share_y), about=about)
    place = np.array(about)
    moulded = place + np.array([1.0 - share_x, 1.0 - share_y]) * (cavity.points - place)
    assert np.abs(moulded - drawn.points).max() < 1e-9


@settings(max_examples=80)
@given(st.floats(1.0, 1.12), places)
def test_even_scaling_keeps_every_arc_and_scales_lengths_and_areas(factor: float, about: tuple[float, float]) -> None:
    drawn = rounded(10.0, 8.0, 45.0, 32.0, radius=4.0)
    found = scaled_chain(drawn, x=factor, y=factor, about=about)
    assert found.bulges.tolist() == drawn.bulges.tolist()
    assert length(found) == pytest.approx(factor * length(drawn), rel=1e-9)
    assert signed_area(found) == pytest.approx(factor**2 * signed_area(drawn), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 1.12), st.floats(1.0, 1.12), st.floats(0.5, 60.0))
def test_uneven_scaling_makes_an_ellipse_within_half_a_micrometre(x: float, y: float, radius: float) -> None:
    """Distances from the ellipse (X/a)^2 + (Y/b)^2 = 1 by its gradient; the area of an ellipse is pi a b."""
    found = scaled_chain(circle((5.0, -3.0), radius=radius), x=x, y=y, about=(5.0, -3.0))
    a, b = x * radius, y * radius
    points = np.array(shapely.get_coordinates(planar.line(found, chord=1e-5))) - [5.0, -3.0]
    off = (points / [a, b]) ** 2 @ [1.0, 1.0] - 1.0
    slope = 2.0 * np.hypot(points[:, 0] / a**2, points[:, 1] / b**2)
    assert np.abs(off / slope).max() < 0.0005 + 2e-5
    assert signed_area(found) == pytest.approx(math.pi * a * b, rel=1e-3 / radius)
    assert bounds(found) == pytest.approx((5.0 - a, -3.0 - b, 5.0 + a, -3.0 + b), abs=0.001)


def test_uneven_scaling_keeps_the_ends_of_open_lines_and_their_straight_parts() -> None:
    drawn = chain([(0.0, 0.0), (20.0, 0.0), (30.0, 10.0)], bulges=[0.0, FILLET])
    found = scaled_chain(drawn, x=1.02, y=1.05, about=(10.0, 0.0))
    assert not found.closed
    assert found.points[0].tolist() == pytest.approx([-0.2, 0.0])
    assert found.points[-1].tolist() == pytest.approx([30.4, 10.5])
    assert found.bulges[0] == 0.0
    assert (found.bulges[1:] > 0.0).all()


@settings(max_examples=40)
@given(st.floats(1.0, 1.12), st.floats(1.0, 1.12), places)
def test_the_place_stays_put(x: float, y: float, about: tuple[float, float]) -> None:
    drawn = chain([about, (about[0] + 10.0, about[1]), (about[0], about[1] + 7.0)], closed=True)
    found = scaled_chain(drawn, x=x, y=y, about=about)
    assert found.points[0].tolist() == list(about)


def test_only_what_is_named_is_scaled(make: SimpleNamespace) -> None:
    """The plate is 100 x 80 mm from (10, 20) of the drawing, so its middle is (50, 40) from its zero."""
    disc, other = make.rectangle(30.0, 40.0, 70.0, 80.0), make.rectangle(80.0, 40.0, 90.0, 60.0)
    drawing = make.drawing(
        make.layer("DISC", disc), make.layer("OTHER", other), make.layer("PINS", circles=[(20.0, 30.0, 4.0)])
    )
    specs = (make.pocket(), make.pocket(name="other", layer="OTHER"), make.hole(depth=6.0))
    plain = build(specs, plate=make.plate(), drawing=drawing)
    found = build(specs, plate=make.plate(), drawing=drawing, scaling=by())
    assert bounds(found.features[0].regions[0].outer) == pytest.approx((19.4, 19.6, 60.2, 60.4))
    assert bounds(found.features[1].regions[0].outer) == bounds(plain.features[1].regions[0].outer)
    assert found.features[2].circles == plain.features[2].circles
    assert found.plate.bounds == plain.plate.bounds
    assert (plain.scaled_about, found.scaled_about) == (None, pytest.approx((50.0, 40.0)))


def test_a_place_is_given_in_the_drawing(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("DISC", make.rectangle(30.0, 40.0, 70.0, 80.0)))
    found = build((make.pocket(),), plate=make.plate(), drawing=drawing, scaling=by(about=(30.0, 40.0)))
    assert bounds(found.features[0].regions[0].outer) == pytest.approx((20.0, 20.0, 60.8, 60.8))
    assert found.scaled_about == pytest.approx((20.0, 20.0))


def test_a_core_for_a_hole_moves_and_grows(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("PINS", circles=[(20.0, 30.0, 4.0)]))
    found = build(
        (make.hole(depth=6.0),), plate=make.plate(), drawing=drawing, scaling=by(features=("pins",), x=1.05, y=1.05)
    )
    ((x, y, diameter),) = found.features[0].circles
    assert (x, y, diameter) == pytest.approx((50.0 - 1.05 * 40.0, 40.0 - 1.05 * 30.0, 4.2))


def test_a_hole_cannot_become_an_ellipse(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("PINS", circles=[(20.0, 30.0, 4.0)]))
    with pytest.raises(InputError) as raised:
        build((make.hole(depth=6.0),), plate=make.plate(), drawing=drawing, scaling=by(features=("pins",), y=1.01))
    (problem,) = raised.value.problems
    assert problem.message.startswith("a hole is round")
    assert "not named" in problem.accepted


def test_depths_stay_unless_they_are_asked_for(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("DISC", make.rectangle(30.0, 40.0, 70.0, 80.0)))
    specs = (make.pocket(top=1.0, depth=5.0),)
    plain = build(specs, plate=make.plate(), drawing=drawing, scaling=by()).features[0]
    deeper = build(specs, plate=make.plate(), drawing=drawing, scaling=by(depth=1.02)).features[0]
    assert (plain.top, plain.bottom) == (1.0, 5.0)
    assert (deeper.top, deeper.bottom) == pytest.approx((1.02, 5.1))


def test_what_goes_through_is_no_deeper_for_shrinkage(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("DISC", make.rectangle(30.0, 40.0, 70.0, 80.0)))
    for depth in (None, 10.0):
        found = build((make.pocket(depth=depth),), plate=make.plate(), drawing=drawing, scaling=by(depth=1.02))
        assert found.features[0].through
        assert found.features[0].bottom == 10.0


def test_a_step_that_starts_where_an_unscaled_one_ends_is_refused(make: SimpleNamespace) -> None:
    drawing = make.drawing(
        make.layer("DISC", make.rectangle(30.0, 40.0, 70.0, 80.0)),
        make.layer("RIM", make.rectangle(40.0, 50.0, 60.0, 70.0)),
    )
    specs = (make.pocket(depth=4.0), make.pocket(name="rim", layer="RIM", top=4.0, depth=6.0))
    with pytest.raises(InputError, match='it starts at 4 mm, where "disc" ends'):
        build(specs, plate=make.plate(), drawing=drawing, scaling=by(features=("rim",), depth=1.02))
    both = build(specs, plate=make.plate(), drawing=drawing, scaling=by(features=("disc", "rim"), depth=1.02))
    assert both.features[0].bottom == both.features[1].top


def test_a_cavity_that_grows_over_the_plates_edge_is_as_any_other(make: SimpleNamespace) -> None:
    drawing = make.drawing(make.layer("PART", make.rectangle(10.5, 20.5, 109.5, 99.5)))
    with pytest.raises(InputError, match="reaches over the plate's edge"):
        build((make.outline(),), plate=make.plate(), drawing=drawing, scaling=by(features=("part",)))


def rim(**changes: object) -> EdgeSpec:
    usual = {"name": "rim", "layer": "DISC", "top": 2.0, "depth": 2.4, "side": "outside", "chamfer": 0.4}
    return EdgeSpec(**{**usual, "angle": math.pi / 4.0, "radius": None, "tolerance": 0.02, "cutters": (), **changes})  # type: ignore[arg-type]


def test_an_edge_that_belongs_to_what_is_scaled_must_be_scaled_too(make: SimpleNamespace) -> None:
    both = [make.feature(make.pocket()), make.feature(rim())]
    assert scaling_problems(both, by=by(features=("disc", "rim"))) == []
    (problem,) = scaling_problems(both, by=by())
    assert problem.key == 'feature "rim"'


def test_a_chamfer_keeps_its_height_where_depths_are_scaled() -> None:
    deeper = deepened(rim(), by=by(features=("rim",), depth=1.02))
    assert deeper.top == pytest.approx(2.04)
    assert deeper.depth - deeper.top == pytest.approx(0.4)
