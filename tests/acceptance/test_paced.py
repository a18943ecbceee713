"""Where an area is cleared by rings the feed of what is written follows the engagement that is met along it.

The programs are read back and surveyed in the stock that stands (`simulation.along`), which knows nothing of the plan.
"""

from pathlib import Path

import numpy as np
import pytest

from camplan.comparison.records import ProgramUnderProof
from camplan.cutting import CutKind, cutting_data
from camplan.pipeline.bench import load_bench
from camplan.pipeline.plan import plan_job
from camplan.simulation.along import surveyed
from camplan.simulation.track import track_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
UNSURE = np.radians(7.0)
"""Two pixels of the survey and of the plan each, over the cutter's radius."""


@pytest.mark.parametrize(("name", "feature"), [("first", "disc"), ("nest", "nests"), ("nest", "top")])
def test_rings_are_cut_no_faster_than_their_engagement_allows_and_not_all_at_one_feed(name: str, feature: str) -> None:
    job = EXAMPLES / name / f"{name}.toml"
    plan, bench = plan_job(job), load_bench(job)
    program, operation = next(
        (program, one)
        for program in plan.programs
        for one in program.operations
        if one.feature == feature and one.purpose.value in ("rough", "face")
    )
    assert program.cutter is not None
    before = [one for one in plan.programs[: plan.programs.index(program) + 1] if one.cutter is not None]
    track = track_of(
        [
            ProgramUnderProof(file=one.file, setting=one.setting, cutter=one.cutter, motions=one.motions)
            for one in before
            if one.cutter is not None
        ]
    )
    along = surveyed(track, plate=plan.plate)
    first = int(np.searchsorted(track.program, len(before) - 1))
    rows = along.row - first
    line = track.line[along.row]
    motions = program.motions
    mine = (rows >= 0) & (line >= operation.first_line) & (line <= operation.last_line)
    rows, arc, at = rows[mine], along.arc[mine], along.at[mine]
    level = np.abs(motions.start[rows, 2] - motions.end[rows, 2]) < 1e-9
    level &= np.isin(np.round(at[:, 2], 3), np.round(operation.levels, 3))
    data = cutting_data(
        program.cutter,
        material=bench.material,
        machine=bench.machine,
        kind=CutKind.ROUGH,
        depth=-min(operation.levels),
    )
    found = data.by_load
    assert found is not None
    feed = motions.feed[rows]
    cuts = level & (arc > 0.0)
    place = np.searchsorted(found.arcs, np.clip(arc[cuts] - UNSURE, 0.0, np.pi))
    assert np.all(feed[cuts] <= np.array(found.feeds)[place] + 0.5)
    used = set(np.round(feed[cuts], 1).tolist())
    assert {found.feeds[-1], data.feed} <= used
    assert used <= {round(each, 1) for each in (*found.feeds, data.slot_feed)}
