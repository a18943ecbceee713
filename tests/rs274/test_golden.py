"""One small program as each post writes it, line for line: a bored disc, a slot with a ramp, two drilled holes."""

from pathlib import Path

import numpy as np
import pytest

from camplan.moves.expand import motions
from camplan.moves.records import Arc, Drill, Dwell, Line, Move, Rapid, Remark, Spindle
from camplan.rs274.read import read
from camplan.rs274.records import Post
from camplan.rs274.write import write

GOLDEN = Path(__file__).parent / "golden"
HEADER = (
    "Hive entrance disc, cavity plate",
    "cutter: slot-6, 6 mm, stick-out 20 mm",
    "CAUTION: eye protection, clamps tight and clear; is zero right? \u00b5m matter!",
)
MOVES: tuple[Move, ...] = (
    Spindle(rpm=9000.0),
    Dwell(seconds=3.0),
    Remark(text="disc: rough, slot-6"),
    Rapid(to=(32.0, 20.0, 10.0)),
    Rapid(to=(32.0, 20.0, 0.5)),
    Arc(to=(32.0, 20.0, -1.0), centre=(30.0, 20.0), clockwise=False, feed=240.0),
    Arc(to=(32.0, 20.0, -1.0), centre=(30.0, 20.0), clockwise=False, feed=600.0),
    Line(to=(30.0, 20.0, -1.0), feed=600.0),
    Rapid(to=(30.0, 20.0, 10.0)),
    Remark(text="runner: groove, slot-6"),
    Rapid(to=(50.0, 20.0, 10.0)),
    Rapid(to=(50.0, 20.0, 0.5)),
    Line(to=(60.0, 20.0, -0.75), feed=200.0),
    Arc(to=(65.0, 25.0, -0.75), centre=(60.0, 25.0), clockwise=False, feed=450.5),
    Line(to=(65.00004, 25.0, -0.75), feed=450.5),
    Line(to=(65.0, 40.0, -0.75), feed=450.5),
    Rapid(to=(65.0, 40.0, 10.0)),
    Remark(text="screws: drill, drill-4.2"),
    Spindle(rpm=4000.0),
    Rapid(to=(10.0, 10.0, 10.0)),
    Drill(at=(10.0, 10.0), retract=1.0, bottom=-7.0, peck=4.0, dwell=0.0, feed=80.0),
    Rapid(to=(10.0, 10.0, 10.0)),
    Rapid(to=(70.0, 10.0, 10.0)),
    Drill(at=(70.0, 10.0), retract=1.0, bottom=-0.5, peck=None, dwell=0.5, feed=80.0),
    Rapid(to=(70.0, 10.0, 10.0)),
    Spindle(rpm=0.0),
)


@pytest.mark.parametrize("name", ["rs274ngc", "grbl", "iso6983"])
def test_a_program_is_written_line_for_line(posts: dict[str, Post], name: str) -> None:
    expected = (GOLDEN / f"{name}.nc").read_text(encoding="ascii")
    assert write(MOVES, post=posts[name], header=HEADER).text == expected


@pytest.mark.parametrize("name", ["rs274ngc", "grbl", "iso6983"])
def test_all_posts_say_the_same_motions(posts: dict[str, Post], name: str) -> None:
    text = (GOLDEN / f"{name}.nc").read_text(encoding="ascii")
    reading = read(text, file=f"{name}.nc", post=posts[name])
    assert not reading.findings
    planned = motions(MOVES, start=(32.0, 20.0, 10.0))
    moved = np.abs(reading.motions.end - reading.motions.start).max(axis=1) + (reading.motions.kind > 1) > 1e-9
    wanted = np.abs(planned.end - planned.start).max(axis=1) + (planned.kind > 1) > 5e-5
    assert reading.motions.end[moved].tolist() == np.round(planned.end[wanted], 4).tolist()
    assert reading.motions.kind[moved].tolist() == planned.kind[wanted].tolist()
    assert reading.motions.rpm[moved].tolist() == planned.rpm[wanted].tolist()
