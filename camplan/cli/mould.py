"""``camplan mould``: what a mould asks of the press, of its channels and of patience."""

import argparse

from camplan import pipeline
from camplan.catalogue import load_sources
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing
from camplan.moulding.records import MouldingSpec
from camplan.report.mould_text import mould_text
from camplan.units import N_PER_KN


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Print the estimates of a job's mould with what they rest on; nothing is written."""
    refuse_drawing(arguments.job)
    progress("measuring the cavity", 0.0)
    said = MouldingSpec(
        plastic=arguments.plastic,
        wall=arguments.wall_mm,
        press=arguments.press_kn * N_PER_KN if arguments.press_kn is not None else None,
        ejection=arguments.ejection_c,
    )
    table = pipeline.mould_table(arguments.job, said=said)
    publications = tuple(load_sources(beside=arguments.job.parent).by_code.values())
    progress.clear()
    say(mould_text(table, sources=publications, width=text_width()))
    return code_of(table.answer.findings, passed=True)
