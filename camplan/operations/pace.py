"""How long an operation is going to take, before any path of it is known.

The yardstick for an area is L = A / s + P / 2 (A and P: size and perimeter of where the cutter's centre may be, s the
step over).  To the path at its feed come the ways down, the way onto and off a wall, and the ways through the air.
"""

import math
from dataclasses import dataclass

from camplan.catalogue.records import Machine
from camplan.cutting.records import CuttingData
from camplan.features.records import Feature
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.chains import length
from camplan.moves.ramps import between_stops
from camplan.operations.fits import GAIN, Fit, Start
from camplan.operations.records import Operation, Part, Way
from camplan.operations.springs import laps
from camplan.units import S_PER_MIN, Mm, Mm2, MmPerMin, MmPerS2, MmPerS3, Seconds

_GAP: Mm = 0.2
_AIR: Mm = 10.0
"""What a cutter rises above a floor to go elsewhere, about."""
_ACROSS: Mm = 15.0
"""How far elsewhere is, about."""
_HELIX = 0.4
_NARROWEST = 0.15
_REST = 0.1
"""How much of a wall are corners that a wider cutter left, where that was not measured (common practice, no source)."""
_SLOWEST = 0.1
"""As in `camplan.linking.way`."""
_LEAD = 1.8
"""Both arcs of a wall's leads and its overlap over the cutter's diameter."""
_WALL_SHARE = 0.55
"""How much of the edge of a place that a wider cutter left is wall; the rest borders on what it cleared."""
FRONTS = {Way.FRONTS: 1.2, Way.FRONTS_BOTH_WAYS: 1.0}
_FRONTS_WIDE, _FRONTS_NARROW = 0.85, 17.0
"""Path of fronts with its links, as if all were fed alike, over L = A / s + P / 2: 0.85 + 17 / w^2 both ways, w the
mean width 2 A / P of where the centre may be in radii (fitted to the twenty pockets of `tests/bench/against_rings.py`,
which take from 0.8 to 1.5 of it); so much more climbing alone."""
_ON_EDGE: Mm = 1e-6
_BACK = 0.5
"""Free moves back to the start of each path into a corner, at twice the feed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """What a wider cutter leaves for a narrower one: its size, its perimeter, and the number of places."""

    size: Mm2
    edge: Mm
    places: int


def rest_between(wide: Fit, *, narrow: Fit) -> Rest:
    """What ``wide`` leaves of what ``narrow`` reaches."""
    size = max(wide.left - narrow.left, 0.0)
    if size < GAIN or wide.places == 0:
        return Rest(size=0.0, edge=0.0, places=0)
    return Rest(size=size, edge=wide.round_left, places=wide.places)


def area_seconds(fit: Fit, *, data: CuttingData, levels: tuple[Mm, ...], top: Mm, machine: Machine) -> Seconds:
    """An area cleared level by level."""
    cutting = fit.path * len(levels) / data.feed * S_PER_MIN
    return cutting + sum(
        _down(start, diameter=fit.cutter.diameter, data=data, levels=levels, top=top) + lift_seconds(machine)
        for start in fit.starts
    )


def front_seconds(
    fit: Fit, *, way: Way, data: CuttingData, levels: tuple[Mm, ...], top: Mm, machine: Machine
) -> Seconds:
    """An area cleared level by level by fronts: their path with all links, and the ways down."""
    wide = 2.0 * fit.size / max(fit.edge, _ON_EDGE) / (fit.cutter.diameter / 2.0)
    more = FRONTS[way] * (_FRONTS_WIDE + _FRONTS_NARROW / wide**2)
    path = more * (fit.size / data.step_over + fit.edge / 2.0)
    cutting = path * len(levels) / data.feed * S_PER_MIN
    return cutting + sum(
        _down(start, diameter=fit.cutter.diameter, data=data, levels=levels, top=top) + lift_seconds(machine)
        for start in fit.starts
    )


def wall_seconds(fit: Fit, *, data: CuttingData, levels: tuple[Mm, ...], machine: Machine) -> Seconds:
    """A wall lap by lap."""
    path = fit.edge + fit.rings * _LEAD * fit.cutter.diameter
    return path * len(levels) / data.feed * S_PER_MIN + fit.rings * lift_seconds(machine)


def rest_seconds(
    rest: Rest, *, radius: Mm, step_over: Mm, data: CuttingData, levels: tuple[Mm, ...], machine: Machine
) -> Seconds:
    """What a wider cutter left, place by place."""
    if rest.places == 0:
        return 0.0
    wall = _WALL_SHARE * rest.edge
    inside = max(rest.size - radius * wall, 0.0) / step_over
    path = (wall + inside) * len(levels)
    cutting = (path / data.feed + wall * len(levels) * (1.0 / data.slot_feed - 1.0 / data.feed)) * S_PER_MIN
    back = _BACK * path / data.feed * S_PER_MIN
    return cutting + back + rest.places * lift_seconds(machine)


def lift_seconds(machine: Machine) -> Seconds:
    """Up, across and down again by rapids, from rest to rest each time."""
    vertical = machine.rapid[2] / S_PER_MIN
    level = min(machine.rapid[:2]) / S_PER_MIN
    jerk = machine.jerk
    up = _rapid(_AIR, speed=vertical, acceleration=machine.acceleration[2], jerk=jerk[2] if jerk else None)
    acceleration = min(machine.acceleration[:2])
    across = _rapid(_ACROSS, speed=level, acceleration=acceleration, jerk=min(jerk[:2]) if jerk else None)
    return 2.0 * up + across


def _rapid(way: Mm, *, speed: float, acceleration: MmPerS2, jerk: MmPerS3 | None) -> Seconds:
    """From rest to rest: v / a + s / v, or 2 sqrt(s / a) where full speed is not reached; by ramps of limited jerk
    where there is one."""
    if jerk is not None:
        return between_stops(way, top=speed, acceleration=acceleration, jerk=jerk)
    if way < speed**2 / acceleration:
        return 2.0 * math.sqrt(way / acceleration)
    return way / speed + speed / acceleration


def _down(start: Start, *, diameter: Mm, data: CuttingData, levels: tuple[Mm, ...], top: Mm) -> Seconds:
    """Down to every level: by helices and a level turn at each, by ramps, or straight where there is no room."""
    drop = top - levels[-1] + _GAP
    if start.radius >= _NARROWEST * diameter:
        turn = 2.0 * math.pi * min(_HELIX * diameter, start.radius)
        pitch = min(data.helix_pitch, turn * math.tan(data.ramp_angle))
        return (drop / pitch * turn / data.ramp_feed + len(levels) * turn / data.slot_feed) * S_PER_MIN
    if start.edge >= diameter:
        return drop / math.tan(data.ramp_angle) / data.ramp_feed * S_PER_MIN
    return drop / data.plunge_feed * S_PER_MIN


def operation_seconds(operation: Operation, *, machine: Machine) -> Seconds:
    """An operation along lines and walls, round outlines or in holes; 0 for those that clear an area."""
    match operation.part:
        case Part.KERF | Part.WALL if isinstance(operation.feature.spec, OutlineSpec):
            return _kerf(operation, machine=machine)
        case Part.LINE | Part.SLOPE:
            return _lines(operation, machine=machine)
        case Part.SPOT | Part.DRILLED | Part.REAMED:
            return _drilled(operation, machine=machine)
        case Part.BORED:
            return _bored(operation, machine=machine)
        case Part.MOUTH:
            return _mouths(operation, machine=machine)
        case Part.WALL:
            around = sum(clipper.perimeter(piece) for piece in operation.pieces)
            return around * laps(operation) / operation.data.feed * S_PER_MIN
        case Part.REST:
            levels = [level.pieces for level in operation.by_level] or [operation.pieces] * len(operation.levels)
            around = sum(clipper.perimeter(piece) for pieces in levels for piece in pieces)
            return _REST * around / operation.data.feed * S_PER_MIN
        case _:
            return 0.0


def _kerf(operation: Operation, *, machine: Machine) -> Seconds:
    data, count = operation.data, len(operation.levels)
    paths = [path for region in operation.feature.regions for path in (region.outer, *region.islands)]
    around = sum(length(path) for path in paths) + len(paths) * math.pi * operation.cutter.diameter
    slot = operation.part is Part.KERF
    cutting = around * count / (data.slot_feed if slot else data.feed) * S_PER_MIN
    down = 0.0
    if slot:
        drop = -operation.feature.top - operation.levels[-1] + _GAP
        down = drop / math.tan(data.ramp_angle) * (1.0 / data.ramp_feed) * S_PER_MIN
    return cutting + len(paths) * (down + lift_seconds(machine))


def _lines(operation: Operation, *, machine: Machine) -> Seconds:
    data, lines = operation.data, operation.feature.lines
    drop = -operation.feature.top - operation.levels[-1] + _GAP
    whole = sum(length(line) for line in lines) * len(operation.levels)
    if data.ramp_feed <= 0.0 or operation.purpose.value == "mark":
        down = drop / data.plunge_feed
        return (whole / data.feed + len(lines) * down) * S_PER_MIN + len(lines) * lift_seconds(machine)
    down = drop / math.tan(data.ramp_angle) / data.ramp_feed
    return (whole / data.slot_feed + len(lines) * down) * S_PER_MIN + len(lines) * lift_seconds(machine)


def _drilled(operation: Operation, *, machine: Machine) -> Seconds:
    count = len(holes_of(operation.feature, diameter=operation.diameter))
    top, bottom = -operation.feature.top, operation.levels[-1]
    deep = top - bottom + 2.0 * _GAP
    pecks = math.ceil(deep / operation.peck) if operation.peck else 1
    back = sum(2.0 * deep * peck / pecks for peck in range(1, pecks)) / machine.rapid[2] * S_PER_MIN
    ways = 2.0 if operation.part is Part.REAMED else 1.0
    return count * (ways * deep / operation.data.feed * S_PER_MIN + back + lift_seconds(machine))


def _mouths(operation: Operation, *, machine: Machine) -> Seconds:
    count = len(holes_of(operation.feature, diameter=operation.diameter))
    around = math.pi * (operation.diameter or 0.0) * len(operation.levels)
    return count * (around / operation.data.feed * S_PER_MIN + lift_seconds(machine))


def _bored(operation: Operation, *, machine: Machine) -> Seconds:
    count = len(holes_of(operation.feature, diameter=operation.diameter))
    radius = max(((operation.diameter or 0.0) - operation.cutter.diameter) / 2.0 - operation.stay, 1e-3)
    turn = 2.0 * math.pi * radius
    data = operation.data
    if operation.stay == 0.0:
        lap = turn / _inside(operation, arc=radius) + _LEAD * operation.cutter.diameter / data.feed
        return count * (lap * laps(operation) * S_PER_MIN + lift_seconds(machine))
    pitch = min(data.helix_pitch, turn * math.tan(data.ramp_angle))
    deep = -operation.feature.top - operation.levels[-1] + _GAP
    each = deep / pitch * turn / data.ramp_feed + turn / data.slot_feed
    return count * (each * S_PER_MIN + lift_seconds(machine))


def _inside(operation: Operation, *, arc: Mm) -> MmPerMin:
    """The feed of the cutter's centre on an inside arc of a wall, slower than its edge is (`camplan.linking.way`)."""
    data, radius = operation.data, operation.cutter.diameter / 2.0
    feed = data.feed * max(arc / (arc + radius), _SLOWEST)
    return min(feed, data.corner_feed) if data.corner_feed is not None and arc < radius / 2.0 else feed


def holes_of(feature: Feature, *, diameter: Mm | None) -> list[tuple[Mm, Mm, Mm]]:
    """The circles of one diameter."""
    return [circle for circle in feature.circles if diameter is None or abs(circle[2] - diameter) < 1e-9]
