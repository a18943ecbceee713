"""Step-downs: a depth divided evenly, never above what the cutter bears."""

import math

from camplan.units import Mm


def even_levels(top: Mm, *, bottom: Mm, step_down: Mm) -> tuple[Mm, ...]:
    """Heights from below ``top`` down to ``bottom``, evenly spaced by at most ``step_down``; all z, top > bottom."""
    count = max(math.ceil((top - bottom) / step_down - 1e-9), 1)
    return (*(top + (bottom - top) * number / count for number in range(1, count)), bottom)


def with_level(levels: tuple[Mm, ...], *, at: Mm) -> tuple[Mm, ...]:
    """The levels with one more at a height, if it lies between them and is not there yet."""
    if any(abs(level - at) < 1e-9 for level in levels) or not levels or at < levels[-1]:
        return levels
    return tuple(sorted((*levels, at), reverse=True))
