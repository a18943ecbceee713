"""A second reader of programs and a second measure of gouges, which know nothing of camplan.

Absolute mm, G0 to G3 in XY, arcs by I and J (NISTIR 6556 sections 3.5.1 to 3.5.3): all that the programs under test
hold.  A flat cutter of radius r cuts nothing beyond a figure if its centre keeps r away from the figure's edge; so what
it gouges at a place is how far the place is from the figure shrunk by r, or from the floor, whichever is less to mend.
"""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

WORD = re.compile(r"([A-Z])(-?[0-9.]+)")
CLOSES_MM = 0.002  # by how much an arc's two radii may differ: NISTIR 6556 section 3.5.3.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One motion: its 1-based line, its G code, and places 0.1 mm apart, as (n, 3)."""

    line: int
    mode: int
    path: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A program with one thing changed at a 1-based line; ``was`` and ``now`` are for the message of a test."""

    line: int
    was: str
    now: str
    lines: tuple[str, ...]


def words(line: str) -> list[tuple[str, float]]:
    return [(letter, float(value)) for letter, value in WORD.findall(re.sub(r"\(.*?\)", "", line))]


def modes(lines: Sequence[str]) -> list[int | None]:
    """The motion (0 to 3) in force after each line."""
    mode: int | None = None
    found = []
    for line in lines:
        said = [int(value) for letter, value in words(line) if letter == "G" and value in (0, 1, 2, 3)]
        mode = said[-1] if said else mode
        found.append(mode)
    return found


def steps(lines: Sequence[str]) -> tuple[list[Step], list[int]]:
    """The motions, and the lines of arcs that do not close."""
    at = np.full(3, np.nan)
    found: list[Step] = []
    broken: list[int] = []
    for number, (line, mode) in enumerate(zip(lines, modes(lines), strict=True), start=1):
        said = dict(words(line))
        if not said.keys() & set("XYZIJ") or mode is None:
            continue
        goal = np.array([said.get(axis, value) for axis, value in zip("XYZ", at, strict=True)])
        path = _arc(at, goal, said=said, clockwise=mode == 2) if mode in (2, 3) else _line(at, goal)
        if path is None:
            broken.append(number)
        elif not np.isnan(path).any():
            found.append(Step(line=number, mode=mode, path=path))
        at = goal
    return found, broken


def _line(at: Any, goal: Any) -> Any:
    start = np.where(np.isnan(at), goal, at)
    if np.isnan(start).any():
        return start[None, :]
    count = max(2, math.ceil(float(np.linalg.norm(goal - start)) / 0.1) + 1)
    return start + np.linspace(0.0, 1.0, count)[:, None] * (goal - start)


def _arc(at: Any, goal: Any, *, said: dict[str, float], clockwise: bool) -> Any:
    i, j = said.get("I", 0.0), said.get("J", 0.0)
    centre = at[:2] + np.array([i, j])
    radius, other = math.hypot(i, j), math.hypot(*(goal[:2] - centre))
    if radius == 0.0 or not abs(radius - other) <= CLOSES_MM:
        return None
    begin = math.atan2(-j, -i)
    end = math.atan2(goal[1] - centre[1], goal[0] - centre[0])
    full = bool(np.allclose(at[:2], goal[:2], atol=1e-9, rtol=0.0))
    turn = math.tau if full else ((begin - end) % math.tau if clockwise else (end - begin) % math.tau)
    share = np.linspace(0.0, 1.0, max(3, math.ceil(turn * radius / 0.1) + 1))
    angle = begin + (-turn if clockwise else turn) * share
    away = radius + (other - radius) * share
    return np.column_stack(
        [
            centre[0] + away * np.cos(angle),
            centre[1] + away * np.sin(angle),
            at[2] + (goal[2] - at[2]) * share,
        ]
    )


def gouges(found: Sequence[Step], *, figure: Any, depth: float, radius: float) -> dict[int, float]:
    """By line, how far in mm a flat cutter goes beyond a figure with upright walls and a floor at ``depth``."""
    room = figure.buffer(-radius + 1e-9, quad_segs=128)
    shapely.prepare(room)
    worst: dict[int, float] = {}
    for step in found:
        low = step.path[step.path[:, 2] < -1e-9]
        if len(low):
            aside = shapely.distance(shapely.points(low[:, :2]), room)
            beyond = np.minimum(-low[:, 2], np.maximum(aside, -low[:, 2] - depth))
            worst[step.line] = float(beyond.max())
    return worst


def number(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def moved(lines: Sequence[str], *, axis: str, by: float) -> Iterator[Edit]:
    """Each word of an axis moved, one at a time."""
    for place, line in enumerate(lines):
        said = dict(words(line))
        if axis in said and "(" not in line:
            yield _edit(lines, place, re.sub(axis + r"-?[0-9.]+", axis + number(said[axis] + by), line))


def turned(lines: Sequence[str]) -> Iterator[Edit]:
    """Each arc made to turn the other way, one at a time; the lines behind it keep their direction."""
    for place, (line, mode) in enumerate(zip(lines, modes(lines), strict=True)):
        if mode in (2, 3) and {"I", "J"} & dict(words(line)).keys():
            other = f"G{5 - mode} " + re.sub(r"^G[23] ", "", line)
            yield _edit(lines, place, other, mode=mode)


def mirrored(lines: Sequence[str]) -> Iterator[Edit]:
    """Each arc with its centre mirrored over its chord, one at a time: it still closes, but bends the other way."""
    at = np.full(2, np.nan)
    for place, (line, mode) in enumerate(zip(lines, modes(lines), strict=True)):
        said = dict(words(line))
        goal = np.array([said.get(axis, value) for axis, value in zip("XY", at, strict=True)])
        if mode in (2, 3) and {"I", "J"} & said.keys():
            chord = goal - at
            length = float(chord @ chord)
            centre = np.array([said.get("I", 0.0), said.get("J", 0.0)])
            if length > 1e-6:
                other = 2.0 * float(centre @ chord) / length * chord - centre
                if float(np.hypot(*(other - centre))) > 0.1:
                    text = re.sub(r" [IJ]-?[0-9.]+", "", line)
                    way, space, feed = text.partition(" F")
                    bent = f"{way} I{number(other[0])} J{number(other[1])}{space}{feed}"
                    yield _edit(lines, place, bent)
        at = goal


def straightened(lines: Sequence[str]) -> Iterator[Edit]:
    """Each arc made a straight line, one at a time."""
    for place, (line, mode) in enumerate(zip(lines, modes(lines), strict=True)):
        if mode in (2, 3) and {"I", "J"} & dict(words(line)).keys():
            straight = "G1 " + re.sub(r" [IJ]-?[0-9.]+", "", re.sub(r"^G[23] ", "", line))
            yield _edit(lines, place, straight, mode=mode)


def lost(lines: Sequence[str]) -> Iterator[Edit]:
    """Each line that moves an axis lost, one at a time."""
    for place, line in enumerate(lines):
        if {"X", "Y", "Z"} & dict(words(line)).keys() and "(" not in line:
            yield Edit(line=place + 1, was=line, now="", lines=(*lines[:place], *lines[place + 1 :]))


def _edit(lines: Sequence[str], place: int, line: str, *, mode: int | None = None) -> Edit:
    """One line replaced; with ``mode``, the next line says again the motion that was in force."""
    rest = list(lines[place + 1 :])
    if mode is not None and rest and not re.match(r"[GM(]", rest[0]):
        rest[0] = f"G{mode} {rest[0]}"
    return Edit(line=place + 1, was=lines[place], now=line, lines=(*lines[:place], line, *rest))
