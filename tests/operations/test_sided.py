"""A trapezoid groove is cut side by side only by a taper of its angle whose tip is narrower than its floor."""

from pathlib import Path

import pytest

from camplan.catalogue.cutters import load_shelf
from camplan.catalogue.machines import load_machine
from camplan.catalogue.materials import load_material
from camplan.features.records import Feature, Plate
from camplan.features.specs import GrooveSpec
from camplan.geometry.chains import chain
from camplan.operations.records import Purpose
from camplan.operations.shop import Shop, furnished
from camplan.operations.sided import side_operations
from camplan.regions import Region
from camplan.units import rad_from_deg

NOWHERE = Path("/nowhere")
PLATE = Plate(
    thickness=10.0,
    outline=Region(outer=chain([(-20, -20), (60, -20), (60, 20), (-20, 20)], closed=True)),
    bounds=(-20.0, -20.0, 60.0, 20.0),
    zero="front-left",
)
MACHINE = load_machine("bench-mill", beside=NOWHERE).machine
MATERIAL = load_material("aluminium-6082", beside=NOWHERE).material


def shop(*names: str) -> Shop:
    cutters = tuple(load_shelf(names, beside=NOWHERE).cutters.values())
    return furnished(cutters, material=MATERIAL, machine=MACHINE)


def runner(*, width: float, draft_deg: float = 2.0) -> tuple[Feature, GrooveSpec]:
    spec = GrooveSpec(
        name="runner",
        layer="RUNNER",
        top=0.0,
        depth=3.0,
        width=width,
        section="trapezoid",
        tolerance=0.02,
        cutters=(),
        draft=rad_from_deg(draft_deg),
    )
    lines = (chain([(0, 0), (40, 0)]),)
    return Feature(spec=spec, top=0.0, bottom=3.0, through=False, break_through=0.0, lines=lines), spec


def test_flat_cutters_clear_and_the_taper_cuts_the_sides() -> None:
    feature, spec = runner(width=6.0)
    found = side_operations(feature, spec=spec, plate=PLATE, shop=shop("slot-4", "taper-2deg-3"))
    assert found[0].cutter.name == "slot-4"
    assert (found[-1].cutter.name, found[-1].purpose) == ("taper-2deg-3", Purpose.FINISH)


@pytest.mark.parametrize(
    ("width", "draft_deg", "names"),
    [
        (6.0, 3.0, ("slot-4", "taper-2deg-3")),  # another angle
        (3.1, 2.0, ("slot-2", "taper-2deg-3")),  # a tip wider than the floor of 2.89 mm
        (6.0, 2.0, ("taper-2deg-3",)),  # nothing to clear the floor
        (6.0, 3.0, ("slot-4", "taper-3deg-r0.5")),  # a round tip leaves no corner at the floor
    ],
)
def test_what_does_not_fit_gives_no_operation(width: float, draft_deg: float, names: tuple[str, ...]) -> None:
    feature, spec = runner(width=width, draft_deg=draft_deg)
    assert side_operations(feature, spec=spec, plate=PLATE, shop=shop(*names)) == ()
