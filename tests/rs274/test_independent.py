"""Our text read by pygcode, a general-purpose parser of G-code with its own modal state."""

import math

import numpy as np
import pytest
from pygcode import GCodeArcMoveCCW, GCodeArcMoveCW, GCodeLinearMove, GCodeRapidMove, Line, Machine

from camplan.moves.expand import motions
from camplan.moves.records import Arc, Dwell, Move, Rapid, Remark, Spindle
from camplan.moves.records import Line as Cut
from camplan.moves.table import Kind
from camplan.rs274.read import read
from camplan.rs274.records import Post
from camplan.rs274.write import write

KINDS = {
    GCodeRapidMove: Kind.RAPID,
    GCodeLinearMove: Kind.LINE,
    GCodeArcMoveCW: Kind.CLOCKWISE,
    GCodeArcMoveCCW: Kind.COUNTER_CLOCKWISE,
}


def plate() -> list[Move]:
    """Rings, spokes and a helix of the hive entrance disc."""
    moves: list[Move] = [Spindle(rpm=12000.0), Dwell(seconds=2.0), Remark(text="disc: rough, slot-6")]
    moves += [Rapid(to=(46.0, 30.0, 10.0)), Rapid(to=(46.0, 30.0, 0.5))]
    moves += [
        Arc(to=(46.0, 30.0, -0.5 * turn), centre=(44.0, 30.0), clockwise=False, feed=240.0) for turn in range(1, 5)
    ]
    at = (46.0, 30.0)
    for number in range(1, 60):
        angle, size = number * 0.37, 6.0 + number * 0.25
        to = (40.0 + size * math.cos(angle), 30.0 + size * math.sin(angle))
        if number % 3:
            moves.append(Cut(to=(*to, -2.0), feed=600.0))
        else:
            half = ((to[0] - at[0]) / 2.0, (to[1] - at[1]) / 2.0)
            centre = (at[0] + half[0] - 0.4 * half[1], at[1] + half[1] + 0.4 * half[0])
            moves.append(Arc(to=(*to, -2.0), centre=centre, clockwise=bool(number % 2), feed=450.0))
        at = to
    return [*moves, Rapid(to=(*at, 10.0)), Spindle(rpm=0.0)]


def seen_by_pygcode(text: str) -> list[tuple[int, float, float, float, float]]:
    """Kind, end and feed of every motion, as that parser's machine has them."""
    machine = Machine()
    rows = []
    for line in text.splitlines():
        block = Line(line).block
        machine.process_block(block)
        said = [code for code in block.gcodes if type(code) in KINDS]
        if not said and not block.modal_params:
            continue
        motion = said[0] if said else machine.mode.modal_groups[GCodeLinearMove.modal_group]
        at = machine.pos.values
        feed = machine.mode.feed_rate.word.value if machine.mode.feed_rate else math.nan
        rows.append((int(KINDS[type(motion)]), at["X"], at["Y"], at["Z"], feed))
    return rows


@pytest.mark.parametrize("name", ["rs274ngc", "grbl"])
def test_another_parser_sees_the_moves_that_were_planned(posts: dict[str, Post], name: str) -> None:
    moves = plate()
    text = write(moves, post=posts[name], header=["Hive entrance disc"], start=(0.0, 0.0, 20.0)).text
    seen = seen_by_pygcode(text)
    planned = motions(moves, start=(0.0, 0.0, 20.0))
    unit = 10.0 ** -posts[name].decimals
    assert [row[0] for row in seen] == planned.kind.tolist()
    assert np.abs(np.array([row[1:4] for row in seen]) - planned.end).max() <= 0.5001 * unit
    cuts = planned.kind != Kind.RAPID
    assert np.array([row[4] for row in seen])[cuts].tolist() == planned.feed[cuts].tolist()


@pytest.mark.parametrize("name", ["rs274ngc", "grbl"])
def test_another_parser_and_our_reader_see_the_same_rows(posts: dict[str, Post], name: str) -> None:
    text = write(plate(), post=posts[name], header=["Hive entrance disc"], start=(0.0, 0.0, 20.0)).text
    ours = read(text, file="p", post=posts[name], start=(0.0, 0.0, 20.0)).motions
    seen = seen_by_pygcode(text)
    assert [row[0] for row in seen] == ours.kind.tolist()
    assert [list(row[1:4]) for row in seen] == ours.end.tolist()
