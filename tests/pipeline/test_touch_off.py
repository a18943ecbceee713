"""Shallow work is warned of by what may be off, and zeroed where it is cut."""

import dataclasses
from pathlib import Path
from typing import Any

import pytest
import shapely

from camplan.catalogue.machines import load_machine
from camplan.errors import InputError
from camplan.features.records import Feature, Plate
from camplan.features.specs import GrooveSpec, PocketSpec
from camplan.geometry.chains import chain
from camplan.pipeline.touch_off import SHARE, shallow_findings, touch_off_lines, touch_offs
from camplan.regions import Region

MACHINE = load_machine("bench-mill", beside=Path("/nowhere")).machine
PLATE = Plate(
    thickness=10.0,
    outline=Region(outer=chain([(0, 0), (90, 0), (90, 60), (0, 60)], closed=True)),
    bounds=(0.0, 0.0, 90.0, 60.0),
    zero="front-left",
)


def pocket(name: str, box: tuple[float, float, float, float], *, depth: float, top: float = 0.0) -> Feature:
    x0, y0, x1, y1 = box
    usual: dict[str, Any] = {"draft": 0.0, "nominal": "top", "allowance": 0.0, "finish": None, "corner": None}
    spec = PocketSpec(name=name, layer="L", top=top, depth=depth, **usual, tolerance=0.02, cutters=())
    ring = chain([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)
    regions = (Region(outer=ring),)
    return Feature(spec=spec, top=top, bottom=depth, through=False, break_through=0.0, regions=regions)


def vent(*, depth: float) -> Feature:
    spec = GrooveSpec(
        name="vent", layer="V", top=0.0, depth=depth, width=4.0, section="square", tolerance=0.02, cutters=()
    )
    lines = (chain([(20, 30), (40, 30)]),)
    return Feature(spec=spec, top=0.0, bottom=depth, through=False, break_through=0.0, lines=lines)


def found(*features: Feature, flatness: float = 0.02) -> Any:
    return touch_offs(features, operations=(), plate=PLATE, machine=MACHINE, flatness=flatness)


def test_what_may_be_off_is_the_sum_of_step_touch_off_and_flatness() -> None:
    """1.25 + 10 + 20 um on the bench mill; three times that is the limit (common practice, no source)."""
    limit = SHARE * (0.00125 + 0.010 + 0.020)
    assert [spot.feature for spot in found(vent(depth=limit - 0.001))] == ["vent"]
    assert found(vent(depth=limit + 0.001)) == ()
    assert found(vent(depth=0.05), flatness=0.0) == ()
    (finding,) = shallow_findings(found(vent(depth=0.03)), machine=MACHINE, flatness=0.02)
    assert (finding.code, finding.where) == ("shallow-depth", "vent")
    assert "may make it 31 um more or less" in finding.message
    assert "then 11 um remain" in finding.message


def test_the_place_lies_in_the_vent_and_in_nothing_else_that_is_cut() -> None:
    relief = pocket("relief", (30, 20, 60, 40), depth=0.5)
    (spot,) = found(vent(depth=0.03), relief)
    (place,) = spot.at
    assert shapely.LineString([(20, 30), (40, 30)]).buffer(2.0).contains(shapely.Point(place))
    assert place[0] < 30.0
    assert touch_off_lines(spot) == (f"TOUCH OFF Z AT X{place[0]:.3f} Y{place[1]:.3f}: vent is 0.03 mm deep",)


def test_each_piece_has_its_place() -> None:
    first, second = pocket("vents", (10, 10, 20, 16), depth=0.03), pocket("vents", (60, 10, 70, 16), depth=0.03)
    (spot,) = found(dataclasses.replace(first, regions=(*first.regions, *second.regions)))
    assert sorted(10.0 < x < 20.0 for x, _ in spot.at) == [False, True]
    assert sorted(60.0 < x < 70.0 for x, _ in spot.at) == [False, True]


def test_a_ledge_inside_a_pocket_is_not_zeroed_on_the_plate() -> None:
    assert found(pocket("ledge", (10, 10, 20, 20), depth=2.03, top=2.0)) == ()


def test_how_truly_a_mill_is_zeroed_may_stand_in_its_file(tmp_path: Path) -> None:
    assert MACHINE.touch_off == pytest.approx(0.010)
    folder = tmp_path / "tooling" / "machines"
    folder.mkdir(parents=True)
    text = (Path(__file__).parents[2] / "tooling" / "machines" / "bench-mill.toml").read_text(encoding="utf-8")
    own = folder / "own-mill.toml"
    own.write_text("touch_off_um = 3\n" + text, encoding="utf-8")
    assert load_machine("own-mill", beside=tmp_path).machine.touch_off == pytest.approx(0.003)
    own.write_text("touch_off_um = -3\n" + text, encoding="utf-8")
    with pytest.raises(InputError, match="touch_off_um"):
        load_machine("own-mill", beside=tmp_path)
