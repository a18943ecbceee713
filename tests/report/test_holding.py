"""What the sheet and plan.json say of holes that hold something."""

from pathlib import Path

from camplan.catalogue.standards import load_standards
from camplan.features.holds import Fit, Gauge, Holds, Screw, Thread
from camplan.features.records import Feature, Mouth
from camplan.features.specs import HoleSpec
from camplan.report.holding import holding_json, holding_section
from camplan.report.measures import measures

STANDARDS = load_standards(beside=Path("nowhere"))
GAUGE = Gauge(name="6 H7", nominal=6.0, least=6.0, most=6.012, aim=6.006, source="ISO-286-2, confirmed")


def hole(holds: Holds | None, *, name: str = "pins", **changes: object) -> Feature:
    spec = HoleSpec(
        name=name, layer="P", top=0.0, depth=None, diameter=None, spot=True, tolerance=0.003, cutters=(), holds=holds
    )
    usual = {"top": 0.0, "bottom": 10.0, "through": True, "break_through": 0.3}
    return Feature(spec=spec, **{**usual, **changes})  # type: ignore[arg-type]


PINS = hole(Fit(fit=STANDARDS.holes["H7"]), circles=((5.0, 5.0, 6.006), (25.0, 5.0, 6.006)), gauges=(GAUGE,))
CAPS = hole(
    Screw(size=STANDARDS.screws["M5"], series="medium", head=5.4),
    circles=((5.0, 5.0, 5.5), (5.0, 5.0, 10.0)),
    sunk=((10.0, 5.4),),
)
TAPS = hole(
    Thread(size=STANDARDS.threads["M5"], depth=None),
    name="<taps>",
    circles=((5.0, 5.0, 4.2),),
    mouth=Mouth(diameter=5.25, angle=1.5707963),
)


def expected(feature: Feature) -> list[tuple[str, str, str]]:
    return [(one.what, one.expected, one.remark) for one in measures(feature, plate=None)]  # type: ignore[arg-type]


def test_a_fit_is_measured_with_the_gauge_that_its_limits_ask_for() -> None:
    what, size, remark = expected(PINS)[0]
    assert (what, size) == ("diameter", "6.006")
    assert remark == "2 holes; 6 H7: 6.000 to 6.012, aim 6.006, go 6.000 / no-go 6.012"


def test_a_sunk_head_is_measured_in_width_and_depth_and_is_no_second_hole() -> None:
    found = expected(CAPS)
    assert [one[:2] for one in found[:3]] == [
        ("diameter", "5.5"),
        ("head's bore", "10"),
        ("depth of the head's bore", "5.4"),
    ]
    assert found[0][2] == "1 hole"
    assert all(what != "between centres" for what, _, _ in found)


def test_a_chamfer_is_measured_across() -> None:
    assert ("chamfer across", "5.25", "") in expected(TAPS)


def test_the_section_names_every_hole_that_holds_something_and_no_other() -> None:
    html = holding_section([PINS, CAPS, TAPS, hole(None, name="plain", circles=((1.0, 1.0, 4.0),))])
    assert "6 H7: 6.000 to 6.012, aim 6.006, go 6.000 / no-go 6.012" in html
    assert "5.5 mm; head bore 10 mm, 5.4 deep" in html
    assert "4.2 mm; chamfered to 5.25 mm" in html
    assert "&lt;taps&gt;" in html
    assert "nothing is tapped by the machine" in html
    assert "plain" not in html


def test_without_such_holes_there_is_no_section() -> None:
    assert holding_section([hole(None, circles=((1.0, 1.0, 4.0),))]) == ""


def test_the_plan_says_nothing_of_a_hole_that_holds_nothing() -> None:
    assert holding_json(hole(None, circles=((1.0, 1.0, 4.0),))) is None
    assert holding_json(CAPS) == {
        "what": "M5 cap screw, head sunk",
        "gauges": [],
        "heads": [{"diameter_mm": 10.0, "depth_mm": 5.4}],
        "chamfer_mm": None,
        "by_hand": [],
    }
