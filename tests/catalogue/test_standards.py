"""The tables of standards: what they give, and what is said of a file that cannot be right."""

from pathlib import Path

import pytest

from camplan.catalogue.standards import load_standards
from camplan.errors import InputError

ROWS = """\
[[class]]
name = "H7"
of = "hole"
limits = [
    { over_mm = 3, to_mm = 6, lower_um = 0, upper_um = 12, source = "ISO-286-2, confirmed" },
    { over_mm = 6, to_mm = 10, lower_um = 0, upper_um = 15, source = "ISO-286-2, confirmed" },
]
"""


def own(folder: Path, text: str) -> Path:
    place = folder / "tooling" / "standards"
    place.mkdir(parents=True)
    (place / "iso286.toml").write_text(text, encoding="utf-8")
    return folder


def test_a_size_on_a_bound_belongs_to_the_row_below_it(no_user_folder: Path) -> None:
    fit = load_standards(beside=no_user_folder).holes["H7"]
    at, above = fit.limits(6.0), fit.limits(6.001)
    assert at is not None and above is not None
    assert (at.upper, above.upper) == (0.012, 0.015)


def test_a_size_outside_the_table_has_no_limits_and_the_table_says_how_far_it_goes(no_user_folder: Path) -> None:
    fit = load_standards(beside=no_user_folder).holes["H7"]
    assert fit.limits(0.0) is None
    assert fit.limits(80.5) is None
    assert fit.known == "over 0 up to 80 mm"


def test_a_table_beside_the_job_hides_the_shipped_one_and_that_is_said(tmp_path: Path) -> None:
    found = load_standards(beside=own(tmp_path, ROWS))
    assert list(found.holes) == ["H7"]
    assert found.holes["H7"].known == "over 3 up to 10 mm"
    (finding,) = found.findings
    assert finding.code == "hidden-name"


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("over_mm = 6,", "over_mm = 7,", "a gap"),
        ("upper_um = 15", "upper_um = -1", "upper_um"),
        ('of = "hole"', 'of = "bore"', "'bore' is unknown"),
        ('of = "hole"', 'of = "pin"', "no class of holes"),
        ("limits = [", "others = [", "others"),
    ],
)
def test_a_table_that_cannot_be_right_is_refused(tmp_path: Path, was: str, now: str, said: str) -> None:
    assert was in ROWS
    with pytest.raises(InputError) as raised:
        load_standards(beside=own(tmp_path, ROWS.replace(was, now, 1)))
    assert any(said in str(problem) for problem in raised.value.problems)


def test_a_tapping_drill_outside_the_minor_diameter_is_refused(tmp_path: Path, no_user_folder: Path) -> None:
    shipped = Path(__file__).parents[2] / "tooling" / "standards" / "threads.toml"
    place = tmp_path / "tooling" / "standards"
    place.mkdir(parents=True)
    text = shipped.read_text(encoding="utf-8").replace("drill_mm = 4.2", "drill_mm = 4.4")
    (place / "threads.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as raised:
        load_standards(beside=tmp_path)
    (problem,) = raised.value.problems
    assert "drill_mm" in str(problem)
    assert "at most 4.334" in str(problem)
