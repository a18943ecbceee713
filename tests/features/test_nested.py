"""Holes that lie in a pocket and do not say so."""

from types import SimpleNamespace

import pytest

from camplan.features.build import build
from camplan.findings import Finding


def noted(
    make: SimpleNamespace, *, top: float = 0.0, depth: float | None = None, x: float = 50.0, pocket: float | None = 4.0
) -> list[Finding]:
    layers = (
        make.layer("DISC", make.rectangle(40.0, 40.0, 80.0, 70.0)),
        make.layer("PINS", circles=[(x, 50.0, 6.0), (70.0, 50.0, 6.0)]),
    )
    specs = (make.pocket(depth=pocket), make.hole(top=top, depth=depth))
    found = build(specs, plate=make.plate(), drawing=make.drawing(*layers)).findings
    return [one for one in found if one.code == "starts-in-a-pocket"]


def test_holes_in_the_floor_of_a_pocket_are_told_where_they_start(make: SimpleNamespace) -> None:
    (note,) = noted(make)
    assert note.where == "pins"
    assert "with top_mm = 4 it is spotted and drilled from there" in note.message


@pytest.mark.parametrize(
    "changes",
    [
        {"top": 4.0},  # it says so
        {"x": 42.0},  # one reaches over the pocket's wall
        {"x": 20.0},  # one lies outside
        {"depth": 3.0},  # they end in what the pocket removes
        {"pocket": None},  # no floor
    ],
)
def test_other_holes_are_not(make: SimpleNamespace, changes: dict[str, float | None]) -> None:
    assert noted(make, **changes) == []  # type: ignore[arg-type]
