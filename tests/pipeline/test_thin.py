"""What new cuts leave beside and over what a plate had: told if it is too thin, and not if it is thick enough."""

import dataclasses
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from camplan.catalogue.materials import load_material
from camplan.features.records import Existing, Feature, PlateFace
from camplan.findings import Finding
from camplan.geometry.chains import circle
from camplan.pipeline.thin import thin_findings
from camplan.regions import Region

ALUMINIUM = load_material("aluminium-6082", beside=Path("/nowhere")).material
Box = tuple[float, float, float, float]


def gone(shop: ModuleType, box: Box, *, depth: float) -> Existing:
    return Existing(regions=(Region(outer=shop.rectangle(*box)),), depth=depth)


def found(
    shop: ModuleType,
    *features: Feature,
    existing: tuple[Existing, ...] = (),
    beneath: tuple[Existing, ...] = (),
    force: float | None = 30.0,
) -> list[Finding]:
    plate = dataclasses.replace(shop.plate(), existing=existing, beneath=beneath)
    face = PlateFace(about=None, plate=plate, features=features, settings=("one",))
    return thin_findings(face, operations=[Cut(one, force=force) for one in features], material=ALUMINIUM)


class Cut:
    """Of an operation only what is asked of it here."""

    def __init__(self, feature: Feature, *, force: float | None) -> None:
        self.feature = feature
        self.data = type("Data", (), {"force": force})()


def pocket(shop: ModuleType, box: Box, *, depth: float = 6.0) -> Any:
    return dataclasses.replace(shop.pocket(shop.rectangle(*box), depth=depth), bottom=depth)


def test_a_wall_of_less_than_half_a_millimetre_is_told_with_its_place(shop: ModuleType) -> None:
    (finding,) = found(shop, pocket(shop, (40.4, 20, 60, 40)), existing=(gone(shop, (10, 10, 40, 50), depth=5.0),))
    assert (finding.code, finding.where) == ("thin-wall", "disc")
    assert "a wall 0.4 mm thick and 5 mm high" in finding.message
    assert "X40.400" in finding.message


def test_how_far_a_wall_gives_is_told_of_a_thicker_one(shop: ModuleType) -> None:
    """0.17 F h^2 / D: 30 N on 1 mm of aluminium 5 mm high, 0.17 * 30 * 25 / 6546 = 19.5 um, 1.2 mm: 11.3 um."""
    thin = found(shop, pocket(shop, (40.8, 20, 60, 40)), existing=(gone(shop, (10, 10, 40, 50), depth=5.0),))
    assert [one.code for one in thin] == ["thin-wall"]
    assert "under 30 N it gives about 38 um" in thin[0].message
    assert not found(shop, pocket(shop, (41.2, 20, 60, 40)), existing=(gone(shop, (10, 10, 40, 50), depth=5.0),))


def test_a_slender_wall_is_told_where_its_force_is_not_known(shop: ModuleType) -> None:
    old = (gone(shop, (10, 10, 40, 50), depth=6.0),)
    (finding,) = found(shop, pocket(shop, (40.7, 20, 60, 40)), existing=old, force=None)
    assert "how far it gives is not known" in finding.message
    assert not found(shop, pocket(shop, (40.8, 20, 60, 40)), existing=old, force=None)


def test_a_pocket_that_runs_into_the_old_one_has_no_wall_to_it(shop: ModuleType) -> None:
    assert not found(shop, pocket(shop, (30, 20, 60, 40)), existing=(gone(shop, (10, 10, 40, 50), depth=6.0),))


def test_a_wall_to_what_is_open_from_beneath_is_as_high_as_both_go(shop: ModuleType) -> None:
    """7 mm from beneath in 10 mm leave 3 above: a pocket 6 deep has 3 mm beside it, one 2 deep nothing."""
    old = (gone(shop, (10, 10, 40, 50), depth=7.0),)
    (finding,) = found(shop, pocket(shop, (40.4, 20, 60, 40), depth=6.0), beneath=old)
    assert "0.4 mm thick and 3 mm high" in finding.message
    assert not found(shop, pocket(shop, (40.4, 20, 60, 40), depth=2.0), beneath=old)


@pytest.mark.parametrize(
    ("depth", "said"),
    [(4.4, None), (4.6, "leaves a floor 0.4 mm thick"), (5.0, "comes through"), (6.0, "comes through")],
)
def test_a_floor_over_what_is_open_from_beneath_is_told_if_it_is_thin(
    shop: ModuleType, depth: float, said: str | None
) -> None:
    old = (gone(shop, (10, 10, 40, 50), depth=5.0),)
    codes = {one.code: one.message for one in found(shop, pocket(shop, (30, 20, 60, 40), depth=depth), beneath=old)}
    assert ("thin-floor" in codes) == (said is not None)
    if said is not None:
        assert said in codes["thin-floor"]


def test_a_hole_half_over_an_edge_is_told(shop: ModuleType) -> None:
    old = (gone(shop, (10, 10, 40, 50), depth=5.0),)
    assert [one.code for one in found(shop, shop.hole((40.0, 30.0), diameter=4.0), existing=old)] == ["hole-on-edge"]
    assert not found(shop, shop.hole((30.0, 30.0), diameter=4.0), existing=old)


def test_a_hole_that_is_drilled_wider_about_its_own_middle_is_on_no_edge(shop: ModuleType) -> None:
    old = (Existing(regions=(Region(outer=circle((50.0, 30.0), radius=1.5)),), depth=10.0),)
    assert not found(shop, shop.hole((50.0, 30.0), diameter=4.0), existing=old)


def test_nothing_is_said_of_a_whole_plate(shop: ModuleType) -> None:
    assert not found(shop, pocket(shop, (40.4, 20, 60, 40)))
