"""Grooves whose floors fall: what the written text removes, against figures worked out by hand.

The removed figure at a depth is worked out here from the text alone: a flat cutter of radius r sweeps r to both sides
of that part of its way on which its tip is as deep.
"""

import itertools
import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import shapely
from acceptance import shadow
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

PLATE = [(0, 0), (90, 0), (90, 60), (0, 60)]
HEAD = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-4", "slot-3", "ball-4", "taper-2deg-3"]

[plate]
thickness_mm = 10
outline = "PLATE"
"""
RUNNER = """
[[feature]]
name = "runner"
kind = "groove"
layer = "RUNNER"
width_mm = 4
depth_mm = [2.5, 1.5]
"""
LINE = [(15, 30), (65, 30)]


def planned(folder: Path, plates: Any, run: Callable[..., Any], *, text: str, lines: Any = None) -> Any:
    drawn = [("RUNNER", LINE)] if lines is None else lines
    plates.drawn(folder / "plate.dxf", closed=[("PLATE", PLATE)], open_=drawn)
    return run("plan", plates.job(folder, HEAD + text))


def document(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    return found


def steps(folder: Path) -> list[tuple[Any, Any]]:
    """Each cutting motion with its cutter."""
    found = []
    plan = document(folder)
    for program in plan["programs"]:
        cutter = plan["cutters"].get(program["cutter"])
        lines = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8").splitlines()
        motions, broken = shadow.steps(lines)
        assert broken == []
        found += [(cutter, one.path) for one in motions if cutter is not None and one.mode != 0]
    return found


def shown(cutter: Any, height: float) -> float:
    """The radius of a cutter at a height above its tip: flat, ball r sin, taper (plane geometry)."""
    if cutter["kind"] == "ball":
        radius = cutter["diameter_mm"] / 2.0
        return radius if height >= radius else math.sqrt(max(height * (2.0 * radius - height), 0.0))
    return cutter["tip_diameter_mm"] / 2.0 + height * math.tan(math.radians(cutter["half_angle_deg"] or 0.0))


def removed(folder: Path, *, depth: float) -> Any:
    """What all programs remove at a depth: discs at places 0.1 mm apart, joined by hulls."""
    shapes = []
    for cutter, path in steps(folder):
        low = path[path[:, 2] <= -depth + 1e-9]
        discs = [
            shapely.Point(x, y).buffer(max(shown(cutter, -depth - z), 1e-6), quad_segs=48) for x, y, z in low.tolist()
        ]
        if len(discs) == 1:
            shapes += discs
        for one, other in itertools.pairwise(discs):
            shapes.append(shapely.union(one, other).convex_hull)
    return shapely.union_all(shapes)


def width_at(figure: Any, x: float) -> float:
    return float(figure.intersection(shapely.LineString([(x, 0), (x, 60)])).length)


def test_a_runner_holds_the_volume_of_its_wedge(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """A groove w wide and l long, from a to b deep, with half a disc at each end: w l (a + b) / 2 + pi w2 / 8 (a + b),
    the depth of an end's half disc being that of the end (solid geometry)."""
    ran = planned(tmp_path, plates, run, text=RUNNER)
    assert (ran.code, ran.err) == (0, ""), ran.out
    # the area is even down to 1.5 and falls evenly from there to 2.5, so Simpson's rule is exact
    top, middle, floor = (removed(tmp_path, depth=depth).area for depth in (1.499, 2.0, 2.5))
    volume = 1.5 * top + (top + 4.0 * middle + floor) / 6.0
    # behind the deep end half a disc at 2.5; the half disc ahead of the tip shares the depth of the place behind it,
    # so along the slope each depth ends in a half disc of its own, and so does the shallow end
    half = math.pi * 4.0 / 2.0
    assert volume == pytest.approx(4.0 * 50.0 * 2.0 + half * 2.5 + half * 2.5, rel=2e-3)


@pytest.mark.parametrize("depth", [0.4, 1.4, 1.75, 2.0, 2.4])
def test_a_runner_is_as_long_at_each_depth_as_its_floor_is_deep(
    depth: float, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, text=RUNNER)
    assert ran.code == 0, ran.out
    x0, y0, x1, y1 = removed(tmp_path, depth=depth).bounds
    end = 65.0 if depth <= 1.5 else 15.0 + 50.0 * (2.5 - depth)
    assert (x0, y0, y1) == pytest.approx((13.0, 28.0, 32.0), abs=0.003)
    assert x1 == pytest.approx(end + 2.0, abs=0.11)  # places 0.1 mm apart


@pytest.mark.parametrize("station", [20.0, 35.0, 50.0])
def test_a_round_runner_has_the_segment_of_a_circle_at_every_station(
    station: float, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Balls whose middles fall by the angle a fill an ellipse of half axes r and r / cos a upright across (solid
    geometry); chord 2 sqrt(r2 - (h cos a)2), h from the middle."""
    ran = planned(tmp_path, plates, run, text=RUNNER.replace("[2.5, 1.5]", '[3, 1]\nsection = "round"'))
    assert (ran.code, ran.err) == (0, ""), ran.out
    middle = 3.0 - 2.0 * (station - 15.0) / 50.0 - 2.0
    up = math.cos(math.atan(2.0 / 50.0))
    for depth in (middle + 0.3, middle + 1.0, middle + 1.7):
        if depth > 0.02:
            chord = 2.0 * math.sqrt(4.0 - ((depth - middle) * up) ** 2)
            assert width_at(removed(tmp_path, depth=depth), station) == pytest.approx(chord, abs=0.003)


TRAPEZOID = RUNNER.replace("width_mm = 4\n", 'width_mm = 3.1397\nsection = "trapezoid"\ndraft_deg = 2\n')


@pytest.mark.parametrize("station", [20.0, 40.0, 60.0])
def test_a_trapezoid_runner_is_as_wide_at_its_top_as_it_is_deep(
    station: float, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Floor 3 mm, sides of 2 degrees: 3 + 2 h tan 2 (plane geometry); a taper's flanks on a slope touch the plane whose
    trace at a level is as wide: at the place itself or, wider by the lean, not more than 1 um elsewhere."""
    text = TRAPEZOID.replace("[2.5, 1.5]", "[2, 1]")
    ran = planned(tmp_path, plates, run, text=text)
    assert (ran.code, ran.err) == (0, ""), ran.out
    deep = 2.0 - (station - 15.0) / 50.0
    for depth in (0.001, deep / 2.0, deep - 0.05):
        wide = 3.0 + 2.0 * (deep - depth) * math.tan(math.radians(2.0))
        assert width_at(removed(tmp_path, depth=depth), station) == pytest.approx(wide, abs=0.003)


def test_a_level_trapezoid_holds_the_volume_of_the_prismoidal_formula(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """h (A0 + 4 Am + A1) / 6 is exact for sides that lean evenly; closed form w l h of the mean width and the cone of
    both ends pi h (R2 + R r + r2) / 3 (solid geometry)."""
    ran = planned(tmp_path, plates, run, text=TRAPEZOID.replace("[2.5, 1.5]", "2"))
    assert (ran.code, ran.err) == (0, ""), ran.out
    top, middle, floor = (removed(tmp_path, depth=depth).area for depth in (0.0, 1.0, 2.0))
    wide = 1.5 + 2.0 * math.tan(math.radians(2.0))
    whole = 50.0 * 2.0 * (1.5 + wide) + math.pi * 2.0 * (wide**2 + wide * 1.5 + 1.5**2) / 3.0
    assert 2.0 * (top + 4.0 * middle + floor) / 6.0 == pytest.approx(whole, rel=1e-3)


def test_branches_share_the_depth_of_their_joint_and_all_ends_have_one(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    lines = [("RUNNER", [(15, 30), (40, 30)]), ("RUNNER", [(40, 30), (60, 45)]), ("RUNNER", [(40, 30), (60, 15)])]
    ran = planned(tmp_path, plates, run, text=RUNNER + "deepest_at = [15, 31]\n", lines=lines)
    assert (ran.code, ran.err) == (0, ""), ran.out
    (feature,) = document(tmp_path)["features"]
    joint = 2.5 - 25.0 / 50.0
    ends = {(x, y): depth for line in feature["floors_mm"] for x, y, depth in (line[0], line[-1])}
    assert ends == {(15, 30): 2.5, (40, 30): joint, (60, 45): 1.5, (60, 15): 1.5}
    assert document(tmp_path)["proof"]["left_area_mm2"] == 0.0


def test_arcs_of_the_line_are_cut_as_helical_arcs(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    lines = [("RUNNER", [(15, 15, 0), (40, 15, plates.QUARTER), (50, 25, 0), (50, 45, 0)])]
    ran = planned(tmp_path, plates, run, text=RUNNER, lines=lines)
    assert (ran.code, ran.err) == (0, ""), ran.out
    text = "".join(path.read_text() for path in (tmp_path / "plate-out").glob("*slot-4*"))
    assert re.search(r"^G[23] X\S+ Y\S+ Z-\S+ I", text, flags=re.MULTILINE)


@pytest.mark.parametrize("section", ["square", "round", "trapezoid"])
def test_a_ramp_twenty_micrometres_too_deep_is_refused(
    section: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    text = {"square": RUNNER, "round": RUNNER + 'section = "round"\n', "trapezoid": TRAPEZOID}[section]
    ran = planned(tmp_path, plates, run, text=text if section != "trapezoid" else text.replace("[2.5, 1.5]", "[2, 1]"))
    assert ran.code == 0, ran.out
    (program,) = (path for path in (tmp_path / "plate-out").glob("01-*.ngc"))
    lines = program.read_text().splitlines()
    last = max(number for number, line in enumerate(lines) if re.search(r"Z-\d", line))
    deep = re.sub(r"Z-([0-9.]+)", lambda found: f"Z-{float(found[1]) + 0.02:.4f}", lines[last])
    edited = tmp_path / "edited.ngc"
    edited.write_text("\n".join([*lines[:last], deep, *lines[last + 1 :]]) + "\n")
    checked = run("check", edited, "--job", tmp_path / "plate.toml")
    assert checked.code == 3, checked.out
    (cut,) = re.findall(rf"line {last + 1}: cuts ([0-9.]+) um into", " ".join(checked.out.split()))
    assert 12.0 < float(cut) < 40.0
    assert "[gouge]" in checked.out
    assert run("check", program, "--job", tmp_path / "plate.toml").code == 0


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(st.tuples(st.floats(6.0, 14.0), st.floats(-0.9, 0.9)), min_size=1, max_size=4),
    depths=st.tuples(st.floats(0.6, 3.0), st.floats(0.6, 3.0)),
    section=st.sampled_from(["square", "round"]),
)
def test_along_any_line_nothing_is_gouged_and_nothing_is_left(
    steps: list[tuple[float, float]],
    depths: tuple[float, float],
    section: str,
    plates: Any,
    run: Callable[..., Any],
    tmp_path: Path,
) -> None:
    points, heading = [(15.0, 30.0)], 0.0
    for size, turn in steps:
        heading += turn
        points.append((points[-1][0] + size * math.cos(heading), points[-1][1] + size * math.sin(heading)))
    line = shapely.LineString(points)
    assume(line.is_simple and shapely.box(4, 4, 86, 56).contains(line))
    text = RUNNER.replace("[2.5, 1.5]", f'[{depths[0]:.3f}, {depths[1]:.3f}]\nsection = "{section}"')
    ran = planned(tmp_path, plates, run, text=text, lines=[("RUNNER", points)])
    assert ran.code == 0, ran.out
    proof = document(tmp_path)["proof"]
    assert proof["gouge_um"] <= 2.0
    assert proof["left_area_mm2"] < 2e-3


def test_what_cannot_fall_is_refused_with_its_place(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    ring = [("RING", [(10, 10), (30, 10), (30, 30), (10, 30)])]
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", PLATE), *ring], open_=[("RUNNER", LINE)])
    other = RUNNER.replace('"runner"', '"ring"').replace('"RUNNER"', '"RING"')
    ran = run("plan", plates.job(tmp_path, HEAD + RUNNER + "deepest_at = [200, 30]\n" + other))
    said = " ".join(ran.err.split())
    assert ran.code == 2
    assert "deepest_at (200.000, 30.000) is 135.000 mm from the nearest line" in said
    assert "the closed line through (10.000, 10.000) has no first end" in said
    assert not (tmp_path / "plate-out").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (RUNNER.replace("width_mm = 4", "width_mm = 5"), "a slot drill or end mill of 5 mm that reaches 2.50 mm"),
        (RUNNER + 'section = "round"\n' + "cutters = ['slot-4']\n", "a ball cutter of 4 mm"),
        (TRAPEZOID.replace("draft_deg = 2", "draft_deg = 3"), "a taper of 3 degrees a side with a flat tip of 2.8"),
    ],
)
def test_a_section_that_no_cutter_has_is_refused_with_what_would_fit(
    text: str, says: str, plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, text=text)
    assert ran.code == 2
    assert says in " ".join(ran.err.split())


WIDE = RUNNER.replace("[2.5, 1.5]", "3").replace(
    "width_mm = 4\n", 'width_mm = 6\nsection = "trapezoid"\ndraft_deg = 2\n'
)


def test_a_trapezoid_wider_than_its_taper_is_cut_side_by_side(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    ran = planned(tmp_path, plates, run, text=WIDE, lines=[("RUNNER", [(15, 30), (50, 30), (50, 45)])])
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert document(tmp_path)["proof"]["left_area_mm2"] == pytest.approx(0.0, abs=1e-3)
    figure = shapely.LineString([(15, 30), (50, 30), (50, 45)])
    for depth in (0.001, 1.5, 2.999):
        gone = removed(tmp_path, depth=depth)
        asked = figure.buffer(3.0 - depth * math.tan(math.radians(2.0)), quad_segs=64)
        assert gone.difference(asked.buffer(0.003)).is_empty
        assert width_at(gone, 30.0) == pytest.approx(6.0 - 2.0 * depth * math.tan(math.radians(2.0)), abs=0.003)


STEEP = [("RUNNER", [(15, 30), (25, 30)])]


def test_a_floor_steeper_than_a_ramp_asks_for_a_cutter_that_plunges(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    text = RUNNER.replace("[2.5, 1.5]", "[1, 2.5]")
    ran = planned(tmp_path, plates, run, text=text, lines=STEEP)
    assert (ran.code, ran.err) == (0, ""), ran.out
    plates.job(tmp_path, HEAD.replace('"slot-4"', '"end-4"') + text)
    refused = run("plan", tmp_path / "plate.toml")
    said = " ".join(refused.err.split())
    assert refused.code == 2
    assert "its floor falls at up to 8.53 degrees, and end-4 does not cut at its centre" in said
    assert "that cuts at its centre, or depths nearer together" in said
    gentle = HEAD.replace('"slot-4"', '"end-4"') + RUNNER
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", PLATE)], open_=[("RUNNER", LINE)])
    assert run("plan", plates.job(tmp_path, gentle)).code == 0


def test_a_clamp_over_a_runner_keeps_the_cutter_out_and_the_rest_is_cut(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    clamp = "clamps = [{ x_mm = 40, y_mm = 0, width_mm = 10, length_mm = 60, height_mm = 15 }]"
    setting = f'\n[[setting]]\nname = "one"\nfeatures = ["runner"]\n{clamp}\n'
    ran = planned(tmp_path, plates, run, text=RUNNER + setting)
    assert ran.code == 1, ran.out
    proof = document(tmp_path)["proof"]
    assert (proof["passed"], proof["clamp_hits"]) == (True, 0)
    assert "[clamp-in-the-way]" in ran.out
    gone = removed(tmp_path, depth=1.0)
    assert gone.contains(shapely.Point(20, 30))
    assert gone.contains(shapely.Point(62, 30))
    assert not gone.intersects(shapely.box(40, 0, 50, 60))
