"""The commands and their arguments."""

import argparse
import re
from pathlib import Path
from typing import TypeAlias

from camplan import __version__
from camplan.cli.recut_arguments import JOURNAL_EXAMPLE, RECUT_EXAMPLE, add_journal, add_recut

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"

KINDS = ("slot", "side", "even", "rough", "corners", "wall", "floor", "drill", "engrave")
"""The words of `camplan.cutting.records.CutKind`, said again so that ``--help`` need not load numeric libraries."""

_TIME = re.compile(r"(?:([0-9]{1,3}):)?([0-9]{1,3}):([0-9]{2})")

DESCRIPTION = "From a drawing to milling programs that are proven before they are written, for small mills."

CODES = """exit codes:
  0    done and proven
  1    done, but something asked for is not met; the sheet says what
  2    the input cannot be used; each problem is printed
  3    the proof failed; no program was written
  70   camplan itself failed
  130  stopped by Ctrl-C
"""

MAIN_EXAMPLE = """examples:
  camplan start cavity.dxf
  camplan plan cavity.toml
  camplan plan --help

"""

START_EXAMPLE = """example:
  camplan start cavity.dxf
      writes cavity.toml beside the drawing: every layer with what was found on it, guesses marked as guesses.
      Go through it, correct it, then: camplan plan cavity.toml
  camplan start old-plate.dxf --unit inch
      for a drawing that does not say its unit
"""

PLAN_EXAMPLE = """example:
  camplan plan cavity.toml
      writes the programs, plan.json and sheet.html to cavity-out/ beside the job
  camplan plan cavity.toml -o /media/stick/cavity
      the same, to a folder of your choice; files of your own in it are left alone
  camplan plan mould.toml
      a project, which names the jobs of plates that belong together: shared holes and cores in cavities are held
      against each other, every job is planned into a folder of its own, and project.html shows all of them

"""

CHECK_EXAMPLE = """example:
  camplan check cavity-out/01-slot-6.ngc cavity-out/02-slot-2.ngc --job cavity.toml
      reads the programs back, in this order, and says whether they make the plate and nothing but the plate

"""

CUTTERS_EXAMPLE = """example:
  camplan cutters cavity.toml
  camplan cutters cavity.toml disc
      the tightest places of the feature "disc", which cutter reaches them, and what each leaves
  camplan cutters cavity.toml -o shelf.svg
      the same as a table, and a picture of the plate coloured by what each cutter leaves
"""

SPEEDS_EXAMPLE = """example:
  camplan speeds --cutter slot-6 --material aluminium-6082 --depth 6 --width 1.5
  camplan speeds --cutter slot-2 --material brass --machine gantry-router --depth 2 --kind slot
  camplan speeds --cutter drill-4.2 --material aluminium-6082 --depth 12 --kind drill
"""

LOCATE_EXAMPLE = """example:
  camplan locate cavity-out --mark "marks 1" 87.412 -41.208 --mark "marks 2" 177.398 -40.951
      the plate is back on the mill; two crosses were found with a microscope in the spindle, in machine coordinates
  camplan locate cavity-out --mark "dowels 1" 60.1 33.9 --mark "dowels 3" 140.2 104.1 --sigma-um 8
      holes serve as well; each was found to 8 um a coordinate

"""

TIME_EXAMPLE = """example:
  camplan time cavity-out --program a04-taper-2deg-1.5.ngc --measured 28:40
      the program was to take 25:48 and took 28:40: which accelerations of the mill explain that, as lines for its
      file; noted in cavity.journal
  camplan time cavity-out --program a04-taper-2deg-1.5.ngc --measured 28:40 --write
      writes the mill with those accelerations to tooling/machines/bench-mill-timed.toml beside the job, for
      machine = "bench-mill-timed" in this job and its neighbours

"""

MOULD_EXAMPLE = """example:
  camplan mould cavity.toml --plastic pp --press-kn 100
      clamp force against a press of 100 kN, plastic a shot, runner, gates, vents, flow and cooling time
  camplan mould cavity.toml --plastic abs --wall-mm 1.8 --ejection-c 85
      the same for a wall that a core of the other half makes thinner, and for an ejection temperature of your own
What is said here comes before [moulding] in the job file; nothing is written.
"""


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; ``command`` names what was asked for."""
    top = argparse.ArgumentParser(
        prog="camplan",
        description=DESCRIPTION,
        epilog=MAIN_EXAMPLE + CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"camplan {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)

    start = _command(
        commands,
        "start",
        short="write a first job file from a drawing",
        description="Write a first job file from a drawing: its layers, closed regions, hole sizes and open ends, "
        "with guesses marked as such. An existing file is never overwritten.",
        epilog=START_EXAMPLE,
    )
    start.add_argument("drawing", type=Path, metavar="DRAWING.dxf", help="the drawing")
    start.add_argument("--unit", choices=("mm", "inch"), help="the drawing's unit, where it does not say it itself")

    plan = _command(
        commands,
        "plan",
        short="plan, prove and write the programs of a job",
        description="Plan a job, prove its programs, and write them with plan.json and sheet.html. A program that "
        "fails its proof is not written.",
        epilog=PLAN_EXAMPLE + CODES,
    )
    plan.add_argument("job", type=Path, metavar="JOB.toml", help="the job file, or a project that names several")
    plan.add_argument("-o", "--out", type=Path, metavar="FOLDER", help="where to write (default: JOB-out/ by the job)")

    check = _command(
        commands,
        "check",
        short="prove programs that exist already",
        description="Read RS-274 programs, in the order in which they run, and compare what they cut with the plate "
        "that the job asks for.",
        epilog=CHECK_EXAMPLE + CODES,
    )
    check.add_argument("programs", type=Path, nargs="+", metavar="PROGRAM", help="program files, in running order")
    check.add_argument("--job", type=Path, required=True, metavar="JOB.toml", help="the job that they belong to")

    cutters = _command(
        commands,
        "cutters",
        short="say which cutter reaches what",
        description="For each feature: its smallest inner radius and narrowest neck, and what each listed cutter "
        "would leave, how long it would take, and whether it reaches the depth.",
        epilog=CUTTERS_EXAMPLE,
    )
    cutters.add_argument("job", type=Path, metavar="JOB.toml", help="the job file")
    cutters.add_argument("feature", nargs="?", metavar="FEATURE", help="one feature only")
    cutters.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="PICTURE.svg",
        help="where the picture goes (left out: JOB-cutters.svg beside the job)",
    )

    speeds = _command(
        commands,
        "speeds",
        short="cutting data for one cut, every figure with its reason",
        description="Cutting data for one cut, every figure with what set it. Lengths in mm.",
        epilog=SPEEDS_EXAMPLE,
    )
    speeds.add_argument("--cutter", required=True, metavar="CUTTER", help="a cutter's name, such as slot-6")
    speeds.add_argument("--material", required=True, metavar="MATERIAL", help="such as aluminium-6082")
    speeds.add_argument("--machine", default="bench-mill", metavar="MACHINE", help="the mill (default: %(default)s)")
    speeds.add_argument("--depth", type=_length, required=True, metavar="MM", help="depth of the feature in mm")
    speeds.add_argument(
        "--width", type=_length, metavar="MM", help="width of the cut in mm (left out: as wide as is good)"
    )
    speeds.add_argument(
        "--kind",
        choices=KINDS,
        default="rough",
        help="what kind of cut (default: %(default)s)",
    )
    locate = _command(
        commands,
        "locate",
        short="find a plate again by its marks and cut it where it lies",
        description="Find a plate again that was taken off the mill: from two or more of its marks, measured in "
        "machine coordinates, how it is turned and where its zero is, how sure the features are, and its programs "
        "turned and proven, or the work offset alone where the turn does not matter. plan.json and the sheet name the "
        "marks.",
        epilog=LOCATE_EXAMPLE + CODES,
    )
    locate.add_argument("folder", type=Path, metavar="OUT", help="the folder that `camplan plan` wrote")
    locate.add_argument(
        "--mark",
        nargs=3,
        action="append",
        required=True,
        metavar=("NAME", "X", "Y"),
        help="a mark's name and where it was found, in machine coordinates; two or more",
    )
    locate.add_argument(
        "--sigma-um",
        type=_length,
        default=20.0,
        metavar="UM",
        help="standard error of one measured coordinate in um (default: 20, an edge finder by hand)",
    )
    locate.add_argument(
        "--turn-deg",
        type=float,
        default=0.0,
        metavar="DEG",
        help="about how the plate lies, counter-clockwise, if it was put on turned (default: 0)",
    )
    locate.add_argument("--unit", choices=("mm", "inch"), default="mm", help="the unit of X and Y (default: mm)")
    locate.add_argument(
        "--job", type=Path, metavar="JOB.toml", help="the job, if it no longer stands beside the folder"
    )
    locate.add_argument(
        "-o", "--out", type=Path, metavar="FOLDER", help="where to write (default: OUT-located/ beside the folder)"
    )
    recut = _command(
        commands,
        "recut",
        short="from a measured size to the skim that makes it fit",
        description="From sizes that were measured on a pocket, hole or outline that a plan's programs have cut: "
        "what each wall, or the floor, must give, with its uncertainty, and a skim that takes just that, proven "
        "against the plate as it is now. What was asked and what came out is kept in JOB.journal, and teaches the "
        "next skim.",
        epilog=RECUT_EXAMPLE + CODES,
    )
    add_recut(recut)
    journal = _command(
        commands,
        "journal",
        short="what was measured, skimmed and timed, and what it taught",
        description="The journal beside a job as a table: every size, what each skim was to make and made, what that "
        "taught of each cutter along each direction, and every timed run; and a picture of size against skim.",
        epilog=JOURNAL_EXAMPLE + CODES,
    )
    add_journal(journal)
    time = _command(
        commands,
        "time",
        short="from one timed program to how fast the mill speeds up",
        description="From the time that one program of a plan took on the mill: what was predicted, and the one scale "
        "of the mill's accelerations (and of how fast they change, where its file says so) that explains the "
        "difference best, or what else could. It belongs to the mill, so it goes into a mill's file.",
        epilog=TIME_EXAMPLE + CODES,
    )
    time.add_argument("folder", type=Path, metavar="OUT", help="the folder that `camplan plan` wrote")
    time.add_argument(
        "--measured",
        type=_clock,
        required=True,
        metavar="H:MM:SS",
        help="how long it ran, from its first line to its last, such as 12:40 or 1:02:40, at 100 %% feed",
    )
    time.add_argument("--program", metavar="FILE", help="which program (default: the only one that cuts)")
    time.add_argument(
        "--write",
        nargs="?",
        const="",
        metavar="NAME",
        help="write the mill's file with those accelerations to tooling/machines/NAME.toml beside the job, never over "
        "an existing one (NAME left out: that of the mill with -timed)",
    )
    time.add_argument("--job", type=Path, metavar="JOB.toml", help="the job, if it no longer stands beside the folder")
    mould = _command(
        commands,
        "mould",
        short="what a mould asks of the press, of its channels and of patience",
        description="From the job's drawing: clamp force, plastic a shot, runner, gates, vents, flow length and "
        "cooling time, each with its range and its source. Estimates to start with.",
        epilog=MOULD_EXAMPLE,
    )
    mould.add_argument("job", type=Path, metavar="JOB.toml", help="the job file")
    mould.add_argument("--plastic", metavar="PLASTIC", help="what is moulded, such as pp or abs")
    mould.add_argument(
        "--wall-mm", type=_length, metavar="MM", help="wall of the moulding (left out: the cavity's deepest place)"
    )
    mould.add_argument("--press-kn", type=_force, metavar="KN", help="the press's clamp force, to compare")
    mould.add_argument("--ejection-c", type=_warmth, metavar="C", help="how warm mouldings leave, in degrees C")
    return top


def _command(commands: Commands, name: str, *, short: str, description: str, epilog: str) -> argparse.ArgumentParser:
    return commands.add_parser(
        name,
        help=short,
        description=description,
        epilog=epilog,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )


def _length(text: str) -> float:
    """A length in mm, above 0."""
    try:
        value = float(text.strip().removesuffix("mm"))
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no length; accepted: a number of mm, such as 1.5") from None
    if not 0.0 < value < 10_000.0:
        raise argparse.ArgumentTypeError(f"{text} mm is impossible; accepted: above 0")
    return value


def _clock(text: str) -> float:
    """Seconds of a time such as 12:40 or 1:02:40, above 0."""
    found = _TIME.fullmatch(text.strip())
    hours, minutes, seconds = (int(part or 0) for part in found.groups()) if found else (0, 0, 0)
    if found is None or seconds > 59 or (found[1] is not None and minutes > 59):
        accepted = "minutes and seconds such as 12:40, or hours before them such as 1:02:40"
        raise argparse.ArgumentTypeError(f"{text!r} is no time; accepted: {accepted}")
    whole = 3600.0 * hours + 60.0 * minutes + seconds
    if whole <= 0.0:
        raise argparse.ArgumentTypeError(f"{text} is impossible; accepted: above 0:00")
    return whole


def _force(text: str) -> float:
    """A force in kN, above 0."""
    return _number(text, what="force", example="a number of kN, such as 100", most=100_000.0)


def _warmth(text: str) -> float:
    """A temperature in degrees C, above 0."""
    return _number(text, what="temperature", example="a number of degrees C, such as 85", most=400.0)


def _number(text: str, *, what: str, example: str, most: float) -> float:
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no {what}; accepted: {example}") from None
    if not 0.0 < value <= most:
        raise argparse.ArgumentTypeError(f"{text} is impossible; accepted: above 0, at most {most:g}")
    return value
