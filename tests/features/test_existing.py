"""What was gone of a plate, asked height by height."""

from types import ModuleType

import pytest

from camplan.features.existing import gone, gone_number
from camplan.features.records import Existing, Plate
from camplan.regions import Region


@pytest.fixture
def plate(shop: ModuleType) -> Plate:
    """A hole through, within a pocket 5 deep, within a recess 2 deep."""
    hole, pocket, recess = (Region(outer=shop.rectangle(a, a, 40.0 - a, 40.0 - a)) for a in (15.0, 10.0, 5.0))
    existing = tuple(
        Existing(regions=(region,), depth=depth) for region, depth in ((hole, 10.0), (pocket, 5.0), (recess, 2.0))
    )
    return Plate(
        thickness=10.0, outline=shop.plate().outline, bounds=(0, 0, 100, 60), zero="front-left", existing=existing
    )


@pytest.mark.parametrize(
    ("z", "number"), [(-0.5, 3), (-2.0, 3), (-2.1, 2), (-5.0, 2), (-5.1, 1), (-10.0, 1), (-10.3, 0)]
)
def test_the_number_is_of_those_that_reach_the_height(plate: Plate, z: float, number: int) -> None:
    assert gone_number(plate, z=z) == number


def test_what_is_gone_is_the_widest_that_reaches_the_height(plate: Plate) -> None:
    assert gone(plate, z=-1.0) == plate.existing[2].regions
    assert gone(plate, z=-4.0) == plate.existing[1].regions
    assert gone(plate, z=-9.0) == plate.existing[0].regions
    assert gone(plate, z=-11.0) == ()


def test_nothing_is_gone_of_a_whole_plate(shop: ModuleType) -> None:
    assert gone(shop.plate(), z=-1.0) == ()
    assert gone_number(shop.plate(), z=0.0) == 0
