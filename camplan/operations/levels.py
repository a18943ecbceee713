"""Step-downs: a depth divided evenly, never above what the cutter bears."""

import math

from camplan.units import Mm


def even_levels(top: Mm, *, bottom: Mm, step_down: Mm) -> tuple[Mm, ...]:
    """Heights from below ``top`` down to ``bottom``, evenly spaced by at most ``step_down``; all z, top > bottom."""
    count = max(math.ceil((top - bottom) / step_down - 1e-9), 1)
    return (*(top + (bottom - top) * number / count for number in range(1, count)), bottom)
