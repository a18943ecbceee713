"""The quick way for lines that hold nothing but words for place, centre and feed under ordinary modes."""

import math
import re

from camplan.moves.records import Arc, Line, Move, Rapid
from camplan.rs274.arcs import ALMOST_CLOSED, ALMOST_NO_TURN
from camplan.rs274.modes import Modes
from camplan.tolerance import SAME_POINT
from camplan.units import Mm

_NUMBER = r"[+-]?(?:[0-9]{1,6}(?:\.[0-9]*)?|\.[0-9]+)"
MATCH = re.compile(
    r"(?:N[0-9]{1,5})?(?:G0?([0-3]))?" + "".join(f"(?:{letter}({_NUMBER}))?" for letter in "XYZIJF")
).fullmatch
"""The motion code, X, Y, Z, I, J and F of a line in upper case without blanks, in this order, each once or not."""


def ran_plain(found: re.Match[str], *, modes: Modes, moves: list[Move], arc_tolerance: Mm) -> bool:
    """Run a line under modes that are `Modes.plain`; False, and nothing done, if it needs a closer look."""
    code, x, y, z, i, j, f = found.groups()
    if x is None and y is None and z is None:
        return False
    motion = int(code) if code is not None else modes.motion
    unit = modes.unit
    feed = modes.feed if f is None else float(f) * unit
    ax, ay, az = modes.at
    ox, oy, oz = modes.offset if modes.absolute else modes.at
    to = (
        ax if x is None else float(x) * unit + ox,
        ay if y is None else float(y) * unit + oy,
        az if z is None else float(z) * unit + oz,
    )
    if motion == 0:
        if i is not None or j is not None or f is not None:
            return False
        moves.append(Rapid(to=to))
    elif not feed or feed < 0.0:
        return False
    elif motion == 1:
        if i is not None or j is not None:
            return False
        moves.append(Line(to=to, feed=feed))
    else:
        if (i is None and j is None) or (x is None and y is None):
            return False
        di = 0.0 if i is None else float(i) * unit
        dj = 0.0 if j is None else float(j) * unit
        cx, cy = ax + di, ay + dj
        near = math.hypot(di, dj)
        if near < SAME_POINT or abs(near - math.hypot(to[0] - cx, to[1] - cy)) > arc_tolerance:
            return False
        if (to[0], to[1]) != (ax, ay) and math.hypot(to[0] - ax, to[1] - ay) < ALMOST_CLOSED + near * ALMOST_NO_TURN:
            return False
        moves.append(Arc(to=to, centre=(cx, cy), clockwise=motion == 2, feed=feed))
    modes.motion, modes.feed, modes.at = motion, feed, to
    return True
