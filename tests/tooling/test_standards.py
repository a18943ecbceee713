"""The shipped tables of fits, threads and screws against the standards that they are from."""

import math
import re
import tomllib
from pathlib import Path

import pytest

from camplan import resources
from camplan.catalogue import load_sources
from camplan.catalogue.records import Cutter, CutterKind
from camplan.catalogue.standards import Standards, load_standards


@pytest.fixture(scope="module")
def standards(no_user_folder: Path) -> Standards:
    return load_standards(beside=no_user_folder)


def limits_um(standards: Standards, name: str, nominal: float) -> tuple[float, float]:
    found = {**standards.holes, **standards.pins}[name].limits(nominal)
    assert found is not None
    return round(found.lower * 1000.0, 6), round(found.upper * 1000.0, 6)


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        # ISO 286-2 by public tables that agree: over 3 to 6, 6 to 10, 10 to 18, 18 to 30 mm, in um.
        ("H7", [(0, 12), (0, 15), (0, 18), (0, 21)]),
        ("H8", [(0, 18), (0, 22), (0, 27), (0, 33)]),
        ("m6", [(4, 12), (6, 15), (7, 18), (8, 21)]),
        # From memory, worked out by ISO 286-1: EI(G) = -es(g), ES = EI + IT7.
        ("G7", [(4, 16), (5, 20), (6, 24), (7, 28)]),
    ],
)
def test_limits_are_those_of_iso_286_2(standards: Standards, name: str, rows: list[tuple[float, float]]) -> None:
    assert [limits_um(standards, name, nominal) for nominal in (6.0, 10.0, 18.0, 30.0)] == rows


@pytest.mark.parametrize("nominal", [2.0, 5.0, 8.0, 12.0, 25.0, 40.0, 65.0])
def test_limits_of_one_grade_lie_as_far_apart_in_every_class(standards: Standards, nominal: float) -> None:
    """ISO 286-1: the upper limit is the fundamental deviation and the tolerance of the grade."""
    for grade, names in (("6", ("H6", "G6", "m6")), ("7", ("H7", "G7", "F7")), ("8", ("H8", "F8"))):
        widths = {upper - lower for lower, upper in (limits_um(standards, name, nominal) for name in names)}
        assert len(widths) == 1, grade
    for letter, names in (("G", ("G6", "G7")), ("F", ("F7", "F8"))):
        assert len({limits_um(standards, name, nominal)[0] for name in names}) == 1, letter


@pytest.mark.parametrize(
    ("grade", "multiple"),
    [("H6", 10), ("H7", 16), ("H8", 25), ("H9", 40)],
)
@pytest.mark.parametrize(("over", "upto"), [(6, 10), (10, 18), (18, 30), (30, 50), (50, 80)])
def test_tolerances_follow_from_the_tolerance_unit(
    standards: Standards, grade: str, multiple: int, over: int, upto: int
) -> None:
    """ISO 286-1: i = 0.45 D^(1/3) + 0.001 D um, D the geometric mean of the row; IT6 10 i, IT7 16 i, IT8 25 i, IT9
    40 i, rounded to whole um, some of them up (formula from memory)."""
    mean = math.sqrt(over * upto)
    unit = 0.45 * mean ** (1.0 / 3.0) + 0.001 * mean
    _, upper = limits_um(standards, grade, float(upto))
    assert upper == pytest.approx(multiple * unit, abs=max(0.9, 0.02 * upper))


def test_a_pin_in_h7_sits_between_12_um_tight_and_8_um_loose_at_6_mm(standards: Standards) -> None:
    """H7/m6 over 3 to 6 mm, worked from the limits of ISO 286-2."""
    (hole_low, hole_high), (pin_low, pin_high) = limits_um(standards, "H7", 6.0), limits_um(standards, "m6", 6.0)
    assert (hole_low - pin_high, hole_high - pin_low) == (-12.0, 8.0)


@pytest.mark.parametrize(
    ("name", "pitch", "drill"),
    [
        # DIN 336 by public tapping charts that agree.
        ("M2", 0.4, 1.6),
        ("M2.5", 0.45, 2.05),
        ("M3", 0.5, 2.5),
        ("M4", 0.7, 3.3),
        ("M5", 0.8, 4.2),
        ("M6", 1.0, 5.0),
        ("M8", 1.25, 6.8),
        ("M10", 1.5, 8.5),
    ],
)
def test_threads_are_those_of_din_336_and_iso_724(standards: Standards, name: str, pitch: float, drill: float) -> None:
    thread = standards.threads[name]
    assert (thread.pitch, thread.drill) == (pitch, drill)
    # ISO 724: D1 = d - 1.082532 P, the least minor diameter of the nut, printed to three decimals
    assert thread.least == pytest.approx(thread.nominal - 1.082532 * pitch, abs=0.0006)
    assert thread.least <= thread.drill <= thread.most


@pytest.mark.parametrize(
    ("name", "head", "fine", "medium", "coarse"),
    [
        # ISO 4762:2004 dk max of knurled heads by three public reprints; ISO 273 by four.
        ("M3", 5.68, 3.2, 3.4, 3.6),
        ("M4", 7.22, 4.3, 4.5, 4.8),
        ("M5", 8.72, 5.3, 5.5, 5.8),
        ("M6", 10.22, 6.4, 6.6, 7.0),
        ("M8", 13.27, 8.4, 9.0, 10.0),
        ("M10", 16.27, 10.5, 11.0, 12.0),
    ],
)
def test_screws_are_those_of_iso_4762_and_iso_273(
    standards: Standards, name: str, head: float, fine: float, medium: float, coarse: float
) -> None:
    screw = standards.screws[name]
    assert screw.head == head
    assert screw.height == screw.nominal, "k max is the thread's diameter"
    assert (screw.clearance["fine"], screw.clearance["medium"], screw.clearance["coarse"]) == (fine, medium, coarse)
    assert screw.bore is not None and screw.bore > screw.head


def test_threads_to_m8_have_a_spotting_drill_for_their_mouths_on_the_shelf(
    standards: Standards, shelf: dict[str, Cutter]
) -> None:
    widest = max(cutter.diameter for cutter in shelf.values() if cutter.kind is CutterKind.SPOT_DRILL)
    assert widest >= 1.05 * standards.threads["M8"].nominal


def test_every_row_names_a_known_source() -> None:
    root = resources.shipped() / "tooling"
    codes = set(load_sources(beside=root).by_code)
    found: list[str] = []

    def collect(value: object) -> None:
        if isinstance(value, dict):
            found.extend(text for key, text in value.items() if key.endswith("source") and isinstance(text, str))
            for inner in value.values():
                collect(inner)
        elif isinstance(value, list):
            for inner in value:
                collect(inner)

    for path in sorted((root / "standards").glob("*.toml")):
        collect(tomllib.loads(path.read_text(encoding="utf-8")))
    assert len(found) > 90
    for text in found:
        assert re.match(r"[A-Z0-9-]+", text)[0] in codes, text  # type: ignore[index]
        assert text.endswith((", confirmed", ", from memory")), text
