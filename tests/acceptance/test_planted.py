"""Faults planted all over pocket, groove, bore and outline programs; a second reader says which of them gouge."""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from acceptance import shadow

HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["{cutter}"]

[plate]
thickness_mm = 8
outline = "PLATE"

[[feature]]
name = "cut"
layer = "CUT"
"""
EDGE = ("PLATE", [(0, 0), (60, 0), (60, 40), (0, 40)])
SURE = 0.006
"""A gouge in mm that leaves no doubt: the proof grants 2 um for chords, and places are looked at 0.1 mm apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A plate with one feature, its program, and what may be removed as drawn, by plane geometry."""

    job: Path
    program: Path
    lines: tuple[str, ...]
    figure: Any
    depth: float
    radius: float

    def gouges(self, lines: tuple[str, ...]) -> tuple[dict[int, float], list[int]]:
        """By line, the gouges that leave no doubt; and the lines of arcs that do not close."""
        found, broken = shadow.steps(lines)
        worst = shadow.gouges(found, figure=self.figure, depth=self.depth, radius=self.radius)
        return {line: depth for line, depth in worst.items() if depth > SURE}, broken


def rounded(x0: float, y0: float, x1: float, y1: float, *, radius: float) -> Any:
    return shapely.box(x0 + radius, y0 + radius, x1 - radius, y1 - radius).buffer(radius, quad_segs=256)


def bent() -> Any:
    """The groove's line: 20 straight, a quarter turn of radius 10 to the left, 10 straight, one of 6 to the right."""
    left = [(30 + 10 * math.sin(t), 20 - 10 * math.cos(t)) for t in np.linspace(0, math.pi / 2, 400)]
    right = [(46 - 6 * math.cos(t), 30 + 6 * math.sin(t)) for t in np.linspace(0, math.pi / 2, 400)]
    return shapely.LineString([(10, 10), *left, *right])


@pytest.fixture(scope="module")
def cuts(tmp_path_factory: pytest.TempPathFactory, plates: Any, run: Callable[..., Any]) -> dict[str, Cut]:
    ring = [plates.rounded(8, 6, 52, 34, radius=4), plates.rounded(24, 16, 36, 24, radius=2)]
    quarter = plates.QUARTER
    line = [(10, 10), (30, 10, quarter), (40, 20), (40, 30, -quarter), (46, 36)]
    part = plates.rounded(12, 8, 48, 32, radius=5)
    drawn: dict[str, tuple[str, str, dict[str, Any], Any, float]] = {
        "pocket": (
            "slot-6",
            'kind = "pocket"\ndepth_mm = 3\n',
            {"closed": [EDGE, *(("CUT", each) for each in ring)]},
            rounded(8, 6, 52, 34, radius=4) - rounded(24, 16, 36, 24, radius=2),
            3.0,
        ),
        "groove": (
            "slot-4",
            'kind = "groove"\nwidth_mm = 4\ndepth_mm = 2\n',
            {"closed": [EDGE], "open_": [("CUT", line)]},
            bent().buffer(2.0003, quad_segs=256),
            2.0,
        ),
        "bore": (
            "slot-6",
            'kind = "hole"\ndepth_mm = 6\n',
            {"closed": [EDGE], "circles": [("CUT", 30, 20, 9)]},
            shapely.Point(30, 20).buffer(4.5, quad_segs=512),
            6.0,
        ),
        # How wide the way round a part is, is the planner's to choose; that the part stays whole is not.
        "outline": (
            "slot-3",
            'kind = "outline"\ndepth_mm = 4\n',
            {"closed": [EDGE, ("CUT", part)]},
            shapely.box(-50, -50, 110, 90) - rounded(12, 8, 48, 32, radius=5),
            4.0,
        ),
    }
    found = {}
    for name, (cutter, feature, figures, figure, depth) in drawn.items():
        place = tmp_path_factory.mktemp(name)
        plates.drawn(place / "plate.dxf", **figures)
        job = plates.job(place, HEAD.format(cutter=cutter) + feature)
        ran = run("plan", job)
        assert (ran.code, ran.err) == (0, ""), ran.out
        program = place / "plate-out" / f"01-{cutter}.ngc"
        found[name] = Cut(
            job=job,
            program=program,
            lines=tuple(program.read_text(encoding="ascii").splitlines()),
            figure=figure,
            depth=depth,
            radius=float(cutter.removeprefix("slot-")) / 2.0,
        )
    return found


PROGRAMS = ("pocket", "groove", "bore", "outline")


def spread(edits: Iterator[Any], *, cut: Cut, most: int) -> list[Any]:
    """Up to ``most`` edits that gouge without doubt, or whose arc does not close, from all over the program."""
    every = list(edits)
    # Steps of the golden section go all over a range, and never twice to the same place.
    order = dict.fromkeys(int(len(every) * (turn * 0.6180339887498949 % 1.0)) for turn in range(1, 4 * len(every)))
    bad: list[Any] = []
    for place in order:
        if len(bad) < most and any(cut.gouges(every[place].lines)):
            bad.append(every[place])
    assert bad, f"none of {len(every)} edits does harm"
    return bad


def assert_caught(edit: Any, *, cut: Cut, run: Callable[..., Any], place: Path) -> None:
    """`check` ends with 3 and names the program and a line that does harm, and for a gouge the place."""
    program = place / cut.program.name
    program.write_text("\n".join(edit.lines) + "\n", encoding="ascii")
    ran = run("check", program, "--job", cut.job)
    what = f"line {edit.line}: {edit.was!r} -> {edit.now!r}\n{ran.out}{ran.err}"
    assert (ran.code, ran.err) == (3, ""), what
    assert "PROOF FAILED" in ran.out
    worst, broken = cut.gouges(edit.lines)
    said = " ".join(ran.out.split())
    unsafe = re.findall(r"unsafe (.*?) \[([a-z-]+)\]", said)
    lines = {int(found[1]) for message, _ in unsafe if (found := re.search(r"line (\d+):", message))}
    assert lines & {*worst, *broken}, what
    assert all(program.name in message for message, _ in unsafe), what
    gouging = [message for message, code in unsafe if code in ("gouge", "below-plate", "rapid-in-stock")]
    if worst and not broken:
        assert gouging, what
    # a line that cannot be read as it stands is read on as a straight cut: the two readers may differ on its way
    if not broken:
        # What is cut too much lies under the cutter on a way that gouges; several lines may cut one gouge together.
        ways = np.vstack([step.path for step in shadow.steps(edit.lines)[0] if step.line in worst])
        for message in gouging:
            if "more moves like these" not in message:
                found = re.search(r"at X(-?[0-9.]+) Y(-?[0-9.]+) Z-[0-9.]+", message)
                assert found is not None, message
                away = np.hypot(ways[:, 0] - float(found[1]), ways[:, 1] - float(found[2])).min()
                assert away <= cut.radius + 0.1, f"{what}\n{message}"


@pytest.mark.parametrize("name", PROGRAMS)
def test_the_second_reader_finds_nothing_wrong_with_what_is_planned(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any]
) -> None:
    cut = cuts[name]
    assert cut.gouges(cut.lines) == ({}, [])
    ran = run("check", cut.program, "--job", cut.job)
    assert (ran.code, ran.err) == (0, ""), ran.out


@pytest.mark.parametrize("name", PROGRAMS)
@pytest.mark.parametrize("by", [-0.02, -20.0])
def test_a_depth_that_is_deeper_is_caught_wherever_it_gouges(
    name: str, by: float, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.moved(cut.lines, axis="Z", by=by), cut=cut, most=2):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", PROGRAMS)
@pytest.mark.parametrize(("axis", "by"), [("X", 0.02), ("X", -3.0), ("Y", 0.5)])
def test_a_coordinate_that_is_moved_is_caught_wherever_it_gouges(
    name: str, axis: str, by: float, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.moved(cut.lines, axis=axis, by=by), cut=cut, most=2):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


# The arcs of a bore are half circles: turned the other way they sweep the other half of the same circle.
@pytest.mark.parametrize("name", ["pocket", "groove", "outline"])
def test_an_arc_turned_the_other_way_is_caught_wherever_it_gouges(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.turned(cut.lines), cut=cut, most=3):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", ["pocket", "groove", "outline"])
def test_an_arc_that_bends_the_other_way_is_caught_wherever_it_gouges(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.mirrored(cut.lines), cut=cut, most=2):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", PROGRAMS)
@pytest.mark.parametrize(("axis", "by"), [("I", 0.1)])
def test_an_arc_that_no_longer_closes_is_caught_at_its_line(
    name: str, axis: str, by: float, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    """NISTIR 6556 section 3.5.3.2: the radii at the two ends may differ by 0.002 mm."""
    cut = cuts[name]
    for edit in spread(shadow.moved(cut.lines, axis=axis, by=by), cut=cut, most=2):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", ["groove", "outline"])
def test_an_arc_made_straight_is_caught_wherever_it_gouges(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.straightened(cut.lines), cut=cut, most=2):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", PROGRAMS)
def test_a_line_that_is_lost_is_caught_wherever_its_loss_gouges(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    cut = cuts[name]
    for edit in spread(shadow.lost(cut.lines), cut=cut, most=3):
        assert_caught(edit, cut=cut, run=run, place=tmp_path)


@pytest.mark.parametrize("name", PROGRAMS)
def test_the_first_feed_is_asked_for_at_its_line(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    """NISTIR 6556 section 3.5.2: it is an error if G1 has no feed."""
    cut = cuts[name]
    place = next(place for place, line in enumerate(cut.lines) if " F" in line)
    without = re.sub(r" F\S+", "", cut.lines[place])
    program = tmp_path / cut.program.name
    program.write_text("\n".join([*cut.lines[:place], without, *cut.lines[place + 1 :]]) + "\n", encoding="ascii")
    ran = run("check", program, "--job", cut.job)
    assert ran.code == 3, ran.out
    assert f"line {place + 1}: G1 has no feed" in " ".join(ran.out.split()), ran.out


@pytest.mark.parametrize("name", PROGRAMS)
def test_the_first_way_down_at_rapid_is_caught(
    name: str, cuts: dict[str, Cut], run: Callable[..., Any], tmp_path: Path
) -> None:
    """The height above the plate is set below its top: the rapid goes into solid material there."""
    cut = cuts[name]
    place = next(place for place, line in enumerate(cut.lines) if re.fullmatch(r"Z0\.[0-9]+", line))
    assert shadow.modes(cut.lines)[place] == 0
    program = tmp_path / cut.program.name
    program.write_text("\n".join([*cut.lines[:place], "Z-0.3", *cut.lines[place + 1 :]]) + "\n", encoding="ascii")
    ran = run("check", program, "--job", cut.job)
    assert ran.code == 3, ran.out
    said = " ".join(ran.out.split())
    assert re.search(rf"unsafe \S+, line {place + 1}: rapid move through standing material, at X\S+ Y\S+ Z-", said), (
        said
    )
