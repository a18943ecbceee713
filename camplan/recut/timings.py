"""Runs that were timed, as a journal keeps them."""

import math
from dataclasses import dataclass

from camplan.findings import Finding, Severity
from camplan.recut.journal import Entry, Journal, Value, number_of, text_of
from camplan.units import Seconds

TIMED = "timed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """A program of a plan folder that took ``measured`` on a mill and was predicted to take ``predicted``; ``scale`` of
    the mill's accelerations explains it (None: none does)."""

    folder: str
    program: str
    check_sum: str
    machine: str
    predicted: Seconds
    measured: Seconds
    scale: float | None


def timing_said(timing: Timing) -> dict[str, Value]:
    """A timing's entry."""
    return {
        "folder": timing.folder,
        "program": timing.program,
        "sha256": timing.check_sum,
        "machine": timing.machine,
        "predicted_s": round(timing.predicted, 3),
        "measured_s": round(timing.measured, 3),
        "scale": None if timing.scale is None else round(timing.scale, 6),
    }


def timings_of(journal: Journal) -> tuple[tuple[Timing, ...], tuple[Finding, ...]]:
    """The timings of a journal in order, and a caution for each that lacks figures."""
    found: list[Timing] = []
    lacking: list[Finding] = []
    for entry in journal.entries:
        if entry.kind != TIMED:
            continue
        timing = _timing_of(entry)
        if timing is not None:
            found.append(timing)
            continue
        lacking.append(
            Finding(
                severity=Severity.CAUTION,
                code="journal-entry-incomplete",
                message=f"an entry {TIMED!r} lacks figures and is not believed",
                where=f"{journal.file}, line {entry.line}",
            )
        )
    return tuple(found), tuple(lacking)


def _timing_of(entry: Entry) -> Timing | None:
    predicted, measured, scale = (number_of(entry, key) for key in ("predicted_s", "measured_s", "scale"))
    program = text_of(entry, "program")
    if not (math.isfinite(predicted) and math.isfinite(measured) and program):
        return None
    return Timing(
        folder=text_of(entry, "folder"),
        program=program,
        check_sum=text_of(entry, "sha256"),
        machine=text_of(entry, "machine"),
        predicted=predicted,
        measured=measured,
        scale=scale if math.isfinite(scale) else None,
    )
