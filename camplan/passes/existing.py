"""What is left to cut of a figure where part of the plate was gone before."""

import numpy as np

from camplan import tolerance
from camplan.catalogue.shape import radius as radius_at
from camplan.catalogue.shape import wall_radius
from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, simplified
from camplan.operations.records import Operation
from camplan.passes.again import thick
from camplan.passes.ground import Ground, gone_at, stands_at
from camplan.units import Mm, Mm2

_RUN_OUT: Mm = 0.3
"""So far past what stands a cutter's edge goes, so that it comes from the air and goes out into it."""
_CLEAR: Mm = 0.1
"""So far inside what was gone a cutter's edge is taken to run in air."""
_SECOND: Mm = 0.0005
_SLIP: Mm = 0.002
"""Walls that were cut before are chords of their arcs, and are known so well."""
_STEPS: Mm = 0.006
"""Up to this thick stands along a leaning wall that was cut before, as its hollows are steps, narrower than it was."""
_ASKED = 6
"""Heights at which it is asked what a leaning side meets."""
_WORTH: Mm2 = 1.0
"""Less than this is not cut out of a room: it would be another layout for next to nothing."""


def room_standing(work: Area, *, radius: Mm, z: Mm, ground: Ground) -> Area:
    """Where the centre has to be to clear what stands at height ``z`` of all that it covers from ``work``; nothing if
    only hairlines do."""
    if not gone_at(ground, z=z):
        return work
    covered = clipper.offset(simplified(work, within=_SECOND), by=radius)
    stands = thick(clipper.intersection(covered, with_=stands_at(ground, z=z)))
    if not stands:
        return ()
    room = clipper.intersection(work, with_=clipper.offset(stands, by=radius + _RUN_OUT))
    if clipper.surface(clipper.difference(work, less=room)) < _WORTH:
        return work
    return thick(room)


def in_air(ground: Ground, *, radius: Mm, z: Mm) -> Area:
    """Where a cutter of ``radius``, its tip at height ``z``, stood in air before anything was cut."""
    gone = gone_at(ground, z=z)
    return clipper.offset(gone, by=-(radius + _CLEAR)) if gone else ()


def left_along(ring: Points, *, operation: Operation, ground: Ground) -> Area | None:
    """What an operation's cutter takes, on its way round a ring, of what stood beside what was gone, seen from above;
    None: nothing was gone at its tip."""
    cutter, tip = operation.cutter, operation.levels[-1]
    if not gone_at(ground, z=tip):
        return None
    heights = [0.0]
    if cutter.half_angle is not None:
        # a leaning side meets most of what it takes above the tip, where the cutter is wider
        highest = min(-operation.feature.top - tip, cutter.flute_length)
        heights = np.linspace(0.0, highest, _ASKED).tolist()
    found: list[Area] = []
    for height in heights:
        by = wall_radius(cutter) if height == 0.0 else float(radius_at(cutter, height=height))
        swept = clipper.around([ring], by=by, closed=True)
        stands = clipper.intersection(swept, with_=stands_at(ground, z=tip + height))
        found.append(clipper.opened(stands, radius=_SLIP if len(heights) == 1 else _STEPS / 2.0))
    return clipper.union(found)


def walls_standing(operation: Operation, *, ground: Ground) -> Area:
    """Where a wall at an operation's last level stands inside the plate, and not at the edge of what was gone; a
    leaning one may stand above that edge, so there all inside the plate counts."""
    z = operation.levels[-1]
    if not gone_at(ground, z=z) or operation.cutter.half_angle is not None:
        return clipper.offset(ground.plate, by=-tolerance.GOUGE)
    return clipper.offset(stands_at(ground, z=z), by=-(tolerance.GOUGE + _SLIP))
