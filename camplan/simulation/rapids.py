"""Rapids and straight descents, held against what earlier moves have left of the plate.

A straight lift is fine while the flutes reach above the plate: at every height it shows what stood there already.
A straight way where the same cutter has cleared the column before is fine.  Every other rapid below the plate's top
is swept with its cutting part, body and holder, `BERTH` slimmer, and must meet nothing that stands.

A cutter that cannot cut at its centre may feed down at most `STEEPEST`; steeper, or on a helix narrower than
`CORE` diameters, the middle of it (`MIDDLE` of its radius; `REAMED` of a reamer's) must be in the open already.
"""

import math

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.catalogue.records import Cutter, CutterKind, Machine
from camplan.catalogue.shape import can_plunge
from camplan.moves.table import Kind
from camplan.simulation import solids
from camplan.simulation.bands import Band, body_bands, holder_band, slimmer, straight, widest
from camplan.simulation.chords import Chords
from camplan.simulation.records import Hit
from camplan.simulation.solids import Floats, Solid
from camplan.simulation.stock import Stock, heights_to_ask, only_straight, standing
from camplan.simulation.sweep import pieces
from camplan.simulation.track import Track, chords_in, cutting
from camplan.units import Mm, Rad

BERTH: Mm = 0.005
"""How much slimmer a rapid's cutter is taken, so that touching a wall it has just cut is no alarm."""
STEEPEST: Rad = math.radians(30.0)
"""The steepest descent that counts as a ramp (common practice, no source)."""
CORE = 0.15
"""Helix radius over diameter below which the uncut middle stays under the cutter (common practice, no source)."""
MIDDLE = 0.5
REAMED = 0.8
"""Parts of the radius that do not cut downwards (common practice, no source)."""
_LEAST = 1e-6
_HALF_TURN = 0.98
_SAME = 1e5
_MIXER = 1_000_003


def rapids_in_stock(stock: Stock, *, machine: Machine) -> tuple[Hit, ...]:
    """Every rapid that meets standing material, in order."""
    track = stock.track
    low = track.low < -tolerance.GOUGE
    rapid = ~cutting(track) & low
    clear = _lifts(track) | _returns(track, asked=rapid)
    hits = []
    for row in np.flatnonzero(rapid & ~clear).tolist():
        hit = _rapid_hit(stock, row=row, machine=machine)
        if hit is not None:
            hits.append(hit)
    return tuple(hits)


def plunges(stock: Stock) -> tuple[Hit, ...]:
    """Every descent into standing material that its cutter cannot make, and every drill that cuts sideways."""
    track = stock.track
    blunt = np.array([not can_plunge(cutter) for cutter in track.cutters], dtype=bool)
    drills = np.array([cutter.kind in (CutterKind.DRILL, CutterKind.REAMER) for cutter in track.cutters], dtype=bool)
    feeding = cutting(track) & (track.low < -tolerance.GOUGE)
    run = runs(track)
    sideways = np.flatnonzero(feeding & drills[track.cutter] & (run > 1e-3)) if len(track) else np.zeros(0, np.int64)
    hits = [
        _hit(track, row=row, code="drill-sideways", message=f"{_cutter(track, row=row).name} cannot cut sideways")
        for row in sideways.tolist()
    ]
    drop = track.start[:, 2] - track.end[:, 2]
    steep = drop > np.maximum(run * math.tan(STEEPEST), 1e-9)
    asked = feeding & blunt[track.cutter] & (drop > 1e-9) & (steep | _narrow(track)) if len(track) else feeding
    clear = _returns(track, asked=asked)
    for row in np.flatnonzero(asked & ~clear).tolist():
        hit = _plunge_hit(stock, row=row)
        if hit is not None:
            hits.append(hit)
    return tuple(sorted(hits, key=lambda hit: hit.row))


def body_edges(cutter: Cutter, *, machine: Machine) -> Floats:
    """Heights above the tip at which the body or the holder becomes wider, and those of the cutting part's bands."""
    bands = (*body_bands(cutter), holder_band(cutter, machine=machine))
    return np.array([band.low for band in bands])


def _rapid_hit(stock: Stock, *, row: int, machine: Machine) -> Hit | None:
    track = stock.track
    cutter = _cutter(track, row=row)
    chords = chords_in(track, rows=np.array([row]))
    own = track.bands[int(track.cutter[row])]
    parts = (slimmer(own, by=BERTH), *((slimmer((band,), by=BERTH)) for band in body_bands(cutter)))
    parts = (*parts, slimmer((holder_band(cutter, machine=machine),), by=BERTH))
    whole = _shape(parts, chords=chords, z=-tolerance.GOUGE)
    low, high = float(track.low[row]), float(max(track.start[row, 2], track.end[row, 2]))
    # upwards a stock cut by straight cutters only shrinks: what is clear at the lowest height is clear above it
    lowest = low + tolerance.GOUGE
    if only_straight(stock, where=whole, before=row) and (
        solids.area(standing(stock, where=whole, z=lowest, before=row)) <= _LEAST
    ):
        return None
    tips = (
        np.linspace(low, min(high, 0.0), 6)
        if np.hypot(*(track.end[row] - track.start[row])[:2]) > 1e-6
        else np.array([low])
    )
    above = np.array([0.0, *(band.low for band in own if not straight(own)), *body_edges(cutter, machine=machine)])
    edges = (tips[:, None] + above[None, :]).ravel() + tolerance.GOUGE
    edges = np.concatenate((edges, [-tolerance.GOUGE]))
    for z in heights_to_ask(stock, where=whole, before=row, lowest=low, edges=edges):
        left = standing(stock, where=_shape(parts, chords=chords, z=z), z=z, before=row)
        if solids.area(left) > _LEAST:
            x, y = solids.inside_point(max(solids.parts(left), key=solids.area))
            return Hit(row=row, code="rapid-in-stock", message="rapid move through standing material", at=(x, y, z))
    return None


def _shape(parts: tuple[tuple[Band, ...], ...], *, chords: Chords, z: Mm) -> Solid:
    found = [pieces(chords, bands=bands, z=z).shapes for bands in parts]
    return solids.united(np.concatenate(found))


def _plunge_hit(stock: Stock, *, row: int) -> Hit | None:
    track = stock.track
    cutter = _cutter(track, row=row)
    share = REAMED if cutter.kind is CutterKind.REAMER else MIDDLE
    place = track.end[row : row + 1, :2]
    middle = solids.widened(solids.points(place), radii=np.array([share * cutter.diameter / 2.0]))[0]
    z = float(track.end[row, 2]) + tolerance.GOUGE
    if solids.area(standing(stock, where=middle, z=z, before=row)) <= _LEAST:
        return None
    return _hit(
        track,
        row=row,
        code="plunge",
        message=f"{cutter.name} does not cut at its centre and is fed down into standing material",
    )


def _hit(track: Track, *, row: int, code: str, message: str) -> Hit:
    x, y, z = track.end[row].tolist()
    return Hit(row=row, code=code, message=message, at=(x, y, z))


def _cutter(track: Track, *, row: int) -> Cutter:
    return track.cutters[int(track.cutter[row])]


def runs(track: Track) -> Floats:
    """The way each row makes in the plane."""
    chords = track.chords
    sizes = np.hypot(*(chords.end[:, :2] - chords.start[:, :2]).T)
    found: Floats = np.add.reduceat(sizes, track.first[:-1]) if len(track) else sizes
    return found


def _narrow(track: Track) -> NDArray[np.bool_]:
    """Arcs of half a turn or more whose radius is less than that of their cutter's uncut middle."""
    arcs = (track.kind == Kind.CLOCKWISE) | (track.kind == Kind.COUNTER_CLOCKWISE)
    wide = np.maximum(track.boxes[:, 2] - track.boxes[:, 0], track.boxes[:, 3] - track.boxes[:, 1])
    diameters = np.array([cutter.diameter for cutter in track.cutters])[track.cutter]
    centres = np.concatenate([program.motions.centre for program in track.programs])
    radii = np.hypot(*(track.start[:, :2] - centres).T)
    half_turn = wide >= _HALF_TURN * 2.0 * radii
    found: NDArray[np.bool_] = arcs & half_turn & (radii < CORE * diameters - 1e-9)
    return found


def _lifts(track: Track) -> NDArray[np.bool_]:
    """Straight lifts from where the row before stood, of cutters whose flutes are above the plate meanwhile."""
    same = np.zeros(len(track), dtype=bool)
    if not len(track):
        return same
    same[1:] = (track.program[1:] == track.program[:-1]) & (track.cutter[1:] == track.cutter[:-1])
    same[1:] &= np.all(np.abs(track.start[1:] - track.end[:-1]) < 1e-6, axis=1)
    flutes = np.array([cutter.flute_length for cutter in track.cutters])[track.cutter]
    straight_up = (runs(track) < 1e-9) & (track.end[:, 2] >= track.start[:, 2])
    same &= straight_up & (track.start[:, 2] + flutes >= 0.0)
    return same


def _returns(track: Track, *, asked: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Asked straight ways up or down where the same cutter has cleared the column before, from the plate's top down
    to their lowest tip in steps no longer than its flutes."""
    clear = np.zeros(len(track), dtype=bool)
    if not asked.any():
        return clear
    asked = asked & (runs(track) < 1e-9) & _slim(track)
    if not asked.any():
        return clear
    flutes = [cutter.flute_length for cutter in track.cutters]
    places = np.rint(track.end[:, :2] * _SAME).astype(np.int64)
    mixed = places[:, 0] * _MIXER + places[:, 1]
    open_to: dict[tuple[int, ...], float] = {}
    for row in np.flatnonzero(np.isin(mixed, mixed[asked])).tolist():
        number = int(track.cutter[row])
        place = (*places[row].tolist(), number)
        depth = open_to.get(place, 0.0)
        clear[row] = asked[row] and depth <= track.low[row] + 1e-6
        z = float(track.end[row, 2])
        if z < depth <= z + flutes[number]:
            open_to[place] = z
    return clear


def _slim(track: Track) -> NDArray[np.bool_]:
    """Rows at whose depth nothing of the cutter in the plate is wider than what cuts."""
    depth = np.full(len(track.cutters), 0.0)
    for number, cutter in enumerate(track.cutters):
        wide = widest(track.bands[number]) + 1e-9 if straight(track.bands[number]) else 0.0
        lows = [band.low for band in body_bands(cutter) if band.low_radius > wide]
        depth[number] = min([*lows, cutter.stick_out])
    found: NDArray[np.bool_] = track.low + depth[track.cutter] >= 0.0
    return found
