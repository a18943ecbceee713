"""The journal beside a job, told from its beginning."""

from dataclasses import dataclass
from pathlib import Path

from camplan.errors import InputError, Problem
from camplan.recut.journal import journal_beside, read_journal
from camplan.recut.story import Story, story_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A journal's file and its story."""

    file: Path
    story: Story


def journal_story(job_file: Path) -> Told:
    """The story of a job's plate; of nothing where nothing was measured yet.  InputError if there is no such job."""
    if not job_file.is_file():
        message = "there is no such job file"
        raise InputError(Problem(message=message, file=str(job_file), accepted="the job whose plate was measured"))
    file = journal_beside(job_file)
    return Told(file=file, story=story_of(read_journal(file)))
