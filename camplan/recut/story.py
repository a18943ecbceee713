"""A journal told from its beginning: plan by plan, what was measured and skimmed, and what all of it taught."""

import math
from dataclasses import dataclass

from camplan.findings import Finding
from camplan.recut.history import (
    MADE,
    MEASURED,
    NOT_RUN,
    SKIM,
    Reading,
    Skimmed,
    history_of,
    observations,
    reading_of,
    skim_of,
)
from camplan.recut.journal import Entry, Journal, number_of, text_of
from camplan.recut.learned import Learned, learned
from camplan.recut.timings import TIMED, Timing, timings_of
from camplan.units import Mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Skim:
    """A skim that was written, and by direction the sizes that it is to make; ``run`` False: it was not run."""

    skim: Skimmed
    aims: tuple[tuple[str, Mm], ...]
    run: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """One plan and what came after it, in order."""

    plan: str
    folder: str
    told: tuple[Skim | Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What skims by one cutter in one material along one direction taught."""

    cutter: str
    material: str
    along: str
    taught: Learned


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """All chapters, all lessons, runs that were timed, and lines that cannot be read."""

    chapters: tuple[Chapter, ...]
    lessons: tuple[Lesson, ...]
    findings: tuple[Finding, ...]
    timings: tuple[Timing, ...] = ()


def story_of(journal: Journal) -> Story:
    """The story that a journal tells; entries that lack figures are findings."""
    folders: dict[str, str] = {}
    told: dict[str, list[Skim | Reading]] = {}
    left_out = {
        (text_of(entry, "plan"), int(number_of(entry, "skim")))
        for entry in journal.entries
        if entry.kind == NOT_RUN and math.isfinite(number_of(entry, "skim"))
    }
    timings, lacking = timings_of(journal)
    for entry in journal.entries:
        if entry.kind == TIMED:
            continue
        plan = text_of(entry, "plan")
        if entry.kind == MADE:
            folders[plan] = text_of(entry, "folder")
        part: Skim | Reading | None = None
        if entry.kind == SKIM and (skim := skim_of(entry)) is not None:
            part = Skim(skim=skim, aims=_aims(entry), run=(plan, skim.number) not in left_out)
        elif entry.kind == MEASURED:
            part = reading_of(entry)
        told.setdefault(plan, [])
        if part is not None:
            told[plan].append(part)
    whole = history_of(journal, plan_sum="")
    kinds = dict.fromkeys((one.cutter, one.material, one.direction) for one in whole.all_readings)
    lessons = []
    for cutter, material, along in kinds:
        taught = learned(observations(whole, cutter=cutter, material=material, along=along))
        if taught.count:
            lessons.append(Lesson(cutter=cutter, material=material, along=along, taught=taught))
    return Story(
        chapters=tuple(
            Chapter(plan=plan, folder=folders.get(plan, "a plan"), told=tuple(parts)) for plan, parts in told.items()
        ),
        lessons=tuple(lessons),
        findings=(*whole.findings, *lacking),
        timings=timings,
    )


def _aims(entry: Entry) -> tuple[tuple[str, Mm], ...]:
    said = entry.said.get("aims_mm")
    if not isinstance(said, dict):
        return ()
    return tuple((along, float(aim)) for along, aim in said.items() if isinstance(aim, int | float))
