"""The plate after some programs as a coarse map of heights, for pictures; never for the verdict."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.features.records import Plate
from camplan.simulation.bands import Band, widest
from camplan.simulation.blank import blank_of, blank_tops
from camplan.simulation.records import ProgramUnderProof
from camplan.simulation.solids import Floats
from camplan.simulation.track import Track, chords_in, cutting, track_of
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relief:
    """``heights`` (rows of rising y, columns of rising x): z of the surface in the middle of each pixel, NaN beside
    the plate and where it is cut through.  (``x``, ``y``) is the lower left corner of the first pixel."""

    heights: Floats
    x: Mm
    y: Mm
    pixel: Mm


def relief(programs: Sequence[ProgramUnderProof], *, plate: Plate, pixel: Mm) -> Relief:
    """The plate's surface after programs, to about one pixel.  ValueError for a pixel that is not above 0."""
    if not pixel > 0.0:
        raise ValueError(f"a pixel of {pixel} mm shows nothing")
    x0, y0, x1, y1 = plate.bounds
    shape = (max(int(np.ceil((y1 - y0) / pixel)), 1), max(int(np.ceil((x1 - x0) / pixel)), 1))
    track = track_of(programs)
    heights = np.zeros(shape)
    for number, bands in enumerate(track.bands):
        margin = int(np.ceil(widest(bands) / pixel)) + 1
        tips = _tips(track, number=number, corner=(x0, y0), shape=shape, margin=margin, pixel=pixel)
        heights = np.minimum(heights, _carved(tips, bands=bands, shape=shape, margin=margin, pixel=pixel))
    rows, columns = np.indices(shape)
    places = np.column_stack((x0 + (columns.ravel() + 0.5) * pixel, y0 + (rows.ravel() + 0.5) * pixel))
    blank = blank_tops(blank_of(plate), places=places).reshape(shape)
    inside = np.isfinite(blank)
    heights = np.where(inside, np.minimum(heights, blank), heights)
    gone = heights <= -plate.thickness
    return Relief(heights=np.where(inside & ~gone, heights, np.nan), x=x0, y=y0, pixel=pixel)


def _tips(
    track: Track, *, number: int, corner: tuple[Mm, Mm], shape: tuple[int, int], margin: int, pixel: Mm
) -> Floats:
    """The lowest tip of one cutter over each pixel, with a margin round the plate; 0 where it never was below."""
    tips = np.zeros((shape[0] + 2 * margin, shape[1] + 2 * margin))
    chords = chords_in(track, rows=np.flatnonzero(cutting(track) & (track.cutter == number) & (track.low < 0.0)))
    along = chords.end - chords.start
    counts = np.maximum(np.ceil(np.hypot(along[:, 0], along[:, 1]) / pixel), 1).astype(np.int64)
    which = np.repeat(np.arange(len(chords)), counts + 1)
    offset = np.concatenate(([0], np.cumsum(counts + 1)[:-1])) if len(counts) else counts
    part = (np.arange(len(which)) - offset[which]) / counts[which]
    places = chords.start[which] + along[which] * part[:, None]
    cells = np.floor((places[:, :2] - np.array(corner)) / pixel).astype(np.int64) + margin
    within = (cells[:, 0] >= 0) & (cells[:, 0] < tips.shape[1]) & (cells[:, 1] >= 0) & (cells[:, 1] < tips.shape[0])
    np.minimum.at(tips, (cells[within, 1], cells[within, 0]), places[within, 2])
    return tips


def _carved(tips: Floats, *, bands: tuple[Band, ...], shape: tuple[int, int], margin: int, pixel: Mm) -> Floats:
    """The surface that a cutter leaves whose lowest tips are known."""
    heights = np.zeros(shape)
    for down in range(-margin, margin + 1):
        for right in range(-margin, margin + 1):
            rise = _rise(bands, distance=float(np.hypot(down, right)) * pixel)
            if rise is not None:
                top, left = margin + down, margin + right
                heights = np.minimum(heights, tips[top : top + shape[0], left : left + shape[1]] + rise)
    return heights


def _rise(bands: tuple[Band, ...], *, distance: Mm) -> Mm | None:
    """How far above its tip a cutter reaches a distance from its axis; None if it is never so wide."""
    for band in bands:
        if distance <= band.low_radius:
            return band.low
        if distance <= band.high_radius:
            return band.low + (distance - band.low_radius) / (band.high_radius - band.low_radius) * (
                band.high - band.low
            )
    return None
