"""Arcs for ellipses and splines, measured against the exact curves."""

import math

import numpy as np
import pytest
from ezdxf.math import BSpline as Reference
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.special import ellipe

from camplan.drawing.curves import Conic, Spline, conic_chain, spline_chain
from camplan.geometry.chains import arcs, ends, length, signed_area, tessellated


def ellipse(a, b, *, tilt=0.0, start=0.0, sweep=2.0 * math.pi):
    u, v = np.array([math.cos(tilt), math.sin(tilt)]) * a, np.array([-math.sin(tilt), math.cos(tilt)]) * b
    return Conic(centre=np.array([2.0, 1.0]), u=u, v=v, start=start, sweep=sweep)


def off_ellipse(points, *, a, b, tilt):
    """Distance of points from an ellipse, by search on the exact curve around a first guess."""
    arm = points - (2.0, 1.0)
    x, y = arm @ [math.cos(tilt), math.sin(tilt)], arm @ [-math.sin(tilt), math.cos(tilt)]
    result = []
    for px, py in zip(x, y, strict=True):
        first = math.atan2(py / b, px / a)
        found = minimize_scalar(
            lambda t, px=px, py=py: math.hypot(a * math.cos(t) - px, b * math.sin(t) - py),
            bounds=(first - 0.1, first + 0.1),
            method="bounded",
            options={"xatol": 1e-9},
        )
        result.append(found.fun)
    return np.array(result)


@pytest.mark.parametrize(("a", "b"), [(40.0, 12.0), (50.0, 49.0), (3.0, 0.8), (400.0, 150.0)])
def test_an_ellipse_is_followed_within_a_micron(a, b):
    path = conic_chain(ellipse(a, b, tilt=0.4))
    points = tessellated(path, chord=1e-5)
    sample = points[:: max(len(points) // 400, 1)]
    assert off_ellipse(sample, a=a, b=b, tilt=0.4).max() <= 0.001
    # closed forms: the area of an ellipse, and its circumference by the complete elliptic integral E
    assert signed_area(path) == pytest.approx(math.pi * a * b, abs=0.001 * length(path))
    assert length(path) == pytest.approx(4.0 * a * ellipe(1.0 - (b / a) ** 2), rel=1e-6)


def test_an_ellipse_takes_few_arcs_that_meet_smoothly():
    path = conic_chain(ellipse(40.0, 12.0))
    assert len(path.bulges) <= 120
    start, end = ends(path)
    heading = np.arctan2(*(end - start).T[::-1])
    half = 2.0 * np.arctan(path.bulges)
    turn = np.mod(heading - half - np.roll(heading + half, 1) + math.pi, 2.0 * math.pi) - math.pi
    assert np.degrees(np.abs(turn)).max() <= 0.25


def test_part_of_an_ellipse_starts_and_ends_on_it():
    path = conic_chain(ellipse(40.0, 12.0, start=0.3, sweep=2.0))
    assert not path.closed
    assert path.points[0] == pytest.approx((2 + 40 * math.cos(0.3), 1 + 12 * math.sin(0.3)))
    assert path.points[-1] == pytest.approx((2 + 40 * math.cos(2.3), 1 + 12 * math.sin(2.3)))


@given(radius=st.floats(0.05, 500.0), start=st.floats(-6.0, 6.0), sweep=st.floats(0.01, 6.2), mirrored=st.booleans())
@settings(max_examples=50, deadline=None)
def test_part_of_a_circle_keeps_radius_centre_and_ends(radius, start, sweep, mirrored):
    flip = -1.0 if mirrored else 1.0
    conic = Conic(
        centre=np.array([7.0, -2.0]),
        u=np.array([radius, 0.0]),
        v=np.array([0.0, flip * radius]),
        start=start,
        sweep=sweep,
    )
    path = conic_chain(conic)
    found = arcs(path)
    assert np.allclose(found.radii, radius, rtol=1e-7)
    assert found.sweeps.sum() == pytest.approx(flip * sweep)
    assert path.points[0] == pytest.approx((7 + radius * math.cos(start), -2 + flip * radius * math.sin(start)))


def reference_points(spline, *, count):
    curve = Reference(
        [(*pole, 0.0) for pole in spline.poles],
        order=spline.degree + 1,
        knots=spline.knots.tolist(),
        weights=spline.weights.tolist(),
    )
    low, high = spline.knots[spline.degree], spline.knots[len(spline.poles)]
    return np.array([point.vec2 for point in curve.points(np.linspace(low, high, count))])


@settings(max_examples=25, deadline=None)
@given(
    poles=st.lists(st.tuples(st.floats(-40, 40), st.floats(-40, 40)), min_size=4, max_size=9),
    weight=st.floats(0.3, 3.0),
    degree=st.sampled_from([2, 3]),
)
def test_a_spline_is_followed_within_a_micron(poles, weight, degree):
    """Against an independent evaluation of the exact curve."""
    poles = np.array(poles) + np.arange(len(poles))[:, None] * 0.5
    weights = np.ones(len(poles))
    weights[1] = weight
    inner = np.arange(1, len(poles) - degree)
    knots = np.concatenate((np.zeros(degree + 1), inner, np.full(degree + 1, len(poles) - degree))).astype(float)
    spline = Spline(poles=poles, weights=weights, knots=knots, degree=degree)
    path = spline_chain(spline)
    exact = reference_points(spline, count=60)
    assert path.points[0] == pytest.approx(exact[0], abs=1e-9) and path.points[-1] == pytest.approx(exact[-1], abs=1e-9)
    assert off_chain(path, exact).max() <= 0.001


def off_chain(path, points):
    """How far points are from a chain of lines and arcs, each measured to its segments exactly."""
    start, end = ends(path)
    found = arcs(path)
    best = np.full(len(points), np.inf)
    for k in range(len(path.bulges)):
        a, b = start[k], end[k]
        if path.bulges[k] == 0.0:
            part = np.clip(((points - a) @ (b - a)) / max(float((b - a) @ (b - a)), 1e-30), 0, 1)
            best = np.minimum(best, np.hypot(*(points - a - part[:, None] * (b - a)).T))
            continue
        arm, ray = a - found.centres[k], points - found.centres[k]
        sign = 1.0 if found.sweeps[k] > 0 else -1.0
        turn = np.mod(sign * (np.arctan2(ray[:, 1], ray[:, 0]) - math.atan2(arm[1], arm[0])), 2 * math.pi)
        on = np.abs(np.hypot(*ray.T) - found.radii[k])
        tip = np.minimum(np.hypot(*(points - a).T), np.hypot(*(points - b).T))
        best = np.minimum(best, np.where(turn <= abs(found.sweeps[k]), on, tip))
    return best


def test_a_straight_spline_is_a_line():
    spline = Spline(
        poles=np.array([[0.0, 0.0], [1.0, 1.0], [4.0, 4.0], [9.0, 9.0]]),
        weights=np.ones(4),
        knots=np.array([0, 0, 0, 0, 1, 1, 1, 1.0]),
        degree=3,
    )
    assert not spline_chain(spline).bulges.any()


def test_a_spline_with_a_cusp_stays_with_the_curve():
    """Poles that double back give a curve at rest in its middle, where it has no direction."""
    spline = Spline(
        poles=np.array([[0.0, 0.0], [10.0, 10.0], [0.0, 10.0], [10.0, 0.0]]),
        weights=np.ones(4),
        knots=np.array([0, 0, 0, 0, 1, 1, 1, 1.0]),
        degree=3,
    )
    path = spline_chain(spline)
    assert off_chain(path, reference_points(spline, count=201)).max() <= 0.001
