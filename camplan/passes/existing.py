"""What is left to cut of a figure where part of the plate was gone before."""

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.clipper import Area, simplified
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


def walls_standing(ground: Ground, *, z: Mm) -> Area:
    """Where a wall at height ``z`` stands inside the plate, and not at the edge of what was gone."""
    slip = _SLIP if gone_at(ground, z=z) else 0.0
    return clipper.offset(stands_at(ground, z=z), by=-(tolerance.GOUGE + slip))
