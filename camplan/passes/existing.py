"""What is left to cut of a figure where part of the plate was gone before."""

from camplan import tolerance
from camplan.geometry import clipper
from camplan.geometry.clipper import Area, simplified
from camplan.passes.ground import Ground, gone_at, stands_at
from camplan.units import Mm

_RUN_OUT: Mm = 0.3
"""So far past what stands a cutter's edge goes, so that it comes from the air and goes out into it."""
_CLEAR: Mm = 0.1
_THIN: Mm = 0.003
_SECOND: Mm = 0.0005
_SLIP: Mm = 0.002
_WORTH = 1.0


def room_standing(work: Area, *, radius: Mm, z: Mm, ground: Ground) -> Area:
    """Where the centre has to be to clear what stands at height ``z`` of all that it covers from ``work``; nothing if
    only hairlines do."""
    if not gone_at(ground, z=z):
        return work
    covered = clipper.offset(simplified(work, within=_SECOND), by=radius)
    stands = _thick(clipper.intersection(covered, with_=stands_at(ground, z=z)))
    if not stands:
        return ()
    room = clipper.intersection(work, with_=clipper.offset(stands, by=radius + _RUN_OUT))
    if clipper.surface(clipper.difference(work, less=room)) < _WORTH:
        return work
    return _thick(room)


def in_air(ground: Ground, *, radius: Mm, z: Mm) -> Area:
    """Where a cutter of ``radius``, its tip at height ``z``, stood in air before anything was cut."""
    gone = gone_at(ground, z=z)
    return clipper.offset(gone, by=-(radius + _CLEAR)) if gone else ()


def walls_standing(ground: Ground, *, z: Mm) -> Area:
    """Where a wall at height ``z`` stands inside the plate, and not at the edge of what was gone."""
    slip = _SLIP if gone_at(ground, z=z) else 0.0
    return clipper.offset(stands_at(ground, z=z), by=-(tolerance.GOUGE + slip))


def _thick(area: Area) -> Area:
    """An area without the hairlines along its edges."""
    return clipper.offset(clipper.offset(area, by=-_THIN / 2.0), by=_THIN / 2.0) if area else ()
