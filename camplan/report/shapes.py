"""The things of a picture as SVG elements: plate, features, clamps, zero, texts.

Elements are in mm with Y turned down for SVG: a point (x, y) of the plate stands at (x, -y).  Line widths are in
screen units whatever the zoom.
"""

from collections.abc import Sequence
from html import escape

import numpy as np

from camplan.features.records import Feature, Plate
from camplan.features.sections import may
from camplan.features.specs import Clamp, EdgeSpec, FaceSpec, GrooveSpec, HoleSpec, MarkSpec, OutlineSpec, PocketSpec
from camplan.geometry.chains import Chain, chain, tessellated
from camplan.operations import areas
from camplan.regions import Region
from camplan.report.style import CLAMP, CUT_AWAY, DATUM, FAINT, INK, LEFT, OTHER, PLATE
from camplan.report.tracks import Integers, straightened
from camplan.units import Mm

STEADY = 'vector-effect="non-scaling-stroke"'


def coordinate(value: float) -> str:
    """A coordinate with as many decimals as a picture can show."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def grid_path(lines: Sequence[Integers], *, closed: bool = False) -> str:
    """The ``d`` of a path through polylines on a grid, Y turned down, in relative steps."""
    parts: list[str] = []
    here = np.zeros(2, dtype=np.int64)
    for line in lines:
        first = (line[0] - here) * (1, -1)
        steps = (np.diff(line, axis=0) * (1, -1)).ravel().tolist()
        joined = " ".join(map(str, steps)).replace(" -", "-")
        parts.append(f"m{first[0]} {first[1]}l{joined}{'z' if closed else ''}".replace(" -", "-"))
        here = line[0] if closed else line[-1]
    return "".join(parts)


def on_grid(d: str, *, origin: tuple[Mm, Mm], step: Mm, look: str) -> str:
    """A path element of `grid_path`, moved and scaled from the grid to mm."""
    if not d:
        return ""
    move = f"translate({coordinate(origin[0])} {coordinate(-origin[1])}) scale({step:.6g})"
    return f'<path transform="{move}" d="{d}" {look} {STEADY}/>'


def plate_shape(plate: Plate, *, step: Mm) -> str:
    """The plate's outline, filled, and pale in it what was gone before: its widest and its deepest figure."""
    whole = _regions((plate.outline,), step=step, look=f'fill="{PLATE}" stroke="{INK}" stroke-width="1.6"')
    gone = f'fill="{OTHER}" fill-rule="evenodd" stroke="{FAINT}" stroke-width="1" stroke-dasharray="6 2"'
    ends = plate.existing[-1:] if len(plate.existing) < 2 else (plate.existing[-1], plate.existing[0])
    return whole + "".join(_regions(one.regions, step=step, look=gone) for one in ends)


def feature_shape(feature: Feature, *, step: Mm, here: bool, tone: str = CUT_AWAY) -> str:
    """A feature as seen from above, its floor in a ``tone``; pale and dashed unless it is cut ``here``."""
    fill = tone if here else OTHER
    line = INK if here else FAINT
    dashes = "" if here else ' stroke-dasharray="2 3"'
    look = f'fill="{fill}" fill-rule="evenodd" stroke="{line}" stroke-width="1"{dashes}'
    match feature.spec:
        case PocketSpec():
            return _regions(feature.regions, step=step, look=look)
        case OutlineSpec() | EdgeSpec():
            outline = f'fill="none" stroke="{line}" stroke-width="1.4"{dashes}'
            return _regions(feature.regions, step=step, look=outline)
        case FaceSpec():
            return _regions(feature.regions, step=step, look=f'fill="none" stroke="{FAINT}" stroke-dasharray="8 3 2 3"')
        case HoleSpec():
            widest_first = sorted(feature.circles, key=lambda circle: -circle[2])
            return "".join(_hole(x, y, diameter=diameter, look=look) for x, y, diameter in widest_first)
        case GrooveSpec() if feature.widening:
            rings = areas.of_section(may(feature, z=-feature.bottom))
            return _regions(tuple(Region(outer=chain(ring, closed=True)) for ring in rings), step=step, look=look)
        case GrooveSpec(width=width):
            return _groove(feature.lines, width=width, step=step, fill=fill, line=line)
        case MarkSpec():
            thin = f'fill="none" stroke="{line}" stroke-width="1"{dashes}'
            return _polylines(feature.lines, step=step, look=thin)


def feature_lines(feature: Feature, *, step: Mm, colour: str) -> str:
    """A feature as its edges alone in a ``colour``, to lie over another plate."""
    look = f'fill="none" stroke="{colour}" stroke-width="1.2"'
    edges = _regions(feature.regions, step=step, look=look) + _polylines(feature.lines, step=step, look=look)
    return edges + "".join(_hole(x, y, diameter=diameter, look=look) for x, y, diameter in feature.circles)


def plate_lines(plate: Plate, *, step: Mm, colour: str) -> str:
    """The plate's edge alone in a ``colour``."""
    return _regions((plate.outline,), step=step, look=f'fill="none" stroke="{colour}" stroke-width="1.6"')


def clamp_shape(clamp: Clamp) -> str:
    """A clamp as a crossed box."""
    x0, y0, x1, y1 = clamp.x, -clamp.y - clamp.length, clamp.x + clamp.width, -clamp.y
    a, b, c, d = (coordinate(value) for value in (x0, y0, x1, y1))
    return (
        f'<path d="M{a} {b}H{c}V{d}H{a}ZM{a} {b}L{c} {d}M{a} {d}L{c} {b}" fill="{CLAMP}" fill-opacity="0.28" '
        f'stroke="{INK}" stroke-width="1" {STEADY}/>'
    )


def zero_shape(*, size: Mm) -> str:
    """The zero of X and Y: a quartered disc with its two axes, ``size`` long."""
    r = coordinate(size * 0.3)
    tip, side, back = coordinate(size), coordinate(size * 0.09), coordinate(size * 0.78)
    quarters = f"M0 0V-{r}A{r} {r} 0 0 1 {r} 0ZM0 0V{r}A{r} {r} 0 0 1 -{r} 0Z"
    axes = f"M0 0H{back}M0 0V-{back}"
    heads = f"M{tip} 0L{back} {side}V-{side}ZM0 -{tip}L{side} -{back}H-{side}Z"
    return (
        f'<circle r="{r}" fill="#fff" stroke="{DATUM}" stroke-width="1.4" {STEADY}/>'
        f'<path d="{axes}" fill="none" stroke="{DATUM}" stroke-width="1.4" {STEADY}/>'
        f'<path d="{quarters}{heads}" fill="{DATUM}"/>'
        + words("X", at=(size * 1.25, -size * 0.02), size=size * 0.42, colour=DATUM)
        + words("Y", at=(0.0, size * 1.25), size=size * 0.42, colour=DATUM)
    )


def left_mark(at: tuple[Mm, Mm], *, letter: str, size: Mm) -> str:
    """A place where material is left: a cross in a ring, and its letter, or the letters of places all but one."""
    x, y = at[0], -at[1]
    r = size * 0.3
    a, b, c, d = (coordinate(value) for value in (x - r, y - r, x + r, y + r))
    ring = (
        f'<circle cx="{coordinate(x)}" cy="{coordinate(y)}" r="{coordinate(r * 1.5)}" fill="#fff" fill-opacity="0.7" '
        f'stroke="{LEFT}" stroke-width="1.6" {STEADY}/>'
    )
    cross = f'<path d="M{a} {b}L{c} {d}M{a} {d}L{c} {b}" stroke="{LEFT}" stroke-width="1.6" {STEADY}/>'
    beside = (at[0] + size * 0.55, at[1] - size * 0.05)
    return ring + cross + words(letter, at=beside, size=size, colour=LEFT, anchor="start")


def words(
    text: str, *, at: tuple[Mm, Mm], size: Mm, colour: str = INK, anchor: str = "middle", turned: bool = False
) -> str:
    """A text about its middle height, in a paper-white halo; ``turned`` reads from the right-hand side."""
    x, y = coordinate(at[0]), coordinate(-at[1])
    turn = f' transform="rotate(-90 {x} {y})"' if turned else ""
    return (
        f'<text x="{x}" y="{y}" dy="0.35em" font-size="{coordinate(size)}" fill="{colour}" text-anchor="{anchor}" '
        f'stroke="#fff" stroke-width="{coordinate(size * 0.22)}" stroke-linejoin="round" paint-order="stroke"{turn}>'
        f"{escape(text)}</text>"
    )


def _hole(x: Mm, y: Mm, *, diameter: Mm, look: str) -> str:
    arm = diameter * 0.5 + max(diameter * 0.2, 0.4)
    cx, cy, r = coordinate(x), coordinate(-y), coordinate(diameter / 2.0)
    cross = f"M{coordinate(x - arm)} {cy}H{coordinate(x + arm)}M{cx} {coordinate(-y - arm)}V{coordinate(-y + arm)}"
    return (
        f'<circle cx="{cx}" cy="{cy}" r="{r}" {look} {STEADY}/>'
        f'<path d="{cross}" stroke="{FAINT}" stroke-width="0.7" {STEADY}/>'
    )


def _groove(lines: tuple[Chain, ...], *, width: Mm, step: Mm, fill: str, line: str) -> str:
    rim = max(min(4.0 * step, width * 0.2), width * 0.02)
    d, origin = _grid(lines, step=step)
    if not d:
        return ""
    move = f"translate({coordinate(origin[0])} {coordinate(-origin[1])}) scale({step:.6g})"
    look = 'fill="none" stroke-linecap="round" stroke-linejoin="round"'
    return "".join(
        f'<path transform="{move}" d="{d}" {look} stroke="{colour}" stroke-width="{coordinate(wide / step)}"/>'
        for colour, wide in ((line, width), (fill, width - 2.0 * rim))
    )


def _polylines(lines: tuple[Chain, ...], *, step: Mm, look: str) -> str:
    d, origin = _grid(lines, step=step)
    return on_grid(d, origin=origin, step=step, look=look)


def _regions(regions: tuple[Region, ...], *, step: Mm, look: str) -> str:
    d, origin = _grid([path for region in regions for path in (region.outer, *region.islands)], step=step)
    return on_grid(d, origin=origin, step=step, look=look)


def _grid(chains: Sequence[Chain], *, step: Mm) -> tuple[str, tuple[Mm, Mm]]:
    """The path of chains, and the place of its first grid point; chains smaller than the grid are left out."""
    if not chains:
        return "", (0.0, 0.0)
    origin = (float(chains[0].points[0, 0]), float(chains[0].points[0, 1]))
    parts: list[str] = []
    here = np.zeros(2, dtype=np.int64)
    for path in chains:
        points = np.round((tessellated(path, chord=step * 0.5) - origin) / step).astype(np.int64)
        if path.closed:
            points = np.vstack((points, points[:1]))
        line = straightened([points])[0]
        if len(line) < 2 or not np.any(line != line[0]):
            continue
        parts.append(grid_path([line - here], closed=path.closed))
        here = line[0] if path.closed else line[-1]
    return "".join(parts), origin
