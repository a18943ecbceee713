"""Points as they are said to people: (x, y) in mm to the micron."""

from collections.abc import Iterable

from camplan.units import Mm

_SHOWN = 3


def place(point: Iterable[Mm]) -> str:
    """``(x, y)``, never with a negative zero."""
    x, y = point
    return f"({round(float(x), 3) + 0.0:.3f}, {round(float(y), 3) + 0.0:.3f})"


def listed(points: Iterable[Iterable[Mm]]) -> str:
    """The first few points, and how many more there are."""
    said = [place(point) for point in points]
    shown = ", ".join(said[:_SHOWN])
    return shown if len(said) <= _SHOWN else f"{shown} and {len(said) - _SHOWN} more"
