"""Twenty pockets: the machine time of each chosen plan over that of rings at one feed that is safe in a full slot.

Run it by hand from the checkout: ``python tests/bench/against_rings.py [MILL [MATERIAL]]``.  Both plans are whole ones,
finishing passes and ways through the air included; the rings are the planner's own, as deep as a slot lets them be,
with every cut that clears at the slot's feed.  Fronts may cut both ways.  The shapes are those of textbooks on pocket
milling: convex and not, with islands, necks, round and sharp corners (invented sizes).
"""

import math
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely
import shapely.affinity
from ezdxf import units

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent.parent)]

from camplan.moves.timing import row_seconds  # noqa: E402
from camplan.operations import pocket as choosing  # noqa: E402
from camplan.operations.records import Purpose  # noqa: E402
from camplan.pipeline.machine_time import drives_of  # noqa: E402
from camplan.pipeline.plan import plan_job  # noqa: E402
from camplan.planned import Plan  # noqa: E402

GOAL = 0.7
CUTTERS = ["slot-6", "slot-4", "slot-3"]
JOB = """\
drawing = "{name}.dxf"
machine = "{machine}"
material = "{material}"
cutters = {cutters}
cut_both_ways = true

[plate]
thickness_mm = 16
outline = "PLATE"

[[feature]]
name = "pocket"
kind = "pocket"
layer = "POCKET"
depth_mm = {depth}
corner_mm = 3.2
"""


def shapes() -> dict[str, tuple[Any, float]]:
    """Each pocket about the middle of a plate of 120 by 90, and its depth in mm."""
    box = shapely.box
    disc = shapely.Point(0, 0).buffer
    turn = np.linspace(0, 2 * math.pi, 6, endpoint=False)
    star = [
        (r * math.cos(a), r * math.sin(a))
        for k in range(5)
        for r, a in ((34, 2 * math.pi * k / 5 + math.pi / 2), (17, 2 * math.pi * (k + 0.5) / 5 + math.pi / 2))
    ]
    wave = np.linspace(0, 2 * math.pi, 240, endpoint=False)
    kidney = [((28 + 8 * math.cos(2 * a)) * math.cos(a), (22 + 6 * math.sin(a)) * math.sin(a)) for a in wave]
    gear = [((26 + 4 * math.cos(8 * a)) * math.cos(a), (26 + 4 * math.cos(8 * a)) * math.sin(a)) for a in wave]
    spine = shapely.LineString([(-40, -20), (-10, -20), (-10, 15), (20, 15), (20, -15), (42, -15)])
    found: dict[str, tuple[Any, float]] = {
        "disc": (disc(28), 10),
        "square": (box(-25, -25, 25, 25), 10),
        "oblong": (box(-45, -15, 45, 15), 12),
        "hexagon": (shapely.Polygon([(32 * math.cos(a), 32 * math.sin(a)) for a in turn]), 8),
        "triangle": (shapely.Polygon([(-40, -25), (40, -25), (0, 34)]), 10),
        "ell": (box(-40, -30, 40, -5).union(box(-40, -30, -12, 32)), 10),
        "tee": (box(-42, 8, 42, 32).union(box(-12, -32, 12, 10)), 10),
        "you": (box(-38, -30, 38, 30).difference(box(-14, -8, 14, 31)), 12),
        "cross": (box(-40, -11, 40, 11).union(box(-11, -33, 11, 33)), 10),
        "star": (shapely.Polygon(star), 8),
        "kidney": (shapely.Polygon(kidney), 10),
        "gear": (shapely.Polygon(gear), 8),
        "ring": (disc(32).difference(disc(14)), 12),
        "slot": (shapely.LineString([(-40, 0), (40, 0)]).buffer(5), 8),
        "dumbbell": (
            shapely.Point(-28, 0).buffer(20).union(shapely.Point(28, 0).buffer(20)).union(box(-28, -5, 28, 5)),
            10,
        ),
        "keyhole": (disc(22).union(box(-8, -36, 8, 0)), 12),
        "comb": (
            box(-42, -30, 42, -8).union(shapely.union_all([box(x, -9, x + 12, 30) for x in (-42, -19, 4, 30)])),
            8,
        ),
        "snake": (spine.buffer(9), 10),
        "four islands": (
            box(-45, -32, 45, 32).difference(
                shapely.union_all([shapely.Point(x, y).buffer(7) for x in (-22, 22) for y in (-14, 14)])
            ),
            10,
        ),
        "peninsula": (
            box(-48, -30, 48, 30)
            .difference(box(-30, -12, -16, 8))
            .difference(shapely.Point(12, 6).buffer(8))
            .difference(box(26, -31, 36, 4)),
            12,
        ),
    }
    return {
        name: (
            figure.buffer(-3.5).buffer(7.0).buffer(-3.5) if name not in ("star", "triangle", "slot") else figure,
            deep,
        )
        for name, (figure, deep) in found.items()
    }


def written(name: str, *, figure: Any, depth: float, folder: Path, machine: str, material: str) -> Path:
    """The drawing and the job of one pocket; the job's path."""
    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    space = drawing.modelspace()
    moved = shapely.affinity.translate(shapely.simplify(figure, 0.0005), 60, 45)
    rings = [("PLATE", [(0, 0), (120, 0), (120, 90), (0, 90)])]
    rings += [("POCKET", list(ring.coords)[:-1]) for ring in (moved.exterior, *moved.interiors)]
    for layer, points in rings:
        space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    drawing.saveas(folder / f"{name}.dxf")
    job = folder / f"{name}.toml"
    text = JOB.format(name=name, machine=machine, material=material, cutters=CUTTERS, depth=depth)
    job.write_text(text, encoding="utf-8")
    return job


def plainly(plan: Plan) -> float:
    """The seconds of a plan if everything that clears were fed as in a full slot."""
    total = 0.0
    for program in plan.programs:
        if program.cutter is None:
            continue
        feed = program.motions.feed.copy()
        for one in program.operations:
            if one.purpose is Purpose.ROUGH:
                own = (program.motions.line >= one.first_line) & (program.motions.line <= one.last_line)
                slot = next(r.sentence for r in one.reasons if r.figure == "slot_feed").split(" ")[0].replace(",", "")
                feed[own] = np.fmin(feed[own], float(slot))
        motions = replace(program.motions, feed=feed)
        total += float(row_seconds(motions, drives=drives_of(plan.machine)).sum())
    return total


def main(machine: str = "bench-mill", material: str = "aluminium-6082") -> int:
    """The table; 1 if the goal is missed by a pocket."""
    quicker = choosing.quicker
    missed = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        print(f"{machine}, {material}: seconds of the chosen plan over those of rings at one safe feed")
        for title, (figure, depth) in shapes().items():
            job = written(title, figure=figure, depth=depth, folder=folder, machine=machine, material=material)
            begun = time.perf_counter()
            chosen = plan_job(job)
            planned = time.perf_counter() - begun
            choosing.quicker = lambda rings, *, seconds, **_: replace(rings, expected=seconds)
            try:
                base = plainly(plan_job(job))
            finally:
                choosing.quicker = quicker
            seconds = sum(program.seconds for program in chosen.programs if program.cutter is not None)
            clearing = next(one for program in chosen.programs for one in program.operations)
            way = "fronts" if "clears it by fronts" in clearing.reasons[0].sentence else "rings"
            passed = "proven" if chosen.proof.passed else "PROOF FAILED"
            print(
                f"{title:14s} {way:7s} {seconds:7.0f} s / {base:7.0f} s = {seconds / base:5.2f}   {passed}, planned in "
                f"{planned:.1f} s",
                flush=True,
            )
            missed += seconds > GOAL * base or not chosen.proof.passed
    print(f"{missed} above {GOAL}")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
