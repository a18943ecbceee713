"""One wall skimmed by itself: what the written text removes is worked out here from the text alone.

A pocket whose left wall gives g is all that the pocket covers while it is moved to the left by g (plane geometry): so
nothing may be removed outside of that, and the flat left wall stands g farther out.
"""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from acceptance import shadow
from acceptance.mills import Mill, planned, removed, told
from shapely import affinity

SIDES = ("left", "right", "front", "back")
OUTWARD = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "front": (0.0, -1.0), "back": (0.0, 1.0)}
NEAR = 0.005
UNTOUCHED = 0.002


def skim(mill: Mill, number: int) -> Any:
    return json.loads((mill.skims()[number - 1] / "skim.json").read_text(encoding="utf-8"))


def moved(shape: Any, *, side: str, by: float) -> Any:
    """All that a figure covers while it is moved ``by`` outward on a side: where it is, every 2 um."""
    x, y = OUTWARD[side]
    steps = np.linspace(0.0, by, int(by / 0.002) + 2)
    return shapely.union_all([affinity.translate(shape, xoff=x * one, yoff=y * one) for one in steps.tolist()])


def edges(shape: Any) -> dict[str, float]:
    """How far a figure reaches on each side, outward."""
    x0, y0, x1, y1 = shape.bounds
    return {"left": -x0, "right": x1, "front": -y0, "back": y1}


def only_moved(before: Any, after: Any, *, side: str, by: float) -> None:
    """What is open since is only what one wall gave, and all other walls are where they were."""
    assert after.difference(moved(before, side=side, by=by).buffer(NEAR)).is_empty
    reached, then = edges(before), edges(after)
    assert then[side] - reached[side] == pytest.approx(by, abs=NEAR)
    for other in SIDES:
        if other != side:
            assert then[other] == pytest.approx(reached[other], abs=UNTOUCHED), other
    gone = after.difference(before.buffer(UNTOUCHED))
    x0, y0, x1, y1 = before.bounds
    across = {"left": x0 + 4.0, "right": -(x1 - 4.0), "front": y0 + 4.0, "back": -(y1 - 4.0)}[side]
    low, sign = (0 if side in ("left", "right") else 1), (1.0 if side in ("left", "front") else -1.0)
    places = shapely.get_coordinates(gone)
    assert len(places) > 0
    assert float((sign * places[:, low]).max()) < across


def stands_off(mill: Mill, *, side: str) -> float:
    """How near the cutters of the last skim come to what lies across from a wall, in mm."""
    reach = [
        removed(mill.skims()[-1] / one["file"], diameter={"slot-6": 6.0, "slot-3": 3.0}[one["cutter"]], off=0.0)
        for one in skim(mill, len(mill.skims()))["programs"]
        if one["cutter"]
    ]
    other = {"left": "right", "right": "left", "front": "back", "back": "front"}[side]
    return edges(mill.plate())[other] - edges(shapely.union_all(reach))[other]


@pytest.mark.parametrize(
    ("side", "radius", "cutter"),
    [("left", 4, "slot-6"), ("right", 2, "slot-3"), ("front", 4, "slot-6"), ("back", 2, "slot-3")],
)
def test_one_wall_that_stands_short_is_skimmed_and_no_other_is_touched(
    plates: Any, run: Callable[..., Any], tmp_path: Path, side: str, radius: int, cutter: str
) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=radius))])
    mill = Mill(job=job, off=0.0)
    before = mill.plate()
    ran = run(
        "recut", mill.plan, "pocket", "--wall", side, "--stands-short", "0.16", "0.161", "0.159", "--sigma-um", "2"
    )
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert f"The {side} wall must give 160 um" in told(ran.out)
    assert "No other wall is touched" in told(ran.out)
    assert [one["cutter"] for one in skim(mill, 1)["programs"]] == [None, cutter]
    grow = skim(mill, 1)["walls_grow_mm"]
    assert 0.0 <= grow[side] <= 0.01
    assert [grow[other] for other in SIDES if other != side] == [-0.15] * 3
    only_moved(before, mill.plate(), side=side, by=0.15 + grow[side])
    assert stands_off(mill, side=side) > 10.0


def test_corners_beside_the_wall_follow_by_the_cutter_that_cut_them(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Square corners, the wall by 6 mm and they by 3 mm; the two corners at the right are left alone by both."""
    ring = [(15, 8), (45, 8), (45, 32), (15, 32)]
    job = planned(tmp_path, plates, run, closed=[("POCKET", ring)])
    mill = Mill(job=job, off=0.0)
    before = mill.plate()
    ran = run("recut", mill.plan, "pocket", "--wall", "left", "--stands-short", "0.2", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "then the corners by the cutters that cut them before" in told(ran.out)
    assert [one["cutter"] for one in skim(mill, 1)["programs"]] == [None, "slot-6", "slot-3"]
    by = 0.15 + skim(mill, 1)["walls_grow_mm"]["left"]
    after = mill.plate()
    only_moved(before, after, side="left", by=by)
    assert stands_off(mill, side="left") > 20.0
    # what a 3 mm cutter leaves in a square corner of the new wall, and nothing more
    new = shapely.box(15.15 - by, 8.15, 44.85, 31.85)
    left = new.difference(after).intersection(shapely.box(0, 0, 25, 40)).buffer(-UNTOUCHED / 2.0)
    assert left.difference(new.difference(new.buffer(-1.5).buffer(1.5, quad_segs=64)).buffer(NEAR)).is_empty


def test_both_walls_of_an_axis_give_half_each_on_top_of_one_that_gave_alone(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    mill = Mill(job=job, off=0.0)
    words = ["recut", mill.plan, "pocket"]
    assert run(*words, "--wall", "left", "--stands-short", "0.15", "--sigma-um", "2").code == 0
    first, wide = skim(mill, 1)["walls_grow_mm"], mill.across()[0]
    assert first == {"left": 0.0, "right": -0.15, "front": -0.15, "back": -0.15}
    assert wide == pytest.approx(29.85, abs=NEAR)
    before = edges(mill.plate())
    ran = run(*words, "--across", "x", "--measured", f"{wide:.3f}", "--wanted", "30.05", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert skim(mill, 2)["walls_grow_mm"] == {"left": 0.1, "right": -0.05, "front": -0.15, "back": -0.15}
    after = edges(mill.plate())
    assert after["left"] - before["left"] == pytest.approx(0.1, abs=NEAR)
    assert after["right"] - before["right"] == pytest.approx(0.1, abs=NEAR)
    assert (after["front"], after["back"]) == pytest.approx((before["front"], before["back"]), abs=UNTOUCHED)
    shown = run("journal", job)
    assert "left wall, beyond the drawn one" in told(shown.out)
    assert "to make left wall +0.000" in told(shown.out)
    assert "to make x 30.050" in told(shown.out)


def test_the_wall_across_from_a_datum_gives_all_of_a_width_until_it_fits(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """Every wall ends 20 um short; those of the datum stay and are made up for by the other, as its own are."""
    ring = plates.rounded(15, 8, 45, 32, radius=4)
    job = planned(tmp_path, plates, run, closed=[("POCKET", ring)], more="tolerance_um = 8\n")
    mill, errors = Mill(job=job, off=0.02), []
    datum = edges(mill.plate())
    for _ in range(4):
        size = ["--wall", "right", "--across", "x", "--measured", f"{mill.across()[0]:.4f}", "--sigma-um", "1"]
        count = len(mill.skims())
        ran = run("recut", mill.plan, "pocket", *size)
        assert (ran.code, ran.err) == (0, ""), ran.out
        if len(mill.skims()) == count:
            break
        errors.append(30.0 - mill.across()[0])
        assert skim(mill, count + 1)["walls_grow_mm"]["left"] == -0.15
    assert "Nothing needs cutting" in told(ran.out)
    assert errors[0] < 0.03
    assert all(one >= -0.001 for one in errors)
    assert errors[-1] <= 0.008
    after = edges(mill.plate())
    for side in ("left", "front", "back"):
        assert after[side] == pytest.approx(datum[side], abs=1e-6), side
    assert "by the right wall" in told(run("journal", job).out)


def test_what_a_skim_of_one_wall_taught_counts_once(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """The first cut ends 10 um short a wall, the skim 30 um: of the width that lacks 40 um the datum has 10."""
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    words = ["recut", tmp_path / "plate-out", "pocket", "--wall", "right", "--across", "x", "--sigma-um", "1"]
    assert run(*words, "--measured", "29.68").code == 0
    aim = skim(Mill(job=job, off=0.0), 1)["sizes"][0]["aim_mm"]
    assert run(*words, "--measured", f"{aim - 0.04:.4f}").code == 0
    lines = (tmp_path / "plate.journal").read_text(encoding="utf-8").splitlines()
    said = [json.loads(line[9:]) for line in lines]
    read = [one for one in said if one["kind"] == "measured"]
    assert [(one["walls"], one["cut_by_skim"]) for one in read] == [(["left", "right"], 0), (["right"], 1)]
    assert read[0]["short_mm"] == pytest.approx(0.010)
    assert read[1]["short_mm"] == pytest.approx(0.030, abs=1e-4)


def test_an_island_gives_one_wall_by_itself(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    island = [(27, 17), (33, 17), (33, 23), (27, 23)]
    job = planned(
        tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4)), ("POCKET", island)]
    )
    mill = Mill(job=job, off=0.0)
    before = mill.plate()
    there = ["--wall", "left", "--at", "30", "20", "--stands-short", "0.15", "--sigma-um", "2"]
    ran = run("recut", mill.plan, "pocket", *there)
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "The left wall of the island must give 150 um" in told(ran.out)
    after = mill.plate()
    assert edges(after) == pytest.approx(edges(before), abs=1e-6)
    old, new = (edges(shapely.Polygon(one.interiors[0])) for one in (before, after))
    assert old["left"] - new["left"] == pytest.approx(0.15, abs=NEAR)
    for side in ("right", "front", "back"):
        assert new[side] == pytest.approx(old[side], abs=UNTOUCHED), side
    # and the pocket's left wall leaves the island alone
    ran = run("recut", mill.plan, "pocket", "--wall", "left", "--stands-short", "0.15", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    (hole,) = mill.plate().interiors
    assert edges(shapely.Polygon(hole)) == pytest.approx(new, abs=1e-6)
    assert edges(mill.plate())["left"] - edges(after)["left"] == pytest.approx(0.15, abs=NEAR)


@pytest.mark.parametrize(("side", "hold"), [("outside", "bridges"), ("outside", "skin"), ("inside", "bridges")])
def test_an_outline_gives_one_wall_by_itself(
    plates: Any, run: Callable[..., Any], tmp_path: Path, side: str, hold: str
) -> None:
    """A part's left wall gives to the right, that of an opening to the left."""
    ring = plates.rounded(15, 10, 45, 30, radius=4)
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2)), ("PART", ring)])
    outline = f'\n[[feature]]\nname = "part"\nkind = "outline"\nlayer = "PART"\ndepth = "through"\nside = "{side}"\n'
    job = plates.job(tmp_path, plates.HEAD + outline + f'hold = "{hold}"\nallowance_mm = 0.15\n')
    assert run("plan", job).code == 0
    mill = Mill(job=job, off=0.0)

    def wall() -> dict[str, float]:
        kerf = mill.plate()
        return edges(shapely.Polygon(kerf.interiors[0]) if side == "outside" else kerf)

    before = wall()
    ran = run("recut", mill.plan, "part", "--wall", "left", "--stands-short", "0.15", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    after = wall()
    assert after["left"] - before["left"] == pytest.approx(-0.15 if side == "outside" else 0.15, abs=NEAR)
    for other in ("right", "front", "back"):
        assert after[other] == pytest.approx(before[other], abs=UNTOUCHED), other


def test_a_leaning_wall_gives_by_itself(plates: Any, run: Callable[..., Any], tmp_path: Path) -> None:
    """At every level the front wall stands 0.15 mm farther out, and no cutter comes near the back one."""
    plates.drawn(
        tmp_path / "plate.dxf",
        closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2)), ("POCKET", [(12, 8), (48, 8), (48, 32), (12, 32)])],
    )
    text = plates.HEAD.replace('"slot-6", "spot-90-6", "drill-4.2"', '"slot-6", "taper-2deg-3"') + plates.POCKET
    job = plates.job(tmp_path, text + "allowance_mm = 0.15\ndraft_deg = 2.0\ntolerance_um = 25\n")
    assert run("plan", job).code == 0
    ran = run("recut", tmp_path / "plate-out", "pocket", "--wall", "front", "--stands-short", "0.15", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    mill = Mill(job=job, off=0.0)
    (program,) = [one for one in skim(mill, 1)["programs"] if one["cutter"]]
    found, _ = shadow.steps((mill.skims()[0] / program["file"]).read_text(encoding="utf-8").splitlines())
    lean = float(np.tan(np.radians(2.0)))
    for level in program["operations"][0]["levels_mm"]:
        path = [step.path for step in found if step.mode != 0 and abs(float(step.path[:, 2].max()) - level) < 1e-3]
        places = np.vstack(path)
        assert float(places[:, 1].min()) - 1.5 == pytest.approx(8.0 - level * lean, abs=0.003 + NEAR)
        assert float(places[:, 1].max()) < 15.0


def test_beside_the_plates_edge_a_wall_gives_as_far_as_it_stands_on_the_plate(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """And where the pocket is open there is no wall."""
    ring = [(-1, 10), (40, 10), (40, 30), (-1, 30)]
    job = planned(tmp_path, plates, run, closed=[("POCKET", ring)])
    mill, inside = Mill(job=job, off=0.0), shapely.box(0, 0, 60, 40)
    before = mill.plate().intersection(inside)
    ran = run("recut", mill.plan, "pocket", "--wall", "back", "--stands-short", "0.15", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    after = mill.plate().intersection(inside)
    assert edges(after)["back"] - edges(before)["back"] == pytest.approx(0.15, abs=NEAR)
    assert edges(after)["right"] == pytest.approx(edges(before)["right"], abs=UNTOUCHED)
    assert edges(after)["front"] == pytest.approx(edges(before)["front"], abs=UNTOUCHED)
    wall = shapely.box(0.0, 29.85, 36.0, 30.0)
    assert wall.difference(after.buffer(NEAR)).is_empty
    none = run("recut", mill.plan, "pocket", "--wall", "left", "--stands-short", "0.15", "--sigma-um", "2")
    assert none.code == 2
    assert "pocket is open at the plate's edge there: no wall stands on the plate" in told(none.err)


def test_a_wall_that_stands_beyond_the_drawn_one_is_not_cut(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    ran = run("recut", tmp_path / "plate-out", "pocket", "--wall", "left", "--stands-short=-0.08", "--sigma-um", "2")
    assert ran.code == 1
    assert "It is 80 um too far" in told(ran.out)
    assert not Mill(job=job, off=0.0).skims()


def test_a_mate_that_sticks_asks_for_one_small_step_of_one_wall(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    mill = Mill(job=job, off=0.0)
    before = edges(mill.plate())
    ran = run("recut", mill.plan, "pocket", "--across", "y", "--wall", "back", "--sticks", "--step-um", "14")
    assert (ran.code, ran.err) == (0, ""), ran.out
    assert "A step of 14 um off the back wall" in told(ran.out)
    after = edges(mill.plate())
    assert after["back"] - before["back"] == pytest.approx(0.014, abs=1e-3)
    assert (after["left"], after["right"], after["front"]) == pytest.approx(
        (before["left"], before["right"], before["front"]), abs=UNTOUCHED
    )


@pytest.fixture(scope="module")
def shy(plates: Any, run: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plate that was planned with an allowance: a pocket with an island, and a round one."""
    folder = tmp_path_factory.mktemp("shy")
    plates.drawn(
        folder / "plate.dxf",
        closed=[
            ("PLATE", plates.rounded(0, 0, 60, 40, radius=2)),
            ("POCKET", [(5, 8), (35, 8), (28, 32), (5, 32)]),
            ("POCKET", [(16, 17), (22, 17), (22, 23), (16, 23)]),
            ("ROUND", [(40.0, 20.0, 1.0), (56.0, 20.0, 1.0)]),
        ],
    )
    other = plates.POCKET.replace('"pocket"', '"round"', 1).replace("POCKET", "ROUND")
    text = plates.HEAD + plates.POCKET + "allowance_mm = 0.15\n" + other + "allowance_mm = 0.15\n"
    job: Path = plates.job(folder, text)
    assert run("plan", job).code == 0
    return job


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("pocket --wall left --diameter --measured 29.6", "a diameter is not between the left wall and another"),
        ("pocket --diameter --wall left --measured 29.6", "a diameter is not between the left wall and another"),
        ("pocket --wall left --depth --measured 2.9", "a depth is not between the left wall and another"),
        (
            "pocket --wall left --across y --measured 23.6",
            "how far apart walls stand along Y does not depend on the left one (accepted: --wall left --across x",
        ),
        ("pocket --wall left", "it is not said how far the left wall stands short (accepted: --wall left --across x"),
        ("pocket --across x --measured 29.6 --wall left", "it is not said how far the left wall stands short"),
        ("pocket --wall left --measured 29.6", "of the left wall by itself is said how much is still to go"),
        ("pocket --wall left --sticks", "of the left wall by itself is said how much is still to go"),
        ("pocket --wall left --stands-short 0.1 --wanted 0.1", "of the left wall by itself is said how much is still"),
        ("pocket --across x --stands-short 0.1", "it is said of a wall by itself (accepted: --wall left, right"),
        ("pocket --wall left --stands-short 120", "120 mm is too far from the drawn wall"),
        ("pocket --wall left --stands-short 0.2 --wall left --stands-short 0.1", "more than one size says how far"),
        ("pocket --wall left --stands-short 0.2 --across x --measured 25.9", "more than one size says how far"),
        ("pocket --wall right --at 25 20 --stands-short 0.2", "the right wall there slants"),
        ("pocket --wall left --at 50 39 --stands-short 0.2", "X 50 Y 39 is not inside pocket"),
        (
            "pocket --wall right --across x --at 10 20 --measured 10.6",
            "on its right side is an island's left wall (accepted: --wall left with --at a place inside that island)",
        ),
        ("round --wall left --across x --measured 15.6", "round is round: its wall is one and has no left side"),
    ],
)
def test_what_cannot_be_meant_of_one_wall_is_refused_and_nothing_is_written(
    shy: Path, run: Callable[..., Any], words: str, said: str
) -> None:
    before = sorted(shy.parent.rglob("*"))
    ran = run("recut", shy.parent / "plate-out", *words.split())
    assert ran.code == 2, ran.out
    assert said in told(ran.err)
    assert not re.search("Traceback", ran.err)
    assert sorted(shy.parent.rglob("*")) == before


def test_two_walls_of_one_axis_may_give_each_its_own(shy: Path, run: Callable[..., Any]) -> None:
    shorts = (("left", "0.19"), ("right", "0.2"), ("front", "0.16"))
    words = [word for side, short in shorts for word in ("--wall", side, "--stands-short", short)]
    ran = run("recut", shy.parent / "plate-out", "pocket", *words, "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    grow = skim(Mill(job=shy, off=0.0), 1)["walls_grow_mm"]
    assert grow["back"] == -0.15
    assert all(0.0 <= grow[side] <= 0.04 for side in ("left", "right", "front"))


def test_a_width_leaves_the_walls_alone_that_face_the_other_way(
    plates: Any, run: Callable[..., Any], tmp_path: Path
) -> None:
    """No cutter passes them again, which would take off what bending had left there; each corner is reached."""
    job = planned(tmp_path, plates, run, closed=[("POCKET", plates.rounded(15, 8, 45, 32, radius=4))])
    mill = Mill(job=job, off=0.0)
    before = mill.plate()
    ran = run("recut", mill.plan, "pocket", "--across", "x", "--measured", "29.7", "--sigma-um", "2")
    assert (ran.code, ran.err) == (0, ""), ran.out
    (program,) = [one for one in skim(mill, 1)["programs"] if one["cutter"]]
    reach = removed(mill.skims()[0] / program["file"], diameter=6.0, off=0.0)
    for wall in (shapely.box(24, 0, 36, 9), shapely.box(24, 31, 36, 40)):
        assert reach.intersection(wall).is_empty
    gone = mill.plate().difference(before.buffer(UNTOUCHED))
    left, right = (gone.intersection(shapely.box(x, 0, x + 30, 40)) for x in (0, 30))
    assert left.area == pytest.approx(right.area, rel=1e-2)
    for side in (left, right):
        assert side.bounds[1] < 12.0
        assert side.bounds[3] > 28.0
