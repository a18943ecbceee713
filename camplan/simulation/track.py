"""All programs one after another as one track of rows, in the order in which they run."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camplan.catalogue.records import Cutter
from camplan.geometry.places import by_axes
from camplan.moves.table import Kind, MotionTable
from camplan.simulation.bands import Band, cutting_bands
from camplan.simulation.chords import Chords, chords_of, taken
from camplan.simulation.records import ProgramUnderProof
from camplan.simulation.solids import Floats, Ints
from camplan.units import Mm

HIGH_ABOVE: Mm = 1000.0
"""Stands for a height that a program does not say: above everything (the reader reports it)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """n rows: ``start`` and ``end`` (n, 3), `Kind`, line of the text, number of the program and of the cutter.

    ``chords`` of all rows; those of row i are ``first[i]`` to ``first[i + 1]``.  ``low`` is the lowest tip of each
    row, ``boxes`` (n, 4) its path's x0, y0, x1, y1.  ``bands`` are the cutting parts, by cutter.
    """

    programs: tuple[ProgramUnderProof, ...]
    cutters: tuple[Cutter, ...]
    bands: tuple[tuple[Band, ...], ...]
    start: Floats
    end: Floats
    kind: Ints
    line: Ints
    program: Ints
    cutter: Ints
    chords: Chords
    first: Ints
    low: Floats
    boxes: Floats

    def __len__(self) -> int:
        return len(self.line)


def track_of(programs: Sequence[ProgramUnderProof]) -> Track:
    """The track of programs in their order.  A coordinate that no line has said yet takes the next one said."""
    cutters: list[Cutter] = []
    number: list[Ints] = []
    for program in programs:
        rows = np.zeros(len(program.motions.line), dtype=np.int64)
        for row, cutter in ((0, program.cutter), *program.changes):
            if cutter not in cutters:
                cutters.append(cutter)
            rows[row:] = cutters.index(cutter)
        number.append(rows)
    motions = _joined([_said(program.motions) for program in programs])
    chords = chords_of(motions)
    first = np.searchsorted(chords.row, np.arange(len(motions.line) + 1))
    return Track(
        programs=tuple(programs),
        cutters=tuple(cutters),
        bands=tuple(cutting_bands(cutter) for cutter in cutters),
        start=motions.start,
        end=motions.end,
        kind=motions.kind.astype(np.int64),
        line=motions.line,
        program=np.repeat(np.arange(len(programs)), [len(program.motions.line) for program in programs]),
        cutter=np.concatenate(number) if number else np.zeros(0, dtype=np.int64),
        chords=chords,
        first=first,
        low=np.minimum(motions.start[:, 2], motions.end[:, 2]),
        boxes=_boxes(chords, first=first),
    )


def chords_in(track: Track, *, rows: Ints) -> Chords:
    """The chords of some rows, in the order of ``rows``."""
    return taken(track.chords, which=chord_numbers(track, rows=rows))


def chord_numbers(track: Track, *, rows: Ints) -> Ints:
    """Which chords belong to some rows."""
    counts = track.first[rows + 1] - track.first[rows]
    begin = np.repeat(track.first[rows] - np.concatenate(([0], np.cumsum(counts)[:-1])), counts)
    found: Ints = begin + np.arange(int(counts.sum()))
    return found


def cutting(track: Track) -> NDArray[np.bool_]:
    """Rows that are no rapids."""
    found: NDArray[np.bool_] = track.kind != Kind.RAPID
    return found


def wide_boxes(track: Track, *, rows: Ints, radii: Floats) -> Floats:
    """Boxes of rows' paths widened by a radius for each cutter."""
    reach = radii[track.cutter[rows]][:, None] * np.array([-1.0, -1.0, 1.0, 1.0])
    found: Floats = track.boxes[rows] + reach
    return found


def _said(motions: MotionTable) -> MotionTable:
    """Motions without gaps: an unknown start is where the motion ends, an unknown height above everything."""
    start, end = motions.start.copy(), motions.end.copy()
    for axis in range(3):
        unknown = np.isnan(end[:, axis])
        if unknown.any():
            known = np.flatnonzero(~unknown)
            place = 0.0 if not len(known) else float(end[known[0], axis])
            end[unknown, axis] = HIGH_ABOVE if axis == 2 else place
        gap = np.isnan(start[:, axis])
        start[gap, axis] = end[gap, axis]
    return MotionTable(
        start=start,
        end=end,
        centre=motions.centre,
        kind=motions.kind,
        feed=motions.feed,
        rpm=motions.rpm,
        line=motions.line,
    )


def _joined(tables: list[MotionTable]) -> MotionTable:
    return MotionTable(
        start=np.concatenate([table.start for table in tables] or [np.zeros((0, 3))]),
        end=np.concatenate([table.end for table in tables] or [np.zeros((0, 3))]),
        centre=np.concatenate([table.centre for table in tables] or [np.zeros((0, 2))]),
        kind=np.concatenate([table.kind for table in tables] or [np.zeros(0, dtype=np.int8)]),
        feed=np.concatenate([table.feed for table in tables] or [np.zeros(0)]),
        rpm=np.concatenate([table.rpm for table in tables] or [np.zeros(0)]),
        line=np.concatenate([table.line for table in tables] or [np.zeros(0, dtype=np.int64)]),
    )


def _boxes(chords: Chords, *, first: Ints) -> Floats:
    if len(first) < 2:
        return np.zeros((0, 4))
    low = np.minimum(chords.start[:, :2], chords.end[:, :2])
    high = np.maximum(chords.start[:, :2], chords.end[:, :2])
    return np.column_stack(
        (np.minimum.reduceat(low, first[:-1], axis=0), np.maximum.reduceat(high, first[:-1], axis=0))
    )


def said_place(at: tuple[Mm, Mm, Mm]) -> str:
    """A place as it is said to the user."""
    return by_axes(at)
