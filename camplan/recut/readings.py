"""Readings of one size: their mean, how sure it is, and readings that cannot be meant."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import stdtrit

from camplan.errors import InputError, Problem
from camplan.units import MM_PER_INCH, Mm

CONFIDENCE = 0.95
ROUNDED: float = 1.0 / math.sqrt(12.0)
"""Standard error of a reading that is rounded to its last digit, in digits: that of an even distribution."""
_UNIT_SHARE = 0.10
_FAR_SHARE = 0.20
_FAR: Mm = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A measured size: ``mean`` of ``count`` readings, ``error`` its standard error, and ``half_width`` of the range
    that holds the true size in 95 of 100 cases."""

    mean: Mm
    error: Mm
    half_width: Mm
    count: int


def size_of(readings: Sequence[Mm], *, instrument: Mm) -> Size:
    """The size that readings show; ``instrument`` is the standard error of a single one (of a caliper about 0.02).

    The mean's standard error is s / sqrt(n) and its range t s / sqrt(n) with Student's t for n - 1 freedoms; readings
    that agree better than the instrument can are not believed more than it (Gosset, *Biometrika* 6 (1908); JCGM
    100:2008, 4.2 and G.3).  A single reading is as sure as the instrument.  ValueError without readings.

    >>> found = size_of([60.91, 60.90, 60.92], instrument=0.001)
    >>> round(found.mean, 3), round(found.error, 5), round(found.half_width, 5)
    (60.91, 0.00577, 0.02484)
    """
    count = len(readings)
    if not count:
        raise ValueError("no reading")
    mean = math.fsum(readings) / count
    if count == 1:
        return Size(mean=mean, error=instrument, half_width=_normal() * instrument, count=1)
    spread = math.sqrt(math.fsum((one - mean) ** 2 for one in readings) / (count - 1))
    known = instrument / math.sqrt(count)
    error = spread / math.sqrt(count)
    if error <= known:
        return Size(mean=mean, error=known, half_width=_normal() * known, count=count)
    student = float(stdtrit(count - 1, 0.5 + CONFIDENCE / 2.0))
    return Size(mean=mean, error=error, half_width=student * error, count=count)


def checked_readings(readings: Sequence[Mm], *, expected: Mm, key: str) -> None:
    """InputError, with all of them, for readings that cannot be of a size of about ``expected``: turned signs, inches,
    another thing altogether."""
    problems = [problem for one in readings if (problem := _doubt(one, expected=expected, key=key)) is not None]
    if problems:
        raise InputError(tuple(problems))


def checked_shorts(readings: Sequence[Mm], *, key: str) -> None:
    """InputError for readings of a wall by itself, from the drawn one, that no skim could be for."""
    far = [one for one in readings if not abs(one) <= _FAR]
    if far:
        message = f"{-far[0]:g} mm is too far from the drawn wall to be what a cut was off"
        raise InputError(Problem(message=message, key=key, accepted="mm, such as 0.12; below 0 where it stands beyond"))


def _doubt(reading: Mm, *, expected: Mm, key: str) -> Problem | None:
    near = f"about {expected:.3f} mm"
    if not math.isfinite(reading) or reading == 0.0:
        return Problem(message=f"{reading:g} is no size", key=key, accepted=near)
    if reading < 0.0:
        said = f"{reading:g} mm is below 0"
        close = abs(-reading - expected) <= max(_FAR_SHARE * expected, _FAR)
        turned = "; its sign looks turned" if close else ""
        return Problem(message=said + turned, key=key, accepted=near)
    if abs(reading - expected) <= max(_FAR_SHARE * expected, _FAR):
        return None
    if abs(reading * MM_PER_INCH / expected - 1.0) < _UNIT_SHARE:
        said = f"{reading:g} looks like inches: {reading * MM_PER_INCH:.3f} mm would be near what was cut"
        return Problem(message=said, key=key, accepted=f"{reading * MM_PER_INCH:.3f}, in mm")
    if abs(reading / MM_PER_INCH / expected - 1.0) < _UNIT_SHARE:
        said = f"{reading:g} is 25.4 times what was cut"
        return Problem(message=said, key=key, accepted=near)
    return Problem(message=f"{reading:g} mm is far from what was cut", key=key, accepted=near)


def _normal() -> float:
    return float(stdtrit(math.inf, 0.5 + CONFIDENCE / 2.0))
