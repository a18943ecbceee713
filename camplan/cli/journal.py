"""``camplan journal``: what was measured and skimmed, and what it taught."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing, refuse_project
from camplan.report.files import write_over_own
from camplan.report.journal_picture import MARK, journal_picture
from camplan.report.journal_text import journal_text


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Show the journal beside a job as a table, and draw size against skim."""
    del progress
    job: Path = arguments.job
    refuse_drawing(job)
    refuse_project(job)
    told = pipeline.journal_story(job)
    say(journal_text(told.story, file=str(told.file), width=text_width()))
    if told.story.chapters:
        picture: Path = arguments.output or job.with_name(f"{job.stem}-journal.svg")
        write_over_own(picture, journal_picture(told.story, title=told.file.name), mark=MARK)
        say(f"Picture: {picture}")
    return Exit.DONE
