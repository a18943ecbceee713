"""A deep pocket is cleared by fronts where that is quicker: an even load all the way, proven, and shown as it is.

The engagement is asked of the written programs as they are read back, moment by moment and exactly
(`simulation/engagement.py` shares nothing with what plans fronts).
"""

import json
import math
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from camplan.comparison.records import ProgramUnderProof
from camplan.moves.path import course
from camplan.moves.table import Kind
from camplan.pipeline.bench import load_bench
from camplan.pipeline.plan import plan_job
from camplan.planned import Plan
from camplan.rs274.read import read
from camplan.simulation.engagement import contacts
from camplan.simulation.track import track_of

JOB = """\
drawing = "plate.dxf"
machine = "bench-mill"
material = "aluminium-6082"
cutters = ["slot-6"]
{more}

[plate]
thickness_mm = 15
outline = "PLATE"

[[feature]]
name = "well"
kind = "pocket"
layer = "POCKET"
depth_mm = {depth}
corner_mm = 3.2
"""
LIMIT_ABOVE_DEG, PEAK_ABOVE_DEG = 8.0, 25.0
SPOKE_DEG = 3.0
"""An arc is asked in steps of three degrees."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cleared:
    """A plan, its document, and of the level cuts of its clearing the engagement in degrees and the way of each;
    how many ways at depth are fed faster than a cut, and the engagement of those that meet anything."""

    plan: Plan
    document: dict[str, Any]
    rough: dict[str, Any]
    arcs: np.ndarray[Any, np.dtype[np.float64]]
    lengths: np.ndarray[Any, np.dtype[np.float64]]
    ways: int
    met: list[float]


def cleared(folder: Path, *, plates: Any, depth: float = 12.0, more: str = "") -> Cleared:
    plates.drawn(
        folder / "plate.dxf",
        closed=[
            ("PLATE", plates.rounded(0, 0, 70, 60, radius=1)),
            ("POCKET", plates.rounded(12, 10, 58, 50, radius=8)),
        ],
    )
    job = folder / "plate.toml"
    job.write_text(JOB.format(depth=depth, more=more), encoding="utf-8")
    said = subprocess.run(
        [sys.executable, "-m", "camplan", "plan", str(job)], capture_output=True, text=True, timeout=240, check=False
    )
    assert said.returncode == 0, said.stdout + said.stderr
    document = json.loads((folder / "plate-out" / "plan.json").read_text(encoding="utf-8"))
    (program,) = document["programs"]
    rough = next(one for one in program["operations"] if one["purpose"] == "rough")
    bench = load_bench(job)
    text = (folder / "plate-out" / program["file"]).read_text(encoding="utf-8")
    reading = read(text, file=program["file"], post=bench.post)
    under = ProgramUnderProof(
        file=program["file"],
        setting=program["setting"],
        cutter=bench.shelf[0],
        motions=reading.motions,
        findings=reading.findings,
    )
    track = track_of([under])
    found: list[tuple[int, float]] = []
    met: list[float] = []
    feed, fall = reading.motions.feed, np.abs(reading.motions.start[:, 2] - reading.motions.end[:, 2])
    mine = (track.line >= rough["first_line"]) & (track.line <= rough["last_line"])
    fast = mine & (feed > rough["feed_mm_min"] + 0.5) & (fall < 1e-6) & (reading.motions.kind != Kind.RAPID)
    for one in contacts(track, plate=bench.faces[0].plate, apart=4.0):
        inside = rough["first_line"] <= track.line[one.row] <= rough["last_line"]
        even = abs(reading.motions.feed[one.row] - rough["feed_mm_min"]) < 0.5
        if inside and even and abs(one.fall) < 1e-6:
            found.append((one.row, math.degrees(one.arc)))
        if fast[one.row] and one.arc > math.radians(10.0):
            met.append(math.degrees(one.arc))
    rows = np.array([row for row, _ in found])
    # each moment of a row speaks for an equal share of it
    share = course(reading.motions).length[rows] / np.bincount(rows)[rows] if found else np.zeros(0)
    return Cleared(
        plan=plan_job(job),
        document=document,
        rough=rough,
        arcs=np.array([arc for _, arc in found]),
        lengths=share,
        ways=int(fast.sum()),
        met=met,
    )


@pytest.fixture(scope="module")
def deep(tmp_path_factory: pytest.TempPathFactory, plates: Any) -> Cleared:
    return cleared(tmp_path_factory.mktemp("deep"), plates=plates)


def test_a_deep_pocket_is_cleared_in_one_level_by_fronts(deep: Cleared) -> None:
    (said,) = [one["sentence"] for one in deep.rough["reasons"] if one["figure"] == "way"]
    assert "on their moves fronts take" in said
    assert len(deep.rough["levels_mm"]) == 1
    assert deep.rough["step_over_mm"] < 1.5
    assert deep.rough["step_down_mm"] >= 11.0


def test_its_plan_is_proven_and_nothing_is_left(deep: Cleared) -> None:
    assert deep.document["proof"]["passed"]
    assert deep.document["proof"]["left_area_mm2"] == 0.0
    assert deep.document["proof"]["gouge_um"] <= 2.0


def test_the_edge_is_engaged_evenly_all_the_way(deep: Cleared) -> None:
    """Of the path, 98 of 100 parts are within 8 degrees of the arc of the step over, single moments within 25 (on which
    the cutting data count, `cutting/custom.py`); a full slot is 180."""
    limit = math.degrees(math.acos(1.0 - deep.rough["step_over_mm"] / 3.0))
    assert len(deep.arcs) > 1000
    over = deep.arcs > limit + LIMIT_ABOVE_DEG + SPOKE_DEG
    assert deep.lengths[over].sum() <= 0.02 * deep.lengths.sum()
    assert deep.arcs.max() <= limit + PEAK_ABOVE_DEG + SPOKE_DEG


def test_the_peaks_in_the_plan_are_those_that_single_moments_show(deep: Cleared) -> None:
    assert deep.rough["peak_engagement_deg"] == pytest.approx(deep.arcs.max(), abs=12.0)
    assert deep.rough["usual_engagement_deg"] <= deep.rough["peak_engagement_deg"]
    assert 0.0 < deep.rough["peak_bending_um"] <= 65.0
    assert 0.0 < deep.rough["peak_power_w"] <= 700.0


def test_ring_by_ring_the_same_pocket_sees_full_slots(tmp_path: Path, plates: Any) -> None:
    rings = cleared(tmp_path, plates=plates, depth=3.0)
    assert rings.rough["peak_engagement_deg"] >= 170.0


def test_ways_between_cuts_touch_nothing(deep: Cleared) -> None:
    """What is fed faster than a cut runs through air, but for the last of a millimetre before the next cut."""
    assert deep.ways > 10
    assert len(deep.met) <= 0.05 * deep.ways


def test_the_program_is_a_tenth_of_one_of_short_lines(deep: Cleared) -> None:
    """Arcs of radius R as chords f = 2 um off are 2 sqrt(2 R f) long (plane geometry)."""
    program = next(one for one in deep.plan.programs if one.cutter is not None)
    motions = program.motions
    round_ = (motions.kind == Kind.CLOCKWISE) | (motions.kind == Kind.COUNTER_CLOCKWISE)
    radius = np.hypot(*(motions.start[round_, :2] - motions.centre[round_]).T)
    chords = np.ceil(course(motions).length[round_] / (2.0 * np.sqrt(2.0 * radius * 0.002)))
    plain = float(chords.sum()) + np.count_nonzero(~round_)
    assert len(motions.kind) <= 0.1 * plain
