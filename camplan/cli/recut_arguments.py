"""The arguments of ``camplan recut``: sizes in groups, each begun by what was measured."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from camplan.recut.sides import Side

RECUT_EXAMPLE = """example:
  camplan recut cavity-out disc --across x --measured 60.91 --wanted 61.50
      the disc's walls are 60.91 mm apart along X and shall be 61.50: a skim that makes it fit, proven before it is
      written to cavity-out-skim-1/, and what to measure after it
  camplan recut nest-out nests --across x --measured 29.94 29.95 29.94 --across y --measured 24.94 --sigma-um 4
      two widths, to be as drawn; the first was read three times, each reading good to 4 um
  camplan recut nest-out nests --wall left --stands-short 0.12
      only the left wall stands short, by 0.12 mm: all others are left alone
  camplan recut nest-out nests --wall right --across x --measured 29.94
      the width is too small, and the right wall alone gives all of it, as the left one is a datum
  camplan recut cavity-out disc --depth --measured 3.94
      the floor is 60 um too high
  camplan recut cavity-out disc --diameter --sticks
      the mate does not go in, and by how much is not known: one small step

"""

JOURNAL_EXAMPLE = """example:
  camplan journal cavity.toml
      what `camplan recut` and `camplan time` wrote to cavity.journal: every size, what each skim was to make and made,
      what that taught of each cutter, and every timed run; with a picture of size against skim, cavity-journal.svg

"""


class _Word(argparse.Action):
    """Keeps what was typed in its order, so that each size has its own readings."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        said: list[tuple[str, Any]] = list(getattr(namespace, "said", None) or [])
        said.append((self.dest, values))
        namespace.said = said


def add_recut(command: argparse.ArgumentParser) -> None:
    """Give the command its arguments; ``said`` holds (word, values) in the order in which they were typed."""
    command.add_argument("folder", type=Path, metavar="OUT", help="the folder that `camplan plan` wrote")
    command.add_argument("feature", metavar="FEATURE", help="the feature's name in the job")
    size = command.add_argument_group("a size", "begun by one of the first four; may be given again for another size")
    size.add_argument(
        "--across",
        action=_Word,
        choices=("x", "y"),
        help="between two walls that face each other along X or Y: over the whole region, or --at a place",
    )
    size.add_argument(
        "--wall",
        action=_Word,
        choices=tuple(side.value for side in Side),
        help="one wall alone gives (left: where X is low, front: where Y is low): what it lacks itself by "
        "--stands-short, or all that an --across lacks",
    )
    size.add_argument("--diameter", action=_Word, nargs=0, help="of a round pocket, or of holes that were bored")
    size.add_argument("--depth", action=_Word, nargs=0, help="of the floor, from the plate's top")
    size.add_argument("--measured", action=_Word, type=_reading, nargs="+", metavar="MM", help="its readings, in mm")
    size.add_argument(
        "--stands-short",
        action=_Word,
        type=_reading,
        nargs="+",
        metavar="MM",
        help="how much is still to go until the --wall stands where it is drawn, in mm; below 0 where it is beyond",
    )
    size.add_argument(
        "--wanted", action=_Word, type=_reading, metavar="MM", help="what it shall be (default: as drawn)"
    )
    size.add_argument(
        "--at", action=_Word, type=_place, nargs=2, metavar=("X", "Y"), help="a place between the two walls"
    )
    size.add_argument(
        "--at-depth",
        action=_Word,
        type=_place,
        metavar="MM",
        help="how deep a width was measured, from the plate's top: asked for where walls lean",
    )
    size.add_argument(
        "--sticks", action=_Word, nargs=0, help="nothing was measured, the mate does not go in: one small step"
    )
    size.add_argument("--step-um", action=_Word, type=_reading, metavar="UM", help="that step, off a wall, in um")
    command.add_argument("--region", type=int, metavar="N", help="which region of the feature (default: all, if alike)")
    command.add_argument(
        "--sigma-um",
        type=float,
        default=10.0,
        metavar="UM",
        help="standard error of one reading in um (default: 10, a caliper read to 0.01 mm)",
    )
    command.add_argument(
        "--not-run", action="store_true", help="the last skim of this feature was written, but not run"
    )
    command.add_argument(
        "--new-zero", action="store_true", help="Z is touched off anew before the skim, so a depth is not made up for"
    )
    command.add_argument(
        "--job", type=Path, metavar="JOB.toml", help="the job, if it no longer stands beside the folder"
    )


def add_journal(command: argparse.ArgumentParser) -> None:
    """Give ``camplan journal`` its arguments."""
    command.add_argument("job", type=Path, metavar="JOB.toml", help="the job file; its journal stands beside it")
    command.add_argument(
        "-o", "--output", type=Path, metavar="FILE.svg", help="the picture (default: JOB-journal.svg by the job)"
    )


def _reading(text: str) -> float:
    """A figure as it was typed; what it can mean is asked later, when the size is known."""
    try:
        return float(text.strip().replace(",", ".").removesuffix("mm"))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no size; accepted: a number of mm, such as 60.91") from None


def _place(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no coordinate; accepted: mm from the plate's zero") from None
