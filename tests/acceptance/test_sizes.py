"""What programs cut, measured by other means than camplan's: a small reader of the text, shapely and plane geometry.

Areas of circles, rings and rounded rectangles are those of any handbook: pi r^2, pi (R^2 - r^2),
a b - (4 - pi) r^2.
"""

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import shapely

Place = tuple[float, float]

WORD = re.compile(r"([A-Z])(-?[0-9.]+)")


def floor_of(program: Path, *, radius: float, z: float, first: int, last: int) -> Any:
    """The figure that a flat cutter sweeps at the height ``z`` on lines ``first`` to ``last``.

    Knows absolute mm, G0 to G3 in XY, arcs by I and J: all that these programs hold.
    """
    at = {"X": 0.0, "Y": 0.0, "Z": 0.0}
    mode = 0
    pieces = []
    for number, line in enumerate(program.read_text(encoding="ascii").splitlines(), start=1):
        words = [(letter, float(value)) for letter, value in WORD.findall(re.sub(r"\(.*?\)", "", line))]
        mode = next((int(value) for letter, value in words if letter == "G" and value in (0, 1, 2, 3)), mode)
        goal = {**at, **{letter: value for letter, value in words if letter in at}}
        if mode and first <= number <= last and abs(at["Z"] - z) < 1e-9 and abs(goal["Z"] - z) < 1e-9:
            offset = {letter: value for letter, value in words if letter in "IJ"}
            path = _arc(at, goal, offset=offset, clockwise=mode == 2) if offset else [_xy(at), _xy(goal)]
            if path[0] != path[-1] or len(path) > 2:
                pieces.append(shapely.LineString(path).buffer(radius, quad_segs=64))
        at = goal
    return shapely.union_all(pieces)


def _xy(at: dict[str, float]) -> Place:
    return (at["X"], at["Y"])


def _arc(at: dict[str, float], goal: dict[str, float], *, offset: dict[str, float], clockwise: bool) -> list[Place]:
    i, j = offset.get("I", 0.0), offset.get("J", 0.0)
    radius = math.hypot(i, j)
    begin = math.atan2(-j, -i)
    end = math.atan2(goal["Y"] - at["Y"] - j, goal["X"] - at["X"] - i)
    turn = -((begin - end) % math.tau or math.tau) if clockwise else (end - begin) % math.tau or math.tau
    steps = max(2, math.ceil(abs(turn) / 0.02))
    return [
        (
            at["X"] + i + radius * math.cos(begin + turn * step / steps),
            at["Y"] + j + radius * math.sin(begin + turn * step / steps),
        )
        for step in range(steps + 1)
    ]


def floor_cut(example: Any, *, feature: str) -> Any:
    """The figure at the floor of a pocket after all its operations."""
    document = example.document
    depth = next(one["depth_mm"] for one in document["features"] if one["name"] == feature)
    figures = [
        floor_of(
            example.folder / program["file"],
            radius=document["cutters"][program["cutter"]]["diameter_mm"] / 2.0,
            z=-depth,
            first=operation["first_line"],
            last=operation["last_line"],
        )
        for program in document["programs"]
        for operation in program["operations"]
        if operation["feature"] == feature
    ]
    return shapely.union_all(figures)


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> Any:
    return shapely.box(x0 + radius, y0 + radius, x1 - radius, y1 - radius).buffer(radius, quad_segs=64)


def test_a_rounded_pocket_is_cut_to_its_area(planned: Callable[[str], Any]) -> None:
    cut = floor_cut(planned("first"), feature="disc")
    wanted = rounded(21, 15, 59, 45, radius=2)
    assert cut.area == pytest.approx(38 * 30 - (4 - math.pi) * 2**2, rel=2e-4)
    assert cut.difference(wanted.buffer(0.004)).is_empty
    assert wanted.difference(cut.buffer(0.01)).is_empty


def test_a_ring_is_cut_to_its_area(planned: Callable[[str], Any]) -> None:
    """The back plate's zero is its centre, (60, 50) of the drawing; the seat's centre is (60, 82)."""
    cut = floor_cut(planned("back"), feature="seat")
    centre = shapely.Point(0, 32)
    wanted = centre.buffer(15, quad_segs=256).difference(centre.buffer(6, quad_segs=256))
    assert cut.area == pytest.approx(math.pi * (15**2 - 6**2), rel=2e-4)
    assert cut.difference(wanted.buffer(0.005)).is_empty
    assert wanted.difference(cut.buffer(0.01)).is_empty


def test_nothing_is_cut_beyond_the_nests_and_their_pins_stand(planned: Callable[[str], Any]) -> None:
    cut = floor_cut(planned("nest"), feature="nests")
    for left in (21, 59):
        pins = shapely.MultiPoint([(left + 9, 27), (left + 21, 43)]).buffer(2.1, quad_segs=256)
        wanted = rounded(left, 18, left + 30, 52, radius=1.1).difference(pins)
        part = cut.intersection(shapely.box(left - 2, 0, left + 32, 70))
        assert part.difference(wanted.buffer(0.005)).is_empty
        assert wanted.difference(part.buffer(0.01)).is_empty


def test_an_allowance_is_left_on_the_wall(planned: Callable[[str], Any]) -> None:
    """The relieved nest keeps 0.1 mm all round: its straight walls stand at 98.1, 127.9, 18.1 and 51.9."""
    cut = floor_cut(planned("nest"), feature="relieved nest")
    middle = cut.intersection(shapely.box(90, 30, 140, 32))
    assert middle.bounds[0] == pytest.approx(98.1, abs=0.005)
    assert middle.bounds[2] == pytest.approx(127.9, abs=0.005)
    across = cut.intersection(shapely.box(118, 0, 119, 70))
    assert across.bounds[1] == pytest.approx(18.1, abs=0.005)
    assert across.bounds[3] == pytest.approx(51.9, abs=0.005)


def test_holes_are_drilled_where_they_are_drawn(planned: Callable[[str], Any]) -> None:
    """The circles of ``SCREWS`` and ``DOWELS``, read from the drawing by their group codes (10, 20, 40)."""
    example = planned("cavity")
    pairs = iter((example.job.parent / "cavity.dxf").read_text(encoding="utf-8").splitlines())
    tags = [(code.strip(), value.strip()) for code, value in zip(pairs, pairs, strict=False)]
    drawn: dict[str, set[Place]] = {"DOWELS": set(), "SCREWS": set()}
    for place, tag in enumerate(tags):
        if tag == ("0", "CIRCLE"):
            end = next(further for further in range(place + 1, len(tags)) if tags[further][0] == "0")
            body = dict(tags[place + 1 : end])
            if body.get("8") in drawn:
                drawn[body["8"]].add((float(body["10"]), float(body["20"])))
    assert {layer: len(places) for layer, places in drawn.items()} == {"DOWELS": 3, "SCREWS": 4}
    for cutter, layer in (("drill-4.9", "DOWELS"), ("drill-4.2", "SCREWS")):
        program = next(one for one in example.document["programs"] if one["cutter"] == cutter)
        text = (example.folder / program["file"]).read_text(encoding="ascii")
        found = {(float(x), float(y)) for x, y in re.findall(r"G8[13] X(\S+) Y(\S+)", text)}
        assert found == drawn[layer]
