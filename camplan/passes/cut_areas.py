"""Areas and floors turned into passes: ring by ring, or by fronts."""

import math
from dataclasses import replace

from camplan.catalogue.shape import wall_radius
from camplan.geometry import clipper
from camplan.operations.records import Operation, Part, Purpose, Way
from camplan.passes.clearing import Cleared, Clearing, cleared
from camplan.passes.common import descent
from camplan.passes.cut_place import Place, open_ground
from camplan.passes.front_clearing import swept_clear
from camplan.passes.ground import Ground, over, stands_at
from camplan.passes.layout import ROUGH, WALL_BAND, Layout, Room, laid_out, same_room
from camplan.passes.paced import Pacing
from camplan.passes.swept import swept_by_fronts


def area_made(operation: Operation, *, place: Place, ground: Ground) -> tuple[Cleared, Layout | None]:
    """The passes over an area; laid out as an earlier operation did, if its room was the same.  Rings that are laid
    out are given to serve later ones."""
    room = Room(
        work=place.work,
        radius=wall_radius(operation.cutter),
        step_over=operation.data.step_over,
        open_ground=open_ground(operation, place=place, ground=ground),
        known=place.known,
        band=WALL_BAND if operation.purpose is Purpose.FACE else ROUGH,
    )
    before = ground.layouts.get((operation.feature.spec.name, place.number))
    if operation.way is not Way.RINGS:
        fronts = swept_by_fronts(room, both_ways=operation.way is Way.FRONTS_BOTH_WAYS)
        return swept_clear(fronts, top=place.top, levels=operation.levels, descent=descent(operation)), before
    layout = before if before is not None and same_room(before.room, room) else laid_out(room)
    job = Clearing(
        layout=layout,
        top=place.top,
        levels=operation.levels,
        descent=descent(operation),
        pacing=_pacing(operation, place=place, ground=ground),
    )
    found = cleared(job)
    if operation.part is Part.FLOOR and before is None:
        # what fronts cleared before stands a few micrometres nearer to the walls than these rings go
        found = replace(found, passes=tuple(replace(one, free=math.inf) for one in found.passes))
    return found, layout


def _pacing(operation: Operation, *, place: Place, ground: Ground) -> Pacing | None:
    """What the feed over an area follows; None where its cutting data do not say how."""
    feeds = operation.data.by_load
    if operation.part is not Part.AREA or feeds is None:
        return None
    gone = [hollow.area for hollow in over(ground, top=place.top, bottom=operation.levels[-1])]
    stands = stands_at(ground, z=operation.levels[-1])
    return Pacing(
        radius=wall_radius(operation.cutter),
        feeds=feeds,
        stands=clipper.difference(stands, less=clipper.union(gone)) if gone else stands,
    )
