"""Lines, drilled holes and bores turned into passes."""

import math
from dataclasses import dataclass, replace

import numpy as np

from camplan import tolerance
from camplan.catalogue.records import CutterKind
from camplan.catalogue.shape import radius as shown
from camplan.geometry import clipper
from camplan.geometry.chains import Chain, tessellated
from camplan.geometry.edges import edges_of, holds
from camplan.geometry.fitting import NO_CIRCLES, Band, fitted
from camplan.operations import areas
from camplan.operations.records import Operation, Part
from camplan.passes.again import place_undone, runs_left, still_out, undone
from camplan.passes.bores import Bore, bore_pass, bore_wall, mouth_pass
from camplan.passes.common import Made, descent, freed
from camplan.passes.existing import in_air
from camplan.passes.ground import Ground, barred, gone_over, with_hollow
from camplan.passes.lines import MARK_CLEAR, mark_passes, slot_passes
from camplan.passes.records import HolePass, Pass, grouped
from camplan.units import Mm, Mm2

_SLIP: Mm = 0.005
"""A hole that was there before is known so well, in width and in depth."""
_LINE_BAND = Band(left=tolerance.WALL_SIDE, right=tolerance.WALL_SIDE)


def lines_made(operation: Operation, *, ground: Ground) -> Made:
    feature = operation.feature
    top = -feature.top
    engraves = operation.purpose.value == "mark"
    lines, kept_out = _open_lines(operation, ground=ground)
    passes = tuple(
        mark_passes(line, top=top, levels=operation.levels)
        if engraves
        else slot_passes(line, top=top, levels=operation.levels, descent=descent(operation))
        for line in lines
    )
    passes = tuple(replace(one, group=number) for number, one in enumerate(passes))
    after = ground
    if not engraves:
        taper = operation.cutter.kind is CutterKind.TAPER
        narrowest = operation.cutter.tip_diameter if taper else operation.cutter.diameter
        area = areas.along(lines, by=narrowest / 2.0)
        after = with_hollow(ground, area=area, top=top, bottom=operation.levels[-1], feature=feature.spec.name)
    way = (
        f"fast to {MARK_CLEAR:g} mm above, then straight down: the engraver cuts at its point"
        if engraves
        else "enters by a ramp along its line"
    )
    return Made(
        passes=freed(passes, operation=operation, ground=ground),
        holes=(),
        ground=after,
        ways=(way,),
        shut=(),
        kept_out=kept_out,
    )


def _open_lines(operation: Operation, *, ground: Ground) -> tuple[tuple[Chain, ...], Mm2]:
    """What of a feature's lines nothing on the plate keeps the cutter out of, and the size of the rest.  Lines that
    nothing bars stay as they are drawn."""
    lines = operation.feature.lines
    shut = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    left = undone(operation, ground=ground)
    air = in_air(ground, radius=_width(operation) / 2.0, z=operation.levels[-1])
    if not shut and not air and left is None:
        return lines, 0.0
    closed = clipper.union([shut, air]) if air else shut
    out = still_out(shut, left=left)
    found: list[Chain] = []
    kept_out = 0.0
    for line in lines:
        points = tessellated(line, chord=tolerance.CHORD)
        drawn = np.vstack((points, points[:1])) if line.closed else points
        inside = clipper.cut_lines([drawn], area=out, inside=True)
        kept_out += _width(operation) * sum(float(np.hypot(*np.diff(part, axis=0).T).sum()) for part in inside)
        if left is None and not inside and not clipper.cut_lines([drawn], area=air, inside=True):
            found.append(line)
            continue
        parts = runs_left([drawn], shut=closed, left=left)
        found.extend(fitted(parts, closed=False, band=_LINE_BAND, known=NO_CIRCLES))
    return tuple(found), kept_out


def _width(operation: Operation) -> Mm:
    """How wide a cut along a line is at its top."""
    if not operation.feature.profile:
        return operation.cutter.diameter
    above, radii = np.array(operation.feature.profile).T
    return 2.0 * float(np.interp(operation.feature.bottom - operation.feature.top, above, radii))


def _places(operation: Operation) -> tuple[tuple[Mm, Mm], ...]:
    wanted = operation.diameter or 0.0
    return tuple((x, y) for x, y, size in operation.feature.circles if abs(size - wanted) < 1e-9)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Open:
    """The places of an operation's holes that nothing on the plate keeps it out of, and the size of the others."""

    at: tuple[tuple[Mm, Mm], ...]
    kept_out: Mm2


def _open_places(operation: Operation, *, ground: Ground, around: Mm) -> _Open:
    """The tool's centre moves ``around`` each place."""
    places = _places(operation)
    shut = barred(operation.cutter, deepest=operation.levels[-1], ground=ground)
    fence = edges_of(clipper.offset(shut, by=around))
    left = undone(operation, ground=ground)
    due = [place for place in places if place_undone(place, around=around, left=left)]
    due = [place for place in due if not _gone_before(operation, at=place, ground=ground)]
    at = tuple(place for place in due if not holds(fence, point=place))
    size = math.pi * (operation.diameter or 0.0) ** 2 / 4.0
    return _Open(at=at, kept_out=(len(due) - len(at)) * size)


def _gone_before(operation: Operation, *, at: tuple[Mm, Mm], ground: Ground) -> bool:
    """Whether a hole was gone before anything was cut, as wide and as deep as the operation makes it."""
    radius = (operation.diameter or operation.cutter.diameter) / 2.0 - operation.stay
    deep = max(operation.levels[-1], -operation.feature.bottom)
    return gone_over(ground, at=at, radius=radius - _SLIP) <= deep + _SLIP


def drilled_made(operation: Operation, *, ground: Ground) -> Made:
    places = _open_places(operation, ground=ground, around=0.0)
    tops: dict[Mm, list[tuple[Mm, Mm]]] = {}
    for at in places.at:
        over = gone_over(ground, at=at, radius=operation.cutter.diameter / 2.0 + _SLIP)
        tops.setdefault(max(min(-operation.feature.top, over), operation.levels[-1]), []).append(at)
    holes = tuple(
        HolePass(
            at=tuple(at),
            top=top,
            bottom=operation.levels[-1],
            peck=operation.peck,
            dwell=0.0,
            fed_out=operation.part is Part.REAMED,
        )
        for top, at in tops.items()
    )
    return Made(passes=(), holes=holes, ground=ground, ways=(), shut=(), kept_out=places.kept_out)


def _stood(operation: Operation, *, at: tuple[Mm, Mm], ground: Ground) -> Mm:
    """What the helix before left on the wall of the bore at a place."""
    area = ground.swept.get((operation.feature.spec.name, 0), ())
    x, y = at
    nearest = min(
        (float(np.hypot(*(ring - (x, y)).T).max()) for ring in area if np.hypot(*(ring.mean(axis=0) - (x, y))) < 1e-3),
        default=0.0,
    )
    return max((operation.diameter or 0.0) / 2.0 - nearest, 0.0)


def mouths_made(operation: Operation, *, ground: Ground) -> Made:
    """The mouths of holes chamfered by a point that walks round them."""
    feature = operation.feature
    if feature.mouth is None:
        raise ValueError(f"hole {feature.spec.name!r} has no mouth to chamfer")
    top, bottom = -feature.top, operation.levels[-1]
    walk = feature.mouth.diameter / 2.0 - float(shown(operation.cutter, height=top - bottom))
    places = _open_places(operation, ground=ground, around=walk)
    passes = tuple(
        replace(mouth_pass(at, radius=walk, top=top, levels=operation.levels), group=number)
        for number, at in enumerate(places.at)
    )
    return Made(
        passes=freed(passes, operation=operation, ground=ground),
        holes=(),
        ground=ground,
        ways=("down in the middle of the hole, onto the edge and off it by half circles",),
        shut=(),
        kept_out=places.kept_out,
    )


def bored_made(operation: Operation, *, ground: Ground) -> Made:
    passes: list[Pass] = []
    tangent = True
    around = ((operation.diameter or 0.0) - operation.cutter.diameter) / 2.0
    places = _open_places(operation, ground=ground, around=around)
    for number, at in enumerate(places.at):
        bore = Bore(
            at=at,
            diameter=operation.diameter or math.nan,
            cutter=operation.cutter.diameter,
            top=-operation.feature.top,
            bottom=operation.levels[-1],
            descent=descent(operation),
        )
        if operation.stay > 0.0:
            passes.extend(grouped([bore_pass(bore, stay=operation.stay)], group=number))
        else:
            found, good = bore_wall(bore, levels=operation.levels, stood=_stood(operation, at=at, ground=ground))
            passes.extend(grouped(found, group=number))
            tangent = tangent and good
    way = "enters by a helix" if operation.stay > 0.0 else "on and off the wall by tangent arcs"
    circles = [(x, y, operation.diameter or 0.0) for x, y in places.at]
    area = areas.of_circles(circles, diameter=operation.diameter or 0.0)
    after = with_hollow(
        ground,
        area=clipper.offset(area, by=-operation.stay),
        top=-operation.feature.top,
        bottom=operation.levels[-1],
        feature=operation.feature.spec.name,
    )
    before = ground if operation.stay > 0.0 else after
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=before),
        holes=(),
        ground=after,
        ways=(way,),
        shut=(),
        kept_out=places.kept_out,
    )
