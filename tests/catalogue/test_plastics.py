"""Plastics read from TOML, and what is said of files that cannot be."""

from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_plastic
from camplan.errors import InputError

PP = (resources.shipped() / "tooling" / "plastics" / "pp.toml").read_text(encoding="utf-8")


def own(folder: Path, text: str) -> None:
    place = folder / "tooling" / "plastics"
    place.mkdir(parents=True)
    (place / "mine.toml").write_text(text, encoding="utf-8")


def said(folder: Path, old: str, new: str) -> list[str]:
    assert old in PP
    own(folder, PP.replace(old, new, 1))
    with pytest.raises(InputError) as raised:
        load_plastic("mine", beside=folder)
    return [str(problem).partition("mine.toml: ")[2] for problem in raised.value.problems]


def test_upper_and_lower_case_name_the_same_plastic(tmp_path: Path) -> None:
    assert load_plastic("PP", beside=tmp_path).plastic == load_plastic("pp", beside=tmp_path).plastic


def test_a_file_of_ones_own_may_have_capitals_in_its_name(tmp_path: Path) -> None:
    own(tmp_path, PP.replace("shrinkage_start_percent = 1.6", "shrinkage_start_percent = 1.9"))
    place = tmp_path / "tooling" / "plastics"
    (place / "mine.toml").rename(place / "Mine.toml")
    assert load_plastic("Mine", beside=tmp_path).plastic.start == pytest.approx(0.019)


def test_an_unknown_plastic_names_near_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="pa66"):
        load_plastic("pa666", beside=tmp_path)


def test_a_plastic_of_ones_own_is_found_beside_the_job(tmp_path: Path) -> None:
    own(tmp_path, PP.replace("shrinkage_start_percent = 1.6", "shrinkage_start_percent = 1.9"))
    assert load_plastic("mine", beside=tmp_path).plastic.start == pytest.approx(0.019)


def test_a_start_outside_its_range_is_refused(tmp_path: Path) -> None:
    (problem,) = said(tmp_path, "shrinkage_start_percent = 1.6", "shrinkage_start_percent = 4")
    assert problem == "shrinkage_start_percent: 4 is outside shrinkage_percent (accepted: 1 to 3)"


def test_shrinkage_above_ten_percent_is_refused(tmp_path: Path) -> None:
    problems = said(tmp_path, "shrinkage_percent = [1.0, 3.0]", "shrinkage_percent = [1.0, 30.0]")
    assert problems[0].startswith("shrinkage_percent: [1.0, 30.0] is impossible")


def test_a_figure_without_its_source_is_refused(tmp_path: Path) -> None:
    (problem,) = said(tmp_path, 'clamp_source = "CLAMP-J, confirmed"', "")
    assert problem == "clamp_source: is missing"


def test_conductivity_without_heat_capacity_is_refused(tmp_path: Path) -> None:
    problems = said(tmp_path, "heat_capacity_kj_kgk = 2.0", "")
    assert problems[0].startswith("conductivity_w_mk: does not stand with the heat capacity")


def test_a_melt_without_a_mould_is_refused(tmp_path: Path) -> None:
    problems = said(tmp_path, "mould_c = [21, 49]", "")
    assert problems[0].startswith("melt_c: stands without mould_c")


def test_a_misspelt_key_is_named(tmp_path: Path) -> None:
    problems = said(tmp_path, "gate_constant", "gate_constnat")
    assert any(problem.startswith("gate_constnat: is not a known key") for problem in problems)
