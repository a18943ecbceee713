"""Chips per tooth that a cutter does not bear: a feed too high for the speed, or a speed too low for the feed.

The tables' largest chip is for cuts of half the width and more.  A narrow cut thins it, and up to `THINNING_MOST` times
as much is fed; half as much again (`BEYOND`) breaks the cutter sooner or later.  A mill goes straight down at a quarter
of its side feed (UF-DML, confirmed); above the tables' whole chip it is pushed down faster than its tip can cut.
A motion is asked only if it is beyond that, and counts only if it meets the stock: in the air a feed may be anything.
"""

import math

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.catalogue.records import CutterKind, Material
from camplan.cutting.chip import THINNING_MOST, table_chip
from camplan.cutting.custom import working_diameter
from camplan.cutting.records import CutKind
from camplan.simulation import solids
from camplan.simulation.bands import slimmer, straight
from camplan.simulation.rapids import BERTH, STEEPEST, runs
from camplan.simulation.records import Hit
from camplan.simulation.solids import Floats
from camplan.simulation.stock import Stock, only_straight, standing
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in, cutting
from camplan.units import Mm

BEYOND = 1.5
"""How far over the most that is ever fed a cutter is sure to be overloaded (common practice, no source)."""
_HOLES = (CutterKind.DRILL, CutterKind.SPOT_DRILL, CutterKind.REAMER)
_REAMER_SHARE = 2.0
"""A reamer's feed a turn over a drill's (common practice, no source)."""
_LEAST = 1e-6


def thick_chips(stock: Stock, *, material: Material) -> tuple[Hit, ...]:
    """Of each program the first motion that feeds a thicker chip than its cutter bears, and how many are as fast.

    A cutter of a kind for which the material has no figures is not judged.
    """
    track = stock.track
    if not len(track):
        return ()
    feed = np.concatenate([program.motions.feed for program in track.programs])
    rpm = np.concatenate([program.motions.rpm for program in track.programs])
    teeth = np.array([cutter.teeth for cutter in track.cutters], dtype=np.float64)[track.cutter]
    asked = cutting(track) & (track.low < -tolerance.GOUGE) & (rpm > 0.0)
    chip = np.full(len(track), 0.0)
    chip[asked] = feed[asked] / (rpm[asked] * teeth[asked])
    borne = _borne(track, material=material, asked=asked)
    suspect = asked & (chip > borne)
    hits: list[Hit] = []
    for program in np.unique(track.program[suspect]).tolist():
        rows = np.flatnonzero(suspect & (track.program == program))
        hit = next((row for row in rows.tolist() if _meets(stock, row=row)), None)
        if hit is not None:
            more = int(np.count_nonzero(rows > hit))
            hits.append(_hit(track, row=hit, chip=float(chip[hit]), borne=float(borne[hit]), more=more, of=material))
    return tuple(hits)


def _borne(track: Track, *, material: Material, asked: NDArray[np.bool_]) -> Floats:
    """The thickest chip per tooth that each asked row may feed."""
    borne = np.full(len(track), np.inf)
    drop = track.start[:, 2] - track.end[:, 2]
    steep = drop > np.maximum(runs(track) * math.tan(STEEPEST), 1e-9)
    for number, cutter in enumerate(track.cutters):
        own = asked & (track.cutter == number)
        row = next((row for row in material.rows if row.tool_material == cutter.tool_material), None)
        if row is None or not own.any():
            continue
        if cutter.kind in _HOLES:
            share = _REAMER_SHARE if cutter.kind is CutterKind.REAMER else 1.0
            most = share * material.drill_feed_ratio * cutter.diameter / cutter.teeth
            borne[own] = THINNING_MOST * BEYOND * most
        elif cutter.kind is CutterKind.ENGRAVER:
            depths, place = np.unique(np.round(-track.low[own], 3), return_inverse=True)
            wide = [working_diameter(cutter, kind=CutKind.ENGRAVE, depth=depth) for depth in depths.tolist()]
            least = row.chips[0].diameter
            most_at = np.array([table_chip(row, diameter=max(diameter, least)).most for diameter in wide])
            borne[own] = THINNING_MOST * BEYOND * most_at[place]
        else:
            most = table_chip(row, diameter=working_diameter(cutter, kind=CutKind.SLOT, depth=0.0)).most
            borne[own] = np.where(steep[own], 1.0, THINNING_MOST) * BEYOND * most
    return borne


def _meets(stock: Stock, *, row: int) -> bool:
    """Whether the cutting part of a row meets anything that stands."""
    track = stock.track
    bands = slimmer(track.bands[int(track.cutter[row])], by=BERTH)
    chords = chords_in(track, rows=np.array([row]))
    low = float(track.low[row])
    high = min(float(max(track.start[row, 2], track.end[row, 2])), 0.0)
    for z in (low + tolerance.GOUGE, min(low + 0.02, -tolerance.GOUGE), (low + high) / 2.0, -tolerance.GOUGE):
        swept = solids.united(pieces(chords, bands=bands, z=z).shapes)
        if solids.area(standing(stock, where=swept, z=z, before=row)) > _LEAST:
            return True
        if straight(bands) and only_straight(stock, where=swept, before=row):
            return False  # upwards nothing stands that does not stand here
    return False


def _hit(track: Track, *, row: int, chip: Mm, borne: Mm, more: int, of: Material) -> Hit:
    x, y, z = track.end[row].tolist()
    cutter = track.cutters[int(track.cutter[row])]
    others = f"; {more} more motions are as fast" if more > 1 else "; one more motion is as fast" if more else ""
    message = f"{cutter.name} is fed {chip:.3f} mm a tooth, and bears {borne:.3f} mm here in {of.name}{others}"
    return Hit(row=row, code="chip-too-thick", message=message, at=(x, y, z))
