"""A feature cut in a second setting: what of an operation the clamps of every earlier setting kept out.

An operation was done in an earlier setting wherever that setting's clamps let its tool's centre be, but for places
into which it found no way down.  So what it still
has to do lies where each of the earlier settings barred it.  Where a second cut meets the first, its centre goes on by
`OVERLAP`, on the same path at the same height, so that no skin stays between them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from camplan.geometry import clipper
from camplan.geometry.chains import Points
from camplan.geometry.clipper import Area, simplified
from camplan.geometry.edges import edges_of, holds
from camplan.operations.records import Operation
from camplan.passes.ground import Ground, barred
from camplan.units import Mm

OVERLAP: Mm = 0.5
"""How far a second cut runs on into the first (common practice, no source)."""
_THIN: Mm = 0.003
_NAUGHT: Mm = 0.0002
"""Half of what no strip is narrower than, that of a cutter just as wide as its room included (`clipper.shrunk`)."""
_SECOND: Mm = 0.0005
_SHORT: Mm = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Undone:
    """``each``: by earlier setting where the tool's centre could not be; ``area``: where it could be in none."""

    each: tuple[Area, ...]
    area: Area

    def wide(self, *, more: Mm = 0.0) -> Area:
        """Where the centre may run now: what is undone, and the overlap and so much ``more``."""
        return clipper.offset(self.area, by=OVERLAP + more)


def shut_out(operation: Operation, *, ground: Ground) -> Area:
    """Where the clamps keep an operation's tool out, or kept out the one in whose slot it runs."""
    deepest = operation.levels[-1]
    shut = barred(operation.cutter, deepest=deepest, ground=ground)
    if operation.behind is None:
        return shut
    return clipper.union([shut, barred(operation.behind, deepest=deepest, ground=ground)])


def undone(operation: Operation, *, ground: Ground) -> Undone | None:
    """What earlier settings kept an operation out of; None: it is the first setting of its feature."""
    earlier = ground.earlier.get(operation.feature.spec.name)
    if not earlier:
        return None
    each = tuple(shut_out(operation, ground=replace(ground, bars=bars)) for bars in earlier)
    area = each[0]
    for other in each[1:]:
        area = clipper.intersection(area, with_=other)
    key = _key(operation)
    return Undone(each=each, area=clipper.union([area, ground.shut_in.get(key, ()), ground.waived.get(key, ())]))


def shut_parts(work: Area, *, at: Sequence[tuple[Mm, Mm]]) -> Area:
    """The parts of an area into which no way down was found, told by a place in each."""
    fences = [(part, edges_of(clipper.offset(part, by=_THIN))) for part in clipper.pieces(work)] if at else []
    return tuple(ring for part, fence in fences if any(holds(fence, point=place) for place in at) for ring in part)


def with_shut_in(ground: Ground, *, operation: Operation, area: Area, work: Area) -> Ground:
    """The ground with where an operation found no way down, after it did all the rest of ``work``."""
    key = _key(operation)
    before = clipper.difference(ground.shut_in.get(key, ()), less=clipper.difference(work, less=area))
    now = clipper.union([clipper.opened(before, radius=_NAUGHT), area])
    return ground if not now and key not in ground.shut_in else replace(ground, shut_in={**ground.shut_in, key: now})


def with_waived(ground: Ground, *, operation: Operation, area: Area, work: Area) -> Ground:
    """The ground with what an operation left alone of ``work``, as earlier ones had failed to go down there."""
    key = _key(operation)
    before = clipper.difference(ground.waived.get(key, ()), less=work)
    now = clipper.union([clipper.opened(before, radius=_NAUGHT), area])
    return ground if not now and key not in ground.waived else replace(ground, waived={**ground.waived, key: now})


def entered(work: Area, *, operation: Operation, ground: Ground) -> Area:
    """The parts of an area in which no earlier operation of the feature failed to go down: none builds on those."""
    name = operation.feature.spec.name
    closed = clipper.union([area for key, area in ground.shut_in.items() if key[0] == name and key != _key(operation)])
    if not closed:
        return work
    kept = [part for part in clipper.pieces(work) if not clipper.intersection(part, with_=closed)]
    return tuple(ring for part in kept for ring in part)


def _key(operation: Operation) -> tuple[str, str, str, Mm]:
    return operation.feature.spec.name, operation.part.value, operation.cutter.name, operation.levels[-1]


def still_out(shut: Area, *, left: Undone | None) -> Area:
    """What of the places that are barred now was barred before too."""
    return shut if left is None else clipper.intersection(shut, with_=left.area)


def runs_left(lines: Sequence[Points], *, shut: Area, left: Undone | None) -> list[Points]:
    """The parts of open polylines that may be cut now and were not cut before, each with the overlap."""
    open_now = clipper.rejoined(clipper.cut_lines(lines, area=shut, inside=False))
    if left is None:
        return open_now
    parts = clipper.rejoined(clipper.cut_lines(open_now, area=left.wide(), inside=True))
    return [part for part in parts if runs_through(part, area=left.area)]


def runs_through(line: Points, *, area: Area) -> bool:
    """Whether a polyline runs through an area for more than a micrometre."""
    inside = clipper.cut_lines([line], area=area, inside=True)
    return sum(float(np.hypot(*np.diff(part, axis=0).T).sum()) for part in inside) > _SHORT


def place_undone(at: tuple[Mm, Mm], *, around: Mm, left: Undone | None) -> bool:
    """Whether a hole, round whose middle the centre moves by ``around``, could be made in no earlier setting."""
    if left is None:
        return True
    return all(holds(edges_of(clipper.offset(one, by=around)), point=at) for one in left.each if one) and all(left.each)


def room_left(whole: Area, *, work: Area, radius: Mm, left: Undone | None, plate: Area) -> Area:
    """Where the centre has to be now to clear what earlier settings left of an area.

    ``whole`` is where it might be without any clamp, ``work`` what the clamps of now leave of that.  All that is left
    within reach is covered; nothing if only hairlines are.
    """
    if left is None:
        return work
    if not left.area or not work:
        return ()
    all_of_it = clipper.offset(simplified(whole, within=_SECOND), by=radius)
    done = clipper.offset(simplified(clipper.difference(whole, less=left.area), within=_SECOND), by=radius)
    reach = clipper.offset(simplified(work, within=_SECOND), by=radius)
    stands = clipper.intersection(
        clipper.difference(all_of_it, less=done), with_=clipper.intersection(reach, with_=plate)
    )
    stands = thick(stands)
    if not stands:
        return ()
    # no farther into what is cleared than the overlap; as far as need be only where that leaves something by a wall
    room: Area = ()
    for by in (OVERLAP - radius, 0.0, radius):
        missed = thick(clipper.difference(stands, less=clipper.offset(simplified(room, within=_SECOND), by=radius)))
        if not missed:
            break
        near = missed if by == 0.0 else clipper.offset(missed, by=by)
        # a strip that is just as wide as the overlap leaves it shrinks to a hairline, which no path would follow
        room = clipper.union([room, clipper.opened(clipper.intersection(work, with_=near), radius=_NAUGHT)])
    return room


def thick(area: Area) -> Area:
    """An area without the hairlines along its edges, those that hang on to thicker parts of it too."""
    return clipper.opened(area, radius=_THIN / 2.0)
