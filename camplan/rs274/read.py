"""Text to moves: any RS-274/NGC program, line by line.

A line with an error is not executed and becomes an unsafe finding; reading goes on, so that all errors come in one
run.  (An arc whose radii do not agree is read on as a straight cut, and a line with a word that nothing uses without
that word: the lines after it start where they should.)
Positions are in mm in the coordinates that are in force when an axis is first told where to go.
"""

import re

import numpy as np
from numpy.typing import NDArray

from camplan.findings import Severity
from camplan.moves.expand import Expanded, expanded
from camplan.moves.records import Position, ToolChange
from camplan.moves.table import MotionTable
from camplan.rs274.controller import Controller
from camplan.rs274.dialects import Dialect, dialect_named
from camplan.rs274.expressions import BrokenError
from camplan.rs274.plain import MATCH, ran_plain
from camplan.rs274.records import CutterChange, Post, ReadProgram
from camplan.rs274.said import Said, findings_of
from camplan.rs274.words import POINTLESS, Block, block_of

_LONGEST = 256
"""NISTIR 6556 §3.3."""
_MATCHING = 0.002
"""mm (NISTIR 6556 §3.5.3.2)."""
_WORK_SYSTEM = re.compile(r"G\s*(5[4-9](?:\.[123])?)")
_MOTION = re.compile(r"G0*([0-3])(?![0-9.])")
_FEED = re.compile(r"F([0-9]+\.?[0-9]{0,6})(?![0-9.])")
_ASIDE = re.compile(r"\([^)]*\)?|;.*")


def read(text: str, *, file: str, post: Post | None = None, start: Position | None = None) -> ReadProgram:
    """A program read; the narrower rules of ``post`` hold if one is given.  Never raises for any text.

    ``start`` is where the cutter stands before the first line.  Where it is not given, an axis is taken to stand
    where its first word sends it; the height of a way across before any Z was said is NaN.  Source: NISTIR 6556
    section 3; for posts of the dialect ``grbl`` the source and notes of Grbl 1.1h.
    """
    dialect = dialect_named(post.dialect if post is not None else "rs274ngc")
    longest = post.line_length if post is not None else _LONGEST
    controller = Controller(
        dialect=dialect,
        start=start,
        arc_tolerance=post.arc_tolerance if post is not None else _MATCHING,
        home=_home(post),
    )
    comments: list[tuple[int, str]] = []
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    said = _run(lines, controller=controller, longest=longest, comments=comments)
    found = expanded(controller.moves, start=controller.start, lines=controller.lines)
    return ReadProgram(
        file=file,
        moves=tuple(controller.moves),
        motions=_said_places(found.motions),
        findings=findings_of([*controller.said, *said], file=file),
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
            block = _block(line, controller=controller, longest=longest)
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
    said += controller.zeros.at_end(controller.modes.places, kept=dialect.runs_on or not controller.modes.ended)
    return said


def _home(post: Post | None) -> float:
    """The code of the work system that a post's programs use; G54 where it names none."""
    named = _WORK_SYSTEM.findall(" ".join(post.preamble).upper()) if post is not None else []
    return float(named[-1]) if named else 54.0


def _block(line: str, *, controller: Controller, longest: int) -> Block:
    """The block that a line holds; of one that cannot be read the controller takes on the motion all the same."""
    try:
        return block_of(line, dialect=controller.dialect, parameters=controller.parameters, longest=longest)
    except BrokenError:
        bare = _ASIDE.sub("", line).replace(" ", "").upper()
        motions = _MOTION.findall(bare)
        feeds = _FEED.findall(bare)
        controller.go_on_as(float(motions[-1]) if motions else None, feed=float(feeds[-1]) if feeds else 0.0)
        raise


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
