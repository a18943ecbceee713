"""The ``[shrinkage]`` table: what it gives, and what is said of one that cannot be."""

from collections.abc import Callable

import pytest

from camplan.job import Job
from camplan.moulding.shrinkage import Measured, OfPlastic, SizePair, Stated

Read = Callable[[str], Job]
Said = Callable[..., list[str]]

HEAD = '\n[shrinkage]\nfeatures = ["disc"]\n'


def test_a_job_without_the_table_is_cut_as_drawn(read: Read, cavity: str) -> None:
    assert read(cavity).shrinkage is None


def test_a_percentage_holds_both_ways(read: Read, cavity: str) -> None:
    found = read(cavity + HEAD + "percent = 1.6\n").shrinkage
    assert found is not None
    assert found.x == found.y == Stated(share=pytest.approx(0.016))
    assert (found.features, found.about, found.depths, found.plastic) == (("disc",), None, False, None)


def test_a_plastic_alone_gives_the_figure_and_beside_another_only_its_range(read: Read, cavity: str) -> None:
    alone = read(cavity + HEAD + 'plastic = "pp"\n').shrinkage
    beside = read(cavity + HEAD + 'plastic = "pp"\npercent = 1.6\n').shrinkage
    assert alone is not None and beside is not None
    assert (alone.x, alone.plastic) == (OfPlastic(), "pp")
    assert (beside.x, beside.plastic) == (Stated(share=pytest.approx(0.016)), "pp")


def test_pairs_are_in_the_jobs_unit(read: Read, cavity: str) -> None:
    inch = cavity.replace('title = "Hive', 'units = "inch"\ntitle = "Hive').replace("= 6.5", "= 0.25")
    found = read(inch + HEAD + "sizes_mm = [[1.0, 0.98]]\nabout = [2.0, 1.0]\n").shrinkage
    assert found is not None
    assert found.x == Measured(pairs=(SizePair(cut=25.4, moulded=pytest.approx(24.892)),))
    assert found.about == pytest.approx((50.8, 25.4))


def test_the_two_directions_may_differ_in_figure_and_in_kind(read: Read, cavity: str) -> None:
    found = read(
        cavity + HEAD + 'x_percent = 1.4\nsizes_y_mm = [[50, 49.1]]\nabout = "centre"\ndepths = true\n'
    ).shrinkage
    assert found is not None
    assert found.x == Stated(share=pytest.approx(0.014))
    assert isinstance(found.y, Measured)
    assert (found.about, found.depths) == (None, True)


def test_a_moulding_larger_than_its_cavity_is_refused_with_the_pair(said: Said) -> None:
    (problem,) = said(add=HEAD + "sizes_mm = [[50.0, 49.2], [40.0, 40.1], [20, 19.7]]\n")
    assert problem.startswith("shrinkage.sizes_mm[2]: the moulding of 40.1 is larger than the cavity of 40")
    assert "the cut size first" in problem


def test_every_wrong_pair_is_named(said: Said) -> None:
    problems = said(add=HEAD + 'sizes_mm = [[50.0], "x", [0, 1], [10, 9.9, 1], [30, 31]]\n')
    assert [problem.partition(":")[0] for problem in problems] == [f"shrinkage.sizes_mm[{n}]" for n in (1, 2, 3, 4, 5)]


@pytest.mark.parametrize("percent", ["-0.1", "10.1", "nan", '"1.6"', "true"])
def test_a_percentage_is_between_0_and_10(said: Said, percent: str) -> None:
    (problem,) = said(add=HEAD + f"percent = {percent}\n")
    assert problem.startswith("shrinkage.percent: ")


def test_pairs_that_give_more_than_10_percent_are_refused(said: Said) -> None:
    (problem,) = said(add=HEAD + "sizes_mm = [[50.0, 44.0]]\n")
    assert problem.startswith("shrinkage.sizes_mm: these pairs give 12.00 %")


@pytest.mark.parametrize(
    ("text", "key", "words"),
    [
        ("", "percent", "nothing says how much"),
        ("percent = 1.6\nsizes_mm = [[50, 49.2]]\n", "sizes_mm", "stands beside percent"),
        ("percent = 1.6\nx_percent = 1.4\n", "x_percent", "stands beside percent"),
        ("x_percent = 1.4\n", "x_percent", "one direction alone"),
        ("sizes_y_mm = [[50, 49.2]]\n", "sizes_y_mm", "one direction alone"),
        ("sizes_mm = []\n", "sizes_mm", "must be a list of pairs"),
        ("sizes_mm = 3\n", "sizes_mm", "must be a list of pairs"),
        ("percent = 1\nabout = [1]\n", "about", "is no place"),
        ('percent = 1\nabout = "sprue"\n', "about", "is no place"),
        ("percent = 1\nabout = [1e9, 0]\n", "about", "too far away"),
        ("percent = 1\ndepths = 1\n", "depths", "true or false"),
        ("percent = 1\nplastic = 3\n", "plastic", "must be text"),
        ("percent = 1\nacross = 3\n", "across", "is not a known key"),
    ],
)
def test_what_cannot_be_is_refused_with_its_key(said: Said, text: str, key: str, words: str) -> None:
    (problem,) = said(add=HEAD + text)
    assert problem.startswith(f"shrinkage.{key}: ")
    assert words in problem


@pytest.mark.parametrize(
    ("features", "words"),
    [
        ("", "is missing: say what the plastic fills (accepted: disc)"),
        ("features = []", "names nothing"),
        ('features = ["disk"]', "did you mean 'disc'?"),
        ('features = ["disc", "disc"]', "twice"),
    ],
)
def test_features_must_be_named(said: Said, features: str, words: str) -> None:
    (problem,) = said(add=f"\n[shrinkage]\npercent = 1.6\n{features}\n")
    assert problem.startswith("shrinkage.features: ")
    assert words in problem


def test_nothing_is_moulded_in_a_face(said: Said) -> None:
    face = '\n[[feature]]\nname = "top"\nkind = "face"\ndepth_mm = 0.5\n'
    (problem,) = said(add=face + '\n[shrinkage]\npercent = 1.6\nfeatures = ["top"]\n')
    assert "'top' is a face" in problem


def test_the_table_is_a_table(said: Said) -> None:
    problems = said("title", "shrinkage = 1.6\ntitle")
    assert problems[0].startswith("shrinkage: must be a table")
