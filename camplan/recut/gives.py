"""From a measured size to what each wall, or the floor, must give."""

from dataclasses import dataclass
from enum import StrEnum

from camplan.recut.learned import Learned
from camplan.recut.readings import Size
from camplan.units import Mm


class Verdict(StrEnum):
    """What a measured size asks for."""

    CUT = "cut"
    FITS = "fits"
    TOO_LARGE = "too large"
    TOO_THIN = "too thin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of a size beside its readings.

    ``programmed``: what the program that cut it last was to make; ``wanted``: what it shall be; ``tolerance``: how far
    one wall may be off; ``least``: the thinnest skim that forms a chip; ``walls``: how many give (2 across, 1 for a
    floor or a wall by itself); ``taught``: by earlier skims; ``standing``: what of a width's error is of the wall that
    is not to give.
    """

    programmed: Mm
    wanted: Mm
    tolerance: Mm
    least: Mm
    walls: int
    taught: Learned
    standing: Mm = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Give:
    """What a wall must give, ``wall`` +/- ``half_width`` (95 %); ``short``: how far it stands short of where the last
    program put it; ``aim``: the size that the skim is programmed for; ``width``: what the cutter then takes off a wall.
    """

    verdict: Verdict
    wall: Mm
    half_width: Mm
    short: Mm
    made_up: Mm
    aim: Mm
    width: Mm


def give_of(size: Size, *, known: Known) -> Give:
    """What a measured size of a cavity asks for.

    A wall must give (wanted - measured) / walls.  The skim is programmed for the wanted size and, beyond it, for what
    earlier skims are sure to have ended short (`Learned.sure`); a cutter that cut wider than it should in the cut
    before is believed at once.  Nothing is cut where what must be given is within the measurement's uncertainty or the
    tolerance, or thinner than a chip.

    >>> known = Known(programmed=61.2, wanted=61.5, tolerance=0.02, least=0.008, walls=2,
    ...               taught=Learned(mean=0.0, half_width=0.0, count=0))
    >>> found = give_of(Size(mean=61.16, error=0.005, half_width=0.01, count=3), known=known)
    >>> found.verdict.value, round(found.wall, 4), round(found.short, 4), round(found.aim, 4)
    ('cut', 0.17, 0.02, 61.5)
    """
    wall = (known.wanted - size.mean) / known.walls
    half = size.half_width / known.walls
    short = (known.programmed - size.mean) / known.walls
    made_up = min(known.taught.sure, short if short < 0.0 else known.taught.sure)
    aim = known.wanted + known.walls * made_up
    width = (aim - size.mean) / known.walls - known.standing
    if -wall > max(half, known.tolerance):
        verdict = Verdict.TOO_LARGE
    elif wall <= max(half, known.tolerance):
        verdict = Verdict.FITS
    elif width < known.least:
        verdict = Verdict.TOO_THIN
    else:
        verdict = Verdict.CUT
    return Give(verdict=verdict, wall=wall, half_width=half, short=short, made_up=made_up, aim=aim, width=width)


def step_of(step: Mm, *, known: Known) -> Give:
    """One small step of every wall, where only is known that the mate does not go in."""
    aim = known.programmed + known.walls * step
    return Give(verdict=Verdict.CUT, wall=step, half_width=step, short=0.0, made_up=0.0, aim=aim, width=step)
