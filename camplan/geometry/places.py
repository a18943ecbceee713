"""Points and lengths as they are said to people, in mm, never with a negative zero."""

from collections.abc import Iterable

from camplan.units import Mm

_SHOWN = 3


def millimetres(value: Mm, *, places: int = 3) -> str:
    """A length with that many decimals, its zero without a sign."""
    return f"{round(float(value), places) + 0.0:.{places}f}"


def place(point: Iterable[Mm]) -> str:
    """``(x, y)`` to the micron."""
    x, y = point
    return f"({millimetres(x)}, {millimetres(y)})"


def by_axes(point: Iterable[Mm], *, places: int = 3) -> str:
    """``X1.000 Y2.000``, with ``Z`` where the point has a height."""
    return " ".join(f"{letter}{millimetres(value, places=places)}" for letter, value in zip("XYZ", point, strict=False))


def listed(points: Iterable[Iterable[Mm]]) -> str:
    """The first few points, and how many more there are."""
    said = [place(point) for point in points]
    shown = ", ".join(said[:_SHOWN])
    return shown if len(said) <= _SHOWN else f"{shown} and {len(said) - _SHOWN} more"
