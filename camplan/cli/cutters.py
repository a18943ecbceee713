"""``camplan cutters``: which cutter reaches what."""

import argparse

from camplan import pipeline
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing
from camplan.report.tables import cutter_table_text


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Print the table of cutters against features."""
    refuse_drawing(arguments.job)
    progress("trying the cutters", 0.0)
    table = pipeline.cutter_table(arguments.job, feature=arguments.feature)
    progress.clear()
    say(cutter_table_text(table, width=text_width()))
    return Exit.DONE
