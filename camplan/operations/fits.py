"""How one cutter fills a figure: what it reaches, what it leaves, and how far it has to travel.

Figures are taken coarsely: this is for choosing between cutters, never for cutting.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from camplan.catalogue.records import Cutter
from camplan.geometry import clipper
from camplan.geometry.clipper import Area, simplified
from camplan.units import Mm, Mm2

COARSE: Mm = 0.005
"""Figures are taken this coarsely for choosing."""
_LAID = 2
_ON_EDGE: Mm = 1e-6
GAIN: Mm2 = 2e-3
"""Rest below this is not worth an operation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A place where a cutter comes down: about how far its centre may move from the middle, and round the edge."""

    radius: Mm
    edge: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """One cutter in one figure.

    ``path`` is the length that clears a level, ``starts`` where it has to come down for that; ``edge`` and ``rings``
    are the length and the number of the contours of where its centre may be; ``reached`` is the size of what it
    clears; ``lost`` what it leaves, ``left`` the size of that, ``round_left`` its perimeter and ``places`` the number
    of its parts; ``largest`` the size of the largest of them.
    """

    cutter: Cutter
    path: Mm
    starts: tuple[Start, ...]
    edge: Mm
    rings: int
    reached: Mm2
    lost: Area
    left: Mm2
    round_left: Mm
    places: int
    largest: Mm2


def fit(cutter: Cutter, *, step_over: Mm, want: Sequence[Area], plate: Area = ()) -> Fit | None:
    """How a cutter fills figures, none touching another; None if it fits into none of them.

    What it leaves beside the ``plate``, if that is given, is air and does not count, and there it comes down freely.
    """
    radius = cutter.diameter / 2.0
    work = [clipper.shrunk(piece, by=radius, chord=COARSE) for piece in want]
    if not any(work):
        return None
    lost: list[Area] = []
    wanted = 0.0
    path, starts = 0.0, list[Start]()
    for piece, exact in zip(want, work, strict=True):
        area = simplified(exact, within=COARSE)
        length, places = _nested(area, step_over=step_over)
        path += length
        starts.extend(places)
        reach = clipper.offset(area, by=radius + 2.0 * COARSE, chord=COARSE)
        parts = clipper.pieces(clipper.difference(piece, less=reach))
        if plate:
            parts = clipper.pieces(clipper.intersection(tuple(ring for part in parts for ring in part), with_=plate))
            wanted += clipper.surface(clipper.intersection(piece, with_=plate))
        else:
            wanted += clipper.surface(piece)
        lost.extend(part for part in parts if clipper.surface(part) > GAIN / 2.0)
    sizes = [clipper.surface(part) for part in lost]
    return Fit(
        cutter=cutter,
        path=path,
        starts=() if plate else tuple(starts),
        edge=sum(clipper.perimeter(area) for area in work),
        rings=sum(len(area) for area in work),
        reached=wanted - sum(sizes),
        lost=tuple(ring for part in lost for ring in part),
        left=sum(sizes),
        round_left=sum(clipper.perimeter(part) for part in lost),
        places=len(sizes),
        largest=max(sizes, default=0.0),
    )


def _nested(area: Area, *, step_over: Mm) -> tuple[Mm, list[Start]]:
    """How long the rings are that clear an area, and where they begin: the outermost two are laid, of what lies inside
    them the length is L = A / s + P / 2."""
    path, starts = 0.0, list[Start]()
    current = list(clipper.pieces(area))
    for laid in range(_LAID):
        inside: list[Area] = []
        for piece in current:
            path += clipper.perimeter(piece)
            inner = clipper.offset(piece, by=-step_over, chord=COARSE)
            if inner:
                inside.extend(clipper.pieces(inner))
            else:
                starts.extend(_starts(piece, outside=laid * step_over, step_over=step_over))
        current = inside
    for piece in current:
        path += clipper.surface(piece) / step_over + clipper.perimeter(piece) / 2.0
        starts.extend(_starts(piece, outside=_LAID * step_over, step_over=math.inf))
    return path, starts


def _starts(piece: Area, *, outside: Mm, step_over: Mm) -> list[Start]:
    """One start, or one for each contour of a piece that lies too far from the others to be reached from them.

    A disc has room of 2 A / P about its middle, a strip of A / P; 4 pi A / P^2 tells the one from the other.
    """
    size, edge = clipper.surface(piece), max(clipper.perimeter(piece), _ON_EDGE)
    room = size / edge * (1.0 + min(4.0 * math.pi * size / edge**2, 1.0))
    start = Start(radius=room + outside, edge=edge / len(piece))
    return [start] * (len(piece) if 2.0 * size / edge > step_over else 1)
