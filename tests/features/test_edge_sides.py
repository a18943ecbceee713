"""Edges against the features beside them."""

import math
from typing import Any

import pytest

from camplan.errors import InputError
from camplan.features.build import build
from camplan.features.records import Built
from camplan.features.specs import EdgeSpec


def edge(**changes: Any) -> EdgeSpec:
    usual = {"name": "rim", "layer": "DISC", "top": 0.0, "side": None, "chamfer": 0.5, "angle": math.pi / 4.0}
    own = {**usual, "radius": None, "tolerance": 0.02, "cutters": (), **changes}
    return EdgeSpec(**{"depth": own["top"] + own["chamfer"], **own})


def built(make: Any, *specs: Any, more: tuple[Any, ...] = ()) -> Built:
    layers = (
        make.layer("DISC", make.rectangle(30.0, 30.0, 70.0, 60.0), make.rectangle(45.0, 40.0, 55.0, 50.0)),
        make.layer("CORE", make.rectangle(45.0, 40.0, 55.0, 50.0)),
        make.layer("LEDGE", make.rectangle(28.0, 28.0, 72.0, 62.0)),
        make.layer("ALONE", make.rectangle(80.0, 80.0, 90.0, 90.0)),
        make.layer("NEXT", make.rectangle(70.3, 30.0, 75.0, 60.0)),
        *more,
    )
    return build(tuple(specs), plate=make.plate(), drawing=make.drawing(*layers))


def refused(make: Any, *specs: Any) -> str:
    with pytest.raises(InputError) as found:
        built(make, *specs)
    return " ".join(f"{one.key}: {one.message}" for one in found.value.problems)


def test_the_material_of_a_pockets_rim_stands_outside_its_contour(make: Any) -> None:
    found = built(make, make.pocket(), edge())
    rim = found.features[1]
    assert isinstance(rim.spec, EdgeSpec)
    assert (rim.spec.side, rim.follows, rim.beside) == ("outside", ("disc",), 6.5)
    assert [(one.code, one.where) for one in found.findings] == [("edge-side-guessed", "rim")]


def test_the_material_of_an_island_stands_inside_its_contour(make: Any) -> None:
    found = built(make, make.pocket(), edge(layer="CORE"))
    assert isinstance(found.features[1].spec, EdgeSpec)
    assert found.features[1].spec.side == "inside"


def test_the_material_of_a_parts_edge_stands_inside_and_of_its_frame_outside(make: Any) -> None:
    part = make.outline(layer="ALONE", depth=4.0, hold="none")
    assert built(make, part, edge(layer="ALONE")).features[1].spec.side == "inside"  # type: ignore[union-attr]
    assert built(make, edge(layer="PLATE")).features[0].spec.side == "inside"  # type: ignore[union-attr]


def test_beside_a_bridged_outline_the_edge_is_open_down_to_the_bridges(make: Any) -> None:
    found = built(make, make.outline(layer="ALONE"), edge(layer="ALONE", side="inside"))
    assert found.features[1].beside == pytest.approx(10.0 - 1.5)
    assert found.findings == ()


def test_an_edge_in_a_ledge_lies_at_its_floor(make: Any) -> None:
    ledge = make.pocket(name="ledge", layer="LEDGE", depth=2.0)
    found = built(make, ledge, make.pocket(top=2.0), edge(top=2.0))
    assert found.features[2].follows == ("disc",)
    said = refused(make, ledge, make.pocket(top=2.0), edge(top=2.0, chamfer=2.5))
    assert 'feature "rim".top_mm: material stands above it' in said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"layer": "ALONE"}, "nothing opens the inside of its contour at a depth of 0 mm"),
        ({"side": "inside"}, "nothing opens the outside of its contour"),
        ({"top": 7.0}, "nothing opens the inside of its contour at a depth of 7 mm"),
        ({"chamfer": 7.0}, "the edge reaches 7.000 mm deep, and beside it the floor is at 6.500 mm"),
    ],
)
def test_an_edge_without_a_wall_is_refused(make: Any, changes: dict[str, Any], said: str) -> None:
    assert said in refused(make, make.pocket(), edge(**changes))


def test_a_wall_thinner_than_the_edge_is_wide_is_refused_with_its_place(make: Any) -> None:
    said = refused(make, make.pocket(), make.pocket(name="next", layer="NEXT"), edge())
    assert 'it is 0.5 mm wide, and the wall between it and "next", from (70.300, 30.000)' in said
    assert "only 0.300 mm" in said


def test_a_contour_that_leaves_the_plate_is_refused(make: Any) -> None:
    far = make.layer("FAR", make.rectangle(100.0, 30.0, 130.0, 60.0))
    with pytest.raises(InputError, match="is not on the plate"):
        built(make, make.pocket(), edge(layer="FAR"), more=(far,))


def test_a_part_that_comes_loose_has_no_edge_to_break_after_it(make: Any) -> None:
    said = refused(make, make.outline(layer="ALONE", hold="none"), edge(layer="ALONE"))
    assert '"part" is cut free with nothing to hold it' in said


def test_leaning_walls_have_no_edge_yet(make: Any) -> None:
    assert 'the walls of "disc" lean' in refused(make, make.pocket(draft=math.radians(2.0)), edge())
