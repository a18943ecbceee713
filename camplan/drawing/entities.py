"""Entities of a drawing as curves in their own coordinates."""

import math
from dataclasses import dataclass

import numpy as np
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.point import Point
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline as SplineEntity
from ezdxf.math import Vec3

from camplan.drawing.curves import Conic, Spline
from camplan.drawing.placing import Curve, Placement, Track, from_extrusion
from camplan.geometry.chains import Points

_FRAME_VERTEX = 16  # vertex flag: control point of a curve-fitted polyline, not on it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Read:
    """A curve with the placement of its coordinates (None: the drawing's own), and remarks to be counted."""

    curve: Curve
    placement: Placement | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """A drawn point, (3,) in the drawing's coordinates."""

    at: Points


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreadable:
    """An entity of a kind that is read, but whose figures make no curve; ``why`` completes "a KIND that ..."."""

    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """An entity of a kind that holds no lines to mill along, or that is not read."""

    kind: str


Found = Read | Spot | Unreadable | Unknown


def read(entity: DXFEntity) -> Found:
    """One entity other than an INSERT."""
    try:
        return _read(entity)
    except Exception as error:  # in a damaged file any figure of an entity can be missing or of another type
        return Unreadable(why=f"is damaged ({error})")


def _read(entity: DXFEntity) -> Found:
    match entity:
        case Line():
            ends = np.array([entity.dxf.start.xyz, entity.dxf.end.xyz])
            return Read(curve=Track(points=ends, bulges=np.zeros(1), closed=False))
        case Point():
            return Spot(at=np.array(entity.dxf.location.xyz))
        case Arc():
            sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0) or 2.0 * math.pi
            return _round(entity, start=math.radians(entity.dxf.start_angle), sweep=sweep)
        case Circle():
            return _round(entity, start=0.0, sweep=2.0 * math.pi)
        case Ellipse():
            return _ellipse(entity)
        case LWPolyline():
            return _light_polyline(entity)
        case Polyline():
            return _polyline(entity)
        case SplineEntity() if entity.dxftype() == "SPLINE":
            return _spline(entity)
        case _:
            return Unknown(kind=entity.dxftype())


def _placement(entity: DXFGraphic) -> Placement | None:
    extrusion = Vec3(entity.dxf.get("extrusion", (0.0, 0.0, 1.0)))
    if extrusion.x == 0.0 and extrusion.y == 0.0 and extrusion.z > 0.0:
        return None
    return from_extrusion(extrusion)


def _round(entity: Circle, *, start: float, sweep: float) -> Read | Unreadable:
    radius = entity.dxf.radius
    if not radius > 0.0 and math.isfinite(radius):
        return Unreadable(why=f"has the radius {radius:g}")
    conic = Conic(
        centre=np.array(entity.dxf.center.xyz),
        u=np.array([radius, 0.0, 0.0]),
        v=np.array([0.0, radius, 0.0]),
        start=start,
        sweep=sweep,
    )
    return Read(curve=conic, placement=_placement(entity))


def _ellipse(entity: Ellipse) -> Read | Unreadable:
    major, axis = Vec3(entity.dxf.major_axis), Vec3(entity.dxf.get("extrusion", (0.0, 0.0, 1.0)))
    if major.magnitude == 0.0 or axis.magnitude == 0.0:
        return Unreadable(why="has no size")
    minor = axis.normalize().cross(major) * entity.dxf.ratio
    sweep = (entity.dxf.end_param - entity.dxf.start_param) % (2.0 * math.pi)
    if sweep < 1e-9:
        sweep = 2.0 * math.pi
    conic = Conic(
        centre=np.array(entity.dxf.center.xyz),
        u=np.array(major.xyz),
        v=np.array(minor.xyz),
        start=entity.dxf.start_param,
        sweep=sweep,
    )
    return Read(curve=conic)


def _light_polyline(entity: LWPolyline) -> Read | Unreadable:
    values = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    if len(values) < 2:
        return Unreadable(why="has fewer than two vertices")
    points = np.column_stack((values[:, :2], np.full(len(values), float(entity.dxf.elevation))))
    wide = entity.has_width or entity.dxf.get("const_width", 0.0) > 0.0
    return _track(entity, points=points, bulges=values[:, 2], closed=bool(entity.closed), wide=wide)


def _polyline(entity: Polyline) -> Read | Unreadable | Unknown:
    if entity.is_polygon_mesh or entity.is_poly_face_mesh:
        return Unknown(kind="mesh POLYLINE")
    vertices = [vertex for vertex in entity.vertices if not vertex.dxf.flags & _FRAME_VERTEX]
    if len(vertices) < 2:
        return Unreadable(why="has fewer than two vertices")
    points = np.array([vertex.dxf.location.xyz for vertex in vertices])
    if entity.is_3d_polyline:
        segments = len(points) if entity.is_closed else len(points) - 1
        return Read(curve=Track(points=points, bulges=np.zeros(segments), closed=bool(entity.is_closed)))
    points[:, 2] = Vec3(entity.dxf.elevation).z
    bulges = np.array([float(vertex.dxf.get("bulge", 0.0)) for vertex in vertices])
    return _track(entity, points=points, bulges=bulges, closed=bool(entity.is_closed), wide=bool(entity.has_width))


def _track(entity: DXFGraphic, *, points: Points, bulges: Points, closed: bool, wide: bool) -> Read:
    remarks = ("drawn with a width; the line in the middle of it is used",) if wide else ()
    track = Track(points=points, bulges=bulges if closed else bulges[:-1], closed=closed)
    return Read(curve=track, placement=_placement(entity), remarks=remarks)


def _spline(entity: SplineEntity) -> Read | Unreadable:
    remarks: tuple[str, ...] = ()
    if not entity.control_point_count():
        remarks = ("drawn by points to pass through only; the curve between them is this program's choice",)
    try:
        curve = entity.construction_tool()
    except Exception as error:  # the library's checks on degrees, knots and weights raise in several ways
        return Unreadable(why=f"makes no curve ({error})")
    poles = np.array([point.xyz for point in curve.control_points])
    weights = np.array(curve.weights()) if curve.is_rational else np.ones(len(poles))
    knots = np.array(curve.knots())
    ordered = bool(np.all(np.diff(knots) >= 0.0)) and knots[curve.degree] < knots[len(poles)]
    if len(knots) != len(poles) + curve.degree + 1 or not ordered:
        return Unreadable(why="has knots that are out of order")
    if not np.all(weights > 0.0):
        return Unreadable(why="has weights that are not positive")
    return Read(curve=Spline(poles=poles, weights=weights, knots=knots, degree=curve.degree), remarks=remarks)
