"""The shipped plastics: every file loads, and its figures are those printed in its sources."""

import re
import tomllib
from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_plastic, load_sources
from camplan.catalogue.plastics import FOLDER, Plastic, Span

MPA_PER_T_CM2 = 98.0665
"""A tonne-force is 9806.65 N (standard gravity, 3rd CGPM 1901) on 100 mm2."""


@pytest.fixture(scope="module")
def plastics(no_user_folder: Path) -> dict[str, Plastic]:
    names = resources.named(FOLDER, beside=no_user_folder)
    return {name: load_plastic(name, beside=no_user_folder).plastic for name in names}


def test_the_usual_plastics_of_short_runs_are_there(plastics: dict[str, Plastic]) -> None:
    usual = {"abs", "pp", "hdpe", "ldpe", "pa6", "pa66", "pom", "pc", "pmma", "ps", "tpu", "tpe"}
    assert set(plastics) == usual


@pytest.mark.parametrize(
    ("name", "least", "most", "start"),
    [
        ("abs", 0.35, 0.9, 0.5),
        ("pp", 1.0, 3.0, 1.6),
        ("hdpe", 1.5, 6.0, 2.0),
        ("ldpe", 1.5, 3.5, 2.0),
        ("pa6", 0.5, 2.5, 1.25),
        ("pa66", 0.8, 2.5, 1.5),
        ("pom", 1.8, 3.5, 2.0),
        ("pc", 0.5, 0.8, 0.6),
        ("pmma", 0.1, 0.8, 0.4),
        ("ps", 0.3, 0.8, 0.5),
        ("tpu", 0.7, 2.0, 1.0),
        ("tpe", 0.3, 5.0, 1.5),
    ],
)
def test_shrinkage_spans_all_that_the_tables_print(
    plastics: dict[str, Plastic], name: str, least: float, most: float, start: float
) -> None:
    """SHRINK-A to SHRINK-E, the lowest and the highest of them; the start from SHRINK-D or the middle."""
    found = plastics[name]
    assert (100.0 * found.shrinkage.least, 100.0 * found.shrinkage.most) == pytest.approx((least, most))
    assert 100.0 * found.start == pytest.approx(start)


@pytest.mark.parametrize(
    ("name", "least_in", "most_in"),
    [
        ("abs", 0.0010, 0.0015),
        ("pom", 0.0005, 0.0010),
        ("pmma", 0.0015, 0.0020),
        ("pa6", 0.0003, 0.0005),
        ("pa66", 0.0003, 0.0005),
        ("pc", 0.0015, 0.0025),
        ("pp", 0.0005, 0.0012),
        ("hdpe", 0.0005, 0.0012),
        ("ldpe", 0.0005, 0.0012),
        ("ps", 0.0007, 0.0012),
    ],
)
def test_vents_are_as_deep_as_printed_in_inches(
    plastics: dict[str, Plastic], name: str, least_in: float, most_in: float
) -> None:
    """VENT-V."""
    land = plastics[name].vent_land
    assert land.least == pytest.approx(25.4 * least_in, abs=0.001)
    assert land.most == pytest.approx(25.4 * most_in, abs=0.001)


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("abs", 0.30, 0.40),
        ("hdpe", 0.30, 0.40),
        ("pp", 0.25, 0.35),
        ("ldpe", 0.25, 0.35),
        ("ps", 0.25, 0.35),
        ("pa6", 0.35, 0.45),
        ("pom", 0.35, 0.45),
        ("pa66", 0.40, 0.50),
        ("pc", 0.40, 0.50),
        ("pmma", 0.35, 0.50),
        ("tpu", 0.50, 0.50),
    ],
)
def test_clamp_pressures_are_those_printed_in_tonnes_a_square_centimetre(
    plastics: dict[str, Plastic], name: str, least: float, most: float
) -> None:
    """CLAMP-J."""
    span = plastics[name].clamp_pressure
    assert span is not None
    assert (span.least, span.most) == pytest.approx((least * MPA_PER_T_CM2, most * MPA_PER_T_CM2), abs=0.05)


@pytest.mark.parametrize(
    ("name", "worked", "printed"),
    [
        ("abs", 0.185, 0.17),
        ("pom", 0.094, 0.07),
        ("pmma", 0.113, 0.109),
        ("pa66", 0.124, None),
        ("pc", 0.145, 0.147),
        ("pp", 0.110, 0.065),
        ("ps", 0.110, 0.06),
        ("ldpe", 0.119, 0.117),
        ("hdpe", 0.120, 0.157),
    ],
)
def test_diffusivity_follows_from_conductivity_density_and_heat_capacity(
    plastics: dict[str, Plastic], name: str, worked: float, printed: float | None
) -> None:
    """k / (rho c) of CRAWFORD table 1.8, beside the diffusivity that the same table prints."""
    thermal = plastics[name].thermal
    assert thermal is not None
    assert thermal.diffusivity == pytest.approx(worked, abs=0.0006)
    assert thermal.printed == printed


@pytest.mark.parametrize(
    ("name", "melt_f", "mould_f"),
    [
        ("abs", (390, 540), (100, 180)),
        ("pp", (400, 500), (70, 120)),
        ("pom", (380, 430), (180, 220)),
        ("pc", (520, 610), (150, 225)),
    ],
)
def test_melt_and_mould_are_as_warm_as_printed_in_fahrenheit(
    plastics: dict[str, Plastic], name: str, melt_f: tuple[float, float], mould_f: tuple[float, float]
) -> None:
    """SHRINK-E."""
    found = plastics[name]
    for span, printed in ((found.melt, melt_f), (found.mould, mould_f)):
        assert span is not None
        assert (span.least, span.most) == pytest.approx([(one - 32.0) / 1.8 for one in printed], abs=0.6)


def test_a_melt_is_hotter_than_its_moulding_and_that_than_the_coldest_mould(plastics: dict[str, Plastic]) -> None:
    for plastic in plastics.values():
        if plastic.melt is not None and plastic.mould is not None and plastic.ejection is not None:
            assert plastic.melt.least > plastic.ejection.most > plastic.mould.least, plastic.name


def test_what_is_not_known_of_a_plastic_is_not_made_up(plastics: dict[str, Plastic]) -> None:
    assert {name for name, one in plastics.items() if one.thermal is None} == {"pa6", "tpu", "tpe"}
    assert {name for name, one in plastics.items() if one.gate_constant is None} == {"abs", "tpu", "tpe"}
    assert {name for name, one in plastics.items() if one.clamp_pressure is None} == {"tpe"}
    assert all(isinstance(one.shrinkage, Span) for one in plastics.values())


def test_the_harm_of_overheated_acetal_is_said(plastics: dict[str, Plastic]) -> None:
    assert any("PVC" in caution for caution in plastics["pom"].cautions)


def test_every_source_is_a_known_code_or_common_practice() -> None:
    root = resources.shipped() / "tooling"
    codes = set(load_sources(beside=root).by_code)
    told = [
        (path.stem, key, text)
        for path in sorted((root / "plastics").glob("*.toml"))
        for key, text in tomllib.loads(path.read_text(encoding="utf-8")).items()
        if key.endswith("source")
    ]
    assert len(told) > 60
    for place in told:
        words = set(re.findall(r"[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*", place[2]))
        assert words & codes, place
        assert any(status in place[2] for status in ("confirmed", "from memory", "common practice, no source")), place
