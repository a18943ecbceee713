"""Exit codes, and what findings make of a run."""

from collections.abc import Sequence
from enum import IntEnum
from typing import assert_never

from camplan.findings import Finding, Severity


class Exit(IntEnum):
    """Exit codes; the first four are part of the contract."""

    DONE = 0
    UNMET = 1
    INPUT = 2
    UNPROVEN = 3
    BROKEN = 70
    STOPPED = 130


def code_of(findings: Sequence[Finding], *, passed: bool) -> Exit:
    """What the verdict and the gravest finding make of the run."""
    if not passed:
        return Exit.UNPROVEN
    code = Exit.DONE
    for finding in findings:
        match finding.severity:
            case Severity.UNSAFE:
                return Exit.UNPROVEN
            case Severity.UNMET:
                code = Exit.UNMET
            case Severity.CAUTION | Severity.NOTE:
                pass
            case _:
                assert_never(finding.severity)
    return code
