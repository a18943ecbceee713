"""Shrinkage as a share of the cavity: its definition, and fits against general libraries."""

import doctest
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from camplan.catalogue import load_plastic
from camplan.moulding import shrinkage
from camplan.moulding.shrinkage import (
    MEASURED,
    Fit,
    Measured,
    OfPlastic,
    ShrinkageSpec,
    SizePair,
    Stated,
    cavity_factor,
    fitted,
    resolved,
)

pairs_of_sizes = st.lists(st.tuples(st.floats(1.0, 200.0), st.floats(0.0, 0.06)), min_size=2, max_size=12).map(
    lambda found: [SizePair(cut=cut, moulded=cut * (1.0 - share)) for cut, share in found]
)


def test_the_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(shrinkage).failed == 0
    assert doctest.testmod(shrinkage).attempted > 2


@pytest.mark.parametrize(("share", "cavity", "rule"), [(0.02, 102.041, 102.000), (0.005, 100.503, 100.500)])
def test_the_cavity_of_a_part_of_100_mm_is_not_that_of_the_rule_of_thumb(
    share: float, cavity: float, rule: float
) -> None:
    """S = (cavity - part) / cavity, ISO 294-4:2018 (scope read, formula from memory); worked by hand."""
    assert 100.0 * cavity_factor(share) == pytest.approx(cavity, abs=0.0005)
    assert 100.0 * (1.0 + share) == pytest.approx(rule)


@given(st.floats(0.0, 0.1), st.floats(0.01, 1000.0))
def test_a_cavity_shrinks_back_to_the_drawn_size(share: float, size: float) -> None:
    cavity = size * cavity_factor(share)
    assert cavity * (1.0 - share) == pytest.approx(size, rel=1e-12)
    assert share == pytest.approx((cavity - size) / cavity, abs=1e-12)


@pytest.mark.parametrize("share", [-0.001, 0.11, float("nan")])
def test_no_cavity_is_made_for_a_share_that_no_plastic_has(share: float) -> None:
    with pytest.raises(ValueError, match="no plastic"):
        cavity_factor(share)


@settings(max_examples=60)
@given(pairs_of_sizes)
def test_a_fit_is_that_of_numpys_least_squares_through_the_origin(pairs: list[SizePair]) -> None:
    cut = np.array([pair.cut for pair in pairs])
    moulded = np.array([pair.moulded for pair in pairs])
    slope, residual, _, _ = np.linalg.lstsq(cut[:, None], moulded, rcond=None)
    found = fitted(pairs)
    assert found.share == pytest.approx(1.0 - slope[0], abs=1e-9)
    assert found.error is not None
    assert found.error == pytest.approx(np.sqrt(residual[0] / (len(pairs) - 1) / np.sum(cut**2)), abs=1e-9)


@settings(max_examples=60)
@given(pairs_of_sizes)
def test_an_interval_is_that_of_scipys_students_t(pairs: list[SizePair]) -> None:
    found = fitted(pairs)
    assert found.error is not None
    assert found.half_width is not None
    wide = stats.t.interval(0.95, len(pairs) - 1, loc=found.share, scale=max(found.error, 1e-300))
    assert (found.share - found.half_width, found.share + found.half_width) == pytest.approx(wide, abs=1e-12)


@pytest.mark.parametrize(("count", "student"), [(2, 12.706), (3, 4.303), (5, 2.776), (11, 2.228)])
def test_students_t_is_that_of_the_printed_tables(count: int, student: float) -> None:
    """Two-sided 95 %, one to ten degrees of freedom, the table of any textbook of statistics."""
    pairs = [SizePair(cut=50.0, moulded=49.0 + 0.1 * (number % 2)) for number in range(count)]
    found = fitted(pairs)
    assert found.half_width is not None and found.error is not None
    assert found.half_width / found.error == pytest.approx(student, abs=0.001)


def test_an_interval_holds_the_true_share_about_as_often_as_it_says() -> None:
    """Normal errors of 20 um on four sizes; of 2000 fits some 95 % must hold the share that made them."""
    random = np.random.default_rng(7)
    cut = np.array([20.0, 35.0, 50.0, 80.0])
    held = 0
    for _ in range(2000):
        moulded = cut * (1.0 - 0.016) + random.normal(0.0, 0.02, size=4)
        found = fitted([SizePair(cut=float(c), moulded=float(m)) for c, m in zip(cut, moulded, strict=True)])
        assert found.half_width is not None
        held += abs(found.share - 0.016) <= found.half_width
    assert 0.93 < held / 2000 < 0.97


def test_one_pair_gives_a_share_and_says_nothing_of_its_scatter() -> None:
    assert fitted([SizePair(cut=50.0, moulded=49.0)]) == Fit(
        share=pytest.approx(0.02), error=None, half_width=None, count=1
    )


def test_large_sizes_weigh_more_than_small_ones() -> None:
    """Reading errors are alike on all sizes, so a size of 100 mm says more of the share than one of 10 mm."""
    pairs = [SizePair(cut=100.0, moulded=98.0), SizePair(cut=10.0, moulded=10.0)]
    assert fitted(pairs).share == pytest.approx(0.02 * 100.0**2 / (100.0**2 + 10.0**2))


@pytest.mark.parametrize("pairs", [[], [SizePair(cut=0.0, moulded=1.0)], [SizePair(cut=5.0, moulded=-1.0)]])
def test_a_fit_needs_sizes(pairs: list[SizePair]) -> None:
    with pytest.raises(ValueError, match="sizes above 0"):
        fitted(pairs)


def test_directions_come_from_what_is_said_of_each(tmp_path: Path) -> None:
    pp = load_plastic("pp", beside=tmp_path).plastic
    pairs = (SizePair(cut=50.0, moulded=49.2), SizePair(cut=100.0, moulded=98.39))
    spec = ShrinkageSpec(x=Stated(share=0.014), y=Measured(pairs=pairs), features=("disc",), plastic="pp")
    found = resolved(spec, plastic=pp)
    assert (found.x.share, found.x.span) == (0.014, None)
    assert found.y.source == MEASURED
    assert found.y.span is not None
    assert found.y.span[0] < found.y.share < found.y.span[1]
    assert found.mean == pytest.approx((0.014 + found.y.share) / 2.0)
    start = resolved(replace(spec, x=OfPlastic(), y=OfPlastic()), plastic=pp)
    assert (start.x.share, start.x.span) == (pp.start, (pp.shrinkage.least, pp.shrinkage.most))
    assert "SHRINK-D" in start.x.source


def test_a_plastics_figure_needs_a_plastic() -> None:
    with pytest.raises(ValueError, match="no plastic"):
        resolved(ShrinkageSpec(x=OfPlastic(), y=OfPlastic(), features=("disc",)), plastic=None)
