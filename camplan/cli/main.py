"""The command ``camplan``: arguments in, exit code out, and never a traceback."""

import importlib
import logging
import os
import sys
import traceback
import warnings
from collections.abc import Sequence

from camplan.cli.arguments import parser
from camplan.cli.codes import Exit
from camplan.cli.console import ProgressLine, complain, forgiving
from camplan.errors import InputError

DEBUG = "CAMPLAN_DEBUG"


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; the exit codes are those of `camplan.cli.codes.Exit`."""
    forgiving(sys.stdout, sys.stderr)
    if not os.environ.get(DEBUG):
        warnings.simplefilter("ignore")
        logging.getLogger().addHandler(logging.NullHandler())
    try:
        arguments = parser().parse_args(argv)
    except SystemExit as leave:
        return leave.code if isinstance(leave.code, int) else int(Exit.DONE)
    progress = ProgressLine(sys.stderr)
    try:
        # Each command is a module of this room, and only the one asked for is loaded: `--help` stays quick.
        command = importlib.import_module(f"camplan.cli.{arguments.command}")
        return int(command.run(arguments, progress=progress))
    except InputError as error:
        progress.clear()
        complain(*(f"camplan: {problem}" for problem in error.problems))
        return int(Exit.INPUT)
    except KeyboardInterrupt:
        progress.clear()
        complain("camplan: stopped. No file was left half written; what an earlier run wrote is whole.")
        return int(Exit.STOPPED)
    except Exception as error:
        progress.clear()
        _apologise(error)
        return int(Exit.BROKEN)


def _apologise(error: Exception) -> None:
    if os.environ.get(DEBUG):
        traceback.print_exception(error)
    said = "".join(str(error).strip().splitlines()[:1])
    what = f"{type(error).__name__}: {said}" if said else type(error).__name__
    complain(
        f"camplan: sorry, something went wrong inside camplan ({what}).",
        "camplan: what an earlier run wrote is whole. Please report it with the command, the job file and the "
        f"drawing; with {DEBUG}=1 set in the environment the same command shows where it happened.",
    )
