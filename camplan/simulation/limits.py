"""Speeds and feeds of a program against what its spindle, its cutter and its axes bear.

A cutter that is fed below the plate's top with the spindle at rest breaks; one that turns faster than it is made for
may burst.  A spindle asked for more than it has gives less, so that each tooth takes a thicker chip; below its lowest
speed it may stall.  An axis asked for more than it has is only slower: the cut is not the one that was planned.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from camplan import tolerance
from camplan.catalogue.records import Cutter, Machine
from camplan.findings import Finding, Severity
from camplan.moves.table import Kind
from camplan.simulation.records import ProgramUnderProof

_SHARE = 1e-3


def beyond_limits(programs: Sequence[ProgramUnderProof], *, machine: Machine) -> tuple[Finding, ...]:
    """For each program and limit the first line beyond it, and how many motions are."""
    return tuple(finding for program in programs for finding in _of_program(program, machine=machine))


def _of_program(program: ProgramUnderProof, *, machine: Machine) -> list[Finding]:
    motions = program.motions
    feeds = motions.kind != Kind.RAPID
    deep = np.minimum(np.nan_to_num(motions.start[:, 2]), np.nan_to_num(motions.end[:, 2])) < -tolerance.GOUGE
    cutter_most = _by_row(program)
    found: list[Finding] = []

    def say(which: NDArray[np.bool_], *, code: str, message: str, severity: Severity) -> None:
        rows = np.flatnonzero(which)
        if len(rows):
            line = int(motions.line[rows[0]])
            more = f" ({len(rows)} motions)" if len(rows) > 1 else ""
            where = f"{program.file}, line {line}"
            found.append(Finding(severity=severity, code=code, message=f"{message}{more}", where=where))

    at_rest = feeds & deep & (motions.rpm <= 0.0)
    say(
        at_rest,
        code="spindle-at-rest",
        message="feeds into the plate with the spindle at rest",
        severity=Severity.UNSAFE,
    )
    fast = float(motions.rpm.max(initial=0.0))
    say(
        motions.rpm > cutter_most * (1.0 + _SHARE),
        code="speed-above-cutter",
        message=f"{fast:,.0f} rpm is more than its cutter is made for",
        severity=Severity.UNSAFE,
    )
    say(
        motions.rpm > machine.rpm_max * (1.0 + _SHARE),
        code="speed-above-spindle",
        message=f"{fast:,.0f} rpm is more than the spindle's {machine.rpm_max:,.0f}",
        severity=Severity.UNSAFE,
    )
    slow = feeds & deep & (motions.rpm > 0.0) & (motions.rpm < machine.rpm_min * (1.0 - _SHARE))
    say(
        slow,
        code="speed-below-spindle",
        message=f"cuts at {float(motions.rpm[slow].min(initial=machine.rpm_min)):,.0f} rpm, and the spindle turns at "
        f"{machine.rpm_min:,.0f} at least: slower it may stand still",
        severity=Severity.UNSAFE,
    )
    say(
        feeds & (np.nan_to_num(motions.feed) > machine.feed_max * (1.0 + _SHARE)),
        code="feed-above-machine",
        message=f"a feed above the {machine.feed_max:,.0f} mm/min that this mill reaches",
        severity=Severity.UNMET,
    )
    return found


def _by_row(program: ProgramUnderProof) -> NDArray[np.float64]:
    """The highest speed of the cutter that is in the spindle, row by row."""
    most = np.full(len(program.motions.kind), _most(program.cutter))
    for row, cutter in program.changes:
        most[row:] = _most(cutter)
    return most


def _most(cutter: Cutter) -> float:
    return np.inf if cutter.rpm_max is None else cutter.rpm_max
