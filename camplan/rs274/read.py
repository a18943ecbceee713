"""Text to moves: any RS-274/NGC program, line by line.

A line with an error is not executed and becomes an unsafe finding; reading goes on, so that all errors come in one
run.  Positions are in mm in the coordinates that are in force when the program starts.  An axis whose place the text
has not yet told is taken to stand where its first word sends it.
"""

import numpy as np

from camplan.findings import Finding, Severity
from camplan.moves.records import Position
from camplan.moves.table import MotionTable
from camplan.rs274.controller import Controller
from camplan.rs274.expressions import BrokenError
from camplan.rs274.records import Post, ReadProgram
from camplan.rs274.words import block_of

_MOST_LINES = 2_000_000


def read(text: str, *, file: str, post: Post | None = None, start: Position | None = None) -> ReadProgram:
    """A program read; the narrower rules of ``post`` hold if one is given.  Never raises for any text.

    Source: NISTIR 6556 section 3; for posts of the dialect ``grbl`` the notes of Grbl 1.1h.
    """
    controller = Controller(grbl=post is not None and post.dialect == "grbl", start=start)
    tolerance = post.arc_tolerance if post is not None else 0.002
    findings: list[Finding] = []
    comments: list[tuple[int, str]] = []
    lines = text.splitlines()
    longest = post.line_length if post is not None else 256
    percents = 0
    for number, line in enumerate(lines[:_MOST_LINES], start=1):
        try:
            _check_length(line, longest=longest, grbl=controller.grbl)
            block = block_of(line, parameters=controller.parameters)
            comments.extend((number, comment.strip()) for comment in block.comments)
            if block.percent:
                percents += 1
                if controller.grbl:
                    raise BrokenError(
                        "a percent line is refused by this controller (Grbl error 1)", code="unknown-word"
                    )
                if percents == 2:
                    break
                continue
            if controller.ended:
                if block.words:
                    findings.append(
                        _finding(
                            "after-end", "stands after the end of the program: not run", file, number, Severity.NOTE
                        )
                    )
                    break
                continue
            controller.execute(block, line=number, arc_tolerance=tolerance)
        except BrokenError as error:
            findings.append(_finding(error.code, str(error), file, number, Severity.UNSAFE))
        except RecursionError:
            findings.append(_finding("bad-expression", "brackets are nested too deeply", file, number, Severity.UNSAFE))
    findings.extend(_finding(code, said, file, line, severity) for line, code, said, severity in controller.remarks)
    if percents == 1:
        findings.append(
            _finding(
                "percent-open", "a first % has no second one (NISTIR 6556 §3.1)", file, len(lines), Severity.CAUTION
            )
        )
    elif not controller.ended and percents == 0 and len(controller.kind):
        findings.append(
            _finding(
                "no-end", "the program has neither M2 nor M30 (NISTIR 6556 §3.1)", file, len(lines), Severity.CAUTION
            )
        )
    findings.sort(key=lambda finding: (int(finding.where.rsplit(" ", 1)[1]), finding.code))
    return ReadProgram(
        file=file,
        moves=tuple(controller.moves),
        motions=_table(controller),
        findings=tuple(findings),
        comments=tuple(comments),
    )


def _check_length(line: str, *, longest: int, grbl: bool) -> None:
    if len(line) <= longest:
        return
    kept = line
    if grbl:
        kept = "".join(line.split("(", 1)[0].split(";", 1)[0].split())
        if len(kept) <= longest:
            return
    raise BrokenError(f"the line has {len(kept)} characters; {longest} are read", code="line-too-long")


def _finding(code: str, message: str, file: str, line: int, severity: Severity) -> Finding:
    return Finding(severity=severity, code=code, message=f"{file}, line {line}: {message}", where=f"{file} line {line}")


def _table(controller: Controller) -> MotionTable:
    count = len(controller.kind)

    def column(values: list[float] | list[int]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.array(values, dtype=np.float64)

    return MotionTable(
        start=np.array(controller.start, dtype=np.float64).reshape(count, 3),
        end=np.array(controller.end, dtype=np.float64).reshape(count, 3),
        centre=np.array(controller.centre, dtype=np.float64).reshape(count, 2),
        kind=np.array(controller.kind, dtype=np.int8),
        feed=column(controller.feeds),
        rpm=column(controller.speeds),
        line=np.array(controller.lines, dtype=np.int64),
    )
