"""Text to moves: any RS-274/NGC program, line by line.

A line with an error is not executed and becomes an unsafe finding; reading goes on, so that all errors come in one
run.  (An arc whose radii do not agree is read on as a straight cut: the lines after it start where they should.)
Positions are in mm in the coordinates that are in force when an axis is first told where to go.
"""

from collections import Counter

import numpy as np
from numpy.typing import NDArray

from camplan.findings import Finding, Severity
from camplan.moves.expand import Expanded, expanded
from camplan.moves.records import Position, ToolChange
from camplan.moves.table import MotionTable
from camplan.rs274.controller import Controller, Said
from camplan.rs274.dialects import Dialect, dialect_named
from camplan.rs274.expressions import BrokenError
from camplan.rs274.plain import MATCH, ran_plain
from camplan.rs274.records import CutterChange, Post, ReadProgram
from camplan.rs274.words import POINTLESS, block_of

_LONGEST = 256
"""NISTIR 6556 §3.3."""
_MATCHING = 0.002
"""mm (NISTIR 6556 §3.5.3.2)."""
_MOST_OF_A_CODE = 100


def read(text: str, *, file: str, post: Post | None = None, start: Position | None = None) -> ReadProgram:
    """A program read; the narrower rules of ``post`` hold if one is given.  Never raises for any text.

    ``start`` is where the cutter stands before the first line.  Where it is not given, an axis is taken to stand
    where its first word sends it; the height of a way across before any Z was said is NaN.  Source: NISTIR 6556
    section 3; for posts of the dialect ``grbl`` the source and notes of Grbl 1.1h.
    """
    dialect = dialect_named(post.dialect if post is not None else "rs274ngc")
    longest = post.line_length if post is not None else _LONGEST
    controller = Controller(
        dialect=dialect, start=start, arc_tolerance=post.arc_tolerance if post is not None else _MATCHING
    )
    comments: list[tuple[int, str]] = []
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    said = _run(lines, controller=controller, longest=longest, comments=comments)
    found = expanded(controller.moves, start=controller.start, lines=controller.lines)
    return ReadProgram(
        file=file,
        moves=tuple(controller.moves),
        motions=_said_places(found.motions),
        findings=_findings([*controller.said, *said], file=file),
        comments=tuple(comments),
        move_lines=tuple(controller.lines),
        changes=_changes(controller, found=found),
    )


def _run(lines: list[str], *, controller: Controller, longest: int, comments: list[tuple[int, str]]) -> list[Said]:
    """Every line run in order; what is wrong with lines, and with the program as a whole."""
    said: list[Said] = []
    dialect, moves, numbers, tolerance = (
        controller.dialect,
        controller.moves,
        controller.lines,
        controller.arc_tolerance,
    )
    opened = closed = begun = resumed = False
    for number, line in enumerate(lines, start=1):
        modes = controller.modes
        plain = None
        if modes.plain and len(line) <= longest and line.isascii():
            bare = line.replace(" ", "").upper()
            if controller.point_said or not POINTLESS.search(bare):
                plain = MATCH(bare)
        if plain and ran_plain(plain, modes=modes, moves=moves, arc_tolerance=tolerance):
            numbers.append(number)
            continue
        try:
            block = block_of(line, dialect=dialect, parameters=controller.parameters, longest=longest)
            for comment in block.comments:
                comments.append((number, comment))
                _hear(comment, controller=controller)
            if block.percent:
                if not dialect.percent:
                    raise BrokenError(f"a percent line is refused ({dialect.source})", code="percent-line")
                if modes.ended:
                    break
                if begun and not opened:
                    raise BrokenError(
                        "a percent line stands inside the program (NISTIR 6556 §3.1)", code="percent-line"
                    )
                if opened:
                    closed = True
                    break
                opened = True
                continue
            if modes.ended:
                if not (block.values or block.g or block.m or block.settings):
                    continue
                if not dialect.runs_on:
                    said.append(_after_end(number))
                    break
                resumed = True
                controller.go_on(line=number)
            begun = begun or bool(block.values or block.g or block.m or block.settings)
            controller.execute(block, line=number)
        except BrokenError as error:
            if modes.ended and not dialect.runs_on:
                said.append(_after_end(number))
                break
            begun = True
            said.append(Said(line=number, code=error.code, message=str(error), severity=Severity.UNSAFE))
    if not (controller.modes.ended or resumed or closed) and (controller.moves or opened):
        said.append(_endless(opened, last=len(lines), dialect=dialect))
    return said


def _after_end(line: int) -> Said:
    """What is no longer run, whatever it says (NISTIR 6556 §3.1)."""
    message = "stands after the end of the program and is not run"
    return Said(line=line, code="after-end", message=message, severity=Severity.NOTE)


def _hear(comment: str, *, controller: Controller) -> None:
    """A comment such as ``cutter: slot-6`` names the cutter of the next change."""
    word, colon, rest = comment.partition(":")
    if colon and word.strip().lower() == "cutter" and rest.strip():
        controller.cutter = rest.split(",")[0].strip()


def _endless(opened: bool, *, last: int, dialect: Dialect) -> Said:
    """What is missing at the end of a program (NISTIR 6556 §3.1)."""
    if opened:
        code, message = "percent-open", "the percent line at the start has no second one, and there is no M2 or M30"
    else:
        code, message = "no-end", "the program has neither M2 nor M30" + (" nor percent lines" * dialect.percent)
    return Said(line=last, code=code, message=f"{message} (NISTIR 6556 §3.1)", severity=Severity.CAUTION)


def _findings(said: list[Said], *, file: str) -> tuple[Finding, ...]:
    """Findings in the order of lines; of one code no more than fit on a sheet, and how many more there are."""
    ordered = sorted(said, key=lambda one: (one.line, one.code, one.message))
    counts: Counter[str] = Counter()
    findings: list[Finding] = []
    last: dict[str, Said] = {}
    worst: dict[str, Severity] = {}
    for one in ordered:
        counts[one.code] += 1
        if counts[one.code] <= _MOST_OF_A_CODE:
            findings.append(_finding(one.severity, one.code, one.message, line=one.line, file=file))
            continue
        last[one.code] = one
        worst[one.code] = max(one.severity, worst.get(one.code, Severity.NOTE), key=list(Severity).index)
    for code, count in sorted(counts.items()):
        if count > _MOST_OF_A_CODE:
            message = f"and {count - _MOST_OF_A_CODE} more lines with {code}, the last one here"
            findings.append(_finding(worst[code], code, message, line=last[code].line, file=file))
    return tuple(findings)


def _finding(severity: Severity, code: str, message: str, *, line: int, file: str) -> Finding:
    return Finding(severity=severity, code=code, message=f"{file}, line {line}: {message}", where=f"{file} line {line}")


def _changes(controller: Controller, *, found: Expanded) -> tuple[CutterChange, ...]:
    return tuple(
        CutterChange(row=int(found.first[place]), number=move.number, cutter=move.cutter)
        for place, move in enumerate(controller.moves)
        if isinstance(move, ToolChange)
    )


def _said_places(motions: MotionTable) -> MotionTable:
    """Places that no line has said yet are those said next; a height is NaN until one is said."""
    start, end = motions.start.copy(), motions.end.copy()
    for axis in range(3):
        if axis < 2:
            end[:, axis] = _next_said(end[:, axis])
        gap = np.isnan(start[:, axis])
        start[gap, axis] = end[gap, axis]
    if len(start) > 1:
        start[1:, :2] = end[:-1, :2]
    return MotionTable(
        start=start,
        end=end,
        centre=motions.centre,
        kind=motions.kind,
        feed=motions.feed,
        rpm=motions.rpm,
        line=motions.line,
    )


def _next_said(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values with each NaN taken from the next number, or the last one, or 0."""
    known = np.flatnonzero(~np.isnan(values))
    if not len(known):
        return np.zeros_like(values)
    after = np.searchsorted(known, np.arange(len(values)))
    filled: NDArray[np.float64] = values[known[np.minimum(after, len(known) - 1)]]
    return filled
