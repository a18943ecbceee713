"""What stands around the plate: clamps, the table beneath, the ends of the machine's travel."""

from collections.abc import Sequence

import numpy as np

from camplan import tolerance
from camplan.catalogue.records import Machine
from camplan.features.specs import Clamp, SettingSpec
from camplan.simulation import solids
from camplan.simulation.bands import Band, body_bands, holder_band
from camplan.simulation.chords import Chords
from camplan.simulation.records import Hit
from camplan.simulation.solids import Floats, Ints
from camplan.simulation.track import Track, chords_in
from camplan.units import Mm

_TOUCH: Mm = 0.001
_AXES = "XYZ"


def clamp_hits(track: Track, *, settings: Sequence[SettingSpec], machine: Machine) -> tuple[Hit, ...]:
    """Every move, rapid or not, whose cutter, body or holder touches a clamp of its setting; a clamp stands from the
    table to ``height`` above the plate's top."""
    clamps = {setting.name: setting.clamps for setting in settings}
    hits: dict[int, Hit] = {}
    for number, program in enumerate(track.programs):
        for place, clamp in enumerate(clamps.get(program.setting, ()), start=1):
            for cutter in np.unique(track.cutter[track.program == number]).tolist():
                rows = np.flatnonzero((track.program == number) & (track.cutter == cutter))
                for hit in _touching(track, rows=rows, clamp=clamp, place=place, machine=machine):
                    hits.setdefault(hit.row, hit)
    return tuple(hits[row] for row in sorted(hits))


def below_plate(track: Track, *, lowest: Mm) -> tuple[Hit, ...]:
    """Every move that goes deeper than ``lowest``, the deepest height that any feature asks for: the table is there."""
    hits = []
    for row in np.flatnonzero(track.low < lowest - tolerance.GOUGE).tolist():
        end = track.end if track.end[row, 2] <= track.start[row, 2] else track.start
        x, y, z = end[row].tolist()
        hits.append(
            Hit(row=row, code="below-plate", message=f"goes {lowest - z:.3f} mm below what is wanted", at=(x, y, z))
        )
    return tuple(hits)


def outside_travel(track: Track, *, machine: Machine) -> tuple[Hit, ...]:
    """Where programs spread wider than the machine travels: X and Y over each setting (they share a zero), Z over
    each program.  Where the zero stands in the travel is the operator's, so only the spread is known."""
    hits = []
    settings = [program.setting for program in track.programs]
    for setting in dict.fromkeys(settings):
        members = [number for number, name in enumerate(settings) if name == setting]
        rows = np.flatnonzero(np.isin(track.program, members))
        for axis in (0, 1):
            hits += _spread(track, rows=rows, axis=axis, machine=machine)
        for number in members:
            hits += _spread(track, rows=np.flatnonzero(track.program == number), axis=2, machine=machine)
    return tuple(hits)


def _spread(track: Track, *, rows: Ints, axis: int, machine: Machine) -> list[Hit]:
    if axis == 2:
        low, high = track.low[rows], np.maximum(track.start[rows, 2], track.end[rows, 2])
        said = high < 999.0
        rows, low, high = rows[said], low[said], high[said]
    else:
        low, high = track.boxes[rows, axis], track.boxes[rows, axis + 2]
    if not len(rows):
        return []
    spread = float(high.max() - low.min())
    if spread <= machine.travel[axis] + tolerance.SAME_POINT:
        return []
    row = max(int(rows[np.argmin(low)]), int(rows[np.argmax(high)]))
    x, y, z = track.end[row].tolist()
    message = f"{_AXES[axis]} spreads over {spread:.3f} mm; {machine.name} travels {machine.travel[axis]:g} mm"
    return [Hit(row=row, code="outside-travel", message=message, at=(x, y, z))]


def _touching(track: Track, *, rows: Ints, clamp: Clamp, place: int, machine: Machine) -> list[Hit]:
    cutter = track.cutters[int(track.cutter[rows[0]])]
    bands = (*track.bands[int(track.cutter[rows[0]])], *body_bands(cutter), holder_band(cutter, machine=machine))
    footprint = (clamp.x, clamp.y, clamp.x + clamp.width, clamp.y + clamp.length)
    reach = max(max(band.low_radius, band.high_radius) for band in bands)
    near = track.low[rows] < clamp.height
    near &= np.all(track.boxes[rows, 2:] > np.array(footprint[:2]) - reach, axis=1)
    near &= np.all(track.boxes[rows, :2] < np.array(footprint[2:]) + reach, axis=1)
    if not near.any():
        return []
    chords = chords_in(track, rows=rows[near])
    touched = np.zeros(0, dtype=np.int64)
    for band in bands:
        touched = np.union1d(touched, _rows_within(chords, band=band, clamp=clamp, footprint=footprint))
    message = f"{cutter.name} or its holder touches clamp {place} at X{clamp.x:g} Y{clamp.y:g}"
    return [
        Hit(row=row, code="clamp-hit", message=message, at=tuple(track.end[row].tolist())) for row in touched.tolist()
    ]


def _rows_within(chords: Chords, *, band: Band, clamp: Clamp, footprint: tuple[Mm, Mm, Mm, Mm]) -> Ints:
    """Rows that bring a band's radius to a clamp while the band is at or below the clamp's top.

    A tapered band counts with the radius that it shows at the clamp's top when the tip is lowest.
    """
    first, last = chords.start[:, 2] + band.low, chords.end[:, 2] + band.low
    below = np.minimum(first, last) < clamp.height - _TOUCH
    first, last = first[below], last[below]
    if not len(first):
        return np.zeros(0, dtype=np.int64)
    rise = np.where(first == last, 1.0, last - first)
    cross = np.where(first == last, 0.0, (clamp.height - first) / rise)
    begin = np.where(first > clamp.height, np.clip(cross, 0.0, 1.0), 0.0)[:, None]
    end = np.where(last > clamp.height, np.clip(cross, 0.0, 1.0), 1.0)[:, None]
    start, along = chords.start[below, :2], chords.end[below, :2] - chords.start[below, :2]
    share = np.clip((clamp.height - np.minimum(first, last)) / (band.high - band.low), 0.0, 1.0)
    radii = band.low_radius + share * (band.high_radius - band.low_radius)
    away = _away(start + begin * along, start + end * along, footprint=footprint)
    return chords.row[below][away < radii - _TOUCH]


def _away(start: Floats, end: Floats, *, footprint: tuple[Mm, Mm, Mm, Mm]) -> Floats:
    """Distances of straight ways to a rectangle."""
    places = np.stack((start, end), axis=1).reshape(-1, 2)
    paths = solids.lines(places, path=np.repeat(np.arange(len(start)), 2))
    return solids.line_distances(paths, to=solids.box(footprint))
