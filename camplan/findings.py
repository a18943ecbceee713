"""Something noticed on the way, said to the user without stopping the run."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters.

    ``note``: good to know.  ``caution``: look before cutting.  ``unmet``: something asked for is
    not met (exit code 1).  ``unsafe``: the proof failed, no program is written (exit code 3).
    """

    NOTE = "note"
    CAUTION = "caution"
    UNMET = "unmet"
    UNSAFE = "unsafe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A severity, a stable code such as ``open-contour``, a sentence, and the place it speaks of."""

    severity: Severity
    code: str
    message: str
    where: str = ""
