"""How a cutter is loaded along its path: the path in tones of its engagement, and graphs over the path's length."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from camplan.planned import Load
from camplan.report.annotations import Frame
from camplan.report.shapes import coordinate, words
from camplan.report.style import FAINT, HAIR, INK, LOADS
from camplan.units import UM_PER_MM, Mm, deg_from_rad

USUAL = 0.999
"""The share of the path below whose engagement the rest stays: what is left are single moments."""
_EDGES = (0.0, 30.0, 60.0, 90.0, 135.0)
"""Engagements in degrees from which a tone stands."""
_GRID = 500
_BINS = 220
_MOST_POINTS = 9000
_WIDE, _HIGH, _LEFT, _GAP = 100.0, 15.0, 14.0, 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaks:
    """The highest loads of an operation; ``usual_deg``: the engagement below which all but a thousandth of the level
    path stays.  Force, power and bending None where no specific force is known."""

    engagement_deg: float
    usual_deg: float
    force: float | None
    power: float | None
    bending_um: float | None


def peaks_of(load: Load) -> Peaks | None:
    """The peaks of a load; None if the cutter met nothing on a level path."""
    met = load.level & (load.arc > 0.0)
    if not met.any():
        return None
    arcs, length = load.arc[met], load.length[met]
    order = np.argsort(arcs, kind="stable")
    reached = np.cumsum(length[order]) / length.sum()
    usual = float(arcs[order][min(int(np.searchsorted(reached, USUAL)), len(order) - 1)])
    return Peaks(
        engagement_deg=deg_from_rad(float(arcs.max())),
        usual_deg=deg_from_rad(usual),
        force=None if load.force is None else float(load.force.max()),
        power=None if load.power is None else float(load.power.max()),
        bending_um=None if load.bending is None else float(load.bending.max()) * UM_PER_MM,
    )


def load_map(load: Load) -> str:
    """The path from above, each stretch in the tone of its engagement, the highest on top."""
    (x0, y0), (x1, y1) = load.at[:, :2].min(axis=0), load.at[:, :2].max(axis=0)
    room = 0.04 * max(x1 - x0, y1 - y0, 1.0)
    width, height = x1 - x0 + 2 * room, max(y1 - y0 + 2 * room, 0.4 * (x1 - x0 + 2 * room))
    middle = (y0 + y1) / 2.0
    frame = Frame(
        x0=float(x0 - room), y0=float(middle - height / 2), x1=float(x0 - room + width), y1=float(middle + height / 2)
    )
    step = max(frame.width, frame.height) / _GRID
    body = "".join(
        f'<path d="{path}" fill="none" stroke="{tone}" stroke-width="1.6" stroke-linecap="round" '
        'vector-effect="non-scaling-stroke"/>'
        for tone, path in zip(LOADS, _toned(load, frame=frame, step=step), strict=True)
        if path
    )
    move = f"translate({coordinate(frame.x0)} {coordinate(-frame.y0)}) scale({step:.6g})"
    box = " ".join(coordinate(value) for value in (frame.x0, -frame.y1, frame.width, frame.height))
    said = "The path from above in tones of how much of the edge is engaged."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" aria-label="{said}">'
        f'<g transform="{move}">{body}</g></svg>'
    )


def _toned(load: Load, *, frame: Frame, step: Mm) -> list[str]:
    """For each tone the ``d`` of its stretches on a grid, each place once and in its highest tone."""
    grid = np.rint((load.at[:, :2] - (frame.x0, frame.y0)) / step).astype(np.int64)
    near = np.hypot(*np.diff(load.at[:, :2], axis=0).T) <= 3.0 * np.maximum(load.length[1:], load.length[:-1])
    moved = np.any(grid[1:] != grid[:-1], axis=1)
    tone = np.clip(np.searchsorted(_EDGES, np.degrees(load.arc[1:]), side="right") - 1, 0, len(_EDGES) - 1)
    chosen = np.flatnonzero(near & moved)
    ends = np.column_stack((grid[:-1][chosen], grid[1:][chosen]))
    order = np.lexsort((-tone[chosen], *ends.T))
    ends, tones = ends[order], tone[chosen][order]
    _, first = np.unique(ends, axis=0, return_index=True)
    ends, tones = ends[first], tones[first]
    every = max(math.ceil(len(ends) / _MOST_POINTS), 1)
    paths = []
    for value in range(len(_EDGES)):
        mine = ends[tones == value]
        mine = mine[:: every if value < len(_EDGES) - 1 else 1]
        paths.append("".join(f"M{a} {-b}l{c - a} {b - d}" for a, b, c, d in mine.tolist()).replace(" -", "-"))
    return paths


def load_graph(load: Load) -> str:
    """Engagement, power and bending over the length of the path, the highest of each stretch."""
    strips = [("engagement", "deg", np.degrees(load.arc))]
    if load.power is not None and load.bending is not None:
        strips += [("power", "W", load.power), ("bending", "um", load.bending * UM_PER_MM)]
    reached = np.cumsum(load.length)
    bins = np.minimum((reached / reached[-1] * _BINS).astype(np.int64), _BINS - 1)
    body = ""
    for number, (name, unit, values) in enumerate(strips):
        body += _strip(values, bins=bins, name=name, unit=unit, top=number * (_HIGH + _GAP) + 3.0)
    low = len(strips) * (_HIGH + _GAP) + 3.0
    body += words("0", at=(_LEFT, -low), size=2.6, colour=FAINT, anchor="start")
    body += words(
        f"{reached[-1] / 1000.0:.3g} m of path", at=(_LEFT + _WIDE, -low), size=2.6, colour=FAINT, anchor="end"
    )
    said = "Engagement, power and bending along the path."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {coordinate(_LEFT + _WIDE + 3)} {coordinate(low + 4)}" '
        f'role="img" aria-label="{said}" font-family="Arial, Helvetica, sans-serif">{body}</svg>'
    )


def _strip(values: NDArray[np.float64], *, bins: NDArray[np.int64], name: str, unit: str, top: Mm) -> str:
    """One graph: the highest value of each stretch of path as a filled step line, its scale and its peak."""
    highest = np.zeros(_BINS)
    np.maximum.at(highest, bins, values)
    most = _round_up(float(highest.max()))
    heights = np.rint(highest / most * _HIGH * 10.0) / 10.0
    wide = _WIDE / _BINS
    path = "".join(f"V{coordinate(top + _HIGH - height)}h{wide:.4g}" for height in heights.tolist())
    low = coordinate(top + _HIGH)
    text = (
        f'<path d="M{coordinate(_LEFT)} {low}{path}V{low}Z" fill="{LOADS[1]}" fill-opacity="0.55" stroke="{LOADS[2]}" '
        f'stroke-width="0.25"/><path d="M{coordinate(_LEFT)} {coordinate(top)}V{low}H{coordinate(_LEFT + _WIDE)}" '
        f'fill="none" stroke="{HAIR}" stroke-width="0.3"/>'
    )
    text += words(
        f"{most:g} {unit}".replace("um", "µm"), at=(_LEFT - 1, -top - 1), size=2.6, colour=FAINT, anchor="end"
    )
    text += words("0", at=(_LEFT - 1, -top - _HIGH), size=2.6, colour=FAINT, anchor="end")
    said = f"{name}, at most {values.max():.0f} {unit}".replace(" um", " µm")
    return text + words(escape(said), at=(_LEFT + 1, -top + 1.4), size=2.8, colour=INK, anchor="start")


def _round_up(value: float) -> float:
    """The next of 1, 1.5, 2, 3, 5, 8 times a power of ten."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(share * power for share in (1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 10.0) if share * power >= value - 1e-9)


def load_key() -> Sequence[tuple[str, str]]:
    """Each tone and what it stands for."""
    ends = (*_EDGES[1:], 180.0)
    return [(tone, f"{low:g} to {high:g}°") for tone, low, high in zip(LOADS, _EDGES, ends, strict=True)]
