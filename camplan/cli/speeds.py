"""``camplan speeds``: cutting data for one cut."""

import argparse
from pathlib import Path

from camplan import pipeline
from camplan.catalogue import load_sources
from camplan.cli.codes import Exit, code_of
from camplan.cli.console import ProgressLine, say, text_width
from camplan.cutting.records import CutKind
from camplan.report.tables import cut_heading, speeds_text


def run(arguments: argparse.Namespace, *, progress: ProgressLine) -> Exit:
    """Print one cut's figures with their reasons; files of the user's own are looked for where the command runs."""
    data = pipeline.speeds(
        cutter=arguments.cutter,
        material=arguments.material,
        machine=arguments.machine,
        depth=arguments.depth,
        width=arguments.width,
        kind=arguments.kind,
        beside=Path.cwd(),
    )
    heading = cut_heading(
        cutter=arguments.cutter,
        material=arguments.material,
        machine=arguments.machine,
        kind=arguments.kind,
        depth=arguments.depth,
        width=arguments.width,
    )
    publications = tuple(load_sources(beside=Path.cwd()).by_code.values())
    progress.clear()
    say(speeds_text(data, kind=CutKind(arguments.kind), heading=heading, sources=publications, width=text_width()))
    return code_of(data.findings, passed=True)
