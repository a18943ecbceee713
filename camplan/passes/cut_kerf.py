"""Outlines turned into passes."""

import math

from camplan.catalogue.shape import wall_radius
from camplan.features.leaning import stands_out
from camplan.features.specs import OutlineSpec
from camplan.geometry import clipper
from camplan.geometry.chains import Chain, backwards, bounds
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.fitting import Circles, fitted
from camplan.operations import areas
from camplan.operations.outlines import kerf_figure, tip_bottom
from camplan.operations.records import Operation
from camplan.passes.again import Undone, shut_out, still_out, undone
from camplan.passes.common import Made, descent, freed
from camplan.passes.corners import Corners, corner_passes, rest_of
from camplan.passes.existing import in_air
from camplan.passes.ground import Ground, with_hollow
from camplan.passes.kerf import Kerf, kerf_passes, kerf_wall_passes, lead_room
from camplan.passes.layout import WALL_BAND
from camplan.passes.records import Pass, grouped
from camplan.units import Mm

_SLIP: Mm = 0.003
_AROUND: Mm = 20.0
_SECOND: Mm = 0.0005
"""Figures that were already offset once are thinned by this before they are offset again."""


def _kerf_job(operation: Operation, *, ring: Chain, room: Mm, ground: Ground) -> Kerf:
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    radius = operation.cutter.diameter / 2.0
    leads = lead_room(radius=radius, room=room)
    shut = shut_out(operation, ground=ground)
    if operation.only:
        # a way on or off takes some of the wall beside which it stands
        near = clipper.offset(operation.only, by=2.0 * leads)
        shut = clipper.union([shut, clipper.difference(_around(ring), less=near)])
    left = undone(operation, ground=ground)
    return Kerf(
        path=ring,
        blocked=clipper.offset(areas.of_regions(feature.bridges), by=_beside_bridges(operation)),
        shut=clipper.union(
            [
                shut,
                in_air(ground, radius=radius, z=operation.levels[-1]),
                *(() if left is None else (_cut_before(ring, left=left, leads=leads),)),
            ]
        ),
        needed=None if left is None else left.area,
        bridge_top=-(feature.bottom - spec.bridge_height),
        top=-feature.top,
        levels=operation.levels,
        diameter=operation.cutter.diameter,
        descent=descent(operation),
        room=room,
        band=WALL_BAND,
        known=_kerf_circles(operation),
    )


def _cut_before(ring: Chain, *, left: Undone, leads: Mm) -> Area:
    """All about a ring that earlier settings did not leave, less the overlap; of a wall also less what the ways on and
    off it took at the end of the first run, and take of the second."""
    return clipper.difference(_around(ring), less=left.wide(more=2.0 * leads))


def _around(ring: Chain) -> Area:
    x0, y0, x1, y1 = bounds(ring)
    return areas.box(x=x0 - _AROUND, y=y0 - _AROUND, width=x1 - x0 + 2 * _AROUND, length=y1 - y0 + 2 * _AROUND)


def _still_shut(operation: Operation, *, ground: Ground) -> Area:
    """Where the tool's centre could be neither now nor before."""
    shut = shut_out(operation, ground=ground)
    return still_out(shut, left=undone(operation, ground=ground))


def _beside_bridges(operation: Operation) -> Mm:
    """How far from a bridge the tool's centre stays: the kerf is as round there as the cutter that opened it, which is
    wider than the one for a leaning wall."""
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    opened = (feature.kerf or 0.0) / 2.0 if spec.draft > 0.0 else 0.0
    return max(_radius(operation, above=-(feature.bottom - spec.bridge_height) - operation.levels[-1]), opened)


def _kerf_offset(operation: Operation) -> Mm:
    """How far the tool's centre runs from the drawn contour, positive outside it."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    out = wall_radius(operation.cutter) + operation.stay
    return (out if spec.side == "outside" else -out) + operation.grow


def _radius(operation: Operation, *, above: Mm) -> Mm:
    """How wide the cutter is at a height above its tip."""
    lean = operation.cutter.half_angle or 0.0
    return wall_radius(operation.cutter) + max(above, 0.0) * math.tan(lean)


def _kerf_circles(operation: Operation) -> Circles:
    return areas.known_circles(operation.feature.regions, shrunk=-_kerf_offset(operation))


def _kerf_rings(operation: Operation) -> tuple[Chain, ...]:
    """The contours that the tool's centre follows, the wall to their right."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    area = clipper.offset(areas.of_regions(operation.feature.regions), by=_kerf_offset(operation))
    rings = fitted(area, closed=True, band=WALL_BAND, known=_kerf_circles(operation))
    return tuple(backwards(ring) for ring in rings) if spec.side == "outside" else rings


def _kerf_area(operation: Operation) -> Area:
    """The slot that an operation of an outline leaves at its foot."""
    radius = wall_radius(operation.cutter)
    return areas.along(_kerf_rings(operation), by=radius)


def kerf_made(operation: Operation, *, ground: Ground) -> Made:
    passes: list[Pass] = []
    for number, ring in enumerate(_kerf_rings(operation)):
        passes.extend(grouped(kerf_passes(_kerf_job(operation, ring=ring, room=0.0, ground=ground)), group=number))
    name = operation.feature.spec.name
    held = _opened_to(operation)
    shut = _still_shut(operation, ground=ground)
    whole = _kerf_area(operation)
    area = clipper.difference(whole, less=shut)
    after = with_hollow(ground, area=area, top=-operation.feature.top, bottom=held, feature=name)
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=ground),
        holes=(),
        ground=after,
        ways=("enters by a ramp along the kerf",),
        shut=(),
        kept_out=clipper.surface(whole) - clipper.surface(area) if shut else 0.0,
    )


def _strip(operation: Operation, *, near: Mm, far: Mm) -> Area:
    """Where the tool's centre stands between two distances from the wall path, away from the wall."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    figure = areas.of_regions(operation.feature.regions)
    sign = 1.0 if spec.side == "outside" else -1.0
    edges = sorted((_kerf_offset(operation) + sign * near, _kerf_offset(operation) + sign * far))
    return clipper.difference(clipper.offset(figure, by=edges[1]), less=clipper.offset(figure, by=edges[0]))


def kerf_wall_made(operation: Operation, *, ground: Ground) -> Made:
    """The wall beside a kerf that is wider than the cutter by what roughing left."""
    room = _room(operation)
    strip = _strip(operation, near=0.0, far=room + _SLIP)
    opened = _strip(operation, near=room - _SLIP, far=room + _SLIP)
    passes: list[Pass] = []
    tangent = True
    for number, ring in enumerate(_kerf_rings(operation)):
        found, good = kerf_wall_passes(
            _kerf_job(operation, ring=ring, room=room, ground=ground), work=strip, opened=opened
        )
        passes.extend(grouped(found, group=number))
        tangent = tangent and good
    way = "on and off the wall by tangent arcs" if tangent else "straight onto the wall: no room for arcs"
    after = with_hollow(
        ground,
        area=clipper.difference(_kerf_area(operation), less=_still_shut(operation, ground=ground)),
        top=-operation.feature.top,
        bottom=_opened_to(operation),
        feature=operation.feature.spec.name,
    )
    return Made(
        passes=freed(tuple(passes), operation=operation, ground=ground), holes=(), ground=after, ways=(way,), shut=()
    )


def _room(operation: Operation) -> Mm:
    """How far the tool's centre may move from the wall's path towards the far side of the kerf: there the cutter, at
    the plate's top, is as wide as it comes to be."""
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    widest = _radius(operation, above=-feature.top - operation.levels[-1])
    foot = stands_out(feature, spec=spec, depth=-tip_bottom(feature))
    out = operation.grow if spec.side == "outside" else -operation.grow
    room = foot + (feature.kerf or 0.0) - widest - out - wall_radius(operation.cutter)
    return room - _SLIP if spec.draft > 0.0 else room


def kerf_rest_made(operation: Operation, *, ground: Ground) -> Made:
    """The corners and narrow places of a kerf that a wider cutter left."""
    feature = operation.feature
    radius = wall_radius(operation.cutter)
    figure = _foot_figure(operation) or kerf_figure(feature)
    shut = shut_out(operation, ground=ground)
    work = clipper.difference(clipper.offset(figure, by=_nearer(operation) - radius), less=shut)
    reach = clipper.offset(simplified(work, within=_SECOND), by=radius)
    done = ground.swept.get((feature.spec.name, 0), ())
    done = clipper.difference(done, less=areas.of_regions(feature.bridges))
    want = clipper.intersection(figure, with_=operation.only) if operation.only else figure
    found = corner_passes(
        Corners(
            work=work,
            rest=rest_of(want, done=done, reach=reach),
            ground=clipper.offset(done, by=-radius),
            radius=radius,
            step_over=min(operation.data.step_over, 0.9 * radius),
            top=-feature.top,
            levels=operation.levels,
            descent=descent(operation),
            known=_kerf_circles(operation),
        )
    )
    after = with_hollow(ground, area=reach, top=-feature.top, bottom=operation.levels[-1], feature=feature.spec.name)
    return Made(
        passes=freed(found.passes, operation=operation, ground=ground),
        holes=(),
        ground=after,
        ways=found.ways,
        shut=found.shut,
    )


def _foot_figure(operation: Operation) -> Area:
    """All between what stays on a leaning wall at a level and the far side of the kerf, from which a cutter that is
    wider above keeps as far away; nothing of an upright wall."""
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    if spec.draft == 0.0:
        return ()
    foot = stands_out(feature, spec=spec, depth=-tip_bottom(feature))
    out = operation.grow if spec.side == "outside" else -operation.grow
    wider = _radius(operation, above=-feature.top - operation.levels[-1]) - wall_radius(operation.cutter)
    near, far = out + operation.stay, foot + spec.allowance + (feature.kerf or 0.0) - wider
    sign = 1.0 if spec.side == "outside" else -1.0
    drawn = areas.of_regions(feature.regions)
    low, high = sorted((sign * near, sign * far))
    whole = clipper.difference(clipper.offset(drawn, by=high), less=clipper.offset(drawn, by=low))
    beside = _beside_bridges(operation) - wall_radius(operation.cutter)
    bridges = clipper.offset(areas.of_regions(feature.bridges), by=beside)
    whole = clipper.difference(whole, less=clipper.union([areas.of_regions(feature.neighbours), bridges]))
    return clipper.intersection(whole, with_=clipper.union(operation.pieces)) if operation.pieces else whole


def _nearer(operation: Operation) -> Mm:
    """How much nearer to the wall than half its width a cutter runs that is as wide as a gap."""
    spec = operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    return spec.allowance - operation.stay if spec.draft == 0.0 else 0.0


def _opened_to(operation: Operation) -> Mm:
    """The height down to which a kerf is open all round."""
    feature, spec = operation.feature, operation.feature.spec
    assert isinstance(spec, OutlineSpec)
    return -(feature.bottom - spec.bridge_height) if feature.bridges else operation.levels[-1]
