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
FINE: Mm = 0.001
"""And this coarsely where it is asked whether a cutter leaves anything at all."""
GAIN: Mm2 = 2e-3
"""Rest below this is not worth an operation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A place where a cutter comes down: about how far its centre may move from the middle, and round the edge."""

    radius: Mm
    edge: Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filled:
    """Figures as far as cutters of one diameter fill them.

    ``work`` is where their centre may be, figure by figure, none of it in a figure into which they do not fit;
    ``reached`` the size of what they clear; ``lost`` what they leave, ``left`` the size of that, ``round_left`` its
    perimeter and ``places`` the number of its parts; ``largest`` the size of the largest of them; ``open`` whether air
    beside the plate is among the figures.
    """

    work: tuple[Area, ...]
    reached: Mm2
    lost: Area
    left: Mm2
    round_left: Mm
    places: int
    largest: Mm2
    open: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """One cutter in figures: what is `Filled` by its diameter, and how far it has to travel for that.

    ``path`` is the length that clears a level ring by ring, ``size`` that of where its centre may be, ``starts`` where
    it has to come down for that; ``edge`` and ``rings`` are the length and the number of the contours of where its
    centre may be.
    """

    cutter: Cutter
    path: Mm
    size: Mm2
    starts: tuple[Start, ...]
    edge: Mm
    rings: int
    reached: Mm2
    lost: Area
    left: Mm2
    round_left: Mm
    places: int
    largest: Mm2


def filled(diameter: Mm, *, want: Sequence[Area], plate: Area = (), within: Mm = COARSE) -> Filled | None:
    """How far cutters fill figures, none touching another; None if they fit into none of them.

    What they leave beside the ``plate``, if that is given, is air and does not count; nor does what is thinner than
    twice the coarseness ``within`` which figures are taken.
    """
    radius = diameter / 2.0
    work = tuple(simplified(clipper.shrunk(piece, by=radius, chord=within), within=within) for piece in want)
    if not any(work):
        return None
    lost: list[Area] = []
    wanted = 0.0
    for piece, area in zip(want, work, strict=True):
        left = clipper.difference(piece, less=clipper.offset(area, by=radius + 2.0 * within, chord=within))
        left = clipper.intersection(left, with_=plate) if plate else left
        wanted += clipper.surface(clipper.intersection(piece, with_=plate) if plate else piece)
        lost.extend(part for part in clipper.pieces(left) if clipper.surface(part) > GAIN / 2.0 * within / COARSE)
    sizes = [clipper.surface(part) for part in lost]
    return Filled(
        work=work,
        reached=wanted - sum(sizes),
        lost=tuple(ring for part in lost for ring in part),
        left=sum(sizes),
        round_left=sum(clipper.perimeter(part) for part in lost),
        places=len(sizes),
        largest=max(sizes, default=0.0),
        open=bool(plate),
    )


def fit(cutter: Cutter, *, filled: Filled | None, step_over: Mm) -> Fit | None:
    """How a cutter fills figures that its diameter fills so far; None if it does not fit in."""
    if filled is None:
        return None
    path, starts = 0.0, list[Start]()
    for area in filled.work:
        length, places = _nested(area, step_over=step_over)
        path += length
        starts.extend(places)
    return Fit(
        cutter=cutter,
        path=path,
        size=sum(clipper.surface(area) for area in filled.work),
        starts=() if filled.open else tuple(starts),
        edge=sum(clipper.perimeter(area) for area in filled.work),
        rings=sum(len(area) for area in filled.work),
        reached=filled.reached,
        lost=filled.lost,
        left=filled.left,
        round_left=filled.round_left,
        places=filled.places,
        largest=filled.largest,
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
            inner = [part for part in clipper.pieces(clipper.offset(piece, by=-step_over, chord=COARSE)) if _wide(part)]
            if inner:
                inside.extend(inner)
            else:
                starts.extend(_starts(piece, outside=laid * step_over, step_over=step_over))
        current = inside
    for piece in current:
        path += clipper.surface(piece) / step_over + clipper.perimeter(piece) / 2.0
        starts.extend(_starts(piece, outside=_LAID * step_over, step_over=math.inf))
    return path, starts


def _wide(piece: Area) -> bool:
    """Whether a piece is wider than the coarseness: where walls run side by side, offsets fall to shreds."""
    return clipper.surface(piece) > COARSE * clipper.perimeter(piece)


def _starts(piece: Area, *, outside: Mm, step_over: Mm) -> list[Start]:
    """One start, or one for each contour of a piece that lies too far from the others to be reached from them.

    A disc has room of 2 A / P about its middle, a strip of A / P; 4 pi A / P^2 tells the one from the other.
    """
    size, edge = clipper.surface(piece), max(clipper.perimeter(piece), _ON_EDGE)
    room = size / edge * (1.0 + min(4.0 * math.pi * size / edge**2, 1.0))
    start = Start(radius=room + outside, edge=edge / len(piece))
    return [start] * (len(piece) if 2.0 * size / edge > step_over else 1)
