"""Curves as chains: circles exactly, ellipses and splines as arcs that stay within a micron.

A conic is ``p(t) = centre + u cos t + v sin t``.  Any affine placing keeps that form, so a circle in a mirrored,
scaled or turned block stays exact until it is seen whether it is still a circle.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.geometry.chains import Chain, Points, chain, circle
from camplan.units import Mm

Floats = NDArray[np.float64]
Curve = Callable[[Floats], Points]

WITHIN: Mm = 0.0008
"""How far an arc may leave the ellipse or spline it stands for, at every point that is tested."""

_TURN_OFF = math.radians(0.1)
_ROUND = 1e-9
_STRAIGHT: Mm = 1e-7
_SPECK: Mm = 1e-6
_HALVINGS = 30
_TESTED = np.arange(1, 12) / 12.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conic:
    """Part of an ellipse: ``centre``, ``u``, ``v`` are (2,) or (3,) arrays; t runs from ``start`` by ``sweep`` rad."""

    centre: Points
    u: Points
    v: Points
    start: float
    sweep: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spline:
    """A rational B-spline: ``poles`` (n, 2) or (n, 3), ``weights`` (n,), ``knots`` (n + degree + 1,)."""

    poles: Points
    weights: Floats
    knots: Floats
    degree: int


def conic_chain(conic: Conic, *, within: Mm = WITHIN) -> Chain:
    """A plane conic as a chain; closed if it runs all the way round.  A circle's arcs are exact, those of an ellipse
    leave it by ``within`` at most."""
    whole = abs(conic.sweep) >= 2.0 * math.pi - 1e-9
    u, v = conic.u, conic.v
    long, short = math.hypot(*u), math.hypot(*v)
    if abs(long - short) <= _ROUND * long and abs(float(u @ v)) <= _ROUND * long * long:
        if whole:
            return circle((float(conic.centre[0]), float(conic.centre[1])), radius=(long + short) / 2.0)
        steps = max(math.ceil(abs(conic.sweep) / math.pi - 1e-9), 1)
        places = conic.start + conic.sweep * np.arange(steps + 1) / steps
        turn = conic.sweep if u[0] * v[1] - u[1] * v[0] > 0.0 else -conic.sweep
        return chain(_on(conic, places), bulges=np.full(steps, math.tan(turn / steps / 4.0)))
    parts = max(math.ceil(abs(conic.sweep) / (math.pi / 4.0) - 1e-9), 1)
    breaks = conic.start + conic.sweep * np.arange(parts + 1) / parts
    forward = math.copysign(1.0, conic.sweep)
    path = _arcs_along(
        lambda t: _on(conic, t),
        heading=lambda t: forward * (np.outer(-np.sin(t), u) + np.outer(np.cos(t), v)),
        breaks=breaks,
        within=within,
    )
    return Chain(points=path.points[:-1], bulges=path.bulges, closed=True) if whole else path


def spline_chain(spline: Spline) -> Chain:
    """A plane spline as an open chain of arcs."""
    # takes longer to load than most drawings to read, and most have no spline
    from scipy.interpolate import BSpline  # noqa: PLC0415

    order = spline.degree
    homogeneous = np.column_stack((spline.poles * spline.weights[:, None], spline.weights))
    curve = BSpline(spline.knots, homogeneous, order)
    slope = curve.derivative()
    low, high = spline.knots[order], spline.knots[len(spline.poles)]
    breaks = np.unique(spline.knots[order : len(spline.poles) + 1])
    breaks = breaks[(breaks >= low) & (breaks <= high)]

    def point(t: Floats) -> Points:
        value = curve(t)
        return np.asarray(value[:, :2] / value[:, 2:])

    def heading(t: Floats) -> Points:
        value, rate = curve(t), slope(t)
        return np.asarray(rate[:, :2] * value[:, 2:] - value[:, :2] * rate[:, 2:])

    return _arcs_along(point, heading=heading, breaks=breaks)


def _on(conic: Conic, t: Floats) -> Points:
    return np.asarray(conic.centre + np.outer(np.cos(t), conic.u) + np.outer(np.sin(t), conic.v))


def _arcs_along(point: Curve, *, heading: Curve, breaks: Floats, within: Mm = WITHIN) -> Chain:
    """Arcs through three points of the curve each, halved until they keep to it in place and direction.

    The angle between AV and VB is half the sweep of the arc A-V-B for every V on it (inscribed angle, Euclid
    III.20); the rest of the angle gives V's distance from the arc: |AV| |VB| / |AB| times it.
    """
    start, end = breaks[:-1], breaks[1:]
    kept: list[tuple[Floats, Points, Floats]] = []
    last = point(breaks[-1:])
    for halving in range(_HALVINGS + 1):
        middle = (start + end) / 2.0
        a, m, b = point(start), point(middle), point(end)
        half = _turn(m - a, b - m)
        chord = np.hypot(*(b - a).T)
        good = (np.abs(half) <= math.pi / 4.0) & (chord > 0.0)
        for part in _TESTED:
            p = point(start + (end - start) * part)
            ap, pb = p - a, b - p
            with np.errstate(divide="ignore", invalid="ignore"):
                off = (_turn(ap, pb) - half) * np.hypot(*ap.T) * np.hypot(*pb.T) / chord
            good &= np.abs(off) <= within
        good &= _kept_heading(heading(start + (end - start) * 1e-7), chord=b - a, turned=-half)
        good &= _kept_heading(heading(end - (end - start) * 1e-7), chord=b - a, turned=half)
        good |= (halving == _HALVINGS) | (np.hypot(*(m - a).T) + np.hypot(*(b - m).T) < _SPECK)
        bulge = np.tan(half / 2.0)
        bulge[np.abs(bulge) * chord / 2.0 < _STRAIGHT] = 0.0
        kept.append((start[good], a[good], bulge[good]))
        start, end, middle = start[~good], end[~good], middle[~good]
        if not len(start):
            break
        start, end = np.concatenate((start, middle)), np.concatenate((middle, end))
    places = np.concatenate([part[0] for part in kept])
    order = np.argsort(places if breaks[-1] >= breaks[0] else -places, kind="stable")
    points = np.vstack([part[1] for part in kept])[order]
    bulges = np.concatenate([part[2] for part in kept])[order]
    return chain(np.vstack((points, last)), bulges=bulges)


def _kept_heading(direction: Points, *, chord: Points, turned: Floats) -> NDArray[np.bool_]:
    """Whether the arc's direction, its chord's turned by ``turned``, is the curve's; a curve at rest has none."""
    cos, sin = np.cos(turned), np.sin(turned)
    along = np.column_stack((chord[:, 0] * cos - chord[:, 1] * sin, chord[:, 0] * sin + chord[:, 1] * cos))
    at_rest = np.hypot(*direction.T) <= 1e-12
    return np.asarray(at_rest | (np.abs(_turn(along, direction)) <= _TURN_OFF))


def _turn(a: Points, b: Points) -> Floats:
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], np.sum(a * b, axis=1)))
