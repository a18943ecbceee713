"""The four walls that a figure has, seen from above, and one figure for each."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from camplan.units import Mm


class Side(StrEnum):
    """Where a wall stands: X runs to the right, Y to the back, away from the operator.

    Of a pocket its left wall bounds it where X is low; of an island or a part that stands the left wall is its own face
    where X is low."""

    LEFT = "left"
    RIGHT = "right"
    FRONT = "front"
    BACK = "back"

    @property
    def axis(self) -> int:
        """The axis that the wall faces along: 0 is X, 1 is Y."""
        return 0 if self in (Side.LEFT, Side.RIGHT) else 1

    @property
    def other(self) -> "Side":
        """The wall across from it."""
        return _ACROSS[self]


_ACROSS = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.FRONT: Side.BACK, Side.BACK: Side.FRONT}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """One figure for each wall, such as how far it is moved."""

    left: Mm = 0.0
    right: Mm = 0.0
    front: Mm = 0.0
    back: Mm = 0.0

    def at(self, side: Side) -> Mm:
        """The figure of a wall."""
        return {Side.LEFT: self.left, Side.RIGHT: self.right, Side.FRONT: self.front, Side.BACK: self.back}[side]

    def each(self, work: Callable[[Mm], Mm]) -> "Sides":
        """Every figure changed alike."""
        return Sides(left=work(self.left), right=work(self.right), front=work(self.front), back=work(self.back))

    def plus(self, other: "Sides", *, times: float = 1.0) -> "Sides":
        """With the other's figures, so many times, added."""
        return Sides(**{side.value: self.at(side) + times * other.at(side) for side in Side})

    def moved(self, side: Side, *, by: Mm) -> "Sides":
        """With something added to one wall's figure."""
        return replace(self, **{side.value: self.at(side) + by})

    def put(self, side: Side, *, to: Mm) -> "Sides":
        """With one wall's figure changed."""
        return replace(self, **{side.value: to})

    def turned(self) -> "Sides":
        """Each wall with the figure of the one across from it."""
        return Sides(left=self.right, right=self.left, front=self.back, back=self.front)

    @property
    def widths(self) -> tuple[Mm, Mm]:
        """By how much more X and Y measure where each wall is moved outward by its figure."""
        return self.left + self.right, self.front + self.back

    @property
    def even(self) -> bool:
        """Whether walls across from each other have the same figure."""
        return self == self.turned()

    def __iter__(self) -> Iterator[Mm]:
        return iter([self.left, self.right, self.front, self.back])


def both(*, x: Mm = 0.0, y: Mm = 0.0) -> Sides:
    """The same figure for both walls that face X, and for both that face Y."""
    return Sides(left=x, right=x, front=y, back=y)


def facing(axis: int) -> tuple[Side, Side]:
    """The two walls that face along an axis (0: X, 1: Y), the low one first."""
    return (Side.LEFT, Side.RIGHT) if axis == 0 else (Side.FRONT, Side.BACK)


def in_order(sides: Iterable[Side]) -> tuple[Side, ...]:
    """Each wall once, in the order in which walls are always named."""
    found = set(sides)
    return tuple(side for side in Side if side in found)
