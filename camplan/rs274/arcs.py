"""Arcs as the words say them: centres, what a dialect lets pass, and arcs outside XY as chords."""

import math
from dataclasses import dataclass, replace

from camplan import tolerance
from camplan.moves.records import Position
from camplan.rs274.dialects import Dialect
from camplan.rs274.expressions import BrokenError
from camplan.units import MM_PER_INCH, UM_PER_MM, Mm, Rad

AXES_OF_PLANE: dict[int, tuple[int, int, int]] = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}
"""First, second and normal axis: clockwise is seen from the normal's positive end (NISTIR 6556 §3.5.3)."""
INCH_TOLERANCE: Mm = 0.0002 * MM_PER_INCH
"""How far the radii may differ under G20 (NISTIR 6556 §3.5.3.2)."""
ALMOST_CLOSED: Mm = 1e-6
"""Ends closer than this, yet not the same, are a full turn to one controller and nothing to another."""
ALMOST_NO_TURN: Rad = 5e-7
"""Grbl 1.1h runs an arc that turns by no more than this as a full circle."""
WIDEST: Mm = 10_000.0
"""The largest radius of an arc outside XY that is read: its chords would be without number."""
_SUM: Mm = 1e-9
"""What adding up steps under G91 may leave between two names of one place."""
_NEAR_HALF = (math.radians(165.0), math.radians(195.0))
_NEAR_FULL = math.radians(345.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """An arc as its line says it, in mm: ``offsets`` by axis, None where no word stands; ``radius`` None without R."""

    clockwise: bool
    plane: int
    start: Position
    to: Position
    offsets: tuple[Mm | None, Mm | None, Mm | None]
    radius: Mm | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Centred:
    """The centre along the plane's first and second axis; ``caution`` says what is risky; ``mismatch`` what is wrong
    with the radii, so that no arc can be run."""

    centre: tuple[Mm, Mm]
    caution: str = ""
    mismatch: str = ""


def check_words(values: dict[str, float], *, plane: int, dialect: Dialect) -> None:
    """The rules on an arc's words (NISTIR 6556 §3.5.3); BrokenError where they do not hold."""
    first, second, normal = AXES_OF_PLANE[plane]
    letters = "IJK"[first], "IJK"[second]
    axes = "XYZ"[first], "XYZ"[second]
    by_offset = any(letter in values for letter in letters)
    if "IJK"[normal] in values:
        said = f"{'IJK'[normal]} has no place in an arc of G{plane} (NISTIR 6556 §3.5.3.2)"
        raise BrokenError(said, code="arc-words")
    if "R" in values and by_offset:
        raise BrokenError(f"R stands beside {' or '.join(letters)} (NISTIR 6556 §3.5.3)", code="arc-words")
    if "R" not in values and not by_offset:
        raise BrokenError(f"an arc needs {', '.join(letters)} or R (NISTIR 6556 §3.5.3)", code="arc-words")
    if not any(axis in values for axis in axes):
        said = f"an arc needs {' or '.join(axes)}, even if it is a full circle ({dialect.source})"
        raise BrokenError(said, code="arc-words")


def centred(turn: Turn, *, dialect: Dialect, granted: Mm) -> Centred:
    """The centre of an arc; ``granted`` is how far its two radii may differ."""
    if any(map(math.isnan, (*turn.start, *turn.to))):
        raise BrokenError("an arc begins or ends at a place that no line has said", code="unknown-start")
    first, second, _ = AXES_OF_PLANE[turn.plane]
    start, to = (turn.start[first], turn.start[second]), (turn.to[first], turn.to[second])
    gap = math.dist(start, to)
    if 0.0 < gap < ALMOST_CLOSED:
        said = "an arc ends almost where it starts: a full turn to one controller, nothing to another"
        raise BrokenError(said, code="arc-almost-closed")
    if turn.radius is not None:
        return _by_radius(start, to=to, gap=gap, radius=turn.radius, clockwise=turn.clockwise, granted=granted)
    i, j = turn.offsets[first] or 0.0, turn.offsets[second] or 0.0
    centre = (start[0] + i, start[1] + j)
    near, far = math.hypot(i, j), math.dist(centre, to)
    if near < tolerance.SAME_POINT:
        raise BrokenError("an arc without a radius: its centre is its start", code="arc-words")
    if dialect.name == "grbl":  # above 0.005 mm refused only if above 0.5 mm or 0.1 % of the radius
        granted = max(granted, min(0.5, 0.001 * near))
        turned = abs(swept_angle(start, to=to, centre=centre, clockwise=turn.clockwise))
        if turned <= ALMOST_NO_TURN:
            said = "an arc that turns by less than 5e-7 rad is run as a full circle (Grbl 1.1h)"
            raise BrokenError(said, code="arc-almost-closed")
    mismatch = ""
    if (off := abs(near - far)) > granted + 1e-9:
        mismatch = (
            f"the arc's radius is {near:.4f} mm where it starts and {far:.4f} mm where it ends: "
            f"{off * UM_PER_MM:.1f} um apart, {granted * UM_PER_MM:g} um are allowed "
            f"({'Grbl 1.1h' if dialect.name == 'grbl' else 'NISTIR 6556 §3.5.3.2'})"
        )
    return Centred(centre=centre, mismatch=mismatch)


def _by_radius(
    start: tuple[Mm, Mm], *, to: tuple[Mm, Mm], gap: Mm, radius: Mm, clockwise: bool, granted: Mm
) -> Centred:
    """The centre of an arc in radius format (NISTIR 6556 §3.5.3.1): R below 0 turns by more than half a circle."""
    if gap == 0.0:
        said = "an arc by R cannot end where it starts (NISTIR 6556 §3.5.3.1)"
        raise BrokenError(said, code="arc-words")
    size = abs(radius)
    middle = ((start[0] + to[0]) / 2.0, (start[1] + to[1]) / 2.0)
    if gap / 2.0 > size + granted:
        said = f"R {radius:g} mm is too small for ends {gap:.4f} mm apart (NISTIR 6556 §3.5.3.1)"
        return Centred(centre=middle, mismatch=said)
    rise = math.sqrt(max(size**2 - (gap / 2.0) ** 2, 0.0))
    left = (radius > 0.0) != clockwise
    side = (rise if left else -rise) / gap
    swept = 2.0 * math.asin(min(gap / 2.0 / size, 1.0))
    swept = swept if radius > 0.0 else 2.0 * math.pi - swept
    caution = ""
    if _NEAR_HALF[0] < swept < _NEAR_HALF[1] or swept > _NEAR_FULL:
        near = "half a turn, where" if swept < _NEAR_FULL else "a full turn, where"
        caution = (
            f"an arc by R that turns by {math.degrees(swept):.0f} degrees, near {near} a small error of its ends moves "
            "its centre far; up to 165 and from 195 to 345 degrees are good practice (NISTIR 6556 §3.5.3.1)"
        )
    centre = (middle[0] - (to[1] - start[1]) * side, middle[1] + (to[0] - start[0]) * side)
    return Centred(centre=centre, caution=caution)


def swept_angle(start: tuple[Mm, Mm], *, to: tuple[Mm, Mm], centre: tuple[Mm, Mm], clockwise: bool) -> Rad:
    """The angle of an arc with its sign; a full turn where it returns to its start."""
    a = (start[0] - centre[0], start[1] - centre[1])
    b = (to[0] - centre[0], to[1] - centre[1])
    if start == to:
        return -2.0 * math.pi if clockwise else 2.0 * math.pi
    angle = math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    if clockwise:
        return angle - 2.0 * math.pi if angle > 0.0 else angle
    return angle + 2.0 * math.pi if angle < 0.0 else angle


def length_of(turn: Turn, *, centre: tuple[Mm, Mm]) -> Mm:
    """The length along the arc or helix (NISTIR 6556 §2.1.2.5: along the helix itself)."""
    first, second, normal = AXES_OF_PLANE[turn.plane]
    start, to = (turn.start[first], turn.start[second]), (turn.to[first], turn.to[second])
    angle = swept_angle(start, to=to, centre=centre, clockwise=turn.clockwise)
    return math.hypot(angle * math.dist(start, centre), turn.to[normal] - turn.start[normal])


def closed(turn: Turn) -> Turn:
    """The turn, ended at its very start in its plane if only the last digits of a sum keep it from that."""
    first, second, _ = AXES_OF_PLANE[turn.plane]
    gap = math.hypot(turn.to[first] - turn.start[first], turn.to[second] - turn.start[second])
    if not 0.0 < gap < _SUM:
        return turn
    to = list(turn.to)
    to[first], to[second] = turn.start[first], turn.start[second]
    return replace(turn, to=(to[0], to[1], to[2]))


def chords_of(turn: Turn, *, centre: tuple[Mm, Mm]) -> list[Position]:
    """Ends of chords along an arc of any plane, within `camplan.tolerance.CHORD`, the last one its own end.

    BrokenError for an arc wider than `WIDEST`.
    """
    first, second, normal = AXES_OF_PLANE[turn.plane]
    start, to = (turn.start[first], turn.start[second]), (turn.to[first], turn.to[second])
    angle = swept_angle(start, to=to, centre=centre, clockwise=turn.clockwise)
    near, far = math.dist(start, centre), math.dist(to, centre)
    if max(near, far) > WIDEST:
        raise BrokenError(f"an arc of radius {near:g} mm in G{turn.plane} is beyond any machine", code="bad-number")
    step = 2.0 * math.acos(max(1.0 - tolerance.CHORD / max(near, far, tolerance.CHORD), 0.0))
    count = max(math.ceil(abs(angle) / step - 1e-9), 1)
    begun = math.atan2(start[1] - centre[1], start[0] - centre[0])
    points: list[Position] = []
    for number in range(1, count):
        part = number / count
        reach = near + (far - near) * part
        place = [0.0, 0.0, 0.0]
        place[first] = centre[0] + reach * math.cos(begun + angle * part)
        place[second] = centre[1] + reach * math.sin(begun + angle * part)
        place[normal] = turn.start[normal] + (turn.to[normal] - turn.start[normal]) * part
        points.append((place[0], place[1], place[2]))
    return [*points, turn.to]
