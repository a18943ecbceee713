"""From sizes to gives, and loops of cutting and measuring at the level of sizes."""

import doctest
import importlib
import random
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camplan.recut.gives import Give, Known, Verdict, give_of, step_of
from camplan.recut.learned import NOTHING_LEARNED, Learned, Observation, lasting, learned
from camplan.recut.readings import Size, size_of

LEAST = 0.0084


def known(
    *, programmed: float = 61.2, wanted: float = 61.5, tolerance: float = 0.02, taught: Learned = NOTHING_LEARNED
) -> Known:
    return Known(programmed=programmed, wanted=wanted, tolerance=tolerance, least=LEAST, walls=2, taught=taught)


def size(mean: float, *, half: float = 0.01) -> Size:
    return Size(mean=mean, error=half / 2.0, half_width=half, count=3)


def test_two_walls_give_half_of_what_is_wanted_less_what_is_measured() -> None:
    found = give_of(size(60.91), known=known())
    assert found.verdict is Verdict.CUT
    assert found.wall == pytest.approx((61.50 - 60.91) / 2.0)
    assert found.half_width == pytest.approx(0.005)
    assert found.short == pytest.approx((61.2 - 60.91) / 2.0)
    assert found.aim == 61.5


def test_what_earlier_skims_are_sure_to_have_ended_short_is_made_up_for() -> None:
    taught = Learned(mean=0.020, half_width=0.004, count=2)
    found = give_of(size(61.46, half=0.004), known=known(programmed=61.5, taught=taught, tolerance=0.01))
    assert found.made_up == pytest.approx(0.016)
    assert found.aim == pytest.approx(61.5 + 2.0 * 0.016)
    assert found.width == pytest.approx((61.532 - 61.46) / 2.0)


def test_a_cutter_that_cut_too_wide_is_believed_at_once() -> None:
    found = give_of(size(61.23), known=known())
    assert found.made_up == pytest.approx(-0.015)
    assert found.aim == pytest.approx(61.47)


@pytest.mark.parametrize(
    ("mean", "half", "verdict"),
    [
        (61.495, 0.02, Verdict.FITS),  # the uncertainty hides it
        (61.47, 0.002, Verdict.FITS),  # within the tolerance
        (61.52, 0.002, Verdict.FITS),
        (61.55, 0.002, Verdict.TOO_LARGE),
        (61.55, 0.12, Verdict.FITS),
        (61.45, 0.002, Verdict.CUT),
    ],
)
def test_what_a_size_asks_for(mean: float, half: float, verdict: Verdict) -> None:
    assert give_of(size(mean, half=half), known=known(programmed=61.5)).verdict is verdict


def test_less_than_a_chip_is_not_cut() -> None:
    found = give_of(size(61.486, half=0.002), known=known(tolerance=0.005))
    assert found.verdict is Verdict.TOO_THIN


def test_a_mate_that_sticks_asks_for_one_step_a_wall() -> None:
    found = step_of(0.012, known=known())
    assert found.verdict is Verdict.CUT
    assert found.aim == pytest.approx(61.2 + 0.024)


SHORTS = st.lists(st.floats(min_value=-0.02, max_value=0.06), min_size=1, max_size=8)


@settings(max_examples=60, deadline=None)
@given(shorts=SHORTS, error=st.floats(min_value=0.0005, max_value=0.01))
def test_no_more_is_made_up_for_than_the_mean_says(shorts: list[float], error: float) -> None:
    found = learned([Observation(short=one, error=error) for one in shorts])
    assert found.sure <= max(found.mean, 0.0) + 1e-12
    assert found.sure >= min(found.mean, 0.0) - 1e-12
    assert found.half_width >= 1.9 * error / len(shorts) ** 0.5 - 1e-12


def test_errors_that_scatter_more_than_their_readings_are_less_sure() -> None:
    """Student's t for two freedoms at 95 % is 4.303 (any table of it)."""
    found = learned([Observation(short=one, error=0.0005) for one in (0.010, 0.020, 0.030)])
    assert found.half_width == pytest.approx(4.303 * 0.010 / 3.0**0.5, rel=1e-3)


class Plate:
    """A plate on a mill whose cutter and play leave each wall ``off`` short; a cut bends by a share of its width, of
    which a fifth is left after the spring pass, and ``foretold`` is what the planner takes that share for."""

    def __init__(self, *, size: float, off: float, bends: float, foretold: float) -> None:
        self.size, self.off, self.bends, self.foretold = size, off, bends, foretold
        self.allowed = 0.0
        self.skims = 0

    def first_cut(self, *, programmed: float, bends: float, foretold: float) -> None:
        self.programmed = programmed
        self.size = programmed - 2.0 * (self.off + bends)
        self.allowed = 2.0 * foretold

    def cut(self, aim: float) -> None:
        width = max((aim - self.size) / 2.0 - self.off, 0.0)
        self.size = max(self.size, aim - 2.0 * (self.off + 0.2 * self.bends * width))
        self.allowed = 2.0 * 0.2 * self.foretold * width
        self.skims += 1

    def seen(self, found: Size, *, programmed: float) -> Observation:
        short = (programmed - found.mean) / 2.0
        return Observation(short=lasting(short, bends=self.allowed), error=found.error / 2.0)


def looped(plate: Plate, *, wanted: float, tolerance: float, sigma: float, count: int, chance: random.Random) -> int:
    """Measure and skim until nothing more is asked for; how many skims it took."""
    programmed = plate.programmed
    seen: list[Observation] = []
    for skims in range(9):
        found = size_of([chance.gauss(plate.size, sigma) for _ in range(count)], instrument=sigma)
        now = plate.seen(found, programmed=programmed)
        seen = [now] if skims < 2 else [*seen, now]  # the first cut teaches only until a skim does
        give: Give = give_of(
            found, known=known(programmed=programmed, wanted=wanted, tolerance=tolerance, taught=learned(seen))
        )
        if give.verdict is not Verdict.CUT:
            assert give.verdict is Verdict.FITS
            return skims
        plate.cut(give.aim)
        programmed = give.aim
    raise AssertionError("no end in sight")


def test_two_hundred_plates_end_in_tolerance_and_none_too_large() -> None:
    chance = random.Random(20251)
    counts = []
    for _ in range(200):
        wanted, tolerance = chance.uniform(8.0, 90.0), chance.uniform(0.012, 0.03)
        off, first = chance.uniform(-0.008, 0.045), chance.uniform(0.0, 0.03)
        bends = chance.uniform(0.0, 0.15)
        plate = Plate(size=0.0, off=off, bends=bends, foretold=bends * chance.uniform(0.6, 2.0))
        plate.first_cut(
            programmed=wanted - 2.0 * chance.choice((0.0, chance.uniform(0.08, 0.3))),
            bends=first,
            foretold=first * chance.uniform(0.6, 2.0),
        )
        sigma, count = chance.uniform(0.001, 0.006), chance.randint(3, 6)
        counts.append(looped(plate, wanted=wanted, tolerance=tolerance, sigma=sigma, count=count, chance=chance))
        over, stands = (plate.size - wanted) / 2.0, (wanted - plate.size) / 2.0
        assert over <= tolerance
        assert stands <= tolerance + 2.0 * sigma
    assert statistics.median(counts) <= 2
    assert sorted(counts)[189] <= 3


def test_a_planted_error_is_cut_to_a_third_by_the_second_skim() -> None:
    """25 um undersize and 15 um of play leave a wall (25 + 15) / 2 = 20 um short."""
    plate = Plate(size=0.0, off=0.020, bends=0.05, foretold=0.04)
    plate.first_cut(programmed=29.70, bends=0.01, foretold=0.008)
    chance, errors = random.Random(3), []
    programmed = plate.programmed
    for _ in range(2):
        found = size_of([chance.gauss(plate.size, 0.002) for _ in range(5)], instrument=0.002)
        seen = [plate.seen(found, programmed=programmed)]
        give = give_of(found, known=known(programmed=programmed, wanted=30.0, tolerance=0.005, taught=learned(seen)))
        plate.cut(give.aim)
        programmed = give.aim
        errors.append((30.0 - plate.size) / 2.0)
    assert errors[0] > 0.005
    assert 0.0 <= errors[1] <= errors[0] / 3.0


@pytest.mark.parametrize("name", ["gives", "learned", "readings"])
def test_the_examples_beside_the_formulas_hold(name: str) -> None:
    done = doctest.testmod(importlib.import_module(f"camplan.recut.{name}"))
    assert done.attempted > 0
    assert done.failed == 0


def test_one_wall_gives_all_that_a_width_lacks_and_is_cut_by_what_is_its_own() -> None:
    """Of 40 um that lack beside the allowance the wall that stands keeps 20: they are no chip of the other."""
    taught = Learned(mean=0.04, half_width=0.004, count=1)
    alone = Known(programmed=61.2, wanted=61.5, tolerance=0.02, least=LEAST, walls=1, taught=taught, standing=0.02)
    found = give_of(size(61.16), known=alone)
    assert found.wall == pytest.approx(61.5 - 61.16)
    assert found.half_width == 0.01
    assert found.aim == pytest.approx(61.5 + 0.036)
    assert found.width == pytest.approx(61.536 - 61.16 - 0.02)
