"""``camplan check``: the verdict on programs that exist already."""

import argparse

from camplan import pipeline
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cli.inputs import refuse_drawing, refuse_project
from camplan.report.summary import proof_summary


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Read programs back against the plate of a job."""
    refuse_drawing(arguments.job)
    refuse_project(arguments.job)
    progress("reading and proving", 0.0)
    proof = pipeline.check_programs(arguments.programs, job_file=arguments.job)
    progress.clear()
    say(proof_summary(proof, width=text_width()))
    return code_of(proof.findings, passed=proof.passed)
