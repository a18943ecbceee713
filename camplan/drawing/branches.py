"""Runs that meet three or more at a vertex: loops taken where there is one way to, else left as they are."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from camplan.geometry.along import connected
from camplan.geometry.chains import Chain, backwards, signed_area
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """An open chain between two numbered vertices."""

    path: Chain
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Resolved:
    """Loops, what stays open, the branches that gave loops and those that could not be decided."""

    loops: tuple[Chain, ...]
    open: tuple[Chain, ...]
    taken: tuple[tuple[Mm, Mm], ...]
    left: tuple[tuple[Mm, Mm], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Loops:
    """Loops as lists of steps (2k: run k forwards, 2k + 1: backwards) and whether they were the only ones."""

    steps: tuple[tuple[int, ...], ...]
    certain: bool


def resolved(runs: Sequence[Run]) -> Resolved:
    """Runs sorted by the figures that they hang together in.

    In each figure tails with a loose end are set aside first.  What is left bounds faces of the plane; if no run
    lies between two of them, each face is a loop, and no other loops could have been meant.
    """
    loops: list[Chain] = []
    left_open: list[int] = []
    taken: list[tuple[Mm, Mm]] = []
    left: list[tuple[Mm, Mm]] = []
    for figure in _figures(runs):
        if len(figure) == 1 and runs[figure[0]].start != runs[figure[0]].end:
            left_open.extend(figure)
            continue
        found = _loops_of(runs, figure=figure)
        (taken if found.certain else left).extend(_branch_places(runs, figure=figure))
        used = {step >> 1 for steps in found.steps for step in steps}
        loops.extend(_closed([_way(runs, step=step) for step in steps]) for steps in found.steps)
        left_open.extend(number for number in figure if number not in used)
    return Resolved(
        loops=tuple(loops),
        open=tuple(runs[number].path for number in sorted(left_open)),
        taken=tuple(taken),
        left=tuple(left),
    )


def _figures(runs: Sequence[Run]) -> list[list[int]]:
    """Numbers of runs that hang together, in the order of the first of each."""
    parent: dict[int, int] = {}

    def root(vertex: int) -> int:
        while parent.setdefault(vertex, vertex) != vertex:
            parent[vertex] = vertex = parent[parent[vertex]]
        return vertex

    for run in runs:
        parent[root(run.start)] = root(run.end)
    figures: dict[int, list[int]] = {}
    for number, run in enumerate(runs):
        figures.setdefault(root(run.start), []).append(number)
    return list(figures.values())


def _loops_of(runs: Sequence[Run], *, figure: list[int]) -> _Loops:
    alone = [number for number in figure if runs[number].start == runs[number].end]
    rest = _without_tails(runs, figure=[number for number in figure if number not in set(alone)])
    steps: list[tuple[int, ...]] = [(2 * number,) for number in alone]
    faces = _faces(runs, figure=rest)
    face_of = {step: place for place, face in enumerate(faces) for step in face}
    inside = [signed_area(_closed([_way(runs, step=step) for step in face])) > 0.0 for face in faces]
    shared = any(
        face_of[2 * n] != face_of[2 * n + 1] and inside[face_of[2 * n]] and inside[face_of[2 * n + 1]] for n in rest
    )
    if shared:
        return _Loops(steps=tuple(steps), certain=False)
    for face, is_inside in zip(faces, inside, strict=True):
        # a run with the same face on both sides leads from one loop to another and bounds neither
        bound = [step for step in face if face_of[step] != face_of[step ^ 1]]
        if is_inside and len(bound) == len(face):
            steps.append(tuple(face))
    return _Loops(steps=tuple(steps), certain=True)


def _without_tails(runs: Sequence[Run], *, figure: list[int]) -> list[int]:
    """The runs that remain when those with an end that meets no other are taken away, again and again."""
    degree: dict[int, int] = {}
    at: dict[int, list[int]] = {}
    for number in figure:
        for vertex in (runs[number].start, runs[number].end):
            degree[vertex] = degree.get(vertex, 0) + 1
            at.setdefault(vertex, []).append(number)
    gone: set[int] = set()
    ends = [vertex for vertex, count in degree.items() if count == 1]
    while ends:
        vertex = ends.pop()
        for number in at[vertex]:
            if number in gone:
                continue
            gone.add(number)
            for tip in (runs[number].start, runs[number].end):
                degree[tip] -= 1
                if degree[tip] == 1:
                    ends.append(tip)
    return [number for number in figure if number not in gone]


def _faces(runs: Sequence[Run], *, figure: list[int]) -> list[list[int]]:
    """Every face of the plane as the steps around it, the face to their left."""
    leaving: dict[int, list[tuple[float, float, int]]] = {}
    for number in figure:
        for step in (2 * number, 2 * number + 1):
            path = _way(runs, step=step)
            leaving.setdefault(_tail(runs, step=step), []).append((*_departure(path), step))
    follows: dict[int, int] = {}
    for fan in leaving.values():
        fan.sort()
        for place, (_, _, step) in enumerate(fan):
            # arriving against ``step``, the sharpest turn to the left is its neighbour clockwise
            follows[step ^ 1] = fan[place - 1][2]
    faces: list[list[int]] = []
    seen: set[int] = set()
    for first in sorted(follows):
        face: list[int] = []
        step = first
        while step not in seen:
            seen.add(step)
            face.append(step)
            step = follows[step]
        if face:
            faces.append(face)
    return faces


def _tail(runs: Sequence[Run], *, step: int) -> int:
    return runs[step >> 1].end if step & 1 else runs[step >> 1].start


def _way(runs: Sequence[Run], *, step: int) -> Chain:
    path = runs[step >> 1].path
    return backwards(path) if step & 1 else path


def _departure(path: Chain) -> tuple[float, float]:
    """Direction and curvature in which a chain sets out; together they order chains around a vertex."""
    dx, dy = path.points[1] - path.points[0]
    bulge = float(path.bulges[0])
    heading = math.remainder(math.atan2(dy, dx) - 2.0 * math.atan(bulge), 2.0 * math.pi)
    curvature = 4.0 * bulge / (1.0 + bulge**2) / math.hypot(dx, dy)
    return round(heading, 6), curvature


def _closed(parts: list[Chain]) -> Chain:
    whole = connected(parts)
    return Chain(points=whole.points[:-1], bulges=whole.bulges, closed=True)


def _branch_places(runs: Sequence[Run], *, figure: list[int]) -> list[tuple[Mm, Mm]]:
    """The vertices of a figure where more than two ends meet."""
    tips: dict[int, list[np.ndarray]] = {}
    for number in figure:
        tips.setdefault(runs[number].start, []).append(runs[number].path.points[0])
        tips.setdefault(runs[number].end, []).append(runs[number].path.points[-1])
    return [(float(met[0][0]), float(met[0][1])) for met in tips.values() if len(met) > 2]
