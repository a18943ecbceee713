"""Exact curves in space, and what becomes of them when they are placed in the drawing's plane."""

import math
from dataclasses import dataclass

import numpy as np
from ezdxf.math import OCS, Matrix44, Vec3

from camplan.drawing.curves import Conic, Floats, Spline, conic_chain, spline_chain
from camplan.geometry.chains import Chain, Points, chain
from camplan.units import Mm

FLAT: Mm = 0.001
"""A curve whose heights differ by no more than this lies flat."""

_SIMILAR = 1e-9
_SAME: Mm = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """A polyline: ``points`` (n, 3), ``bulges`` one a segment, in its own plane z = constant."""

    points: Points
    bulges: Floats
    closed: bool


Curve = Track | Conic | Spline
"""A curve in the coordinates that its entity is written in."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """A curve in the drawing's plane, and the height it was drawn at."""

    path: Chain
    height: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tilted:
    """A curve that does not lie flat: where it is, and from which height to which."""

    at: tuple[Mm, Mm]
    low: Mm
    high: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placement:
    """x → ``linear`` x + ``origin``."""

    linear: Points
    origin: Points

    def after(self, inner: "Placement") -> "Placement":
        """The placement that first does ``inner``, then this one."""
        return Placement(linear=self.linear @ inner.linear, origin=self.linear @ inner.origin + self.origin)

    def points(self, points: Points) -> Points:
        """(n, 3) points placed."""
        return np.asarray(points @ self.linear.T + self.origin)


def scaled(factor: float) -> Placement:
    """Everything times a factor."""
    return Placement(linear=np.eye(3) * factor, origin=np.zeros(3))


def from_matrix(matrix: Matrix44) -> Placement:
    """A placement from a matrix that is applied to row vectors."""
    rows = np.array(list(matrix)).reshape(4, 4)
    return Placement(linear=rows[:3, :3].T.copy(), origin=rows[3, :3].copy())


def from_extrusion(extrusion: Vec3) -> Placement:
    """From an entity's own coordinates (DXF reference, "arbitrary axis algorithm") to the drawing's."""
    ocs = OCS(extrusion)
    return Placement(linear=np.column_stack((ocs.ux.xyz, ocs.uy.xyz, ocs.uz.xyz)), origin=np.zeros(3))


def placed(curve: Curve, *, by: Placement) -> Placed | Tilted:
    """The curve in the drawing's plane; arcs stay exact wherever they stay arcs."""
    match curve:
        case Track():
            return _placed_track(curve, by=by)
        case Conic():
            centre = by.points(curve.centre[None, :])[0]
            u, v = by.linear @ curve.u, by.linear @ curve.v
            reach = math.hypot(u[2], v[2])
            if reach > FLAT / 2.0:
                return Tilted(at=(float(centre[0]), float(centre[1])), low=centre[2] - reach, high=centre[2] + reach)
            flat = Conic(centre=centre[:2], u=u[:2], v=v[:2], start=curve.start, sweep=curve.sweep)
            return Placed(path=conic_chain(flat), height=float(centre[2]))
        case Spline():
            poles = by.points(curve.poles)
            if (tilted := _tilted(poles)) is not None:
                return tilted
            flat_spline = Spline(poles=poles[:, :2], weights=curve.weights, knots=curve.knots, degree=curve.degree)
            return Placed(path=spline_chain(flat_spline), height=float(poles[0, 2]))


def figures(curve: Curve, *, by: Placement) -> Floats:
    """Every length that the placed curve is made of, to be looked at before any arithmetic is done with them."""
    match curve:
        case Track():
            chords = np.hypot(*np.diff(curve.points[:, :2], axis=0, append=curve.points[:1, :2]).T)
            reach = chords[: len(curve.bulges)] * np.abs(curve.bulges)
            return np.concatenate((by.points(curve.points).ravel(), reach))
        case Conic():
            arms = by.linear @ np.column_stack((curve.u, curve.v))
            angles = np.array([curve.start, curve.sweep])
            return np.concatenate((by.points(curve.centre[None, :]).ravel(), arms.ravel(), angles))
        case Spline():
            return np.concatenate((by.points(curve.poles).ravel(), curve.weights / curve.weights.min()))


def _placed_track(track: Track, *, by: Placement) -> Placed | Tilted:
    points = by.points(track.points)
    if (tilted := _tilted(points)) is not None:
        return tilted
    height = float(points[0, 2])
    if not track.bulges.any():
        return Placed(path=_cleaned(points[:, :2], bulges=track.bulges, closed=track.closed), height=height)
    plane = by.linear[:2, :2]
    gram = plane.T @ plane
    size = (gram[0, 0] + gram[1, 1]) / 2.0
    leaning = float(np.hypot(*by.linear[2, :2])) * float(np.ptp(track.points[:, :2], axis=0).max() + 1.0)
    if leaning > FLAT:
        return Tilted(at=(float(points[0, 0]), float(points[0, 1])), low=height - leaning, high=height + leaning)
    if abs(gram[0, 0] - gram[1, 1]) <= _SIMILAR * size and abs(gram[0, 1]) <= _SIMILAR * size:
        bulges = track.bulges if np.linalg.det(plane) > 0.0 else -track.bulges
        return Placed(path=_cleaned(points[:, :2], bulges=bulges, closed=track.closed), height=height)
    return Placed(path=_stretched(track, by=by, points=points[:, :2]), height=height)


def _stretched(track: Track, *, by: Placement, points: Points) -> Chain:
    """A polyline whose arcs have become parts of ellipses."""
    own = track.points[:, :2]
    count = len(track.bulges)
    vertices: list[Points] = []
    bulges: list[Floats] = []
    for segment in range(count):
        bulge = float(track.bulges[segment])
        a, b = own[segment], own[(segment + 1) % len(own)]
        if bulge == 0.0 or float(np.hypot(*(b - a))) <= _SAME:
            vertices.append(points[segment : segment + 1])
            bulges.append(np.zeros(1))
            continue
        half = (b - a) / 2.0
        middle = (a + b) / 2.0 + (1.0 - bulge**2) / (2.0 * bulge) * np.array([-half[1], half[0]])
        u = by.linear[:2, :2] @ (a - middle)
        v = by.linear[:2, :2] @ np.array([-(a - middle)[1], (a - middle)[0]])
        centre = points[segment] - u
        part = conic_chain(Conic(centre=centre, u=u, v=v, start=0.0, sweep=4.0 * math.atan(bulge)))
        vertices.append(part.points[:-1])
        bulges.append(part.bulges)
    if not track.closed:
        vertices.append(points[-1:])
    return _cleaned(np.vstack(vertices), bulges=np.concatenate(bulges), closed=track.closed)


def _cleaned(points: Points, *, bulges: Floats, closed: bool) -> Chain:
    """The chain without segments that go nowhere; the last vertex of an open chain stays where it is."""
    if len(points) == 2 and not closed:
        return chain(points, bulges=bulges)
    ahead = np.roll(points, -1, axis=0)[: len(bulges)]
    stays = np.hypot(*(ahead - points[: len(bulges)]).T) > _SAME
    if stays.all():
        return Chain(points=np.ascontiguousarray(points), bulges=bulges, closed=closed)
    if closed and not stays.any():
        return chain(points[:1], bulges=[0.0], closed=True)
    if closed:
        return chain(points[stays], bulges=bulges[stays], closed=True)
    return chain(np.vstack((points[:-1][stays], points[-1:])), bulges=bulges[stays])


def _tilted(points: Points) -> Tilted | None:
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    if high - low <= FLAT:
        return None
    return Tilted(at=(float(points[0, 0]), float(points[0, 1])), low=low, high=high)
