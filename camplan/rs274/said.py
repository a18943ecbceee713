"""What is said about lines of a program, as findings: in order, each cause once, and no more than fit on a sheet."""

from collections import Counter
from dataclasses import dataclass, replace

from camplan.findings import Finding, Severity

_MOST_OF_A_CODE = 20
_IN_FORCE = frozenset({"word-unused", "arc-words", "feed-missing", "no-motion", "word-missing", "height-unsaid"})
"""Codes that say that the words of a line do not fit what earlier lines have put in force."""
_RUN_GAP = 2
"""Lines no farther apart than this follow one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Something to say about a line."""

    line: int
    code: str
    message: str
    severity: Severity


def findings_of(said: list[Said], *, file: str) -> tuple[Finding, ...]:
    """Findings in the order of lines; of one code no more than fit on a sheet, and how many more there are."""
    ordered = _causes(sorted(said, key=lambda one: (one.line, one.code, one.message)))
    counts: Counter[str] = Counter()
    findings: list[Finding] = []
    last: dict[str, Said] = {}
    worst: dict[str, Severity] = {}
    for one in ordered:
        counts[one.code] += 1
        if counts[one.code] <= _MOST_OF_A_CODE:
            findings.append(_finding(one, file=file))
            continue
        last[one.code] = one
        worst[one.code] = max(one.severity, worst.get(one.code, Severity.NOTE), key=list(Severity).index)
    for code, count in sorted(counts.items()):
        if count > _MOST_OF_A_CODE:
            message = f"and {count - _MOST_OF_A_CODE} more lines with {code}, the last one here"
            findings.append(_finding(replace(last[code], message=message, severity=worst[code]), file=file))
    return tuple(findings)


def _causes(ordered: list[Said]) -> list[Said]:
    """What was said, but of each run of lines on which one thing in force is wrong the first, with how many follow.

    A motion or a feed that is lost on one line is an error on every line that goes on from it: one cause, said once.
    """
    found: list[Said] = []
    open_: dict[str, tuple[int, int]] = {}  # by code: place in what was found, and the last line
    followers: dict[int, list[int]] = {}
    for one in ordered:
        place, last = open_.get(one.code, (0, -_RUN_GAP - 1))
        if one.code in _IN_FORCE and one.line - last <= _RUN_GAP:
            open_[one.code] = (place, one.line)
            followers.setdefault(place, []).append(one.line)
            continue
        open_[one.code] = (len(found), one.line)
        found.append(one)
    for place, lines in followers.items():
        more = "one more line" if len(lines) == 1 else f"{len(lines)} more lines"
        message = f"{found[place].message}; the same of {more} after it, to line {lines[-1]}"
        found[place] = replace(found[place], message=message)
    return found


def _finding(one: Said, *, file: str) -> Finding:
    return Finding(severity=one.severity, code=one.code, message=one.message, where=f"{file}, line {one.line}")
