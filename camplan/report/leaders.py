"""Numbered balloons beside the plate, each with a leader line to its feature."""

from dataclasses import dataclass

import numpy as np

from camplan.features.records import Feature
from camplan.units import Mm

_ALIKE = 0.02
"""Sides whose distances differ by less than this share of the picture are alike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balloon:
    """A number ``at`` its place in the margin, and where its leader points ``to``."""

    number: int
    at: tuple[Mm, Mm]
    to: tuple[Mm, Mm]


def balloons(
    features: tuple[Feature, ...],
    *,
    numbers: dict[str, int],
    left: Mm,
    right: Mm,
    low: Mm,
    high: Mm,
    gap: Mm,
) -> tuple[Balloon, ...]:
    """A balloon for each feature, as far as there is room, in two columns at x ``left`` and ``right``, ``gap`` apart.

    Each goes to the side that its feature is nearer to, or where fewer are if both are alike.  Leaders of a side do not
    cross: they keep the order of what they point to.
    """
    middle = (left + right) / 2.0
    room = max(int((high - low) / gap + 1e-9), 0) + 1
    sides: dict[Mm, list[tuple[tuple[Mm, Mm], int]]] = {left: [], right: []}
    for feature in features:
        places = _places(feature)
        if not len(places):
            continue
        nearer = (right - float(places[:, 0].max())) - (float(places[:, 0].min()) - left)
        if abs(nearer) <= _ALIKE * (right - left):
            nearer = len(sides[right]) - len(sides[left])
        side, other = (left, right) if nearer >= 0.0 else (right, left)
        if len(sides[side]) == room:
            side = other
        if len(sides[side]) == room:
            continue
        nearest = places[np.argmin(np.abs(places[:, 0] - side) + 0.05 * np.abs(places[:, 1] - middle))]
        sides[side].append(((float(nearest[0]), float(nearest[1])), numbers[feature.spec.name]))
    made: list[Balloon] = []
    for side, wanted in sides.items():
        wanted.sort(key=lambda item: (item[0][1], item[1]))
        heights = _spaced([point[1] for point, _ in wanted], low=low, high=high, gap=gap)
        made += [
            Balloon(number=number, at=(side, y), to=point) for (point, number), y in zip(wanted, heights, strict=True)
        ]
    return tuple(made)


def _places(feature: Feature) -> np.ndarray:
    """Points of a feature that a leader may point to."""
    if feature.circles:
        return np.array([(x, y) for x, y, _ in feature.circles])
    chains = [region.outer.points for region in feature.regions] + [line.points for line in feature.lines]
    return np.vstack(chains) if chains else np.zeros((0, 2))


def _spaced(heights: list[Mm], *, low: Mm, high: Mm, gap: Mm) -> list[Mm]:
    """Rising heights, few enough to have room, moved apart to at least ``gap`` between ``low`` and ``high``."""
    placed: list[Mm] = []
    for height in heights:
        placed.append(max(height, placed[-1] + gap) if placed else max(height, low))
    ceiling = high
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], ceiling)
        ceiling = placed[index] - gap
    return placed
