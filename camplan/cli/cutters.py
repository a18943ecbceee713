"""``camplan cutters``: which cutter reaches what."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing, refuse_project
from camplan.report.cutter_picture import MARK, cutter_picture
from camplan.report.files import write_over_own
from camplan.report.tables import cutter_table_text


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Print the table of cutters against features and draw the plate with what they leave."""
    refuse_drawing(arguments.job)
    refuse_project(arguments.job)
    progress("trying the cutters", 0.0)
    table = pipeline.cutter_table(arguments.job, feature=arguments.feature)
    progress.clear()
    say(cutter_table_text(table, width=text_width()))
    job: Path = arguments.job
    picture: Path = arguments.output or job.with_name(f"{job.stem}-cutters.svg")
    write_over_own(picture, cutter_picture(table), mark=MARK)
    say(f"Picture: {picture}")
    return Exit.DONE
