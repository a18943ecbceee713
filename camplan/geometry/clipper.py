"""The door to pyclipper: offsets and set operations for planning.

An area is a tuple of closed rings, (n, 2) arrays in mm: outer rings counter-clockwise, holes clockwise, none
repeating its first point.  Coordinates are rounded to 1 nm inside.
"""

from collections.abc import Iterable, Sequence

import numpy as np
import pyclipper
from numpy.typing import NDArray

from camplan import tolerance
from camplan.geometry.chains import Points
from camplan.units import Mm, Mm2

Area = tuple[Points, ...]
"""Closed rings, outers counter-clockwise, holes clockwise."""

NOTHING: Area = ()

_PER_MM = 1e6
_ROUNDS = 4
_SEAM: Mm = 1e-5
_SNUG: Mm = 0.0006


def _in(rings: Iterable[Points]) -> list[list[list[int]]]:
    return [np.rint(ring * _PER_MM).astype(np.int64).tolist() for ring in rings]


def _out(paths: Iterable[object], *, least: int = 3) -> Area:
    arrays: list[NDArray[np.float64]] = [np.array(path, dtype=np.float64) / _PER_MM for path in paths]
    return tuple(ring for ring in arrays if len(ring) >= least)


def _combined(kind: int, subject: Area, other: Area) -> Area:
    pc = pyclipper.Pyclipper()
    if subject:
        pc.AddPaths(_in(subject), pyclipper.PT_SUBJECT, True)
    if other:
        pc.AddPaths(_in(other), pyclipper.PT_CLIP, True)
    return _out(pc.Execute(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


def union(areas: Sequence[Area]) -> Area:
    """All that lies in any of the areas, cleaned of overlaps."""
    rings = [ring for area in areas for ring in area]
    return _combined(pyclipper.CT_UNION, tuple(rings), NOTHING) if rings else NOTHING


def difference(area: Area, *, less: Area) -> Area:
    """What of ``area`` is not in ``less``."""
    if not area or not less:
        return area
    return _combined(pyclipper.CT_DIFFERENCE, area, less)


def intersection(area: Area, *, with_: Area) -> Area:
    """What lies in both areas."""
    return _combined(pyclipper.CT_INTERSECTION, area, with_) if area and with_ else NOTHING


def _offset(chord: Mm) -> pyclipper.PyclipperOffset:
    """An empty offset; round joins err by up to twice its nominal tolerance."""
    return pyclipper.PyclipperOffset(2.0, chord * _PER_MM / 2.0)


def offset(area: Area, *, by: Mm, chord: Mm = tolerance.CHORD) -> Area:
    """The area grown by a disc of radius ``by``, or shrunk by it if negative; corners that turn outward are round, of
    chords that lie within ``chord`` of their arcs."""
    if not area or by == 0.0:
        return area
    pc = _offset(chord)
    pc.AddPaths(_in(area), pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return _out(pc.Execute(by * _PER_MM))


def shrunk(area: Area, *, by: Mm, chord: Mm = tolerance.CHORD) -> Area:
    """The area shrunk by a disc; where that leaves nothing, the line that a disc as wide as the area runs along, as a
    strip of a micrometre."""
    found = offset(area, by=-by, chord=chord)
    return found or offset(area, by=_SNUG - by, chord=chord)


def opened(area: Area, *, radius: Mm) -> Area:
    """The part of ``area`` that a disc of ``radius`` moving inside it covers."""
    return offset(offset(area, by=-radius), by=radius)


def around(lines: Iterable[Points], *, by: Mm, closed: bool = False) -> Area:
    """All within ``by`` of the polylines, with round ends."""
    pc = _offset(tolerance.CHORD)
    kind = pyclipper.ET_CLOSEDLINE if closed else pyclipper.ET_OPENROUND
    paths = [path for path in _in(lines) if path]
    if not paths:
        return NOTHING
    pc.AddPaths(paths, pyclipper.JT_ROUND, kind)
    return _out(pc.Execute(by * _PER_MM))


def cut_lines(lines: Sequence[Points], *, area: Area, inside: bool) -> tuple[Points, ...]:
    """The parts of open polylines that lie ``inside`` the area, or outside it, each in its line's direction."""
    lines = [line for line in lines if float(np.ptp(line, axis=0).max()) > 2.0 / _PER_MM]
    if not lines:
        return ()
    if not area:
        return () if inside else tuple(lines)
    pc = pyclipper.Pyclipper()
    pc.AddPaths(_in(lines), pyclipper.PT_SUBJECT, False)
    pc.AddPaths(_in(area), pyclipper.PT_CLIP, True)
    kind = pyclipper.CT_INTERSECTION if inside else pyclipper.CT_DIFFERENCE
    tree = pc.Execute2(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return tuple(_as_drawn(part, lines=lines) for part in _out(pyclipper.OpenPathsFromPolyTree(tree), least=2))


def _as_drawn(part: Points, *, lines: Sequence[Points]) -> Points:
    """A part of one of ``lines`` in the direction in which that line runs; clipping may have turned it round."""
    longest = int(np.argmax(np.sum(np.diff(part, axis=0) ** 2, axis=1)))
    first, last = part[longest], part[longest + 1]
    starts = np.vstack([line[:-1] for line in lines])
    along = np.vstack([line[1:] for line in lines]) - starts
    size = np.sum(along**2, axis=1)
    ray = (first + last) / 2.0 - starts
    share = np.clip(np.sum(ray * along, axis=1) / np.where(size > 0.0, size, 1.0), 0.0, 1.0)
    nearest = int(np.argmin(np.sum((ray - along * share[:, None]) ** 2, axis=1)))
    return part if float(along[nearest] @ (last - first)) >= 0.0 else part[::-1]


def rejoined(parts: Sequence[Points]) -> list[Points]:
    """Polylines of which one ends where another begins, as clipping leaves them at the seam of a ring, made one."""
    joined: list[Points] = []
    waiting = list(parts)
    while waiting:
        path = waiting.pop(0)
        for index, other in enumerate(waiting):
            if np.hypot(*(other[0] - path[-1])) < _SEAM:
                waiting[index] = np.vstack((path, other[1:]))
                break
            if np.hypot(*(path[0] - other[-1])) < _SEAM:
                waiting[index] = np.vstack((other, path[1:]))
                break
        else:
            joined.append(path)
    return joined


def pieces(area: Area) -> tuple[Area, ...]:
    """The connected parts of an area, each an outer ring followed by its holes."""
    if not area:
        return ()
    if len(area) == 1:
        return (area,)
    pc = pyclipper.Pyclipper()
    pc.AddPaths(_in(area), pyclipper.PT_SUBJECT, True)
    tree = pc.Execute2(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    found: list[Area] = []
    waiting = list(tree.Childs)
    while waiting:
        outer = waiting.pop(0)
        found.append(_out([outer.Contour, *(hole.Contour for hole in outer.Childs)]))
        for hole in outer.Childs:
            waiting.extend(hole.Childs)
    return tuple(piece for piece in found if piece)


def ring_area(ring: Points) -> Mm2:
    """Signed area of one ring, positive if counter-clockwise."""
    x, y = ring[:, 0] - ring[0, 0], ring[:, 1] - ring[0, 1]
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y))


def surface(area: Area) -> Mm2:
    """The size of an area."""
    return sum(ring_area(ring) for ring in area)


def perimeter(area: Area) -> Mm:
    """The length of all rings."""
    return sum(float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum()) for ring in area)


def without_specks(area: Area, *, smaller: Mm2) -> Area:
    """The area less its connected parts and holes of a size below ``smaller``."""
    return tuple(ring for ring in area if abs(ring_area(ring)) >= smaller)


def simplified(area: Area, *, within: Mm = 0.001) -> Area:
    """The area with vertices dropped that lie within a tolerance of the line through their neighbours.

    Every second vertex is a candidate at a time, so that dropping cannot run away along a curve.
    """
    found: list[Points] = []
    share = within / _ROUNDS
    for ring in area:
        path = ring
        for _ in range(_ROUNDS):
            if len(path) < 8:
                break
            before, after = np.roll(path, 1, axis=0), np.roll(path, -1, axis=0)
            chord = after - before
            size = np.hypot(chord[:, 0], chord[:, 1])
            arm = path - before
            with np.errstate(divide="ignore", invalid="ignore"):
                off = np.abs(chord[:, 0] * arm[:, 1] - chord[:, 1] * arm[:, 0]) / size
            drop = np.nan_to_num(off, nan=0.0) < share
            drop[::2] = False
            if not drop.any():
                break
            path = path[~drop]
        found.append(path)
    return tuple(found)
