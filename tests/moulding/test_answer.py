"""All figures of a mould together, each found again by hand."""

from dataclasses import replace
from pathlib import Path

import pytest

from camplan.catalogue import load_plastic
from camplan.catalogue.plastics import Plastic
from camplan.moulding.answer import answered
from camplan.moulding.records import CavityFigures, Channel, Estimate, FlowPath, MouldAnswer, MouldingSpec

RUNNER = Channel(name="runner", width=4.0, depth=2.0, area=6.2832, around=10.2832, length=50.0)
GATE = Channel(name="gates", width=1.5, depth=0.8, area=1.2, around=4.6, length=5.0)
VENT = Channel(name="vents", width=4.0, depth=0.03, area=0.12, around=8.06, length=6.0)
FIGURES = CavityFigures(
    cavity_area=3800.0,
    runner_area=200.0,
    cavity_volume=10_000.0,
    runner_volume=500.0,
    walls=1500.0,
    mouldings=2,
    largest=0.5,
    deepest=3.0,
    runners=(RUNNER,),
    gates=(GATE,),
    vents=(VENT,),
    flow=FlowPath(straight=40.0, along=44.0, unreached=0.0),
)


@pytest.fixture(scope="module")
def plastic(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Plastic]:
    place: Path = tmp_path_factory.mktemp("own")
    return {name: load_plastic(name, beside=place).plastic for name in ("abs", "pp", "pom", "pa6", "tpe", "pmma")}


def by_name(answer: MouldAnswer) -> dict[str, Estimate]:
    found = {one.figure: one for one in answer.estimates}
    assert len(found) == len(answer.estimates)
    return found


def codes(answer: MouldAnswer) -> list[str]:
    return [finding.code for finding in answer.findings]


def test_abs_of_40_cm2_is_that_of_the_worked_example(plastic: dict[str, Plastic]) -> None:
    """CLAMP-J: 118 to 157 kN, times 1.0 to 1.2."""
    found = by_name(answered(plastic["abs"], figures=FIGURES, spec=MouldingSpec()))
    assert found["projected area"].least == pytest.approx(40.0)
    assert found["clamp force"].least == pytest.approx(118.0, abs=0.5)
    assert found["clamp force"].most == pytest.approx(1.2 * 157.0, abs=0.5)


def test_a_shot_weighs_what_the_plate_holds_times_the_density(plastic: dict[str, Plastic]) -> None:
    found = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(shots=400)))
    assert found["shot"].least == pytest.approx(10.5 * 0.905)
    assert found["plastic for all shots"].least == pytest.approx(400 * 10.5 * 0.905 / 1000.0)


def test_runner_and_gate_are_for_the_largest_moulding(plastic: dict[str, Plastic]) -> None:
    found = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(wall=1.5)))
    mass = 5.0 * 0.905
    assert found["runner diameter"].least == pytest.approx(mass**0.5 * 50.0**0.25 / 3.7)
    assert found["runner as drawn"].least == pytest.approx(4.0 * 6.2832 / 10.2832)
    assert found["gate thickness"].least == pytest.approx(0.7 * 1.5)
    assert found["gate width"].least == pytest.approx(0.7 * (0.5 * (2.0 * 3800.0 + 1500.0)) ** 0.5 / 30.0)


def test_runners_of_acrylic_are_a_quarter_wider(plastic: dict[str, Plastic]) -> None:
    found = by_name(answered(plastic["pmma"], figures=FIGURES, spec=MouldingSpec()))
    plain = (5.0 * 1.18) ** 0.5 * 50.0**0.25 / 3.7
    assert found["runner diameter"].least == pytest.approx(1.25 * plain)


def test_a_wall_that_is_not_said_is_the_deepest_place_and_an_assumption(plastic: dict[str, Plastic]) -> None:
    told = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(wall=1.5)))
    assumed = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec()))
    assert (told["wall"].least, told["wall"].sentence) == (1.5, "as said")
    assert assumed["wall"].least == 3.0
    assert assumed["wall"].sentence.startswith("assumed")
    assert assumed["cooling, mean"].most == pytest.approx(4.0 * told["cooling, mean"].most)
    assert told["flow over wall"].most == pytest.approx(44.0 / 1.5)


@pytest.mark.parametrize(
    ("kilonewton", "code"), [(50.0, "press-too-weak"), (120.0, "press-may-flash"), (200.0, "press-holds")]
)
def test_a_press_is_held_against_the_force(plastic: dict[str, Plastic], kilonewton: float, code: str) -> None:
    answer = answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(press=1000.0 * kilonewton))
    assert [one for one in codes(answer) if one.startswith("press")] == [code]
    found = by_name(answer)
    held, force = found["area the press holds"], found["clamp force"]
    assert held.least * force.most == pytest.approx(40.0 * kilonewton)


@pytest.mark.parametrize(("depth", "code"), [(0.05, "vent-deep"), (0.03, None), (0.013, None), (0.005, "vent-shallow")])
def test_vents_are_held_against_their_land(plastic: dict[str, Plastic], depth: float, code: str | None) -> None:
    figures = replace(FIGURES, vents=(replace(VENT, depth=depth),))
    answer = answered(plastic["pp"], figures=figures, spec=MouldingSpec())
    assert [one for one in codes(answer) if "vent" in one] == ([code] if code else [])
    assert (by_name(answer)["vent depth"].least, by_name(answer)["vent depth"].most) == (0.013, 0.030)


def test_a_cavity_without_vents_is_told(plastic: dict[str, Plastic]) -> None:
    assert "no-vents" in codes(answered(plastic["pp"], figures=replace(FIGURES, vents=()), spec=MouldingSpec()))


def test_a_gate_that_is_deeper_than_it_should_start_is_told(plastic: dict[str, Plastic]) -> None:
    figures = replace(FIGURES, gates=(replace(GATE, depth=1.2),))
    assert "gate-deep" in codes(answered(plastic["pp"], figures=figures, spec=MouldingSpec(wall=1.5)))
    assert "gate-deep" not in codes(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(wall=1.5)))


def test_walls_and_masses_that_the_runners_formula_is_not_for_are_told(plastic: dict[str, Plastic]) -> None:
    thick = answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(wall=3.5))
    assert "runner-thick-wall" in codes(thick)
    heavy = answered(plastic["pp"], figures=replace(FIGURES, cavity_volume=600_000.0), spec=MouldingSpec())
    assert "runner diameter" not in by_name(heavy)
    assert any("heavier than the 200 g" in finding.message for finding in heavy.findings)
    far = replace(FIGURES, cavity_volume=420_000.0, runners=(replace(RUNNER, length=80.0),))
    wide = answered(plastic["pp"], figures=far, spec=MouldingSpec(wall=1.5))
    assert "runner-wide" in codes(wide)
    assert "runner-narrow" in codes(wide)


def test_what_is_not_known_is_said_and_not_made_up(plastic: dict[str, Plastic]) -> None:
    def unknown(answer: MouldAnswer) -> set[str]:
        return {finding.where for finding in answer.findings if finding.code == "not-known"}

    none = replace(FIGURES, runners=(), gates=(), flow=None)
    assert unknown(answered(plastic["tpe"], figures=none, spec=MouldingSpec())) == {
        "clamp force",
        "runner",
        "gate",
        "flow length",
        "cooling time",
    }
    assert unknown(answered(plastic["pa6"], figures=FIGURES, spec=MouldingSpec())) == {"cooling time"}
    assert unknown(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec())) == set()


def test_an_ejection_temperature_that_cannot_be_is_told(plastic: dict[str, Plastic]) -> None:
    answer = answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(ejection=25.0))
    assert "cooling, mean" not in by_name(answer)
    assert any("25 degrees C is no temperature" in finding.message for finding in answer.findings)


def test_a_warmer_ejection_is_sooner(plastic: dict[str, Plastic]) -> None:
    cool = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(ejection=70.0)))["cooling, mean"]
    warm = by_name(answered(plastic["pp"], figures=FIGURES, spec=MouldingSpec(ejection=90.0)))["cooling, mean"]
    assert warm.least < cool.least < cool.most
    assert warm.most < cool.most


def test_a_cavity_that_no_way_leads_into_is_told(plastic: dict[str, Plastic]) -> None:
    figures = replace(FIGURES, flow=FlowPath(straight=40.0, along=44.0, unreached=0.4))
    assert "cavity-unreached" in codes(answered(plastic["pp"], figures=figures, spec=MouldingSpec()))


def test_every_answer_says_what_hurts(plastic: dict[str, Plastic]) -> None:
    said = " ".join(
        finding.message for finding in answered(plastic["pom"], figures=FIGURES, spec=MouldingSpec()).findings
    )
    for word in ("PVC", "nozzle", "parting line", "clamp", "guard", "metal can still be", "Trapped air"):
        assert word in said
